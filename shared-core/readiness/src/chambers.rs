//! Chambers of the county by what their readings tell of their own leak: which falls below its least
//! when, which hold, of which it is not known; and the line through the readings of each, for a plot.
//!
//! The same computation as the findings of a craft (`engine/leaks.rs`). It decides nothing: intervals
//! are shown beside.

use std::collections::BTreeSet;

use crate::answer::{Assumed, KnownBy, LeakRate};
use crate::ids::{EventId, PartId, SubjectId};
use crate::leak::NotFitted;
use crate::moment::Moment;

/// The chambers of a county, or of one craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChamberLeaks {
    /// The judged moment.
    pub as_of: Moment,
    /// Air at the launch, milli-degree Celsius.
    pub air_mc: i32,
    /// Water at the launch, milli-degree Celsius.
    pub water_mc: i32,
    /// What was not given, and stands for the county's setting.
    pub assumed: BTreeSet<Assumed>,
    /// What the records rest on.
    pub known_by: KnownBy,
    /// Most that a chamber may lose in 24 h, pascal.
    pub limit_pa: i64,
    /// Chambers that lose air, the one that is too soft first at the top; those whose day is not
    /// known come last.
    pub leaking: Vec<Leaking>,
    /// Chambers that fell by no more than a gauge may be off.
    pub holding: Vec<Holding>,
    /// Chambers of which it is not known, with why.
    pub not_known: Vec<NotKnown>,
}

/// A chamber.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Chamber {
    /// Number of its craft.
    pub number: String,
    /// Its craft.
    pub craft: SubjectId,
    /// The part.
    pub part: PartId,
    /// In words.
    pub label: String,
    /// Where the craft is; several where that is in dispute.
    pub stations: Vec<SubjectId>,
    /// Least, pascal gauge.
    pub low_pa: i64,
    /// Newest reading whose air is known; none without one.
    pub last_read: Option<Moment>,
}

/// A chamber that loses air.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Leaking {
    /// The chamber.
    pub chamber: Chamber,
    /// How fast, and the day on which it is below its least.
    pub rate: LeakRate,
    /// Whether it loses more than is allowed.
    pub is_over: bool,
    /// Whether its newest reading still tells how it stands.
    pub height: Height,
    /// The events of its readings.
    pub evidence: Vec<EventId>,
}

/// Whether a newest reading still tells how a chamber stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Height {
    /// Nothing came or went since.
    Stands,
    /// Air came or went since, and nobody read the gauge: the day cannot be told.
    ChangedSince,
}

/// A chamber that holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Holding {
    /// The chamber.
    pub chamber: Chamber,
    /// From so many readings.
    pub readings: u32,
    /// Over so long, milliseconds.
    pub over_ms: i64,
}

/// A chamber whose leak is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotKnown {
    /// The chamber.
    pub chamber: Chamber,
    /// Why.
    pub why: WhyNotKnown,
    /// What too few readings hint at: nothing checks it.
    pub hint: Option<LeakRate>,
}

/// Why a leak is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WhyNotKnown {
    /// The craft is kept rolled.
    Rolled,
    /// There is no line through its readings.
    NotFitted(NotFitted),
    /// Readings over too short a time, milliseconds.
    TooShort {
        /// How long.
        over_ms: i64,
        /// From when on they say something.
        least_ms: i64,
    },
    /// Too few readings that have nothing between them.
    FewReadings {
        /// How many.
        readings: u32,
        /// From how many on it counts as known.
        least: u32,
    },
}

/// A chamber with the line through its readings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChamberCurve {
    /// The chamber.
    pub chamber: Chamber,
    /// Wanted, pascal gauge.
    pub nominal_pa: i64,
    /// Least at the launch, brought to 15 °C and 1013.25 hPa, pascal.
    pub least_pa: i64,
    /// What it loses; none where that is not known, or it holds.
    pub rate: Option<LeakRate>,
    /// Why that is not known; none where it is.
    pub not_known: Option<WhyNotKnown>,
    /// The events whose readings the line goes through.
    pub fitted: Vec<EventId>,
    /// The line; none where there is none.
    pub curve: Option<Curve>,
}

/// A line through corrected readings, with what is to come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Curve {
    /// Points in the order of time, from the first reading of the newest stretch.
    pub points: Vec<CurvePoint>,
    /// The newest reading: what comes later is a forecast.
    pub last: Moment,
}

/// A point of the line, pascal at 15 °C and 1013.25 hPa.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CurvePoint {
    /// When.
    pub at: Moment,
    /// The line.
    pub line_pa: i64,
    /// Interval of 95 % of one reading; none where the readings give none.
    pub between_pa: Option<(i64, i64)>,
}
