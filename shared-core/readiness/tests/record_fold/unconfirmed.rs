//! Unconfirmed events add and never relieve, kind by kind.

use sponson_readiness::event::{Check, OutReason, Payload, Place, ReadingMoment, Trust};
use sponson_readiness::moment::Moment;

use crate::desk::{
    CRAFT, Desk, MOTOR, OTHER_CRAFT, Role, county, fault, fault_id, open, read, reading, subject,
    values,
};

fn stranger_who_saw(desk: &mut Desk) -> Desk {
    let mut stranger = Desk::new(9, Role::Stranger);
    stranger.meets(desk);
    stranger
}

#[test]
fn it_closes_ends_grants_and_joins_nothing() {
    let (mut crew, _, _) = county();
    let id = fault_id(crew.writes(Payload::Fault(vec![fault("tube-1")])), 0);
    let out = crew.writes(Payload::OutOfService(OutReason::Mechanical));
    let mut stranger = stranger_who_saw(&mut crew);
    stranger.writes(Payload::SignOff { closes: vec![id] });
    stranger.writes(Payload::Returned { ends: vec![out] });
    stranger.writes(Payload::WaiverGranted {
        faults: vec![id],
        missions: Vec::new(),
        until: Moment(i64::MAX),
    });
    stranger.writes(Payload::SameAs {
        one: CRAFT.0,
        other: OTHER_CRAFT.0,
    });
    let record = stranger.record();
    assert_eq!(open(&record), [id]);
    assert!(record.out.contains_key(&out));
    assert!(record.waivers.is_empty() && record.same_as.is_empty());
    assert_eq!(record.unconfirmed.len(), 4);
}

#[test]
fn its_values_are_sides_until_somebody_trusted_who_saw_them_looks() {
    let (mut crew, _, _) = county();
    let tube = |gauge_pa| read(vec![reading("tube-1", ReadingMoment::AsFound, gauge_pa)]);
    crew.writes(tube(14_000));
    let mut stranger = stranger_who_saw(&mut crew);
    stranger.writes(tube(20_000));
    stranger.writes(tube(21_000));
    let standing = stranger.record().readings[&"tube-1".into()]
        .standing
        .clone();
    assert_eq!(
        values(&standing, |it| it.gauge_pa),
        [14_000, 20_000, 21_000]
    );
    let trusted = standing
        .iter()
        .filter(|side| side.origin.trust == Trust::Trusted)
        .count();
    assert_eq!(trusted, 1);
    crew.meets(&mut stranger);
    crew.writes(tube(15_000));
    let record = crew.record();
    assert_eq!(
        values(&record.readings[&"tube-1".into()].standing, |it| it
            .gauge_pa),
        [15_000]
    );
    assert_eq!(record.unconfirmed.len(), 2, "only the lead dismisses");
}

#[test]
fn what_it_adds_stays_and_a_sign_off_closes_its_faults() {
    let (mut crew, _, mut lead) = county();
    crew.writes(Payload::Placed(Place::Station(subject(11))));
    let mut stranger = stranger_who_saw(&mut crew);
    let id = fault_id(stranger.writes(Payload::Fault(vec![fault("transom")])), 0);
    stranger.writes(Payload::Placed(Place::Station(subject(12))));
    let record = stranger.record();
    assert_ne!(record.faults[&id].origin.trust, Trust::Trusted);
    assert!(record.place.is_disputed());
    lead.meets(&mut stranger);
    lead.writes(Payload::SignOff { closes: vec![id] });
    assert!(open(&lead.record()).is_empty());
}

#[test]
fn a_trusted_look_does_not_confirm_a_fitting_that_a_stranger_claims() {
    let (mut crew, _, _) = county();
    let mut stranger = stranger_who_saw(&mut crew);
    let (gear, craft) = (MOTOR.0, CRAFT.0);
    let fitted = Payload::Fitted {
        gear,
        craft,
        part: "motor".into(),
    };
    stranger.writes_about(&[MOTOR, CRAFT], fitted);
    crew.meets(&mut stranger);
    let aboard = Check {
        found_aboard: vec![gear],
        ..Check::default()
    };
    crew.writes_about(&[CRAFT, MOTOR], Payload::Check(aboard));
    let record = crew.record_of(MOTOR);
    assert_eq!(record.place.single().expect("one place").value.part, None);
}
