//! Two stations, apart, recorded different things: the merged record, case by case.

use sponson_readiness::event::{
    AirChanged, AirDirection, AnswerValue, Check, OutReason, Payload, Place, ReadingMoment, Repair,
    Use,
};
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

/// Two crews and a maintenance desk that all know of one fault.
fn knowing(part: &str) -> (Desk, Desk, Desk, FaultId) {
    let (mut near, mut far, mut lead) = county();
    let known = fault_id(near.writes(Payload::Fault(vec![fault(part)])), 0);
    near.meets(&mut far);
    near.meets(&mut lead);
    (near, far, lead, known)
}

fn sign_off(closes: &[FaultId]) -> Payload {
    Payload::SignOff {
        closes: closes.to_vec(),
    }
}

#[test]
fn a_sign_off_that_had_not_seen_a_fault_at_its_part_stands_beside_it_until_it_is_named() {
    let (mut near, mut far, mut lead, known) = knowing("tube-1");
    let unseen = fault_id(near.writes(Payload::Fault(vec![fault("tube-1")])), 0);
    let elsewhere = fault_id(far.writes(Payload::Fault(vec![fault("keel")])), 0);
    let mut third = Desk::new(4, Role::Lead);
    third.held.extend(near.held.clone());
    third.writes(repair(unseen));
    let signed = lead.writes(sign_off(&[known]));
    for desk in [&mut near, &mut far, &mut third] {
        desk.meets(&mut lead);
    }
    let apart = lead.record().apart;
    let beside: Vec<_> = apart.signed_off[&unseen]
        .iter()
        .map(|it| it.event)
        .collect();
    assert_eq!(beside, [signed], "the third saw only the fault");
    assert!(!apart.signed_off.contains_key(&elsewhere), "another part");
    lead.writes(sign_off(&[unseen]));
    assert!(lead.record().apart.signed_off.is_empty());
}

fn repair(fault: FaultId) -> Payload {
    Payload::Repair(Repair {
        faults: vec![fault],
        part: "tube-1".into(),
        method: "patch".to_owned(),
        glue_batch: String::new(),
        holds: Vec::new(),
    })
}

#[test]
fn a_sign_off_of_one_that_had_not_seen_the_like_leaves_the_other_beside_it() {
    let (mut near, mut far, _) = county();
    let mut lead = Desk::new(3, Role::Lead);
    let one = fault_id(near.writes(Payload::Fault(vec![fault("transom")])), 0);
    let other = fault_id(far.writes(Payload::Fault(vec![fault("transom")])), 0);
    near.meets(&mut lead);
    lead.writes(sign_off(&[one]));
    far.meets(&mut lead);
    let record = far.record();
    assert_eq!(open(&record), [other]);
    assert!(record.apart.alike.is_empty());
    assert!(record.apart.signed_off.contains_key(&other));
}

#[test]
fn like_faults_of_two_writers_are_told_apart_by_who_saw_both() {
    let (mut near, mut far, mut lead) = county();
    let one = fault_id(near.writes(Payload::Fault(vec![fault("transom")])), 0);
    let other = fault_id(far.writes(Payload::Fault(vec![fault("transom")])), 0);
    // The same crew saying it again has seen what it said first.
    near.writes(Payload::Fault(vec![fault("transom")]));
    near.meets(&mut far);
    near.meets(&mut lead);
    let alike = lead.record().apart.alike;
    assert_eq!(alike[&other].len(), 2);
    assert!(alike[&one].contains(&other) && alike[&one].len() == 1);
    lead.writes(repair(other));
    let record = lead.record();
    assert!(record.apart.alike.is_empty(), "worked on by who saw both");
    assert_eq!(open(&record).len(), 3);
}

#[test]
fn a_no_and_a_sign_off_of_another_that_had_not_seen_it_stand_beside_each_other() {
    let (mut near, mut far, mut lead) = county();
    let no = |desk: &mut Desk| {
        let event = desk.writes(answered("lanyard", AnswerValue::No));
        fault_id(event, FaultId::FIRST_ANSWER)
    };
    let known = no(&mut near);
    near.meets(&mut lead);
    let unseen = no(&mut far);
    lead.writes(sign_off(&[known]));
    far.meets(&mut lead);
    let record = far.record();
    assert!(record.open_noes.contains_key(&unseen));
    assert!(record.apart.signed_off.contains_key(&unseen));
    assert!(record.apart.alike.is_empty());
    far = Desk::new(5, Role::Lead);
    far.held.extend(lead.held.clone());
    far.writes(sign_off(&[unseen]));
    assert!(far.record().apart.signed_off.is_empty());
}

#[test]
fn a_return_stands_beside_what_it_had_not_seen_until_somebody_who_saw_both_says() {
    for settled_by_return in [true, false] {
        let (mut near, mut far, mut third) = county();
        let known = near.writes(Payload::OutOfService(OutReason::Rest));
        near.meets(&mut far);
        let unseen = far.writes(Payload::OutOfService(OutReason::Mechanical));
        third.held.extend(far.held.clone());
        let back = near.writes(Payload::Returned { ends: vec![known] });
        // The third saw only one of the two.
        third.writes(Payload::OutOfService(OutReason::Personnel));
        near.meets(&mut far);
        third.meets(&mut far);
        let apart = far.record().apart.returned;
        let beside: Vec<_> = apart[&unseen].iter().map(|it| it.event).collect();
        assert_eq!(beside, [back]);
        let payload = if settled_by_return {
            Payload::Returned { ends: vec![unseen] }
        } else {
            Payload::OutOfService(OutReason::Mechanical)
        };
        far.writes(payload);
        let record = far.record();
        assert!(!record.apart.returned.contains_key(&unseen));
        assert_eq!(record.out.contains_key(&unseen), !settled_by_return);
    }
}

fn air_added(after_pa: i64) -> Payload {
    Payload::AirChanged(AirChanged {
        part: "tube-1".into(),
        direction: AirDirection::Added,
        before_pa: None,
        after_pa: Some(after_pa),
        air_mc: None,
        source: None,
        source_gear: None,
        source_after_kpa: None,
    })
}

#[test]
fn air_added_without_having_seen_a_reading_stands_beside_it() {
    let tube = |gauge_pa| read(vec![reading("tube-1", ReadingMoment::AsFound, gauge_pa)]);
    let beside = |desk: &Desk| {
        let apart = desk.record().apart.beside_air;
        let events = apart.get(&"tube-1".into()).cloned();
        events.unwrap_or_default().into_iter().collect::<Vec<_>>()
    };
    let (mut near, mut far, _) = county();
    near.writes(tube(20_000));
    near.meets(&mut far);
    near.writes(air_added(24_000));
    let unseen = far.writes(tube(18_000));
    assert!(beside(&near).is_empty(), "it took the place of the reading");
    near.meets(&mut far);
    assert_eq!(beside(&far), [unseen]);
    // Somebody who has seen both adds air: of the readings none stands any more.
    let mut after = far.clone();
    after.writes(air_added(25_000));
    assert!(beside(&after).is_empty());
    far.writes(tube(23_000));
    assert!(beside(&far).is_empty());
    assert!(far.record().readings[&"tube-1".into()].air_since.is_empty());
}

/// A bag seen aboard another craft has left as well.
#[test]
fn a_bag_found_elsewhere_has_left() {
    let (mut near, mut far, _) = county();
    near.writes_about(
        &[CRAFT, BAG],
        counted(vec![count("throw-bag", 2, Some(BAG.0))]),
    );
    near.meets(&mut far);
    let aboard = Check {
        found_aboard: vec![BAG.0],
        ..Check::default()
    };
    near.writes_about(&[OTHER_CRAFT, BAG, CRAFT], Payload::Check(aboard));
    far.writes(counted(vec![count("throw-bag", 3, None)]));
    near.meets(&mut far);
    let moved = &near.record().apart.moved_off[&LineId::from("throw-bag")];
    assert_eq!(moved[0].value.unseen_by.len(), 1);
    assert_eq!(far.record(), near.record());
}

#[test]
fn a_count_that_had_not_seen_its_bag_leave_is_lower_by_what_was_in_it() {
    let moved = |desk: &Desk| -> Vec<(u32, usize)> {
        let apart = desk.record().apart.moved_off;
        let of_item = apart.get(&LineId::from("throw-bag")).cloned();
        let of_item = of_item.unwrap_or_default().into_iter();
        of_item
            .map(|side| (side.value.units, side.value.unseen_by.len()))
            .collect()
    };
    let (mut near, mut far, _) = county();
    near.writes_about(
        &[CRAFT, BAG],
        counted(vec![count("throw-bag", 2, Some(BAG.0))]),
    );
    near.meets(&mut far);
    near.writes_about(
        &[BAG, OTHER_CRAFT, CRAFT],
        Payload::Placed(Place::Craft(OTHER_CRAFT.0)),
    );
    assert_eq!(moved(&near), [(2, 0)], "nobody has counted since");
    far.writes(counted(vec![count("throw-bag", 3, None)]));
    near.meets(&mut far);
    assert_eq!(moved(&far), [(2, 1)]);
    // A count that tells the bag's apart from the craft's own holds none of the bag's.
    let mut told_apart = near.clone();
    told_apart.writes_about(
        &[CRAFT, BAG],
        counted(vec![
            count("throw-bag", 1, None),
            count("throw-bag", 2, Some(BAG.0)),
        ]),
    );
    assert!(moved(&told_apart).is_empty());
    far.writes(counted(vec![count("throw-bag", 1, None)]));
    assert!(moved(&far).is_empty(), "counted by who had seen it leave");
}
