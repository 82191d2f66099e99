//! One group: what it is, its figures, and what is said of it.

use crate::event::{GearKind, Severity};
use crate::ids::{FaultId, ModelId, SubjectId};

use super::again::Again;
use super::figures::{McfPoint, Rate, ShrunkRate, Times};
use super::place::PlaceOn;
use super::said::Said;
use super::trend::{PowerSaid, Trend};

/// Craft, or gear of one sort: only like is set against like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Craft.
    Craft,
    /// Numbered gear of a sort.
    Gear(GearKind),
}

/// What a group is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum GroupKey {
    /// One craft.
    Craft(SubjectId),
    /// A place on the craft of a model.
    Place {
        /// The model.
        model: ModelId,
        /// The place.
        place: PlaceOn,
    },
    /// A place on one craft.
    CraftPlace {
        /// The craft.
        craft: SubjectId,
        /// The place.
        place: PlaceOn,
    },
    /// A class of fault on the craft of a model.
    Class {
        /// The model.
        model: ModelId,
        /// The class.
        class: String,
    },
    /// A fabric.
    Fabric(String),
    /// A maker's batch of a model.
    Batch {
        /// Of what.
        kind: Kind,
        /// Model as registered.
        model: String,
        /// The batch.
        batch: String,
    },
    /// A method of repair.
    Method(String),
    /// A batch of glue.
    GlueBatch(String),
    /// A station.
    Station(SubjectId),
    /// A model.
    Model {
        /// Of what.
        kind: Kind,
        /// Model as registered.
        model: String,
    },
    /// One piece of numbered gear.
    Gear(SubjectId),
}

/// One group.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// What it is.
    pub key: GroupKey,
    /// The plain verdict: what is said first.
    pub said: Said,
    /// Craft, pieces of gear, or repairs watched in it.
    pub units: u32,
    /// Craft and gear on which it failed, each with how often.
    pub on: Vec<(SubjectId, u32)>,
    /// Its count, exposure and rate.
    pub rate: Rate,
    /// The usual: the same of the rest; none where there is none.
    pub usual: Option<Rate>,
    /// Against the usual; none where there is no rest.
    pub times: Option<Times>,
    /// Its rate drawn towards what is usual, as far as its number is small; none where too few
    /// groups can be looked at.
    pub shrunk: Option<ShrunkRate>,
    /// Whether it is getting worse.
    pub trend: Trend,
    /// Rate by age and the time to the next; only with enough faults.
    pub power: Option<PowerSaid>,
    /// Mean cumulative number of faults of one unit, by time since its registration (of a repair:
    /// since it was done).
    pub mcf: Vec<McfPoint>,
    /// The same of the rest.
    pub of_rest: Vec<McfPoint>,
    /// The faults counted, in order of time. Of a method: those found again.
    pub faults: Vec<FaultId>,
    /// Of these, still open.
    pub open: Vec<FaultId>,
    /// Severity of the worst of them.
    pub worst: Option<Severity>,
    /// Faults of it at a place that had been repaired before.
    pub again: Vec<Again>,
}
