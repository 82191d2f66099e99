//! Which faults are counted: those that somebody vouches for, each once.
//!
//! The log keeps both records of a defect that two people wrote down. Two faults at one place that
//! one sign-off closed were one defect: the one found first is counted. While both are open nobody
//! has said so, and both count.

use std::collections::{BTreeMap, BTreeSet};

use crate::history::{FaultPast, History};
use crate::ids::{EventId, FaultId, SubjectId};
use crate::standard::RecurringPolicy;

use super::group::Kind;
use super::place::{PlaceOn, places};

/// One defect that was recorded twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CountedOnce {
    /// The fault found first, which is counted.
    pub counted: FaultId,
    /// The one that is not.
    pub left_out: FaultId,
    /// The sign-off that closed both.
    pub sign_off: EventId,
}

/// Which faults were counted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counted {
    /// Faults that the figures rest on.
    pub faults: u32,
    /// Nobody vouches for them: left out.
    pub unconfirmed: u32,
    /// Found at one place and closed by one sign-off: counted once.
    pub once: Vec<CountedOnce>,
    /// Not of the asked severities or classes.
    pub not_asked: u32,
    /// Outside of what was watched: before the asked day, after the end of the craft, or where no
    /// meter was read and no use recorded to say how much.
    pub not_watched: u32,
    /// Craft and gear without any exposure of the asked sort.
    pub units_not_watched: u32,
}

/// A fault with the thing that it is on and its place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed<'a> {
    pub(super) fault: &'a FaultPast,
    pub(super) on: SubjectId,
    pub(super) place: &'a PlaceOn,
}

/// All confirmed faults with their places; duplicates named.
#[derive(Clone, Debug, Default)]
pub(super) struct Faults<'a> {
    /// In order of time.
    confirmed: Vec<(&'a FaultPast, SubjectId)>,
    places: BTreeMap<FaultId, PlaceOn>,
    pub(super) once: Vec<CountedOnce>,
    pub(super) unconfirmed: u32,
}

impl<'a> Faults<'a> {
    pub(super) fn of(history: &'a History, policy: &RecurringPolicy) -> Self {
        let mut faults = Self::default();
        let mut by_model: BTreeMap<(Kind, &str), Vec<&FaultPast>> = BTreeMap::new();
        for fault in history.faults() {
            let Some((on, kind, model)) = thing(history, fault) else {
                continue;
            };
            if !fault.confirmed {
                faults.unconfirmed += 1;
                continue;
            }
            faults.confirmed.push((fault, on));
            by_model.entry((kind, model)).or_default().push(fault);
        }
        for of_model in by_model.into_values() {
            faults.places.extend(places(of_model, policy));
        }
        faults.once = faults.doubles();
        faults
    }

    /// Every confirmed fault, also those left out as recorded twice.
    pub(super) fn all(&self) -> impl Iterator<Item = Placed<'_>> {
        self.confirmed.iter().filter_map(|(fault, on)| {
            let place = self.places.get(&fault.id)?;
            Some(Placed {
                fault,
                on: *on,
                place,
            })
        })
    }

    /// Those that count.
    pub(super) fn counted(&self) -> impl Iterator<Item = Placed<'_>> {
        let left_out: BTreeSet<FaultId> = self.once.iter().map(|one| one.left_out).collect();
        self.all()
            .filter(move |placed| !left_out.contains(&placed.fault.id))
    }

    fn doubles(&self) -> Vec<CountedOnce> {
        let mut first: BTreeMap<(SubjectId, &PlaceOn, &str, EventId), FaultId> = BTreeMap::new();
        let mut once = Vec::new();
        for placed in self.all() {
            let Some((_, sign_off)) = placed.fault.over else {
                continue;
            };
            let key = (
                placed.on,
                placed.place,
                placed.fault.class.as_str(),
                sign_off,
            );
            match first.get(&key) {
                Some(counted) => once.push(CountedOnce {
                    counted: *counted,
                    left_out: placed.fault.id,
                    sign_off,
                }),
                None => {
                    first.insert(key, placed.fault.id);
                }
            }
        }
        once
    }
}

/// What a fault is on: the gear, else the craft itself.
fn thing<'a>(history: &'a History, fault: &FaultPast) -> Option<(SubjectId, Kind, &'a str)> {
    if let Some(id) = fault.gear {
        let gear = history.gear.get(&id)?;
        return Some((id, Kind::Gear(gear.kind), &gear.model));
    }
    let id = fault.craft?;
    let craft = history.crafts.get(&id)?;
    Some((id, Kind::Craft, craft.model.as_str()))
}
