//! Long histories, flooded ones, and writers by the hundred: a record stays small and safe.

use sponson_readiness::event::{
    AirChanged, AirDirection, AnswerValue, BagSeal, Check, Crews, HoldKind, MemberLevel, OutReason,
    Payload, ReadingMoment, Repair, RepairHold, SubjectKind, Use,
};
use sponson_readiness::ids::{EventId, LineId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::{
    CLOSED_FAULTS_KEPT, RECENT_KEPT, SIDES_KEPT, Stepped, USES_KEPT, keep,
};

use crate::desk::{
    BAG, CRAFT, Desk, MOTOR, Role, answered, count, counted, county, fault, fault_id, open, read,
    reading, subject, values,
};

#[test]
fn two_thousand_events_of_writers_apart_fold() {
    let mut all = Desk::new(0, Role::Crew);
    let mut desks: Vec<Desk> = (1..=8)
        .map(|number| Desk::new(number, Role::Crew))
        .collect();
    for desk in &mut desks {
        for number in 0..250 {
            desk.writes(counted(vec![count("paddle", number, None)]));
        }
        all.held.extend(desk.held.clone());
    }
    let record = all.record();
    assert_eq!(record.events, 2_000);
    assert_eq!(record.heads.len(), 8);
    let sides = &record.counts[&(LineId::from("paddle"), None)];
    assert_eq!(values(sides, |it| it.count), [249; 8]);
}

#[test]
fn two_thousand_events_that_saw_nothing_keep_their_disagreement() {
    let mut desk = Desk::new(1, Role::Crew);
    for number in 0..2_000 {
        let paddles = if number == 1_999 { 3 } else { 4 };
        desk.enters_old_paper(counted(vec![count("paddle", paddles, None)]));
    }
    let record = desk.record();
    let sides = &record.counts[&(LineId::from("paddle"), None)];
    assert_eq!(sides.iter().count(), SIDES_KEPT);
    assert!(sides.is_disputed());
}

#[test]
fn a_flood_of_unconfirmed_events_leaves_trusted_ones_alone() {
    let mut crew = Desk::new(1, Role::Crew);
    let id = fault_id(crew.writes(Payload::Fault(vec![fault("tube-1")])), 0);
    crew.writes(read(vec![reading(
        "tube-1",
        ReadingMoment::AsFound,
        15_000,
    )]));
    let mut stranger = Desk::new(9, Role::Stranger);
    for gauge_pa in 0..1_000 {
        stranger.writes(read(vec![reading(
            "tube-1",
            ReadingMoment::AsFound,
            gauge_pa,
        )]));
        stranger.writes(Payload::Fault(vec![fault("tube-2")]));
    }
    crew.meets(&mut stranger);
    let record = crew.record();
    assert_eq!(record.unconfirmed.len(), keep::UNCONFIRMED);
    assert!(record.faults[&id].closed.is_none());
    assert!(record.faults.len() <= 1 + keep::UNCONFIRMED);
    let tube = &record.readings[&"tube-1".into()];
    assert!(
        tube.standing
            .iter()
            .any(|side| side.value.gauge_pa == 15_000)
    );
    assert!(
        tube.recent
            .iter()
            .any(|side| side.value.reading().is_some_and(|it| it.gauge_pa == 15_000))
    );
    assert!(tube.recent.len() <= 2 * RECENT_KEPT);
}

#[test]
fn years_of_one_crew_stay_within_the_limits() {
    let (_, _, mut lead) = county();
    let mut record = lead.record();
    for _ in 0..200 {
        let found = lead.writes(Payload::Fault(vec![fault("tube-1")]));
        let closes = vec![fault_id(found, 0)];
        let used_up = vec![count("flare", 1, None)];
        let sign_off = lead.writes(Payload::SignOff { closes });
        let used = lead.writes(Payload::Use(Use {
            used_up,
            ..Use::default()
        }));
        let no = lead.writes(answered("lights", AnswerValue::No));
        for id in [found, sign_off, used, no] {
            assert_eq!(record.step(&lead.held[&id]), Stepped::Done);
        }
    }
    assert_eq!(record, lead.record());
    assert_eq!(record.faults.len(), CLOSED_FAULTS_KEPT);
    assert_eq!(record.uses.len(), USES_KEPT);
    assert_eq!(record.open_noes.len(), keep::NOES);
    let flares = &record.used_up[&LineId::from("flare")];
    assert!(flares.len() <= keep::USED_UP);
    assert_eq!(
        flares.iter().map(|side| side.value).sum::<u32>(),
        200,
        "none is forgotten"
    );
    assert!(open(&record).is_empty());
}

/// What is written over and over, and the subject of which the record is looked at.
pub(crate) type Over = (&'static str, (SubjectId, SubjectKind), fn(&mut Desk, i64));

pub(crate) const STATION: (SubjectId, SubjectKind) = (subject(7), SubjectKind::Station);
pub(crate) const MEMBER: (SubjectId, SubjectKind) = (subject(8), SubjectKind::Member);

pub(crate) fn air(desk: &mut Desk, number: i64) {
    desk.writes(Payload::AirChanged(AirChanged {
        part: "tube-1".into(),
        direction: AirDirection::Added,
        before_pa: Some(number),
        after_pa: None,
        air_mc: None,
        source: None,
        source_gear: None,
        source_after_kpa: None,
    }));
}

/// The first fault that the record of the craft holds open, found when there is none.
pub(crate) fn a_fault(desk: &mut Desk) -> EventId {
    let record = desk.record();
    match open(&record).first() {
        Some(fault) => fault.event,
        None => desk.writes(Payload::Fault(vec![fault("tube-1")])),
    }
}

pub(crate) fn repaired(desk: &mut Desk, number: i64) {
    let event = a_fault(desk);
    desk.writes(Payload::Repair(Repair {
        faults: vec![fault_id(event, 0)],
        part: "tube-1".into(),
        method: format!("patch-{number}"),
        glue_batch: String::new(),
        holds: vec![RepairHold {
            kind: HoldKind::Launch,
            duration_s: 3_600,
        }],
    }));
}

pub(crate) fn waived(desk: &mut Desk, number: i64) {
    let event = a_fault(desk);
    desk.writes(Payload::WaiverGranted {
        faults: vec![fault_id(event, 0)],
        missions: Vec::new(),
        until: Moment(number),
    });
}

pub(crate) fn out_and_back(desk: &mut Desk, _: i64) {
    let out = desk.writes(Payload::OutOfService(OutReason::Rest));
    desk.writes(Payload::Returned { ends: vec![out] });
}

pub(crate) fn sent_and_released(desk: &mut Desk, number: i64) {
    let assignment = desk.writes(Payload::Assigned {
        incident: format!("Flood {number}"),
        mission: "flood".into(),
    });
    desk.writes(Payload::Released { assignment });
}

pub(crate) fn crews(desk: &mut Desk, number: i64) {
    desk.writes_about(
        &[STATION],
        Payload::CrewsAvailable(Crews {
            crews: 1,
            persons: None,
            from: Moment(number * 1_000),
            until: Moment(number * 1_000 + 900),
            operators: Vec::new(),
        }),
    );
}

pub(crate) fn level(desk: &mut Desk, number: i64) {
    desk.writes_about(
        &[MEMBER],
        Payload::MemberLevel(MemberLevel {
            member: "M-7".to_owned(),
            level: format!("technician-{number}"),
            until: None,
        }),
    );
}

pub(crate) fn opened(desk: &mut Desk, _: i64) {
    let seals = vec![BagSeal {
        bag: BAG.0,
        number: None,
        earliest: None,
    }];
    let check = Check {
        seals,
        ..Check::default()
    };
    desk.writes_about(&[CRAFT, BAG], Payload::Check(check));
}

pub(crate) fn condemned(desk: &mut Desk, _: i64) {
    desk.writes_about(&[MOTOR], Payload::Condemned);
}

/// Bytes of the record after so many.
fn bytes_after(count: i64, (_, of, write): Over) -> usize {
    let mut desk = Desk::new(3, Role::Lead);
    for number in 0..count {
        write(&mut desk, number + 100);
    }
    desk.record_of(of).canonical().len()
}

#[test]
fn what_is_said_over_and_over_makes_no_record_grow_for_ever() {
    let all: &[Over] = &[
        ("air added", CRAFT, air),
        ("repairs of one fault, and their holds", CRAFT, repaired),
        ("waivers", CRAFT, waived),
        ("out of service and back", CRAFT, out_and_back),
        ("assigned and released", CRAFT, sent_and_released),
        ("crews", STATION, crews),
        ("levels of one member", MEMBER, level),
        ("bags found opened", BAG, opened),
        ("condemned", MOTOR, condemned),
    ];
    for over in all {
        let (some, twice) = (bytes_after(140, *over), bytes_after(280, *over));
        // Counters may take a byte more.
        assert!(twice <= some + 32, "{}: {some}, then {twice} bytes", over.0);
    }
}
