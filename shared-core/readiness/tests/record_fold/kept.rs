//! How much a record keeps of each thing: as much as its limit says, and of one more no more.

use sponson_readiness::event::{AirDirection, AnswerValue, Payload, Place, ReadingMoment};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::record::{
    CLOSED_FAULTS_KEPT, RECENT_KEPT, Record, SIDES_KEPT, USES_KEPT, keep,
};

use crate::bounds::{
    MEMBER, Over, STATION, a_fault, air, condemned, crews, level, opened, out_and_back, repaired,
    sent_and_released, waived,
};
use crate::cylinders::taken;
use crate::desk::{
    BAG, CRAFT, Desk, MOTOR, OTHER_CRAFT, Role, answered, count, counted, fault, fault_id, read,
    reading,
};

/// What is written over and over; how much of it a record is to keep; how much it keeps.
type Kept = (Over, usize, fn(&Record) -> usize);

fn used(desk: &mut Desk, _: i64) {
    desk.writes(Payload::Use(sponson_readiness::event::Use {
        used_up: vec![count("flare", 1, None)],
        ..sponson_readiness::event::Use::default()
    }));
}

fn signed_off(desk: &mut Desk, _: i64) {
    let closes = vec![fault_id(a_fault(desk), 0)];
    desk.writes(Payload::SignOff { closes });
}

fn drawn(desk: &mut Desk, _: i64) {
    desk.writes_about(&[CRAFT, MOTOR], taken(AirDirection::Added, None));
}

fn answered_no(desk: &mut Desk, _: i64) {
    desk.writes(answered("lights", AnswerValue::No));
}

fn not_understood(desk: &mut Desk, _: i64) {
    desk.writes(Payload::NotUnderstood { hold: true });
}

fn same_as(desk: &mut Desk, number: i64) {
    let twin = [u8::try_from(number).expect("few"); 16];
    desk.writes(Payload::SameAs {
        one: CRAFT.0,
        other: SubjectId::from_bytes(twin),
    });
}

fn fault_apart(desk: &mut Desk, _: i64) {
    desk.enters_old_paper(Payload::Fault(vec![fault("tube-1")]));
}

fn out_apart(desk: &mut Desk, number: i64) {
    if number == 100 {
        desk.writes(Payload::Assigned {
            incident: "Flood".to_owned(),
            mission: "flood".into(),
        });
    }
    desk.enters_old_paper(Payload::OutOfService(
        sponson_readiness::event::OutReason::Rest,
    ));
}

fn moved_off(desk: &mut Desk, number: i64) {
    if number == 100 {
        let in_bag = counted(vec![count("throw-bag", 2, Some(BAG.0))]);
        desk.writes_about(&[CRAFT, BAG], in_bag);
    }
    desk.writes_about(
        &[BAG, OTHER_CRAFT, CRAFT],
        Payload::Placed(Place::Craft(OTHER_CRAFT.0)),
    );
}

fn gauge(desk: &mut Desk, number: i64) {
    let found = reading("tube-1", ReadingMoment::AsFound, number);
    desk.writes(read(vec![found]));
}

fn counted_apart(desk: &mut Desk, _: i64) {
    desk.enters_old_paper(counted(vec![count("paddle", 4, None)]));
}

/// After as many as the limit says all are kept, and after one more still as many.
#[test]
fn a_record_keeps_as_many_as_its_limit_says_and_not_one_more() {
    let all: &[Kept] = &[
        (("air added", CRAFT, air), keep::AIR, |it| {
            it.readings[&"tube-1".into()].air_since.len()
        }),
        (("air drawn", MOTOR, drawn), keep::DRAWN, |it| {
            it.drawn.len()
        }),
        (("bags found opened", BAG, opened), keep::SEALS, |it| {
            it.seals.opened.len()
        }),
        (("holds of repairs", CRAFT, repaired), keep::HOLDS, |it| {
            it.holds.len()
        }),
        (
            ("repairs of one fault", CRAFT, repaired),
            keep::REPAIRS,
            |it| it.faults.values().map(|it| it.repairs.len()).sum(),
        ),
        (("condemned", MOTOR, condemned), keep::CONDEMNED, |it| {
            it.condemned.len()
        }),
        (("waivers", CRAFT, waived), keep::WAIVERS, |it| {
            it.waivers.len()
        }),
        (("crews", STATION, crews), keep::CREWS, |it| it.crews.len()),
        (
            ("levels of one member", MEMBER, level),
            keep::LEVELS,
            |it| it.levels.len(),
        ),
        (("answers no", CRAFT, answered_no), keep::NOES, |it| {
            it.open_noes.len()
        }),
        (("not understood", CRAFT, not_understood), keep::ANY, |it| {
            it.not_understood.len()
        }),
        (("the same as others", CRAFT, same_as), keep::ANY, |it| {
            it.same_as.len()
        }),
        (("out, apart from it", CRAFT, out_apart), keep::ANY, |it| {
            let sent = it.apart.sent.values();
            sent.map(|sent| sent.out.len()).max().unwrap_or(0)
        }),
        (("signed off", CRAFT, signed_off), keep::SIGN_OFFS, |it| {
            it.apart.sign_offs.len()
        }),
        (("returned", CRAFT, out_and_back), keep::RETURNS, |it| {
            it.apart.returns.len()
        }),
        (
            ("assigned", CRAFT, sent_and_released),
            keep::ASSIGNMENTS,
            |it| it.apart.sent_to.len(),
        ),
        (
            ("released", CRAFT, sent_and_released),
            keep::RELEASES,
            |it| it.apart.releases.len(),
        ),
        (
            ("a bag moved off", CRAFT, moved_off),
            keep::MOVED_OFF,
            |it| it.apart.moved_off[&LineId::from("throw-bag")].len(),
        ),
        (
            ("faults closed", CRAFT, signed_off),
            CLOSED_FAULTS_KEPT,
            |it| it.faults.len(),
        ),
        (("uses", CRAFT, used), USES_KEPT, |it| it.uses.len()),
        (("readings", CRAFT, gauge), RECENT_KEPT, |it| {
            it.readings[&"tube-1".into()].recent.len()
        }),
        (("counted apart", CRAFT, counted_apart), SIDES_KEPT, |it| {
            it.counts[&(LineId::from("paddle"), None)].iter().count()
        }),
    ];
    let mut wrong = Vec::new();
    for ((what, of, write), limit, kept) in all {
        let mut desk = Desk::new(3, Role::Lead);
        let mut counts = Vec::new();
        for number in 1..=limit + 1 {
            write(&mut desk, 99 + i64::try_from(number).expect("few"));
            if number + 1 >= *limit {
                counts.push(kept(&desk.record_of(*of)));
            }
        }
        if counts != [limit - 1, *limit, *limit] {
            wrong.push(format!("{what}, of {limit}: {counts:?}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// A fault has so many others beside it of which nobody knew.
#[test]
fn faults_found_apart_are_noted_for_each_other_up_to_a_limit() {
    for (others, noted) in [(63, 63), (64, 64), (65, 64)] {
        let mut desk = Desk::new(3, Role::Lead);
        for _ in 0..=others {
            fault_apart(&mut desk, 0);
        }
        let record = desk.record();
        let alike = record.apart.alike.values();
        assert_eq!(record.faults.len(), others + 1, "every fault is there");
        assert_eq!(
            alike.map(std::collections::BTreeSet::len).max(),
            Some(noted)
        );
    }
}

/// Uses are added up once there are too many, so that none is forgotten.
#[test]
fn one_use_too_many_is_added_to_the_others() {
    for (uses, kept) in [(keep::USED_UP, keep::USED_UP), (keep::USED_UP + 1, 1)] {
        let mut desk = Desk::new(3, Role::Crew);
        for _ in 0..uses {
            used(&mut desk, 0);
        }
        let record = desk.record();
        let flares = &record.used_up[&LineId::from("flare")];
        assert_eq!(flares.len(), kept);
        let sum: u32 = flares.iter().map(|side| side.value).sum();
        assert_eq!(usize::try_from(sum), Ok(uses));
    }
}

/// Whoever is not trusted is taken in up to a limit of events, and of entries of each list; whoever
/// is trusted, whole.
#[test]
fn of_the_unconfirmed_so_much_is_taken_in() {
    for (events, noted) in [(255, 255), (256, 256), (257, 256)] {
        let mut stranger = Desk::new(9, Role::Stranger);
        for number in 0..events {
            gauge(&mut stranger, number);
        }
        assert_eq!(stranger.record().unconfirmed.len(), noted);
    }
    let most = keep::UNCONFIRMED_ENTRIES;
    for (role, entries, kept) in [
        (Role::Stranger, most - 1, most - 1),
        (Role::Stranger, most, most),
        (Role::Stranger, most + 1, most),
        (Role::Crew, most + 1, most + 1),
    ] {
        let mut desk = Desk::new(9, role);
        let items = (0..entries).map(|number| count(&format!("item-{number}"), 1, None));
        desk.writes(counted(items.collect()));
        let faults = (0..entries).map(|number| fault(&format!("tube-{number}")));
        desk.writes(Payload::Fault(faults.collect()));
        let record = desk.record();
        assert_eq!(record.counts.len(), kept, "{role:?}");
        assert_eq!(record.faults.len(), kept, "{role:?}");
    }
}
