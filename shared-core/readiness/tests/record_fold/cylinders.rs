//! Gauges of cylinders: read at registration, at a check, after air was taken; and air taken
//! without a gauge afterwards.

use sponson_readiness::event::{AirChanged, AirDirection, Check, CylinderReading, Payload};

use crate::desk::{CRAFT, Desk, MOTOR, Role};

fn read(gauge_kpa: u32) -> Payload {
    Payload::Check(Check {
        cylinders: vec![CylinderReading {
            subject: MOTOR.0,
            gauge_kpa,
            temperature_mc: Some(15_000),
        }],
        ..Check::default()
    })
}

pub(crate) fn taken(direction: AirDirection, source_after_kpa: Option<u32>) -> Payload {
    Payload::AirChanged(AirChanged {
        part: "tube-1".into(),
        direction,
        before_pa: None,
        after_pa: None,
        air_mc: None,
        source: None,
        source_gear: Some(MOTOR.0),
        source_after_kpa,
    })
}

fn gauges(desk: &Desk) -> (Vec<u32>, usize) {
    let record = desk.record_of(MOTOR);
    let charge = record.charge.iter().map(|side| side.value.gauge_kpa);
    (charge.collect(), record.drawn.len())
}

/// Any numbered thing keeps its gauge: what it is, is for the engine.
#[test]
fn a_gauge_stands_until_somebody_who_knew_of_it_reads_again() {
    let mut desk = Desk::new(1, Role::Crew);
    desk.writes_about(&[CRAFT, MOTOR], read(30_000));
    assert_eq!(gauges(&desk), (vec![30_000], 0));
    desk.writes_about(&[CRAFT, MOTOR], taken(AirDirection::Added, Some(28_000)));
    assert_eq!(gauges(&desk), (vec![28_000], 0));
    desk.writes_about(&[CRAFT, MOTOR], taken(AirDirection::Added, None));
    assert_eq!(gauges(&desk), (vec![28_000], 1), "not known since");
    desk.writes_about(&[CRAFT, MOTOR], taken(AirDirection::LetOut, None));
    assert_eq!(gauges(&desk), (vec![28_000], 1), "nothing was taken");
    desk.writes_about(&[CRAFT, MOTOR], read(25_000));
    assert_eq!(gauges(&desk), (vec![25_000], 0));
}

#[test]
fn gauges_read_apart_stand_beside_each_other() {
    let mut one = Desk::new(1, Role::Crew);
    let mut two = Desk::new(2, Role::Crew);
    one.writes_about(&[CRAFT, MOTOR], read(30_000));
    two.meets(&mut one);
    one.writes_about(&[CRAFT, MOTOR], taken(AirDirection::Added, None));
    two.writes_about(&[CRAFT, MOTOR], read(29_000));
    one.meets(&mut two);
    // Who read had not seen that air was taken: what is in it now is not known.
    assert_eq!(gauges(&one), (vec![29_000], 1));
    let mut stranger = Desk::new(3, Role::Stranger);
    stranger.meets(&mut one);
    stranger.writes_about(&[CRAFT, MOTOR], read(31_000));
    one.meets(&mut stranger);
    assert_eq!(
        gauges(&one).1,
        1,
        "an unconfirmed reading takes nothing away"
    );
}
