//! The boat check.

use sponson_proto::event::v1::{
    Answer, AnswerValue, BagSeal, Check, CheckExtent, CylinderReading, Face, FaultFound,
    FoundAboard, FuelAboard, Kind, MeterReading, NotApplicableReason, PartPlace, Reading,
    ReadingMoment, Severity, Side, Stowage, SubjectType, ValveState,
};

use super::tear;
use crate::story::{BAG, CRAFT, CYLINDER, GAUGE, MOTOR, SPARE_BAG, Story, TANK, about, date};
use crate::subjects::flares;

/// Writes it.
pub(crate) fn write(story: &mut Story) {
    let standard = story.id(Kind::BoatStandard).to_bytes();
    story.station(
        Kind::Check,
        Check {
            extent: CheckExtent::Full as i32,
            standard,
            readings: readings(),
            counts: vec![flares()],
            answers: answers(),
            meters: vec![MeterReading {
                subject: MOTOR.to_bytes(),
                engine_s: 741_100,
            }],
            found: [BAG, MOTOR, TANK]
                .map(|it| FoundAboard {
                    subject: it.to_bytes(),
                })
                .to_vec(),
            seals: vec![BagSeal {
                bag: BAG.to_bytes(),
                seal: "0098812".to_owned(),
                earliest: date(2026, 5, 31),
            }],
            fuel: vec![FuelAboard {
                tank: TANK.to_bytes(),
                amount_ml: 22_000,
                filled: date(2026, 2, 14),
                mix_ratio: 50,
            }],
            faults: vec![tear(), corrosion()],
            stowage: Stowage::Rigged as i32,
            ..Check::default()
        },
        vec![
            about(CRAFT, SubjectType::Craft),
            about(BAG, SubjectType::Bag),
            about(MOTOR, SubjectType::Gear),
        ],
    );
}

/// A check that reads a cylinder and a bag by its seal, entered from paper by somebody else.
pub(crate) fn write_third(story: &mut Story) {
    story.version = Some(3);
    story.station(
        Kind::Check,
        Check {
            extent: CheckExtent::Part as i32,
            seals: vec![
                BagSeal {
                    bag: BAG.to_bytes(),
                    seal: "0098813".to_owned(),
                    earliest: date(2026, 9, 0),
                },
                BagSeal {
                    bag: SPARE_BAG.to_bytes(),
                    ..BagSeal::default()
                },
            ],
            cylinders: vec![CylinderReading {
                subject: CYLINDER.to_bytes(),
                gauge_kpa: 20_600,
                temperature_mc: Some(-4_000),
            }],
            checked_by: "M-215".to_owned(),
            ..Check::default()
        },
        vec![
            about(CRAFT, SubjectType::Craft),
            about(BAG, SubjectType::Bag),
            about(SPARE_BAG, SubjectType::Bag),
            about(CYLINDER, SubjectType::Gear),
        ],
    );
}

fn corrosion() -> FaultFound {
    FaultFound {
        part: "motor".to_owned(),
        place: Some(PartPlace {
            side: Side::Centre as i32,
            from_transom_mm: Some(0),
            face: Face::Top as i32,
        }),
        class: "corrosion".to_owned(),
        severity: Severity::Minor as i32,
        missions: vec!["salt-water".to_owned()],
        gear: MOTOR.to_bytes(),
    }
}

fn readings() -> Vec<Reading> {
    let found = Reading {
        part: "tube-1".to_owned(),
        moment: ReadingMoment::AsFound as i32,
        gauge_pa: 17_900,
        gauge: GAUGE.to_bytes(),
        air_mc: Some(-2_500),
        stood_s: Some(28_800),
        fabric_mc: Some(-1_000),
        ambient_pa: Some(97_900),
        elevation_mm: Some(291_000),
        intercommunication: ValveState::Shut as i32,
        since_inflating_s: Some(1_209_600),
        affirmed: true,
    };
    let left = Reading {
        moment: ReadingMoment::AsLeft as i32,
        gauge_pa: 20_700,
        intercommunication: ValveState::Open as i32,
        since_inflating_s: Some(240),
        ..found.clone()
    };
    vec![found, left]
}

fn answers() -> Vec<Answer> {
    let answer = |line: &str, value, not_applicable| Answer {
        line: line.to_owned(),
        value: value as i32,
        not_applicable: not_applicable as i32,
    };
    let applies = NotApplicableReason::Unspecified;
    vec![
        answer("drain-plug-in", AnswerValue::Yes, applies),
        answer("lights-work", AnswerValue::No, applies),
        answer(
            "trailer-bearings",
            AnswerValue::NotApplicable,
            NotApplicableReason::NotFitted,
        ),
    ]
}
