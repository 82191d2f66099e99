//! The index as it stood when less was known: the beginning of the county log, and some events
//! beyond it.
//!
//! Made from what is held in memory; no row is read.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use sponson_log::ids::{EventId, SubjectId};
use sponson_proto::event::v1::Kind;

use super::{Index, Pictures, Places, Redactions, Starts, SubjectEvents, changes_trust};

/// Whether events are trusted in an earlier index as they are now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum SameTrust {
    /// Every one of them.
    Yes,
    /// Some may not be.
    NotSure,
}

impl Index {
    /// The index of the first `size` entries of the county log and of the events beyond it with
    /// these numbers. Numbers stay those of the store. What an event refers to comes before it in
    /// the county log, so that the earlier index is whole; `beyond` has to be whole likewise.
    pub(crate) fn earlier(&self, size: u64, beyond: &BTreeSet<u64>) -> Self {
        let counts = |number: u64| {
            let placed = self.places.index(number);
            placed.is_some_and(|index| index < size) || beyond.contains(&number)
        };
        let counts_id = |id: &EventId| self.number(id).is_some_and(counts);
        let chains = self.chains.only(counts_id);
        let mut earlier = Self {
            known: Arc::clone(&self.known),
            registry: self.registry.only(&chains, counts_id),
            chains,
            places: self.earlier_places(size, beyond),
            subjects: self.earlier_subjects(counts),
            dismissals: self.dismissals.only(counts_id),
            // Nothing that is judged rests on what can be redacted.
            redactions: Redactions::default(),
            pictures: Pictures::default(),
            beginnings: self.beginnings.clone(),
            starts: Starts::default(),
            for_all: self.earlier_for_all(counts),
            not_known: self.not_known.clone(),
        };
        earlier.recount(counts);
        earlier
    }

    fn earlier_places(&self, size: u64, beyond: &BTreeSet<u64>) -> Places {
        let mut places = Places::default();
        places.unproven.clone_from(beyond);
        for index in 0..size {
            if let Some((number, received)) = self.places.at(index)
                && let Some(known) = self.at(number)
            {
                places.push(number, known.id, received);
            }
        }
        places
    }

    fn earlier_subjects(&self, counts: impl Fn(u64) -> bool) -> BTreeMap<SubjectId, SubjectEvents> {
        let subjects = self.subjects.iter();
        subjects
            .map(|(subject, events)| (*subject, events.only(&counts)))
            .filter(|(_, events)| !events.numbers().is_empty())
            .collect()
    }

    /// Whether what `earlier` leaves out says nothing about who is trusted.
    pub(crate) fn trust_in(&self, earlier: &Self) -> SameTrust {
        let parted = self.chains.iter().any(|(_, it)| it.parted_at().is_some());
        let left_out = |number: &u64| !earlier.counts(*number);
        let mut left_out = (0..self.size()).filter(left_out);
        let changes = |number: u64| {
            self.at(number).is_none_or(|known| {
                let ended = self.registry.key(&known.key).and_then(|key| key.ended);
                (known.is_registry() && changes_trust(known.kind))
                    || known.kind == Kind::Dismissed as i32
                    || ended.is_some()
            })
        };
        if parted || left_out.any(changes) || self.starts.set() != earlier.starts.set() {
            SameTrust::NotSure
        } else {
            SameTrust::Yes
        }
    }

    /// Whether the event of a number has a place here, or stands beyond the places.
    pub(crate) fn counts(&self, number: u64) -> bool {
        self.places.index(number).is_some() || self.places.unproven.contains(&number)
    }

    /// Whether a subject has the same events here as in an earlier index, and the same times.
    pub(crate) fn same_events(&self, earlier: &Self, subject: &SubjectId) -> bool {
        let numbers = |index: &Self| {
            let events = index.subjects.get(subject);
            events.map_or_else(Vec::new, |events| events.numbers().to_vec())
        };
        let now = numbers(self);
        let received = |number: &u64| self.places.received(*number);
        now == numbers(earlier)
            && now
                .iter()
                .all(|number| received(number) == earlier.places.received(*number))
    }
}
