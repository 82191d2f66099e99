//! Things that were registered twice: which are one, and their events under one id.
//!
//! An event 'same as' that counts joins two subjects. Whoever folds then gives each event through
//! [`Joined::renamed`], so that the records of both become one: what was recorded of either counts
//! for the one craft, and what writers of the two stated apart are sides.

use std::collections::{BTreeMap, BTreeSet};

use super::Record;
use crate::event::{
    BagSeal, Check, CylinderReading, Event, FaultFound, Fuel, ItemCount, Meter, Payload, Place,
    Reading, SubjectSeen, Use,
};
use crate::ids::SubjectId;

/// Subjects that are one, each with the id that stands for all: the first of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Joined(BTreeMap<SubjectId, SubjectId>);

impl Joined {
    /// What the records say of one another. Only things of one sort are joined.
    #[must_use]
    pub fn of(records: &BTreeMap<SubjectId, Record>) -> Self {
        let mut joined = Self::default();
        for record in records.values() {
            for other in &record.same_as {
                let known = records.get(other);
                if known.is_some_and(|other| other.kind == record.kind) {
                    joined.join(record.subject, *other);
                }
            }
        }
        joined
    }

    /// Joins what each pair names.
    pub(crate) fn of_pairs(pairs: impl IntoIterator<Item = (SubjectId, SubjectId)>) -> Self {
        let mut joined = Self::default();
        for (one, other) in pairs {
            joined.join(one, other);
        }
        joined
    }

    fn join(&mut self, one: SubjectId, other: SubjectId) {
        let (one, other) = (self.id(one), self.id(other));
        let (first, second) = (one.min(other), one.max(other));
        for stands_for in self.0.values_mut() {
            if *stands_for == second {
                *stands_for = first;
            }
        }
        self.0.insert(first, first);
        self.0.insert(second, first);
    }

    /// Whether nothing was registered twice.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The id that stands for a subject.
    #[must_use]
    pub fn id(&self, subject: SubjectId) -> SubjectId {
        self.0.get(&subject).copied().unwrap_or(subject)
    }

    /// All ids of one thing, by the id that stands for it.
    #[must_use]
    pub fn all(&self) -> BTreeMap<SubjectId, BTreeSet<SubjectId>> {
        let mut all: BTreeMap<SubjectId, BTreeSet<SubjectId>> = BTreeMap::new();
        for (id, first) in &self.0 {
            all.entry(*first).or_default().insert(*id);
        }
        all
    }

    /// Whether a record speaks of something under another id than the one that stands for it.
    #[must_use]
    pub fn concern(&self, record: &Record) -> bool {
        let other = |id: &SubjectId| self.id(*id) != *id;
        let places = record.place.iter().filter_map(|side| match side.value.at {
            Place::Craft(id) | Place::Shelf(id) => Some(id),
            Place::Station(_) => None,
        });
        let bags = record.counts.keys().filter_map(|(_, bag)| *bag);
        let meters = record.meters.keys().filter_map(|gear| *gear);
        let gear = record.faults.values().filter_map(|state| state.fault.gear);
        other(&record.subject)
            || places
                .chain(bags)
                .chain(meters)
                .chain(gear)
                .any(|id| other(&id))
    }

    /// The event with every subject under the id that stands for it. A subject that it then names
    /// twice has seen what both had.
    #[must_use]
    pub fn renamed(&self, mut event: Event) -> Event {
        let mut subjects: Vec<SubjectSeen> = Vec::with_capacity(event.subjects.len());
        for mut subject in event.subjects {
            subject.id = self.id(subject.id);
            match subjects.iter_mut().find(|known| known.id == subject.id) {
                Some(known) => known.seen.append(&mut subject.seen),
                None => subjects.push(subject),
            }
        }
        event.subjects = subjects;
        self.payload(&mut event.payload);
        event
    }

    fn payload(&self, payload: &mut Payload) {
        match payload {
            Payload::BagRegistered { craft, .. } => self.or_none(craft),
            Payload::Placed(place) => self.place(place),
            Payload::Fitted { gear, craft, .. } | Payload::TakenOff { gear, craft } => {
                self.one(gear);
                self.one(craft);
            }
            Payload::StockCounted(counts) => self.counts(counts),
            Payload::Check(check) => self.check(check),
            Payload::Use(used) => self.used(used),
            Payload::Fault(faults) => self.faults(faults),
            Payload::Correction { restated, .. } => {
                if let Some(restated) = restated {
                    self.payload(restated);
                }
            }
            // They name no subject, or, as 'same as', what is joined here.
            Payload::CraftRegistered(_)
            | Payload::GearRegistered(_)
            | Payload::ShelfRegistered { .. }
            | Payload::NumberChanged { .. }
            | Payload::Condemned
            | Payload::HeldCountyWide(_)
            | Payload::HoldLifted { .. }
            | Payload::SameAs { .. }
            | Payload::AirChanged(_)
            | Payload::Repair(_)
            | Payload::SignOff { .. }
            | Payload::InspectionDone { .. }
            | Payload::OutOfService(_)
            | Payload::Returned { .. }
            | Payload::WaiverGranted { .. }
            | Payload::WaiverWithdrawn { .. }
            | Payload::Assigned { .. }
            | Payload::Released { .. }
            | Payload::CrewsAvailable(_)
            | Payload::MemberLevel(_)
            | Payload::LeadDecision(_)
            | Payload::Remark(_)
            | Payload::Silent
            | Payload::NotUnderstood { .. } => {}
        }
    }

    fn one(&self, id: &mut SubjectId) {
        *id = self.id(*id);
    }

    fn or_none(&self, id: &mut Option<SubjectId>) {
        *id = id.map(|id| self.id(id));
    }

    fn place(&self, place: &mut Place) {
        match place {
            Place::Station(_) => {}
            Place::Craft(id) | Place::Shelf(id) => self.one(id),
        }
    }

    fn counts(&self, counts: &mut [ItemCount]) {
        for ItemCount { bag, .. } in counts {
            self.or_none(bag);
        }
    }

    fn meters(&self, meters: &mut [Meter]) {
        for Meter { subject, .. } in meters {
            self.or_none(subject);
        }
    }

    fn faults(&self, faults: &mut [FaultFound]) {
        for FaultFound { gear, .. } in faults {
            self.or_none(gear);
        }
    }

    fn check(&self, check: &mut Check) {
        for Reading { gauge, .. } in &mut check.readings {
            self.or_none(gauge);
        }
        self.counts(&mut check.counts);
        self.meters(&mut check.meters);
        check.found_aboard.iter_mut().for_each(|id| self.one(id));
        for Fuel { tank, .. } in &mut check.fuel {
            self.or_none(tank);
        }
        for CylinderReading { subject, .. } in &mut check.cylinders {
            self.one(subject);
        }
        for BagSeal { bag, .. } in &mut check.seals {
            self.one(bag);
        }
        self.faults(&mut check.faults);
    }

    fn used(&self, used: &mut Use) {
        self.meters(&mut used.meters);
        self.counts(&mut used.used_up);
    }
}
