//! Each value in its words.

use sponson_readiness::answer::{
    Action, Call, CrewKnown, CrewToGo, Hindrance, LaunchBy, LaunchPlace, ToDo, Trips, Way,
};
use sponson_readiness::ids::{LineId, PartId, SubjectId};

use super::*;
use crate::sample::callout::bare;
use crate::sample::{AS_OF, context, station};

fn check(said: &[(String, &str)]) {
    for (said, wanted) in said {
        assert_eq!(said, wanted);
    }
}

#[test]
fn ways() {
    let ctx = context();
    check(&[
        (
            way_text(Way::Table { minutes: 8 }, &ctx),
            "8 min drive by the county's table",
        ),
        (
            way_text(Way::Said { minutes: 35 }, &ctx),
            "35 min drive, as said",
        ),
        (
            way_text(Way::Straight { metres: 19_322 }, &ctx),
            "12.0 mi in a straight line, and no travel time known",
        ),
        (way_text(Way::Closed, &ctx), "the road is closed"),
        (way_text(Way::NotKnown, &ctx), "the way is not known"),
    ]);
}

#[test]
fn places() {
    let place = |name: &str, access| {
        let name = name.to_owned();
        place_text(&LaunchPlace { name, access }).unwrap_or_default()
    };
    check(&[
        (
            place("Mill Street", Some(Access::Ramp)),
            "Mill Street (ramp)",
        ),
        (
            place("Low Meadow", None),
            "Low Meadow; ramp or bank not known",
        ),
        (place("", Some(Access::Bank)), "a bank"),
        (place("", None), ""),
    ]);
}

#[test]
fn times() {
    let mut one = bare(SubjectId::from_bytes([1; 16]), "21");
    let ctx = context();
    let both = |time: &TimeToWater, launch| {
        format!("{}: {}", total_text(time, &ctx), parts_text(time, launch))
    };
    let whole = both(&one.time, LaunchBy::Ramp);
    one.time.at_once = false;
    let after = both(&one.time, LaunchBy::Bank);
    one.time = TimeToWater {
        crew: 10,
        ready: Some(0),
        at_least: 10,
        ..TimeToWater::default()
    };
    let unknown = both(&one.time, LaunchBy::Either);
    one.time.ready = None;
    check(&[
        (
            whole,
            "24 min to water (08:54): crew 10, meanwhile made ready 5, drive 8, ramp 6",
        ),
        (
            after,
            "24 min to water (08:54): crew 10, made ready 5, drive 8, bank 6",
        ),
        (
            unknown,
            "at least 10 min to water: crew 10, nothing to make ready, drive not known, \
             ramp or bank, not known which, not known",
        ),
        (
            parts_text(&one.time, LaunchBy::NoRamp),
            "crew 10, making ready not known, drive not known, no ramp there, and it needs one: not \
             known",
        ),
    ]);
}

#[test]
fn crews_and_room() {
    let ctx = context();
    let crew = |goes, known| {
        crew_text(
            &CrewToGo {
                least: 2,
                goes,
                known,
            },
            &ctx,
        )
    };
    let until = AS_OF;
    let persons = Some(6);
    let trips = |trips, left_behind, is_fewest| {
        let trips = Trips {
            trips,
            left_behind,
            is_fewest,
        };
        room_text(Some(4), Some(trips))
    };
    check(&[
        (
            crew(3, CrewKnown::AsAsked),
            "crew of 3 (at least 2), as asked",
        ),
        (
            crew(
                2,
                CrewKnown::Enough {
                    crews: 2,
                    persons,
                    until,
                },
            ),
            "crew of 2: its station can raise 2 crews (6 persons) until 2026-03-14 08:30",
        ),
        (
            crew(2, CrewKnown::NotKnown),
            "crew of 2: crew not known, ask",
        ),
        (
            crew(2, CrewKnown::Short { persons: 1 }),
            "crew of 2: too few, 1 person there",
        ),
        (room_text(None, None), "seats not known"),
        (room_text(Some(1), None), "1 seat"),
        (trips(1, 0, true), "4 seats, 1 trip to bring all home"),
        (
            trips(2, 1, true),
            "4 seats, 2 trips; no room in any for 1 of them",
        ),
        (
            trips(2, 0, false),
            "4 seats, at most 2 trips to bring all home",
        ),
    ]);
}

#[test]
fn what_would_make_it_go() {
    let ctx = context();
    let mut one = bare(SubjectId::from_bytes([1; 16]), "7");
    let to_do = |action, minutes| ToDo { action, minutes };
    let gauge = |part| to_do(Action::ReadGauge(PartId::from(part)), Some(2));
    let count = |item| to_do(Action::Count(LineId::from(item)), Some(1));
    let mut said = |hindrances: &[Hindrance], work: &[ToDo]| {
        one.hindrances = hindrances.to_vec();
        one.to_do = work.to_vec();
        would_go_text(&one, None, &ctx)
    };
    let call = "call Mill Race (radio call Mill)";
    let several = [
        gauge("tube-1"),
        gauge("tube-2"),
        gauge("keel"),
        count("jackets"),
        count("jackets"),
    ];
    let found = [
        (said(&[], &[gauge("tube-1")]), "gauge tube 1: 2 min; "),
        (
            said(&[], &several),
            "gauge 3 chambers, count jackets: 8 min; ",
        ),
        (
            said(&[], &["a", "b", "c", "d"].map(count)),
            "count 4 items: 4 min; ",
        ),
        (
            said(
                &[],
                &[
                    to_do(Action::Bring(LineId::from("flare"), 2), None),
                    to_do(Action::Refuel, Some(5)),
                ],
            ),
            "bring 2 flare, fill up with fresh fuel, mixed as the motor takes it: minutes not known; ",
        ),
        (
            said(&[Hindrance::WayClosed], &[gauge("keel")]),
            "the road from its station is closed; gauge keel: 2 min; ",
        ),
        (
            said(&[Hindrance::NoRamp], &[]),
            "it needs a ramp, and there is a bank only; ",
        ),
        (said(&[], &[]), "nothing known here would make it go; "),
    ];
    for (said, wanted) in found {
        assert_eq!(said, format!("{wanted}{call}"));
    }
}

#[test]
fn whom_to_call() {
    let call = |name: &str, call: &str| Call {
        station: station(1),
        name: name.to_owned(),
        call: call.to_owned(),
    };
    check(&[
        (call_text(&[]).unwrap_or_default(), ""),
        (
            call_text(&[call("Mill Race", "Mill"), call("Otter\u{7} Ferry", "")])
                .unwrap_or_default(),
            "call Mill Race (radio call Mill) and Otter\\u{7} Ferry",
        ),
    ]);
}
