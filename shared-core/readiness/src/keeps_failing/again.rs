//! A place that failed again after a repair, joined to that repair; and how long repairs held.
//!
//! A fault is joined to the latest repair at its place before it was found, whether that had been
//! signed off or not. A repair is watched from when it was done until the place failed again, it was
//! repaired once more without a new fault, or the thing ended. A repair that names no fault is joined
//! to none: nothing says where it was.

use std::collections::BTreeMap;

use crate::history::{History, RepairPast};
use crate::ids::{EventId, FaultId, SubjectId};
use crate::moment::Moment;

use super::counted::{Faults, Placed};
use super::place::PlaceOn;

/// The same place failed again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Again {
    /// The craft or gear.
    pub on: SubjectId,
    /// The fault.
    pub fault: FaultId,
    /// The repair that did not hold: the latest at that place before the fault was found.
    pub repair: EventId,
    /// How that repair was done.
    pub method: String,
    /// Batch of its glue; empty when not said.
    pub glue_batch: String,
    /// From the repair to the fault, seconds.
    pub after_s: u64,
    /// Whether what it repaired was signed off before the fault was found.
    pub signed_off: bool,
}

/// One repair at one place.
#[derive(Clone, Debug)]
pub(super) struct Life<'a> {
    pub(super) repair: &'a RepairPast,
    pub(super) on: SubjectId,
    pub(super) place: &'a PlaceOn,
    /// The next repair there, where no fault came before it.
    pub(super) next: Option<Moment>,
    /// Faults found there before the next repair, in order of time: the first ended it.
    pub(super) failed: Vec<Placed<'a>>,
    /// When the first of what it repaired was signed off.
    over: Option<Moment>,
}

impl Life<'_> {
    pub(super) fn again(&self) -> impl Iterator<Item = Again> {
        self.failed.iter().map(|placed| {
            let found = placed.fault.found;
            Again {
                on: self.on,
                fault: placed.fault.id,
                repair: self.repair.event,
                method: self.repair.method.clone(),
                glue_batch: self.repair.glue_batch.clone(),
                after_s: u64::try_from(found.since(self.repair.at) / 1_000).unwrap_or(0),
                signed_off: self.over.is_some_and(|over| over <= found),
            }
        })
    }
}

/// Every repair at every place that it names, by thing, place and time.
pub(super) fn lives<'a>(history: &'a History, faults: &'a Faults<'a>) -> Vec<Life<'a>> {
    let all: BTreeMap<FaultId, Placed<'a>> = faults
        .all()
        .map(|placed| (placed.fault.id, placed))
        .collect();
    let of_crafts = history.crafts.values().flat_map(|craft| &craft.repairs);
    let of_gear = history.gear.values().flat_map(|gear| &gear.repairs);
    let mut lives: BTreeMap<(SubjectId, &PlaceOn, Moment, EventId), Life<'a>> = BTreeMap::new();
    for repair in of_crafts.chain(of_gear) {
        for placed in repair.faults.iter().filter_map(|id| all.get(id)) {
            let key = (placed.on, placed.place, repair.at, repair.event);
            let over = placed.fault.over.map(|(at, _)| at);
            let life = lives.entry(key).or_insert(Life {
                repair,
                on: placed.on,
                place: placed.place,
                next: None,
                failed: Vec::new(),
                over,
            });
            life.over = life.over.into_iter().chain(over).min();
        }
    }
    let mut lives: Vec<Life<'a>> = lives.into_values().collect();
    join(&mut lives, faults);
    lives
}

/// Gives each fault to the latest repair before it; `lives` stand by thing, place and time.
fn join<'a>(lives: &mut [Life<'a>], faults: &'a Faults<'a>) {
    for placed in faults.counted() {
        let before = |life: &Life<'_>| {
            (life.on, life.place, life.repair.at) < (placed.on, placed.place, placed.fault.found)
        };
        let latest = lives.partition_point(before).checked_sub(1);
        if let Some(life) = latest.and_then(|at| lives.get_mut(at))
            && life.on == placed.on
            && life.place == placed.place
        {
            life.failed.push(placed);
        }
    }
    for at in 1..lives.len() {
        let (before, from) = lives.split_at_mut(at);
        if let (Some(life), Some(next)) = (before.last_mut(), from.first())
            && life.on == next.on
            && life.place == next.place
            && life.failed.is_empty()
        {
            life.next = Some(next.repair.at);
        }
    }
}
