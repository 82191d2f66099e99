//! Where writers who did not know of each other stated different things: what, who, which counts
//! until then, and what settles it. Nothing is settled here.

use std::collections::BTreeSet;

use super::{Measure, Subject};
use crate::event::OutReason;
use crate::ids::{FaultId, LineId, SubjectId};
use crate::record::Origin;

/// One open disagreement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Disagreement {
    /// Craft, gear, bag or shelf.
    pub subject: SubjectId,
    /// Its number.
    pub number: String,
    /// Craft that it concerns.
    pub craft: BTreeSet<SubjectId>,
    /// What sort of disagreement.
    pub differ: Differ,
    /// What about.
    pub about: Subject,
    /// The sides, with their evidence.
    pub sides: Vec<Stated>,
    /// What counts until it is settled.
    pub until: Until,
    /// What settles it, recorded by somebody who has seen every side: any one of these.
    pub settle: Vec<Settle>,
}

/// One side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stated {
    /// What was stated.
    pub value: Measure,
    /// By whom, when, on which device.
    pub origin: Origin,
}

/// Sorts of disagreement.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Differ {
    /// A fault, and a sign-off at its part that had not seen it.
    FaultAndSignOff,
    /// What may be one defect, written down by several who did not know of each other.
    DefectTwice,
    /// 'No' on a line that is a fault, and another answer since or beside it.
    NoThenYes,
    /// Out of service, and a return that had not seen it.
    OutAndReturned,
    /// Assigned to several incidents by coordinators who did not know of each other.
    AssignedTwice,
    /// Assigned, and out of service: neither had seen the other.
    AssignedAndOut,
    /// Assigned, and released from the same incident: neither had seen the other.
    AssignedAndReleased,
    /// Readings of one part.
    Readings,
    /// Counts of one item.
    Counts,
    /// A bag was moved away, and its kit counted without having seen that.
    KitMoved,
    /// Answers to one line.
    Answers,
    /// Results of one inspection.
    Inspections,
    /// How it is kept.
    Stowage,
    /// Fuel in one tank.
    Fuel,
    /// A craft at several places.
    PlacedTwice,
    /// Gear, a bag or a shelf in several places.
    FoundTwice,
    /// The number of one thing.
    Number,
    /// One number on several craft.
    NumberTwice,
    /// The model of one craft.
    Model,
}

/// What a side states where it is no quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Said {
    /// Answered yes.
    Yes,
    /// Answered no.
    No,
    /// Signed off.
    SignedOff,
    /// Out of service.
    OutOfService(OutReason),
    /// Returned to service.
    Returned,
    /// Released from an incident.
    Released,
    /// Moved away, so many units.
    MovedAway(u32),
    /// Passed.
    Passed,
    /// Failed.
    Failed,
}

/// What counts until a disagreement is settled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Until {
    /// The side at this place of the list: the worse at the asked moment.
    Side(usize),
    /// The fault is open.
    FaultOpen,
    /// It is out of service.
    OutOfService,
    /// It is assigned, wherever it was sent.
    Assigned,
    /// So many units: the count less what moved.
    Units(u32),
    /// It counts at no place.
    Nowhere,
    /// Nothing shows that it is ready.
    Unproven,
    /// Each as it stands: shown only.
    Each,
}

/// What would settle a disagreement.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Settle {
    /// A check of the craft with this number, by somebody who looks again.
    Check(String),
    /// A sign-off of these faults of the craft with this number; or work on them.
    SignOff(String, Vec<FaultId>),
    /// A return to service, or the same declared again.
    Return(String),
    /// A release of the craft with this number, from where it does not go.
    Release(String),
    /// An assignment of the craft with this number, to where it does go.
    Assign(String),
    /// The inspection of this line of the craft with this number, done again.
    Inspect(String, LineId),
    /// The thing with this number put where it is.
    Place(String),
    /// Another number for one of these.
    Renumber(Vec<SubjectId>),
    /// These are one boat.
    SameAs(Vec<SubjectId>),
    /// The lead: no record of a station settles it.
    Lead,
}
