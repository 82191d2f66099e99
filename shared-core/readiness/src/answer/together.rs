//! Which craft can go at once, with what they share counted once.

use std::collections::BTreeMap;

use crate::ids::SubjectId;

/// What is asked of craft together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TogetherAsked {
    /// How many are wanted; as many as can when none.
    pub wanted: Option<u32>,
    /// Vehicles that tow from a station; not known where none is given.
    pub vehicles: BTreeMap<SubjectId, u32>,
}

/// Which craft can go at once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Together {
    /// How many are wanted; as many as can when none.
    pub wanted: Option<u32>,
    /// Craft that can go at once, in order of number; no larger set can when `exact`.
    pub craft: Vec<Goes>,
    /// Craft that could go alone and not beside those, in order of number.
    pub kept_back: Vec<KeptBack>,
    /// Whether every way was tried: false when there were too many, and more may be able to go.
    pub exact: bool,
    /// Stations of those craft that have not said which crews they can raise.
    pub crews_not_known: Vec<SubjectId>,
    /// Stations of those craft of which nobody said how many vehicles tow from there.
    pub vehicles_not_known: Vec<SubjectId>,
}

/// A craft that goes, and what it takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Goes {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Persons of its crew.
    pub persons: u32,
    /// What it takes that others could take as well.
    pub takes: Vec<Shared>,
}

/// A craft that stays, and for lack of what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptBack {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// What those that go leave too little of; empty when enough go without it.
    pub lacks: Vec<Shared>,
}

/// Something that goes with one craft at a time.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shared {
    /// One of the crews that a station can raise.
    Crew(SubjectId),
    /// Persons of those crews.
    Persons(SubjectId),
    /// One of the trailers that stand at a station for any of its craft.
    Trailer(SubjectId),
    /// One of the vehicles that tow from a station.
    Vehicle(SubjectId),
    /// A numbered thing or a bag, by its number.
    Gear(SubjectId, String),
}

impl Shared {
    /// The stable word.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::Crew(_) => "crew",
            Self::Persons(_) => "persons",
            Self::Trailer(_) => "trailer",
            Self::Vehicle(_) => "vehicle",
            Self::Gear(..) => "gear",
        }
    }

    /// The station or the thing.
    #[must_use]
    pub const fn subject(&self) -> SubjectId {
        match self {
            Self::Crew(id)
            | Self::Persons(id)
            | Self::Trailer(id)
            | Self::Vehicle(id)
            | Self::Gear(id, _) => *id,
        }
    }
}
