//! What checks, air, use, fitting and repairs leave in a record, without any disagreement.

use sponson_readiness::event::{
    AirChanged, AirDirection, Check, Extent, FaultFound, HoldKind, Meter, Payload, Place,
    ReadingMoment, Repair, RepairHold, Use,
};
use sponson_readiness::ids::{LineId, PartId};
use sponson_readiness::moment::Moment;

use crate::desk::{
    BAG, CRAFT, MOTOR, count, counted, county, fault, fault_id, read, reading, subject, values,
};

fn air(part: &str) -> Payload {
    Payload::AirChanged(AirChanged {
        part: part.into(),
        direction: AirDirection::Added,
        before_pa: None,
        after_pa: None,
        air_mc: None,
        source: None,
        source_gear: None,
        source_after_kpa: None,
    })
}

#[test]
fn as_left_stands_and_both_are_recent() {
    let (mut near, _, _) = county();
    near.writes(read(vec![
        reading("tube-1", ReadingMoment::AsLeft, 20_000),
        reading("tube-1", ReadingMoment::AsFound, 14_000),
        reading("tube-2", ReadingMoment::AsFound, 19_000),
    ]));
    let record = near.record();
    let first = &record.readings[&"tube-1".into()];
    assert_eq!(values(&first.standing, |it| it.gauge_pa), [20_000]);
    assert_eq!(first.recent.len(), 2);
    let second = &record.readings[&"tube-2".into()];
    assert_eq!(values(&second.standing, |it| it.gauge_pa), [19_000]);
}

#[test]
fn one_check_that_says_two_things_says_both() {
    let (mut near, _, _) = county();
    near.writes(counted(vec![
        count("paddle", 3, None),
        count("paddle", 4, None),
    ]));
    let both = near.record().counts[&(LineId::from("paddle"), None)].clone();
    assert_eq!(values(&both, |it| it.count), [3, 4]);
}

#[test]
fn air_stays_until_a_reading_that_knew_of_it() {
    let (mut near, mut far, _) = county();
    near.writes(air("tube-1"));
    far.writes(read(vec![reading(
        "tube-1",
        ReadingMoment::AsFound,
        15_000,
    )]));
    near.meets(&mut far);
    assert_eq!(near.record().readings[&"tube-1".into()].air_since.len(), 1);
    near.writes(read(vec![reading(
        "tube-1",
        ReadingMoment::AsFound,
        15_000,
    )]));
    assert!(
        near.record().readings[&"tube-1".into()]
            .air_since
            .is_empty()
    );
}

#[test]
fn a_motor_found_aboard_still_serves_as_the_part_to_which_it_was_fitted() {
    let (mut near, _, _) = county();
    let (gear, craft, part) = (MOTOR.0, CRAFT.0, PartId::from("motor"));
    near.writes_about(
        &[MOTOR, CRAFT],
        Payload::Fitted {
            gear,
            craft,
            part: part.clone(),
        },
    );
    let aboard = Check {
        found_aboard: vec![gear],
        ..Check::default()
    };
    near.writes_about(&[CRAFT, MOTOR], Payload::Check(aboard));
    let record = near.record_of(MOTOR);
    let place = record.place.single().expect("one place");
    assert_eq!(place.value.at, Place::Craft(craft));
    assert_eq!(place.value.part, Some(part));
}

#[test]
fn taking_off_ends_the_fitting_that_it_had_seen_and_no_other() {
    let (mut near, mut far, _) = county();
    let (gear, craft) = (MOTOR.0, CRAFT.0);
    let fitted = || Payload::Fitted {
        gear,
        craft,
        part: "motor".into(),
    };
    near.writes_about(&[MOTOR, CRAFT], fitted());
    near.meets(&mut far);
    near.writes_about(&[MOTOR, CRAFT], Payload::TakenOff { gear, craft });
    assert!(near.record_of(MOTOR).place.iter().next().is_none());
    let again = far.writes_about(&[MOTOR, CRAFT], fitted());
    near.meets(&mut far);
    let record = near.record_of(MOTOR);
    assert_eq!(
        record.place.single().expect("one place").origin.event,
        again
    );
}

#[test]
fn counts_meters_and_faults_reach_the_records_of_bag_and_motor() {
    let (mut near, _, _) = county();
    let on_motor = FaultFound {
        gear: Some(MOTOR.0),
        ..fault("motor")
    };
    let check = Check {
        counts: vec![count("bandage", 5, Some(BAG.0)), count("bandage", 1, None)],
        meters: vec![Meter {
            subject: Some(MOTOR.0),
            engine_s: 3_600,
        }],
        faults: vec![fault("tube-1"), on_motor],
        ..Check::default()
    };
    let event = near.writes_about(&[CRAFT, BAG, MOTOR], Payload::Check(check));
    let (craft, bag, motor) = (near.record(), near.record_of(BAG), near.record_of(MOTOR));
    let item = LineId::from("bandage");
    assert_eq!(
        values(&craft.counts[&(item.clone(), Some(BAG.0))], |it| it.count),
        [5]
    );
    assert_eq!(
        values(&craft.counts[&(item.clone(), None)], |it| it.count),
        [1]
    );
    assert_eq!(bag.counts.len(), 1);
    assert_eq!(values(&bag.counts[&(item, None)], |it| it.count), [5]);
    assert_eq!(values(&craft.meters[&Some(MOTOR.0)], |it| *it), [3_600]);
    assert_eq!(values(&motor.meters[&None], |it| *it), [3_600]);
    assert_eq!(craft.faults.len(), 2);
    assert_eq!(
        motor.faults.keys().copied().collect::<Vec<_>>(),
        [fault_id(event, 1)]
    );
    assert!(motor.checks.is_empty() && bag.checks.is_empty());
}

/// By which sheet it was made: a line that is newer than that could not be answered.
#[test]
fn a_check_keeps_the_revision_that_it_answered() {
    let (mut near, mut far, _) = county();
    for (desk, standard_revision) in [(&mut near, Some(2)), (&mut far, None)] {
        desk.writes(Payload::Check(Check {
            extent: Extent::Full,
            standard_revision,
            ..Check::default()
        }));
    }
    near.meets(&mut far);
    let checks = near.record().checks;
    let full = values(&checks[&Extent::Full], |it| it.revision);
    assert_eq!(full, [None, Some(2)]);
}

#[test]
fn a_count_of_one_place_does_not_clear_what_may_have_come_from_another() {
    let (mut near, _, _) = county();
    let bag = Some(subject(9));
    near.writes(counted(vec![
        count("flare", 4, None),
        count("flare", 4, bag),
    ]));
    let used_up = vec![count("flare", 2, bag)];
    near.writes(Payload::Use(Use {
        used_up,
        ..Use::default()
    }));
    near.writes(counted(vec![count("flare", 4, None)]));
    assert_eq!(near.record().used_up.len(), 1);
    near.writes(counted(vec![
        count("flare", 4, None),
        count("flare", 2, bag),
    ]));
    assert!(near.record().used_up.is_empty());
}

#[test]
fn a_repair_leaves_its_holds_and_the_fault_open() {
    let (mut near, _, _) = county();
    let id = fault_id(near.writes(Payload::Fault(vec![fault("seam-2")])), 0);
    let hold = RepairHold {
        kind: HoldKind::Inflate,
        duration_s: 86_400,
    };
    let repair = Repair {
        faults: vec![id],
        part: "seam-2".into(),
        method: "patch".to_owned(),
        glue_batch: String::new(),
        holds: vec![hold],
    };
    near.writes(Payload::Repair(repair));
    let record = near.record();
    assert_eq!(record.faults[&id].repairs.len(), 1);
    assert!(record.faults[&id].closed.is_none());
    assert_eq!(record.holds[0].value, hold);
}

#[test]
fn a_waiver_lasts_until_it_is_withdrawn() {
    let (mut near, _, mut lead) = county();
    let granted = Payload::WaiverGranted {
        faults: Vec::new(),
        missions: vec!["flood".into()],
        until: Moment(5_000),
    };
    let waiver = lead.writes(granted);
    assert!(lead.record().waivers.contains_key(&waiver));
    lead.meets(&mut near);
    near.writes(Payload::WaiverWithdrawn { waiver });
    assert!(near.record().waivers.is_empty());
}

#[test]
fn a_release_ends_only_the_assignment_that_it_names() {
    let (mut near, _, _) = county();
    let assigned = |number: &str| Payload::Assigned {
        incident: number.to_owned(),
        mission: "flood".into(),
    };
    let first = near.writes(assigned("I-1"));
    let second = near.writes(assigned("I-2"));
    near.writes(Payload::Released { assignment: first });
    assert_eq!(
        near.record().assigned.into_keys().collect::<Vec<_>>(),
        [second]
    );
}

#[test]
fn an_event_that_asks_to_be_held_holds_and_another_does_not() {
    let (mut near, _, _) = county();
    near.writes(Payload::NotUnderstood { hold: false });
    assert!(near.record().not_understood.is_empty());
    let held = near.writes(Payload::NotUnderstood { hold: true });
    assert!(near.record().not_understood.contains(&held));
}
