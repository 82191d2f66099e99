//! Corrections stand at their original's place; who may not sign off can only make things worse.

use sponson_readiness::event::{OutReason, Payload, Remark};
use sponson_readiness::ids::{EventId, LineId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::Record;

use crate::desk::{Desk, Role, count, counted, county, fault, fault_id, open, values};

fn restates(original: EventId, payload: Payload) -> Payload {
    Payload::Correction {
        original,
        restated: Some(Box::new(payload)),
    }
}

const fn withdraws(original: EventId) -> Payload {
    Payload::Correction {
        original,
        restated: None,
    }
}

fn paddles(number: u32) -> Payload {
    counted(vec![count("paddle", number, None)])
}

fn paddles_in(record: &Record) -> Vec<u32> {
    record
        .counts
        .get(&(LineId::from("paddle"), None))
        .map(|sides| values(sides, |it| it.count))
        .unwrap_or_default()
}

/// Crew counts 4; each correction, a withdrawal where it is none, is written by a desk that saw the
/// count and no other correction.
fn check(corrections: &[(Role, Option<Payload>)], expected: &[u32]) {
    let mut crew = Desk::new(1, Role::Crew);
    let original = crew.writes(paddles(4));
    let mut all = crew.clone();
    for (number, (role, restated)) in (10..).zip(corrections) {
        let mut desk = Desk::new(number, *role);
        desk.meets(&mut crew);
        let restated = restated.clone().map(Box::new);
        desk.writes(Payload::Correction { original, restated });
        all.meets(&mut desk);
    }
    assert_eq!(paddles_in(&all.record()), expected);
}

#[test]
fn who_may_correct_what() {
    use Role::{Crew, Lead, Stranger};
    let to = |number| Some(paddles(number));
    check(&[], &[4]);
    check(&[(Lead, to(2))], &[2]);
    check(&[(Lead, None)], &[]);
    check(&[(Crew, to(9))], &[4, 9]);
    check(&[(Crew, None)], &[4]);
    check(&[(Stranger, to(9))], &[4, 9]);
    check(&[(Stranger, None)], &[4]);
    check(&[(Lead, to(2)), (Lead, to(3))], &[2, 3]);
    check(&[(Lead, to(2)), (Crew, to(3))], &[2, 3]);
    check(&[(Lead, None), (Lead, to(3))], &[3]);
    check(&[(Lead, None), (Crew, to(3))], &[3]);
}

#[test]
fn a_correction_of_another_kind_changes_nothing() {
    check(&[(Role::Lead, Some(Payload::Condemned))], &[4]);
    check(&[(Role::Lead, Some(Payload::Remark(Remark::Note)))], &[4]);
}

#[test]
fn a_lead_who_saw_earlier_corrections_replaces_them_and_a_crew_does_not() {
    let (mut crew, mut other, mut lead) = county();
    let original = crew.writes(paddles(4));
    crew.meets(&mut other);
    other.writes(restates(original, paddles(1)));
    crew.meets(&mut other);
    crew.writes(restates(original, paddles(8)));
    assert_eq!(paddles_in(&crew.record()), [1, 4, 8]);
    lead.meets(&mut crew);
    lead.writes(restates(original, paddles(5)));
    assert_eq!(paddles_in(&lead.record()), [5]);
}

#[test]
fn a_correction_of_a_correction_changes_nothing() {
    let (_, _, mut lead) = county();
    let original = lead.writes(paddles(4));
    let correction = lead.writes(restates(original, paddles(5)));
    lead.writes(withdraws(correction));
    assert_eq!(paddles_in(&lead.record()), [5]);
}

#[test]
fn a_later_count_beats_a_correction_of_the_earlier_one_that_it_had_not_seen() {
    for role in [Role::Lead, Role::Crew] {
        let (mut crew, _, _) = county();
        let mut corrector = Desk::new(7, role);
        let original = crew.writes(paddles(4));
        crew.meets(&mut corrector);
        corrector.writes(restates(original, paddles(9)));
        crew.writes(paddles(3));
        crew.meets(&mut corrector);
        assert_eq!(paddles_in(&crew.record()), [3]);
    }
}

#[test]
fn a_corrected_fault_keeps_its_id() {
    let (mut crew, _, mut lead) = county();
    let event = crew.writes(Payload::Fault(vec![fault("tube-1")]));
    crew.meets(&mut lead);
    lead.writes(restates(event, Payload::Fault(vec![fault("tube-2")])));
    let record = lead.record();
    assert_eq!(
        record.faults[&fault_id(event, 0)].fault.part,
        "tube-2".into()
    );
    lead.writes(Payload::SignOff {
        closes: vec![fault_id(event, 0)],
    });
    assert!(open(&lead.record()).is_empty());
}

#[test]
fn a_fault_restated_by_crew_is_a_fault_beside_the_first() {
    let (mut crew, _, mut lead) = county();
    let event = crew.writes(Payload::Fault(vec![fault("tube-1")]));
    let beside = crew.writes(restates(event, Payload::Fault(vec![fault("tube-2")])));
    crew.meets(&mut lead);
    lead.writes(Payload::SignOff {
        closes: vec![fault_id(event, 0)],
    });
    assert_eq!(open(&lead.record()), [fault_id(beside, 0)]);
}

#[test]
fn a_sign_off_that_a_trusted_writer_takes_back_does_not_close() {
    for (role, open_faults) in [(Role::Lead, 1), (Role::Crew, 1), (Role::Stranger, 0)] {
        let (mut crew, _, mut lead) = county();
        let id = fault_id(crew.writes(Payload::Fault(vec![fault("tube-1")])), 0);
        crew.meets(&mut lead);
        let sign_off = lead.writes(Payload::SignOff { closes: vec![id] });
        let mut doubter = Desk::new(8, role);
        doubter.meets(&mut lead);
        doubter.writes(withdraws(sign_off));
        assert_eq!(open(&doubter.record()).len(), open_faults, "{role:?}");
    }
}

#[test]
fn a_return_restated_by_crew_ends_nothing() {
    let (mut crew, _, _) = county();
    let out = crew.writes(Payload::OutOfService(OutReason::Rest));
    let returned = crew.writes(Payload::Returned { ends: Vec::new() });
    crew.writes(restates(returned, Payload::Returned { ends: vec![out] }));
    assert!(crew.record().out.contains_key(&out));
}

#[test]
fn a_restatement_that_is_not_understood_holds() {
    let (_, _, mut lead) = county();
    let original = lead.writes(paddles(4));
    let correction = lead.writes(restates(original, Payload::NotUnderstood { hold: true }));
    let record = lead.record();
    assert_eq!(paddles_in(&record), [4]);
    assert!(record.not_understood.contains(&correction));
}

#[test]
fn a_withdrawal_restated_to_name_another_waiver_ends_that_one() {
    let (_, _, mut lead) = county();
    let waiver = |until| Payload::WaiverGranted {
        faults: Vec::new(),
        missions: Vec::new(),
        until: Moment(until),
    };
    let first = lead.writes(waiver(1));
    let withdrawal = lead.writes(Payload::WaiverWithdrawn { waiver: first });
    let second = lead.writes(waiver(2));
    lead.writes(restates(
        withdrawal,
        Payload::WaiverWithdrawn { waiver: second },
    ));
    assert_eq!(
        lead.record().waivers.into_keys().collect::<Vec<_>>(),
        [first]
    );
}

#[test]
fn a_lead_can_withdraw_what_a_stranger_wrote() {
    let (_, _, mut lead) = county();
    let mut stranger = Desk::new(9, Role::Stranger);
    let event = stranger.writes(Payload::Fault(vec![fault("tube-1")]));
    lead.meets(&mut stranger);
    assert_eq!(lead.record().unconfirmed.len(), 1);
    lead.writes(withdraws(event));
    let record = lead.record();
    assert!(record.unconfirmed.is_empty() && record.faults.is_empty());
}

#[test]
fn a_sign_off_restated_to_name_a_fault_that_it_had_not_seen_leaves_it_open_whatever_the_ids() {
    for (finder, closer) in [(1, 2), (2, 1), (3, 40), (40, 3)] {
        let mut crew = Desk::new(finder, Role::Crew);
        let mut lead = Desk::new(closer, Role::Lead);
        let sign_off = lead.writes(Payload::SignOff { closes: Vec::new() });
        let id = fault_id(crew.writes(Payload::Fault(vec![fault("tube-1")])), 0);
        lead.meets(&mut crew);
        lead.writes(restates(sign_off, Payload::SignOff { closes: vec![id] }));
        assert_eq!(open(&lead.record()), [id], "{finder} {closer}");
    }
}
