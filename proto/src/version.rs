//! Which version of its kind an event has to be written in.
//!
//! A field that changes fitness belongs to a later version, so that a replica which does not know it
//! holds the subjects as unproven instead of passing the field over. A message without such a field
//! stays in the version before, byte for byte.

use prost::Message;

use crate::event::v1::{
    AirChanged, Check, CrewsAvailable, GearRegistered, GearType, InspectionDone, Kind, PumpPower,
};

/// The newest version of a kind that this program knows.
#[must_use]
pub fn newest(kind: Kind) -> u32 {
    if kind == Kind::Check {
        return 3;
    }
    let second = [
        Kind::GearRegistered,
        Kind::AirChanged,
        Kind::CrewsAvailable,
        Kind::InspectionDone,
    ];
    if second.contains(&kind) { 2 } else { 1 }
}

/// The first version of a kind that knows every field of a payload. One that cannot be read needs
/// the first: whoever reads it says why it cannot be.
#[must_use]
pub fn needed(kind: Kind, payload: &[u8]) -> u32 {
    if kind == Kind::Check {
        return Check::decode(payload).map_or(1, |check| check_needs(&check));
    }
    let second = if kind == Kind::GearRegistered {
        holds(payload, gear_needs_second)
    } else if kind == Kind::AirChanged {
        holds(payload, |air: &AirChanged| air.source_after_kpa.is_some())
    } else if kind == Kind::CrewsAvailable {
        holds(payload, |crews: &CrewsAvailable| {
            !crews.operators.is_empty()
        })
    } else if kind == Kind::InspectionDone {
        holds(payload, |done: &InspectionDone| {
            done.run_s.is_some() || !done.holds.is_empty()
        })
    } else {
        false
    };
    if second { 2 } else { 1 }
}

/// Who checked, where it is entered from paper by somebody else, changes no fitness.
const fn check_needs(check: &Check) -> u32 {
    if !check.seals.is_empty() {
        3
    } else if !check.cylinders.is_empty() {
        2
    } else {
        1
    }
}

fn gear_needs_second(gear: &GearRegistered) -> bool {
    gear.r#type() == GearType::BreathingSet
        || !gear.specification.is_empty()
        || gear.requalified.is_some()
        || gear.gauge_kpa.is_some()
        || gear.gauge_mc.is_some()
        || gear.stroke_ml.is_some()
        || gear.runs_on() != PumpPower::Unspecified
}

fn holds<M: Message + Default>(payload: &[u8], needs: impl Fn(&M) -> bool) -> bool {
    M::decode(payload).is_ok_and(|message| needs(&message))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::event::v1::{BagSeal, CylinderReading, HoldTest};

    #[test]
    fn a_message_without_new_fields_stays_as_it_was() {
        let gear = GearRegistered {
            number: "C1".to_owned(),
            r#type: GearType::Cylinder as i32,
            water_volume_ml: Some(6_800),
            service_pressure_kpa: Some(31_026),
            pressure_max_pa: Some(1),
            ..GearRegistered::default()
        };
        assert_eq!(needed(Kind::GearRegistered, &gear.encode_to_vec()), 1);
        assert_eq!(needed(Kind::Check, &Check::default().encode_to_vec()), 1);
        assert_eq!(needed(Kind::GearRegistered, &[0xff]), 1);
        assert_eq!(needed(Kind::Note, &[]), 1);
    }

    #[test]
    fn a_new_field_makes_the_next_version() {
        let gear = GearRegistered::default;
        for later in [
            GearRegistered {
                specification: "3AA".to_owned(),
                ..gear()
            },
            GearRegistered {
                stroke_ml: Some(2_000),
                ..gear()
            },
            GearRegistered {
                gauge_kpa: Some(0),
                ..gear()
            },
            GearRegistered {
                runs_on: PumpPower::Foot as i32,
                ..gear()
            },
            GearRegistered {
                r#type: GearType::BreathingSet as i32,
                ..gear()
            },
        ] {
            assert_eq!(
                needed(Kind::GearRegistered, &later.encode_to_vec()),
                2,
                "{later:?}"
            );
        }
        let air = AirChanged {
            source_after_kpa: Some(20_000),
            ..AirChanged::default()
        };
        assert_eq!(needed(Kind::AirChanged, &air.encode_to_vec()), 2);
        let crews = CrewsAvailable {
            operators: vec!["214".to_owned()],
            ..CrewsAvailable::default()
        };
        assert_eq!(needed(Kind::CrewsAvailable, &crews.encode_to_vec()), 2);
        let done = |run_s| InspectionDone {
            inspection: "engine-run".to_owned(),
            run_s,
            ..InspectionDone::default()
        };
        let needs = |run_s| needed(Kind::InspectionDone, &done(run_s).encode_to_vec());
        assert_eq!((needs(None), needs(Some(180))), (1, 2));
        let held = InspectionDone {
            holds: vec![HoldTest::default()],
            ..InspectionDone::default()
        };
        assert_eq!(needed(Kind::InspectionDone, &held.encode_to_vec()), 2);
        let stated = InspectionDone::default();
        assert_eq!(needed(Kind::InspectionDone, &stated.encode_to_vec()), 1);
        let check = |cylinders, seals| {
            let check = Check {
                cylinders,
                seals,
                checked_by: "212".to_owned(),
                ..Check::default()
            };
            needed(Kind::Check, &check.encode_to_vec())
        };
        let (gauge, seal) = (CylinderReading::default(), BagSeal::default());
        assert_eq!(check(vec![], vec![]), 1);
        assert_eq!(check(vec![gauge.clone()], vec![]), 2);
        assert_eq!(check(vec![], vec![seal.clone()]), 3);
        assert_eq!(check(vec![gauge], vec![seal]), 3);
        assert_eq!(newest(Kind::Check), 3);
        assert_eq!(newest(Kind::AirChanged), 2);
        assert_eq!(newest(Kind::Note), 1);
    }
}
