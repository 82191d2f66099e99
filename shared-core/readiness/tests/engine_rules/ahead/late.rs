//! What was done late, and what still is.

use sponson_readiness::ahead::Past;
use sponson_readiness::event::Author;
use sponson_readiness::history::{CraftPast, History, InspectionPast};
use sponson_readiness::ids::{EventId, LineId};

use super::super::scene::{CRAFT, DAY_MS, NOON, STATION, Scene};
use super::{in_days, looked};

/// A craft of the scene's model that was always at its station.
fn craft_past(scene: &Scene) -> CraftPast {
    let long_ago = NOON.plus_ms(-900 * DAY_MS);
    CraftPast {
        stations: vec![(long_ago, STATION)],
        ..CraftPast::registered(CRAFT, "Boat 14", scene.standard.model.clone(), long_ago)
    }
}

fn done(line: &str, days_ago: i64, passed: bool, hours: Option<u64>) -> InspectionPast {
    let [high, low] = u16::try_from(days_ago).expect("days").to_be_bytes();
    let mut id = [0; 32];
    (id[0], id[1], id[2]) = (high, low, u8::try_from(line.len()).expect("short"));
    InspectionPast {
        event: EventId::from_bytes(id),
        at: NOON.plus_ms(-days_ago * DAY_MS),
        by: Author {
            key: [9; 32],
            station: Some(STATION),
            member: String::new(),
        },
        line: LineId::from(line),
        passed,
        engine_s: hours.map(|hours| hours * 3_600),
        run_s: None,
        holds: Vec::new(),
    }
}

#[test]
fn what_was_done_late_is_told_with_how_late_and_what_is_still_running() {
    let mut scene = Scene::inflatable();
    let mut past = craft_past(&scene);
    // Every six months: done on the day, then 20 days late, then failed in time and done again, which
    // no day says when.
    let first = NOON.plus_ms(-700 * DAY_MS);
    let on = |days: i64| in_days(-days);
    let due = on(700) + chrono::Months::new(6);
    let until_due = due.signed_duration_since(on(700)).num_days();
    let second = 700 - until_due;
    let third_due = on(second) + chrono::Months::new(6);
    let third = second - third_due.signed_duration_since(on(second)).num_days() - 20;
    past.inspections = vec![
        done("valves", 700, true, None),
        done("valves", second, true, None),
        done("valves", third, true, None),
        done("valves", third - 100, false, None),
        done("valves", third - 101, true, None),
        done("engine-service", 600, true, Some(10)),
        done("engine-service", 400, true, Some(125)),
    ];
    assert_eq!(past.inspections[0].at, first);
    // And the fuel line was last done 13 months ago.
    scene.inspected("fuel-line", 395, true);
    let mut history = History::empty(NOON);
    history.crafts.insert(CRAFT, past);
    let late = looked(&scene, &history).late;
    let told: Vec<(&str, Option<i64>, Option<u64>, bool)> = late
        .done
        .iter()
        .map(|it| {
            let running = it.past == Past::StillRunning;
            (
                it.inspection.as_str(),
                it.days,
                it.engine_s.map(|s| s / 3_600),
                running,
            )
        })
        .collect();
    let wanted = [
        ("fuel-line", Some(30), None, true),
        ("valves", Some(20), None, false),
        ("engine-service", None, Some(15), false),
    ];
    assert_eq!(told, wanted);
    assert_eq!(late.done[1].station, Some(STATION));
    let county = late.county.expect("some came due");
    // Of valves three due days came, of the service one, of the fuel line one.
    assert_eq!((county.due, county.in_time), (5, 2));
    assert_eq!(county.median_days_late, Some(20));
    assert!(county.share.0 < 0.4 && county.share.1 > 0.4);
    let lines: Vec<(&str, u32, u32)> = late
        .by_line
        .iter()
        .map(|(line, _, it)| (line.as_str(), it.due, it.in_time))
        .collect();
    assert_eq!(
        lines,
        [
            ("engine-service", 1, 0),
            ("fuel-line", 1, 0),
            ("valves", 3, 2)
        ]
    );
}
