//! The one order in which the events of a subject are folded, whatever order they came in.

use std::collections::{BTreeMap, BTreeSet};

use super::past::{Ancestors, Past, Seen};
use crate::event::{Event, Payload};
use crate::ids::{EventId, FaultId, SubjectId};

/// The events of one subject, sorted, each with what it had seen.
pub(super) struct History<'a> {
    /// What came first stands first; ties by id.
    pub(super) events: Vec<&'a Event>,
    places: BTreeMap<EventId, usize>,
    restated: BTreeMap<FaultId, usize>,
    ancestors: Vec<Ancestors>,
}

impl<'a> History<'a> {
    /// Sorts the events that concern the subject; events given twice count once.
    pub(super) fn sort(subject: SubjectId, events: impl IntoIterator<Item = &'a Event>) -> Self {
        let by_id: BTreeMap<EventId, &Event> = events
            .into_iter()
            .filter(|event| event.subjects.iter().any(|seen| seen.id == subject))
            .map(|event| (event.id, event))
            .collect();
        let unsorted: Vec<&Event> = by_id.into_values().collect();
        let sorted: Vec<&Event> = topological(&parents_within(subject, &unsorted))
            .into_iter()
            .map(|at| unsorted[at])
            .collect();
        let parents = parents_within(subject, &sorted);
        let mut ancestors = Vec::with_capacity(sorted.len());
        for of_place in &parents {
            ancestors.push(Ancestors::through(of_place, &ancestors));
        }
        Self {
            places: places_of(&sorted),
            restated: BTreeMap::new(),
            events: sorted,
            ancestors,
        }
    }

    /// The place of an event in the order.
    pub(super) fn place(&self, event: &EventId) -> Option<usize> {
        self.places.get(event).copied()
    }

    /// Lets a statement of the event `of` count as made at another place, where it was put by a
    /// correction: who looked again after that place has looked again after the statement.
    pub(super) fn count_at(&mut self, of: EventId, place: usize) {
        self.places.insert(of, place);
    }

    /// Something that can be ended is no longer what its original said, but what the correction at
    /// a place says: only who saw that one has seen it as it stands.
    pub(super) fn restates(&mut self, what: FaultId, place: usize) {
        self.restated.insert(what, place);
    }

    /// Whether the event at one place had seen the event at another.
    pub(super) fn saw(&self, place: usize, earlier: usize) -> bool {
        self.ancestors[place].contains(earlier)
    }

    /// The past of a place.
    pub(super) fn past(&self, place: usize) -> Past<'_> {
        Past::Some(Seen {
            places: &self.places,
            restated: &self.restated,
            ancestors: &self.ancestors[place],
        })
    }
}

fn places_of(events: &[&Event]) -> BTreeMap<EventId, usize> {
    events
        .iter()
        .enumerate()
        .map(|(at, event)| (event.id, at))
        .collect()
}

/// For each event the positions of those that it refers to and that are held.
fn parents_within(subject: SubjectId, events: &[&Event]) -> Vec<Vec<usize>> {
    let places = places_of(events);
    events
        .iter()
        .enumerate()
        .map(|(at, event)| {
            let parents: BTreeSet<usize> = seen_of(subject, event)
                .copied()
                .chain(named_by(&event.payload))
                .filter_map(|id| places.get(&id).copied())
                .filter(|&parent| parent != at)
                .collect();
            parents.into_iter().collect()
        })
        .collect()
}

/// Heads of the subject that the event's device had seen.
pub(super) fn seen_of(subject: SubjectId, event: &Event) -> impl Iterator<Item = &EventId> {
    event
        .subjects
        .iter()
        .filter(move |seen| seen.id == subject)
        .flat_map(|seen| &seen.seen)
}

/// Events that a payload names. An id is a hash, so naming an event is having seen it.
fn named_by(payload: &Payload) -> Vec<EventId> {
    match payload {
        Payload::Repair(repair) => repair.faults.iter().map(|fault| fault.event).collect(),
        Payload::SignOff { closes: faults } | Payload::WaiverGranted { faults, .. } => {
            faults.iter().map(|fault| fault.event).collect()
        }
        Payload::Returned { ends } => ends.clone(),
        Payload::WaiverWithdrawn { waiver: named }
        | Payload::Released { assignment: named }
        | Payload::HoldLifted { hold: named } => vec![*named],
        Payload::Correction { original, restated } => {
            let mut named = restated.as_deref().map_or_else(Vec::new, named_by);
            named.push(*original);
            named
        }
        Payload::CraftRegistered(_)
        | Payload::GearRegistered(_)
        | Payload::BagRegistered { .. }
        | Payload::ShelfRegistered { .. }
        | Payload::NumberChanged { .. }
        | Payload::Placed(_)
        | Payload::Fitted { .. }
        | Payload::TakenOff { .. }
        | Payload::Condemned
        | Payload::HeldCountyWide(_)
        | Payload::StockCounted(_)
        | Payload::SameAs { .. }
        | Payload::Check(_)
        | Payload::AirChanged(_)
        | Payload::Use(_)
        | Payload::Fault(_)
        | Payload::InspectionDone { .. }
        | Payload::OutOfService(_)
        | Payload::Assigned { .. }
        | Payload::CrewsAvailable(_)
        | Payload::MemberLevel(_)
        | Payload::LeadDecision(_)
        | Payload::Remark(_)
        | Payload::Silent
        | Payload::NotUnderstood { .. } => Vec::new(),
    }
}

/// Sorts so that parents come first; where that leaves a choice, the lower position does.
///
/// Ids are hashes of what refers to them, so there is no circle. Were there one, its events would
/// come last, by position, and what they say of one another would count as not seen.
fn topological(parents: &[Vec<usize>]) -> Vec<usize> {
    let mut children: Vec<Vec<usize>> = vec![Vec::new(); parents.len()];
    let mut waits_for: Vec<usize> = parents.iter().map(Vec::len).collect();
    for (child, of_child) in parents.iter().enumerate() {
        for &parent in of_child {
            children[parent].push(child);
        }
    }
    let mut ready: BTreeSet<usize> = (0..parents.len())
        .filter(|&at| waits_for[at] == 0)
        .collect();
    let mut sorted = Vec::with_capacity(parents.len());
    while let Some(at) = ready.pop_first() {
        sorted.push(at);
        for &child in &children[at] {
            waits_for[child] -= 1;
            if waits_for[child] == 0 {
                ready.insert(child);
            }
        }
    }
    sorted.extend((0..parents.len()).filter(|&at| waits_for[at] > 0));
    sorted
}

#[cfg(test)]
mod tests {
    use super::topological;

    fn check(parents: &[&[usize]], expected: &[usize]) {
        let parents: Vec<Vec<usize>> = parents.iter().map(|of| of.to_vec()).collect();
        assert_eq!(topological(&parents), expected);
    }

    #[test]
    fn parents_come_first_and_ties_go_by_position() {
        check(&[&[], &[], &[]], &[0, 1, 2]);
        check(&[&[2], &[], &[]], &[1, 2, 0]);
        check(&[&[3], &[0], &[3], &[]], &[3, 0, 1, 2]);
    }

    #[test]
    fn a_circle_ends_and_comes_last() {
        check(&[&[1], &[0], &[]], &[2, 0, 1]);
    }
}
