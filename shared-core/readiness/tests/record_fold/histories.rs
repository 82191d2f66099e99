//! Random histories: desks that write, part and meet, made from a list of small numbers so that a
//! failing one shrinks.

use proptest::prelude::*;
use sponson_readiness::event::{
    AirChanged, AirDirection, AnswerValue, BagSeal, Check, CylinderReading, Extent, HoldKind,
    LineAnswer, Meter, OutReason, Payload, Place, ReadingMoment, Repair, RepairHold, Stowage, Use,
};
use sponson_readiness::ids::{EventId, FaultId};
use sponson_readiness::moment::Moment;

use crate::desk::{BAG, CRAFT, Desk, MOTOR, Role, count, counted, fault, reading, subject};

/// One thing that happens in a history.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Act {
    /// Which desk.
    desk: usize,
    /// What it writes.
    what: u8,
    /// About which of the things that it can choose from.
    which: u8,
    /// The desk that it meets afterwards.
    meets: Option<usize>,
}

/// Crew, crew, lead, lead, stranger.
const ROLES: [Role; 5] = [
    Role::Crew,
    Role::Crew,
    Role::Lead,
    Role::Lead,
    Role::Stranger,
];

pub(crate) fn acts(most: usize) -> impl Strategy<Value = Vec<Act>> {
    let act = (
        0..ROLES.len(),
        any::<u8>(),
        any::<u8>(),
        prop::option::of(0..ROLES.len()),
    )
        .prop_map(|(desk, what, which, meets)| Act {
            desk,
            what,
            which,
            meets,
        });
    prop::collection::vec(act, 1..most)
}

/// Plays a history; gives a desk that holds all of it.
pub(crate) fn play(acts: &[Act]) -> Desk {
    let mut desks: Vec<Desk> = (1..)
        .zip(ROLES)
        .map(|(at, role)| Desk::new(at, role))
        .collect();
    for act in acts {
        let payload = payload(&desks[act.desk], act.what, act.which);
        desks[act.desk].clock = i64::from(act.which) * 1_000;
        desks[act.desk].writes_about(&[CRAFT, BAG, MOTOR], payload);
        if let Some(other) = act.meets.filter(|&other| other != act.desk) {
            let mut told = desks[other].clone();
            desks[act.desk].meets(&mut told);
            desks[other] = told;
        }
    }
    let mut all = Desk::new(0, Role::Crew);
    desks.iter_mut().for_each(|desk| all.meets(desk));
    all
}

/// The payload that two small numbers stand for, naming what the desk knows.
pub(crate) fn payload(desk: &Desk, what: u8, which: u8) -> Payload {
    let known: Vec<EventId> = desk.held.keys().copied().collect();
    let named = match known.len() {
        0 => EventId::from_bytes([which; 32]),
        held => known[usize::from(which) % held],
    };
    match what % 20 {
        18 => Payload::Correction {
            original: named,
            restated: desk
                .held
                .get(&named)
                .map(|event| Box::new(again(&event.payload, which))),
        },
        19 => Payload::Correction {
            original: named,
            restated: None,
        },
        other => plain(other, which, named),
    }
}

fn plain(what: u8, which: u8, named: EventId) -> Payload {
    let fault_named = FaultId {
        event: named,
        ordinal: u32::from(which % 2),
    };
    let no_named = FaultId {
        event: named,
        ordinal: FaultId::FIRST_ANSWER,
    };
    match what {
        0 | 1 => Payload::Check(check(which)),
        2 => counted(vec![count("flare", u32::from(which), bag(which))]),
        3 => Payload::Fault(vec![fault("tube-1"), fault("transom")]),
        4 | 5 => Payload::SignOff {
            closes: vec![fault_named, no_named],
        },
        6 => Payload::OutOfService(OutReason::Rest),
        7 => Payload::Returned { ends: vec![named] },
        8 => Payload::WaiverGranted {
            faults: vec![fault_named],
            missions: Vec::new(),
            until: Moment(i64::from(which)),
        },
        9 => Payload::WaiverWithdrawn { waiver: named },
        10 => Payload::Assigned {
            incident: which.to_string(),
            mission: "flood".into(),
        },
        11 => Payload::Released { assignment: named },
        12 => Payload::AirChanged(AirChanged {
            part: "tube-1".into(),
            direction: AirDirection::Added,
            before_pa: None,
            after_pa: Some(i64::from(which)),
            air_mc: None,
            source: None,
            source_gear: Some(MOTOR.0),
            source_after_kpa: which.is_multiple_of(2).then_some(u32::from(which)),
        }),
        13 => Payload::Use(Use {
            used_up: vec![count("flare", u32::from(which % 4), bag(which))],
            ..Use::default()
        }),
        14 => Payload::Repair(Repair {
            faults: vec![fault_named],
            part: "tube-1".into(),
            method: "patch".to_owned(),
            glue_batch: String::new(),
            holds: vec![RepairHold {
                kind: HoldKind::Launch,
                duration_s: u32::from(which),
            }],
        }),
        15 => Payload::Placed(Place::Station(subject(10 + which % 3))),
        16 => Payload::SameAs {
            one: CRAFT.0,
            other: subject(20 + which % 3),
        },
        _ => Payload::Fitted {
            gear: MOTOR.0,
            craft: CRAFT.0,
            part: "motor".into(),
        },
    }
}

/// A payload of the same kind, with other content where the kind has any.
fn again(payload: &Payload, which: u8) -> Payload {
    if matches!(payload, Payload::Check(_)) {
        Payload::Check(check(which))
    } else {
        payload.clone()
    }
}

fn check(which: u8) -> Check {
    let value = if which.is_multiple_of(5) {
        AnswerValue::No
    } else {
        AnswerValue::Yes
    };
    Check {
        extent: if which.is_multiple_of(2) {
            Extent::Full
        } else {
            Extent::Short
        },
        readings: vec![reading("tube-1", ReadingMoment::AsFound, i64::from(which))],
        counts: vec![
            count("flare", u32::from(which), bag(which)),
            count("paddle", 4, None),
            count("paddle", 5, None),
        ],
        answers: vec![LineAnswer {
            line: "lanyard".into(),
            value,
        }],
        meters: vec![Meter {
            subject: Some(MOTOR.0),
            engine_s: u64::from(which),
        }],
        found_aboard: vec![BAG.0, MOTOR.0],
        stowage: Some(Stowage::Rigged),
        cylinders: vec![CylinderReading {
            subject: MOTOR.0,
            gauge_kpa: u32::from(which),
            temperature_mc: None,
        }],
        seals: vec![BagSeal {
            bag: BAG.0,
            number: (!which.is_multiple_of(4)).then(|| (which % 4).to_string()),
            earliest: None,
        }],
        ..Check::default()
    }
}

fn bag(which: u8) -> Option<sponson_readiness::ids::SubjectId> {
    which.is_multiple_of(3).then_some(BAG.0)
}
