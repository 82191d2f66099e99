//! What stations say of their crews, and the lead of members.

use sponson_readiness::event::{Crews, MemberLevel, Payload, SubjectKind};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;

use crate::desk::{Desk, Role, subject};

const STATION: (SubjectId, SubjectKind) = (subject(8), SubjectKind::Station);
const MEMBER: (SubjectId, SubjectKind) = (subject(7), SubjectKind::Member);

fn crews(crews: u32, from: i64, until: i64) -> Payload {
    Payload::CrewsAvailable(Crews {
        crews,
        persons: None,
        from: Moment(from),
        until: Moment(until),
        operators: Vec::new(),
    })
}

/// Crews, from and until of every statement that stands.
fn said(desk: &Desk) -> Vec<(u32, i64, i64)> {
    let record = desk.record_of(STATION);
    let mut said: Vec<_> = record
        .crews
        .iter()
        .map(|side| (side.value.crews, side.value.from.0, side.value.until.0))
        .collect();
    said.sort_unstable();
    said
}

#[test]
fn whoever_says_it_anew_ends_what_was_said_before_from_then_on() {
    let mut here = Desk::new(1, Role::Crew);
    here.writes_about(&[STATION], crews(1, 0, 50));
    here.writes_about(&[STATION], crews(2, 60, 90));
    assert_eq!(said(&here), [(1, 0, 50), (2, 60, 90)]);
    here.writes_about(&[STATION], crews(3, 40, 70));
    assert_eq!(said(&here), [(1, 0, 40), (3, 40, 70)]);
}

#[test]
fn stations_that_did_not_know_of_each_other_both_stand() {
    let mut here = Desk::new(1, Role::Crew);
    let mut there = Desk::new(2, Role::Crew);
    here.writes_about(&[STATION], crews(1, 0, 50));
    there.writes_about(&[STATION], crews(2, 10, 60));
    here.meets(&mut there);
    for desk in [&here, &there] {
        assert_eq!(said(desk), [(1, 0, 50), (2, 10, 60)]);
    }
}

#[test]
fn a_stranger_ends_nothing() {
    let mut here = Desk::new(1, Role::Crew);
    let mut stranger = Desk::new(3, Role::Stranger);
    here.writes_about(&[STATION], crews(1, 0, 50));
    here.meets(&mut stranger);
    stranger.writes_about(&[STATION], crews(9, 0, 50));
    here.meets(&mut stranger);
    assert_eq!(said(&here), [(1, 0, 50), (9, 0, 50)]);
    let record = here.record_of(STATION);
    assert_eq!(record.unconfirmed.len(), 1);
}

#[test]
fn a_level_stated_anew_takes_the_place_of_the_same_one() {
    let mut lead = Desk::new(1, Role::Lead);
    for (level, year) in [
        ("technician", 2026),
        ("operations", 2026),
        ("technician", 2028),
    ] {
        let held = MemberLevel {
            member: "214".to_owned(),
            level: level.to_owned(),
            until: Some(sponson_readiness::event::DateMark {
                year,
                month: None,
                day: None,
            }),
        };
        lead.writes_about(&[MEMBER], Payload::MemberLevel(held));
    }
    let record = lead.record_of(MEMBER);
    let years = |level: &str| -> Vec<Option<i32>> {
        let sides = &record.levels[level];
        let years = sides
            .iter()
            .map(|side| side.value.until.map(|mark| mark.year));
        years.collect()
    };
    assert_eq!(years("technician"), [Some(2028)]);
    assert_eq!(years("operations"), [Some(2026)]);
}
