//! The walk round a craft: which line of its sheet is looked at where, in which order.
//!
//! A sheet that names its stops decides; what no stop names stands at the stop of its part, else
//! at a last one. Says ids and places; the words of a line are those of its sheet, and the words of
//! a stop that no sheet names are made elsewhere. Nothing here judges anything.

mod at_stop;
mod bags;
mod between;
mod stops;

use std::collections::BTreeSet;

use crate::event::{Extent, GearKind};
use crate::ids::{LineId, PartId, StopId, SubjectId};
use crate::standard::Standard;

/// The walk round one craft, for one check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Walk {
    /// How far the check goes.
    pub extent: Extent,
    /// Stops, in the order in which one comes to them; none is empty.
    pub stops: Vec<Stop>,
}

/// One place on the walk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stop {
    /// Id, unique in its walk: small letters, digits and hyphens.
    pub id: StopId,
    /// What it is called.
    pub label: StopLabel,
    /// What is looked at, in order.
    pub lines: Vec<WalkLine>,
}

/// What a stop is called.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StopLabel {
    /// As the sheet says.
    Sheet(String),
    /// One arrives: the air, how long it stood, which gauge, how it is kept.
    Arriving,
    /// Round the craft: its parts, and the questions about them.
    Round,
    /// The motor and its fuel.
    Motor,
    /// The trailer.
    Trailer,
    /// Kit that is counted on the craft itself.
    Kit,
    /// One bag, by its number.
    Bag(String),
    /// What no stop names.
    Rest,
    /// Faults that were found.
    Faults,
}

/// One thing to look at. Every id is that of the sheet, of a bag or of numbered gear.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WalkLine {
    /// Temperature of the air that the craft stands in.
    Air,
    /// For how long it has stood there.
    Stood,
    /// Which gauge is used.
    Gauge,
    /// Ambient pressure, or the elevation.
    Ambient,
    /// How the craft is kept: rigged, inflated, rolled.
    Stowage,
    /// A gauge value, as found and as left.
    Reading {
        /// The part.
        part: PartId,
        /// Wanted.
        wanted: Wanted,
        /// Whether intercommunication valves join it to another chamber.
        valves: bool,
    },
    /// A question of the sheet.
    Answer {
        /// The line.
        line: LineId,
        /// The part that it is about.
        part: Option<PartId>,
    },
    /// The seal of a bag, and the earliest date on its tag.
    Seal {
        /// The bag.
        bag: SubjectId,
    },
    /// How many of an item.
    Count {
        /// The line.
        item: LineId,
        /// The bag in which it is counted; none for the craft itself.
        bag: Option<SubjectId>,
        /// Most that any mission asks for, over craft and bags together.
        wanted: u32,
        /// Whether its units carry dates.
        dated: bool,
    },
    /// Fuel.
    Fuel {
        /// The tank; none for the craft's own.
        tank: Option<SubjectId>,
    },
    /// The engine's meter.
    Meter {
        /// The motor; none for the craft's own meter.
        motor: Option<SubjectId>,
    },
    /// The gauge of a cylinder or breathing set.
    Cylinder {
        /// Which.
        gear: SubjectId,
    },
    /// Whether a numbered thing is aboard.
    Aboard {
        /// The gear.
        gear: SubjectId,
        /// The part that it serves as.
        part: Option<PartId>,
    },
    /// Faults that were found.
    Faults,
}

/// What the gauge of a part should show, pascal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Wanted {
    /// Least.
    pub low_pa: i64,
    /// Wanted.
    pub nominal_pa: i64,
    /// Most.
    pub high_pa: i64,
}

/// What is on a craft, as far as anybody said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Aboard {
    /// Kit bags, in the order of their numbers.
    pub bags: Vec<BagAboard>,
    /// Numbered gear, in the order of its numbers.
    pub gear: Vec<GearAboard>,
    /// Items that were last counted on the craft itself; an item that no bag and no count names is
    /// counted there too.
    pub on_craft: BTreeSet<LineId>,
}

/// A kit bag on a craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BagAboard {
    /// The bag.
    pub id: SubjectId,
    /// Its number.
    pub number: String,
    /// Items that were last counted in it.
    pub items: BTreeSet<LineId>,
}

/// Numbered gear on a craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GearAboard {
    /// The gear.
    pub id: SubjectId,
    /// Its number.
    pub number: String,
    /// What it is.
    pub kind: GearKind,
    /// The part that it serves as.
    pub part: Option<PartId>,
}

/// The walk round a craft of a model, with what is on it.
///
/// A full check and one by parts come by every line of the sheet; a short one by the lines that
/// are asked between runs. Nothing stands at two stops.
#[must_use]
pub fn walk(standard: &Standard, aboard: &Aboard, extent: Extent) -> Walk {
    let mut stops = stops::all(standard, aboard);
    if extent == Extent::Short {
        let between = standard.between_runs();
        for stop in &mut stops {
            stop.lines
                .retain(|line| between::is_asked(&between, aboard, line));
        }
    }
    stops.retain(|stop| !stop.lines.is_empty());
    Walk { extent, stops }
}

impl Walk {
    /// The stop of an id.
    #[must_use]
    pub fn stop(&self, id: &StopId) -> Option<&Stop> {
        self.stops.iter().find(|stop| stop.id == *id)
    }

    /// Every line, in order.
    pub fn lines(&self) -> impl Iterator<Item = &WalkLine> {
        self.stops.iter().flat_map(|stop| &stop.lines)
    }
}
