//! What-if: craft, stations and kit that an answer is to be given without.
//!
//! Given in with the question. Nothing is taken out of the records: what is taken away is judged to be
//! there and offered to nobody. So a bag that two craft claim stays in dispute whichever of them is
//! taken away, faults of a boat that was registered twice stay, and no craft becomes readier because
//! something else is not there. What can change for the better is only who goes beside whom: crews,
//! trailers and vehicles that a craft no longer takes are free for others of its station.

use std::collections::BTreeSet;

use crate::ids::{LineId, SubjectId};

/// What is taken as not there. The default takes nothing away.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Without {
    /// Craft that cannot be sent.
    pub craft: BTreeSet<SubjectId>,
    /// Stations that cannot be reached: their craft, crews, gear, bags and shelves count for nobody.
    pub stations: BTreeSet<SubjectId>,
    /// Kit of which there is none.
    pub kit: BTreeSet<KitAway>,
}

/// A kit line that counts nothing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct KitAway {
    /// The line of the boat standards.
    pub line: LineId,
    /// The station at which there is none; none for the whole county.
    pub station: Option<SubjectId>,
}

/// A craft that an answer is given without.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenAway {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Where it is; more than one when stations differ.
    pub stations: Vec<SubjectId>,
    /// What it went with.
    pub by: TakenBy,
}

/// Why a craft is taken away.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TakenBy {
    /// It was named, or is said to be the same craft as one that was.
    Itself,
    /// It is at a station that cannot be reached, or somebody says so.
    Station(SubjectId),
}

impl TakenBy {
    /// Stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Itself => "itself",
            Self::Station(_) => "station",
        }
    }
}

impl Without {
    /// Nothing taken away.
    pub const NOTHING: Self = Self {
        craft: BTreeSet::new(),
        stations: BTreeSet::new(),
        kit: BTreeSet::new(),
    };

    /// Whether nothing is taken away.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        *self == Self::NOTHING
    }

    /// Why a craft is taken away, if it is: itself first. `same` are the ids under which it is known,
    /// `stations` all at which somebody says that it is.
    #[must_use]
    pub fn takes(
        &self,
        same: impl IntoIterator<Item = SubjectId>,
        stations: &[SubjectId],
    ) -> Option<TakenBy> {
        let named = same.into_iter().any(|id| self.craft.contains(&id));
        let mut cut_off = stations.iter().filter(|id| self.stations.contains(id));
        match named {
            true => Some(TakenBy::Itself),
            false => cut_off.next().map(|id| TakenBy::Station(*id)),
        }
    }

    /// Whether a kit line counts nothing at these stations: at one is enough.
    #[must_use]
    pub fn takes_kit(&self, line: &LineId, stations: &[SubjectId]) -> bool {
        self.kit.iter().any(|away| {
            let here = away.station.is_none_or(|id| stations.contains(&id));
            here && away.line == *line
        })
    }
}
