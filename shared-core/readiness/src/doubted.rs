//! Readings that are doubted: those that never move though the bay's temperature does, by crew shift,
//! by member and by gauge; and gauges that read apart from the others.
//!
//! What is said is about gauges and readings: a gauge that sticks, a temperature that was not taken
//! and a value that was copied look alike here, and which it was is for whoever goes and looks. Nothing
//! of it decides readiness. Intervals are exact (Clopper and Pearson; the sign test's for a middle
//! value), and where many are looked at, false alarms are held down (Benjamini and Hochberg 1995).

mod apart;
mod course;
mod exact;
mod still;

use std::collections::BTreeMap;

pub use course::{Course, Entry};

use crate::engine::Station;
use crate::event::DateMark;
use crate::history::History;
use crate::ids::{EventId, ModelId, PartId, SubjectId};
use crate::moment::Moment;
use crate::standard::{DoubtedPolicy, Policy, ShiftPolicy, Standard};

/// What is looked back on, and by which settings.
#[derive(Clone, Copy, Debug)]
pub struct Past<'a> {
    /// Everything that happened.
    pub history: &'a History,
    /// The county's settings.
    pub policy: &'a Policy,
    /// Boat standards by model.
    pub standards: &'a BTreeMap<ModelId, Standard>,
    /// Stations, for the height at which a gauge was read.
    pub stations: &'a BTreeMap<SubjectId, Station>,
}

/// What is doubted in a county.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubted {
    /// Since when readings were looked at; none without any.
    pub from: Option<Moment>,
    /// Until when.
    pub until: Moment,
    /// How many readings, and how many of them can be compared because the part's air was known.
    pub readings: (u32, u32),
    /// Events left out because nobody vouches for them, or they were withdrawn.
    pub left_out: u64,
    /// The settings.
    pub settings: DoubtedPolicy,
    /// A gauge that changed by no more than this while the bay changed by `still_span_mk` never moves,
    /// pascal.
    pub still_pa: i64,
    /// See `still_pa`, milli-kelvin.
    pub still_span_mk: i32,
    /// How crew shifts were told.
    pub shifts: ShiftPolicy,
    /// By crew shift.
    pub by_shift: Vec<Still>,
    /// By member number.
    pub by_member: Vec<Still>,
    /// By gauge.
    pub by_gauge: Vec<Still>,
    /// Readings that stayed where the one before was, whoever took that: by crew shift.
    pub stayed_by_shift: Vec<Still>,
    /// By member number.
    pub stayed_by_member: Vec<Still>,
    /// Every series that never moved, the newest first, whoever took part in it.
    pub series: Vec<Series>,
    /// How many series could have shown it.
    pub series_that_could: u32,
    /// Every gauge that was compared, those that read apart first.
    pub gauges: Vec<GaugeApart>,
}

/// Whose readings.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reader {
    /// A crew shift.
    Shift(String),
    /// A member number.
    Member(String),
    /// A numbered gauge.
    Gauge(SubjectId, String),
    /// Nobody said which gauge, or who.
    NotSaid,
}

/// How often the readings of one reader never moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Still {
    /// Whose.
    pub reader: Reader,
    /// What is counted.
    pub counted: Counted,
    /// How many never moved, of how many that could have shown it: each once for a craft and the check
    /// that ends it, still where more than half of its chambers were.
    pub of: Share,
    /// The same of all others.
    pub others: Share,
    /// Chance of so many, or more, if they moved as often as those of the others (Fisher's exact
    /// test); none without others.
    pub p: Option<f64>,
    /// The same, with false alarms held down.
    pub p_adjusted: Option<f64>,
    /// What it comes to.
    pub said: StillSaid,
}

/// What of a reader is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Counted {
    /// Series of its own readings of one chamber, that never moved.
    Series,
    /// Readings that stayed where the one before was though the bay's temperature had changed.
    Readings,
}

/// So many of so many, with its exact interval of 95 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// So many.
    pub count: u32,
    /// Of so many.
    pub of: u32,
    /// Interval of the share; 0 to 1 where there are none.
    pub between: (f64, f64),
}

/// What a count of series comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StillSaid {
    /// More often than those of the others.
    MoreOften,
    /// More often, and it could be chance.
    CouldBeChance,
    /// As those of the others.
    AsOthers,
    /// There are no others to compare with.
    NoOthers,
    /// Too few series to say anything.
    TooFew,
}

/// Readings of one chamber within which nothing came or went, and the bay's temperature changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Number of the craft.
    pub number: String,
    /// The craft.
    pub craft: SubjectId,
    /// The part.
    pub part: PartId,
    /// In words.
    pub label: String,
    /// First and last reading.
    pub from: Moment,
    /// See `from`.
    pub until: Moment,
    /// How many.
    pub readings: u32,
    /// Least and most that was read, pascal gauge.
    pub gauge_pa: (i64, i64),
    /// Coldest and warmest, milli-degree Celsius.
    pub air_mc: (i32, i32),
    /// What a closed chamber would have moved by, pascal.
    pub expected_pa: i64,
    /// Gauges that were used, by number; empty where nobody said.
    pub gauges: Vec<String>,
    /// Crew shifts that read.
    pub shifts: Vec<String>,
    /// The events.
    pub events: Vec<EventId>,
}

/// How one numbered gauge reads beside the others.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeApart {
    /// The gauge.
    pub gauge: SubjectId,
    /// Its number.
    pub number: String,
    /// Month or day on which it was made, where that is known.
    pub made: Option<DateMark>,
    /// Pairs of checks: one by it, one by another gauge, each check in one pair at most.
    pub pairs: Vec<CheckPair>,
    /// Other gauges among them.
    pub others: u32,
    /// Middle of the differences (median), pascal: above 0 it reads higher. None without pairs.
    pub middle_pa: Option<i64>,
    /// Its interval of 95 % at least; none with fewer than six pairs.
    pub between_pa: Option<(i64, i64)>,
    /// Chance of such signs if it read no further apart than a gauge may be off; none without pairs.
    pub p: Option<f64>,
    /// The same, with false alarms held down.
    pub p_adjusted: Option<f64>,
    /// What it comes to.
    pub said: ApartSaid,
}

/// What the differences of a gauge come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ApartSaid {
    /// It reads apart, or those it was compared with do.
    Apart,
    /// The middle is apart, and it could be chance.
    CouldBeChance,
    /// Within what a gauge may be off.
    Within,
    /// Too few pairs to say anything.
    TooFew,
}

/// A check by one gauge beside a check of the same craft by another.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckPair {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Check by the gauge itself.
    pub own: (EventId, Moment),
    /// Check by the other.
    pub other: (EventId, Moment),
    /// The other gauge.
    pub other_gauge: SubjectId,
    /// Its number.
    pub other_number: String,
    /// Chambers that both read.
    pub chambers: Vec<ChamberPair>,
    /// Middle of their differences, pascal: own less other.
    pub differs_pa: i64,
}

/// One chamber of such a pair; pascal at 15 °C and 1013.25 hPa.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChamberPair {
    /// The part.
    pub part: PartId,
    /// In words.
    pub label: String,
    /// By the gauge itself.
    pub own_pa: i64,
    /// By the other, as it would have been at the moment of the own reading.
    pub other_pa: i64,
    /// Taken off or put to the other for the chamber's own leak, pascal; none where that is not known.
    pub leak_pa: Option<i64>,
}

/// Looks back for readings that are doubted.
#[must_use]
pub fn doubted(past: Past<'_>) -> Doubted {
    let courses = course::courses(past);
    let (series, could) = still::of_chambers(past, &courses);
    let history = past.history;
    let comparable = courses.iter().map(Course::comparable).sum();
    Doubted {
        from: courses.iter().filter_map(Course::first).min(),
        until: history.until,
        readings: (courses.iter().map(Course::readings).sum(), comparable),
        left_out: history.left_out.count(),
        settings: past.policy.doubted,
        still_pa: past.policy.leak.still_pa,
        still_span_mk: past.policy.leak.still_span_mk,
        shifts: past.policy.shifts.clone(),
        by_shift: still::by(past, &courses, still::shift_of),
        by_member: still::by(past, &courses, still::member_of),
        by_gauge: still::by(past, &courses, still::gauge_of),
        stayed_by_shift: still::stayed_by(past, &courses, still::shift_of),
        stayed_by_member: still::stayed_by(past, &courses, still::member_of),
        series,
        series_that_could: could,
        gauges: apart::gauges(past, &courses),
    }
}
