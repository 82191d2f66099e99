//! Two stations, apart, recorded different things: the merged record, case by case.

use sponson_readiness::event::{AnswerValue, Check, OutReason, Payload, Place, ReadingMoment, Use};
use sponson_readiness::ids::{FaultId, LineId};

use crate::desk::{
    BAG, CRAFT, Desk, OTHER_CRAFT, Role, answered, count, counted, county, fault, fault_id, open,
    read, reading, subject, values,
};

#[test]
fn a_fault_that_the_sign_off_had_not_seen_stays_open() {
    let (mut near, _, mut lead) = county();
    let known = fault_id(near.writes(Payload::Fault(vec![fault("tube-1")])), 0);
    near.meets(&mut lead);
    let unseen = fault_id(near.writes(Payload::Fault(vec![fault("tube-1")])), 0);
    lead.writes(Payload::SignOff {
        closes: vec![known],
    });
    near.meets(&mut lead);
    assert_eq!(open(&near.record()), [unseen]);
    assert!(near.record().faults[&known].closed.is_some());
}

#[test]
fn the_same_defect_twice_is_two_faults_and_each_needs_its_own_sign_off() {
    let (mut near, mut far, mut lead) = county();
    let one = fault_id(near.writes(Payload::Fault(vec![fault("transom")])), 0);
    let two = fault_id(far.writes(Payload::Fault(vec![fault("transom")])), 0);
    near.meets(&mut lead);
    far.meets(&mut lead);
    assert_eq!(open(&lead.record()).len(), 2);
    lead.writes(Payload::SignOff { closes: vec![one] });
    assert_eq!(open(&lead.record()), [two]);
}

#[test]
fn a_no_stays_open_through_a_later_yes_until_a_sign_off_names_it() {
    let (mut near, _, mut lead) = county();
    let no = near.writes(answered("lanyard", AnswerValue::No));
    near.writes(answered("lanyard", AnswerValue::Yes));
    let id = fault_id(no, FaultId::FIRST_ANSWER);
    let record = near.record();
    let answer = record.answers[&LineId::from("lanyard")]
        .single()
        .expect("one side");
    assert_eq!(answer.value, AnswerValue::Yes);
    assert!(record.open_noes.contains_key(&id));
    near.meets(&mut lead);
    lead.writes(Payload::SignOff { closes: vec![id] });
    assert!(lead.record().open_noes.is_empty());
}

#[test]
fn a_return_does_not_end_an_out_of_service_that_it_had_not_seen() {
    let (mut near, mut far, _) = county();
    let known = near.writes(Payload::OutOfService(OutReason::Rest));
    near.meets(&mut far);
    let unseen = far.writes(Payload::OutOfService(OutReason::Mechanical));
    near.writes(Payload::Returned { ends: vec![known] });
    near.meets(&mut far);
    let out: Vec<_> = far.record().out.into_keys().collect();
    assert_eq!(out, [unseen]);
}

#[test]
fn two_counts_stand_beside_each_other_until_somebody_who_saw_both_counts() {
    let (mut near, mut far, _) = county();
    let key = (LineId::from("throw-bag"), None);
    near.clock = 9_000;
    near.writes(counted(vec![count("throw-bag", 4, None)]));
    far.writes(counted(vec![count("throw-bag", 2, None)]));
    near.meets(&mut far);
    let merged = near.record();
    assert_eq!(values(&merged.counts[&key], |it| it.count), [2, 4]);
    assert!(merged.counts[&key].is_disputed());
    far.writes(counted(vec![count("throw-bag", 3, None)]));
    let settled = far.record();
    assert_eq!(values(&settled.counts[&key], |it| it.count), [3]);
}

#[test]
fn equal_counts_of_two_writers_are_two_sides_and_no_dispute() {
    let (mut near, mut far, _) = county();
    near.writes(counted(vec![count("paddle", 4, None)]));
    far.writes(counted(vec![count("paddle", 4, None)]));
    near.meets(&mut far);
    let sides = near.record().counts[&(LineId::from("paddle"), None)].clone();
    assert_eq!(sides.iter().count(), 2);
    assert!(!sides.is_disputed());
}

#[test]
fn old_paper_entered_late_does_not_beat_newer_readings_whatever_its_clock_says() {
    let (mut near, _, _) = county();
    near.writes(read(vec![reading(
        "tube-1",
        ReadingMoment::AsFound,
        15_000,
    )]));
    near.clock = i64::MAX;
    near.enters_old_paper(read(vec![reading(
        "tube-1",
        ReadingMoment::AsFound,
        20_000,
    )]));
    let standing = near.record().readings[&"tube-1".into()].standing.clone();
    assert_eq!(values(&standing, |it| it.gauge_pa), [15_000, 20_000]);
}

#[test]
fn a_craft_placed_at_two_stations_is_disputed_at_both() {
    let (mut near, mut far, _) = county();
    near.writes(Payload::Placed(Place::Station(subject(11))));
    far.writes(Payload::Placed(Place::Station(subject(12))));
    near.meets(&mut far);
    let place = near.record().place;
    assert!(place.is_disputed());
    let stations = [Place::Station(subject(11)), Place::Station(subject(12))];
    assert_eq!(values(&place, |it| it.at), stations);
}

#[test]
fn a_bag_found_aboard_two_craft_is_at_both_until_somebody_who_saw_both_looks() {
    let (mut near, mut far, _) = county();
    let seen_aboard = || {
        Payload::Check(Check {
            found_aboard: vec![BAG.0],
            ..Check::default()
        })
    };
    near.writes_about(&[CRAFT, BAG], seen_aboard());
    far.writes_about(&[OTHER_CRAFT, BAG], seen_aboard());
    near.meets(&mut far);
    let disputed = near.record_of(BAG).place;
    let craft = [Place::Craft(CRAFT.0), Place::Craft(OTHER_CRAFT.0)];
    assert_eq!(values(&disputed, |it| it.at), craft);
    near.writes_about(&[CRAFT, BAG], seen_aboard());
    assert_eq!(
        values(&near.record_of(BAG).place, |it| it.at),
        [Place::Craft(CRAFT.0)]
    );
}

#[test]
fn what_was_used_counts_against_a_count_that_had_not_seen_the_use() {
    let (mut near, mut far, _) = county();
    near.writes(counted(vec![count("flare", 6, None)]));
    near.meets(&mut far);
    let used_up = vec![count("flare", 2, None)];
    near.writes(Payload::Use(Use {
        used_up,
        ..Use::default()
    }));
    far.writes(counted(vec![count("flare", 6, None)]));
    near.meets(&mut far);
    let left: Vec<u32> = near.record().used_up[&LineId::from("flare")]
        .iter()
        .map(|side| side.value)
        .collect();
    assert_eq!(left, [2]);
    near.writes(counted(vec![count("flare", 4, None)]));
    assert!(near.record().used_up.is_empty());
}

#[test]
fn same_as_joins_two_registrations_from_either_side() {
    let (mut near, _, _) = county();
    let same = Payload::SameAs {
        one: CRAFT.0,
        other: OTHER_CRAFT.0,
    };
    near.writes_about(&[CRAFT, OTHER_CRAFT], same);
    assert!(near.record_of(CRAFT).same_as.contains(&OTHER_CRAFT.0));
    assert!(near.record_of(OTHER_CRAFT).same_as.contains(&CRAFT.0));
}

#[test]
fn naming_a_fault_is_having_seen_it_whatever_the_ids() {
    for (finder, closer) in [(1, 2), (2, 1), (3, 40), (40, 3)] {
        let mut crew = Desk::new(finder, Role::Crew);
        let mut lead = Desk::new(closer, Role::Lead);
        let id = fault_id(crew.writes(Payload::Fault(vec![fault("tube-1")])), 0);
        lead.enters_old_paper(Payload::SignOff { closes: vec![id] });
        lead.meets(&mut crew);
        assert!(open(&lead.record()).is_empty(), "{finder} {closer}");
    }
}
