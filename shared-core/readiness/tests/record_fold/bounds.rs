//! Long histories, flooded ones, and writers by the hundred: a record stays small and safe.

use sponson_readiness::event::{AnswerValue, Payload, ReadingMoment, Use};
use sponson_readiness::ids::LineId;
use sponson_readiness::record::{
    CLOSED_FAULTS_KEPT, RECENT_KEPT, SIDES_KEPT, Stepped, USES_KEPT, keep,
};

use crate::desk::{
    Desk, Role, answered, count, counted, county, fault, fault_id, open, read, reading, values,
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
