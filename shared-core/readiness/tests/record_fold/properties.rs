//! Facts that hold of every history.

use std::collections::BTreeSet;

use proptest::prelude::*;
use sponson_readiness::event::{Event, Payload, SubjectKind, Trust};
use sponson_readiness::ids::{EventId, FaultId, SubjectId};
use sponson_readiness::record::{Origin, Record, Side, Sides, Stepped, fold};

use crate::desk::{BAG, CRAFT, Desk, MOTOR, Role};
use crate::histories::{acts, payload, play};

const SUBJECTS: [(SubjectId, SubjectKind); 3] = [CRAFT, BAG, MOTOR];

/// The events so that each comes after all that it had seen of the craft; not the fold's order.
fn as_received(desk: &Desk) -> Vec<Event> {
    let mut waiting = desk.events();
    waiting.reverse();
    let mut told: BTreeSet<EventId> = BTreeSet::new();
    let mut received = Vec::new();
    while !waiting.is_empty() {
        let ready = |event: &Event| {
            event.subjects[0]
                .seen
                .iter()
                .all(|seen| told.contains(seen))
        };
        let at = waiting
            .iter()
            .position(ready)
            .expect("histories have no circle");
        let event = waiting.remove(at);
        told.insert(event.id);
        received.push(event);
    }
    received
}

/// The record with everything unconfirmed taken out, and without heads and count.
fn trusted_part(mut record: Record) -> Record {
    fn yes(origin: &Origin) -> bool {
        origin.trust == Trust::Trusted
    }
    fn list<T>(list: &mut Vec<Side<T>>) {
        list.retain(|side| yes(&side.origin));
    }
    fn sides<T>(sides: &mut Sides<T>) {
        list(&mut sides.0);
    }
    record.heads.clear();
    record.events = 0;
    record.unconfirmed.clear();
    sides(&mut record.number);
    sides(&mut record.place);
    sides(&mut record.stowage);
    sides(&mut record.charge);
    record.drawn.retain(yes);
    list(&mut record.crews);
    record.levels.values_mut().for_each(sides);
    record.levels.retain(|_, sides| !sides.0.is_empty());
    record.fuel.values_mut().for_each(sides);
    record.fuel.retain(|_, sides| !sides.0.is_empty());
    record.counts.values_mut().for_each(sides);
    record.counts.retain(|_, sides| !sides.0.is_empty());
    sides(&mut record.seals.noted);
    sides(&mut record.seals.looked);
    list(&mut record.seals.opened);
    record.answers.values_mut().for_each(sides);
    record.answers.retain(|_, sides| !sides.0.is_empty());
    record.meters.values_mut().for_each(sides);
    record.meters.retain(|_, sides| !sides.0.is_empty());
    record.checks.values_mut().for_each(sides);
    record.checks.retain(|_, sides| !sides.0.is_empty());
    record.used_up.values_mut().for_each(list);
    record.used_up.retain(|_, uses| !uses.is_empty());
    for part in record.readings.values_mut() {
        sides(&mut part.standing);
        list(&mut part.air_since);
        list(&mut part.recent);
    }
    record
        .readings
        .retain(|_, part| !part.recent.is_empty() || !part.air_since.is_empty());
    list(&mut record.holds);
    list(&mut record.uses);
    record.out.retain(|_, side| yes(&side.origin));
    record.assigned.retain(|_, side| yes(&side.origin));
    record.open_noes.retain(|_, side| yes(&side.origin));
    record.faults.retain(|_, state| yes(&state.origin));
    record
        .faults
        .values_mut()
        .for_each(|state| state.repairs.retain(yes));
    record
}

/// Faults and answers that trusted sign-offs name, also when restated.
fn named_by_sign_offs(events: &[Event]) -> BTreeSet<FaultId> {
    let trusted = events.iter().filter(|event| event.trust == Trust::Trusted);
    trusted
        .flat_map(|event| closes(&event.payload))
        .copied()
        .collect()
}

fn closes(payload: &Payload) -> &[FaultId] {
    if let Payload::SignOff { closes } = payload {
        closes
    } else if let Payload::Correction {
        restated: Some(restated),
        ..
    } = payload
    {
        closes(restated)
    } else {
        &[]
    }
}

/// The original, of a correction that may replace it.
fn replaced_by(event: &Event) -> Option<EventId> {
    if let Payload::Correction { original, .. } = &event.payload
        && event.trust == Trust::Trusted
        && event.may_sign_off
    {
        Some(*original)
    } else {
        None
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn neither_order_nor_repetition_matters(
        acts in acts(40),
        keys in prop::collection::vec(any::<u32>(), 80),
    ) {
        let events = play(&acts).events();
        let mut shuffled: Vec<(u32, Event)> =
            keys.iter().copied().zip(events.iter().cycle().cloned()).collect();
        shuffled.sort_by_key(|(key, _)| *key);
        let shuffled: Vec<Event> = shuffled.into_iter().map(|(_, event)| event).collect();
        for (id, kind) in SUBJECTS {
            let (one, two) = (fold(id, kind, &events), fold(id, kind, &shuffled));
            prop_assert_eq!(one.canonical(), two.canonical());
            prop_assert_eq!(one, two);
        }
    }

    #[test]
    fn stepping_gives_what_folding_gives_or_says_that_it_cannot(acts in acts(30)) {
        let received = as_received(&play(&acts));
        for (id, kind) in SUBJECTS {
            let mut record = Record::new(id, kind);
            for (at, event) in received.iter().enumerate() {
                let before = record.clone();
                let folded = fold(id, kind, &received[..=at]);
                match record.step(event) {
                    Stepped::Done => prop_assert_eq!(&record, &folded),
                    Stepped::MustFold => {
                        prop_assert_eq!(&record, &before);
                        record = folded;
                    }
                }
            }
        }
    }

    #[test]
    fn one_writer_alone_never_folds_twice(whats in prop::collection::vec((0_u8..18, any::<u8>()), 1..60)) {
        let mut desk = Desk::new(1, Role::Lead);
        let mut record = desk.record();
        for (what, which) in whats {
            let id = desk.writes(payload(&desk.clone(), what, which));
            prop_assert_eq!(record.step(&desk.held[&id]), Stepped::Done);
        }
        prop_assert_eq!(record.canonical(), desk.record().canonical());
    }

    #[test]
    fn an_unconfirmed_event_takes_nothing_away_and_grants_nothing(
        acts in acts(40),
        saw in any::<prop::sample::Index>(),
        what in any::<u8>(),
        which in any::<u8>(),
    ) {
        let mut all = play(&acts);
        // What the stranger has heard: any prefix of what can be received.
        let received = as_received(&all);
        let mut stranger = Desk::new(77, Role::Stranger);
        let heard = &received[..=saw.index(received.len())];
        stranger.held.extend(heard.iter().map(|event| (event.id, event.clone())));
        let before = SUBJECTS.map(|subject| all.record_of(subject));
        stranger.writes_about(&SUBJECTS, payload(&stranger.clone(), what, which));
        all.meets(&mut stranger);
        for (before, subject) in before.into_iter().zip(SUBJECTS) {
            let after = all.record_of(subject);
            prop_assert!(before.faults.iter().all(|(id, fault)| after.faults[id].closed == fault.closed));
            prop_assert!(before.out.keys().all(|id| after.out.contains_key(id)));
            prop_assert!(before.open_noes.keys().all(|id| after.open_noes.contains_key(id)));
            prop_assert!(before.unconfirmed.keys().all(|id| after.unconfirmed.contains_key(id)));
            prop_assert!(after.waivers.keys().all(|id| before.waivers.contains_key(id)));
            let (mut was, mut is) = (trusted_part(before), trusted_part(after));
            // Withdrawing a waiver is the one thing that anybody may do: it makes things worse.
            was.waivers.clear();
            is.waivers.clear();
            prop_assert_eq!(was, is);
        }
    }

    #[test]
    fn a_sign_off_closes_only_what_it_names(acts in acts(40)) {
        let all = play(&acts);
        let named = named_by_sign_offs(&all.events());
        for subject in SUBJECTS {
            for (id, state) in all.record_of(subject).faults {
                prop_assert!(state.closed.is_none() || named.contains(&id));
            }
        }
    }

    #[test]
    fn no_fault_goes_unless_a_lead_says_so(acts in acts(40)) {
        let all = play(&acts);
        let events = all.events();
        let named = named_by_sign_offs(&events);
        let corrected: BTreeSet<EventId> = events.iter().filter_map(replaced_by).collect();
        let record = all.record();
        for event in events.iter().filter(|event| !corrected.contains(&event.id)) {
            if let Payload::Fault(faults) = &event.payload {
                for (ordinal, _) in (0..).zip(faults) {
                    let id = FaultId { event: event.id, ordinal };
                    let open = record.faults.get(&id).is_some_and(|it| it.closed.is_none());
                    prop_assert!(open || named.contains(&id));
                }
            }
        }
    }

    #[test]
    fn equal_bytes_mean_equal_records(one in acts(12), two in acts(12)) {
        let (one, two) = (play(&one).record(), play(&two).record());
        prop_assert_eq!(one == two, one.canonical() == two.canonical());
    }
}
