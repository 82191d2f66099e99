//! Round after round: the days of each, by the calendar and by engine hours, and what the shelves hold for it.

use chrono::{Datelike as _, Duration, NaiveDate};
use sponson_readiness::ahead::{Ahead, By, CountedFrom, Planned, What, WhyNoVisit, ahead};
use sponson_readiness::history::History;
use sponson_readiness::ids::LineId;
use sponson_readiness::moment::Moment;
use sponson_readiness::record::{Inspection, Sides};
use sponson_readiness::standard::Every;

use super::super::scene::{DAY_MS, MOTOR, NOON, Scene, counted, lot};
use super::{SHELF, add_shelf, asked, in_days, looked, metered, rounds, today, without_history};

/// Source: tests/reference/calendar-intervals.csv, python-dateutil and java.time, exact. Row by row
/// the next due day; and a row of several months as the round of a monthly line, which the row that
/// steps month by month from the day before does not give.
#[test]
fn due_days_are_those_of_the_reference_and_do_not_drift() {
    let rows = include_str!("../../../../../tests/reference/calendar-intervals.csv");
    let mut held = 0;
    for row in rows.lines().filter(|row| row.starts_with('C')) {
        let cells: Vec<&str> = row.split(',').collect();
        let start: NaiveDate = cells[2].parse().expect("a day");
        let add: u32 = cells[4].parse().expect("a number");
        let wanted: NaiveDate = cells[6].parse().expect("a day");
        let check = |every: Every, round: u32| {
            let mut scene = Scene::inflatable();
            let at = |day: NaiveDate| {
                let epoch = NaiveDate::from_ymd_opt(1970, 1, 1).expect("a day");
                Moment(day.signed_duration_since(epoch).num_days() * DAY_MS + DAY_MS / 2)
            };
            let mut side = scene.side_at(
                Inspection {
                    passed: true,
                    ..Default::default()
                },
                at(start),
            );
            side.origin.interval.late = Some(at(start));
            let welds = LineId::from("trailer-yearly");
            scene
                .craft()
                .inspections
                .insert(welds.clone(), Sides(vec![side]));
            let line = scene
                .standard
                .inspections
                .iter_mut()
                .find(|line| line.id == welds)
                .expect("a line");
            line.every = Some(every);
            line.part = None;
            scene.policy.ahead.listed_from_days = 0;
            let from = at(start);
            scene.question.as_of = from;
            scene.question.now = from;
            let mut asked = asked(from);
            asked.days = 40_000;
            let told = scene.of_county(|county| ahead(county, &History::empty(from), &asked));
            let due = rounds(&told, "trailer-yearly");
            due.iter()
                .find(|item| item.round == round)
                .expect("that round")
                .due
        };
        match cells[5] {
            "days" => assert_eq!(check(Every::Days(add), 1), wanted, "{row}"),
            "months" => {
                assert_eq!(check(Every::Months(add), 1), wanted, "{row}");
                assert_eq!(
                    check(Every::Months(1), add),
                    wanted,
                    "{row}, month by month"
                );
            }
            "years" => assert_eq!(check(Every::Months(12), add), wanted, "{row}"),
            // What it would drift to.
            "months_one_at_a_time" => assert_ne!(check(Every::Months(1), add), wanted, "{row}"),
            unit => panic!("unit {unit}"),
        }
        held += 1;
    }
    assert_eq!(held, 13);
}

#[test]
fn engine_hours_come_first_where_the_motor_runs_much() {
    let mut scene = Scene::inflatable();
    scene.inspected("engine-service", 30, true).engine_s = Some(60 * 3_600);
    let meters = scene.said(110 * 3_600);
    scene.record(MOTOR).meters.insert(None, meters);
    // 100 h in 300 days; 50 h are left of 100.
    let run: Vec<(i64, u64)> = (0_i64..=10)
        .map(|n| (300 - 30 * n, 10 + 10 * n.unsigned_abs()))
        .collect();
    let told = looked(&scene, &metered(&run));
    let [next] = rounds(&told, "engine-service")[..] else {
        panic!("{:?}", rounds(&told, "engine-service"));
    };
    assert_eq!((next.due, next.by), (in_days(150), By::EngineHours));
    assert_eq!(next.engine.expect("by the meter").left_s, 50 * 3_600);
    let (earliest, latest) = next.between.expect("an interval");
    assert!(earliest < next.due && latest.is_some_and(|latest| latest > next.due));
    assert_eq!(next.uses.len(), 5);
    // Without any reading the calendar alone says it, twelve months after it was done.
    let told = without_history(&scene);
    let next = rounds(&told, "engine-service")[0];
    let done = in_days(-30);
    assert_eq!(next.due, done.with_year(2027).expect("a day"));
    assert_eq!(
        (next.by, next.counted_from),
        (By::Calendar, CountedFrom::LastDone(done))
    );
    assert_eq!(next.between, None);
}

#[test]
fn a_line_by_engine_hours_alone_is_not_known_without_the_motors_use() {
    let mut scene = Scene::inflatable();
    let id = LineId::from("engine-service");
    let line = scene
        .standard
        .inspections
        .iter_mut()
        .find(|line| line.id == id);
    line.expect("a line").every = None;
    let told = without_history(&scene);
    assert_eq!(rounds(&told, "engine-service").len(), 0);
    let unknown: Vec<&LineId> = told.not_known.iter().map(|it| &it.inspection).collect();
    assert_eq!(unknown, [&id]);
}

#[test]
fn what_is_overdue_is_counted_on_from_today_and_says_so() {
    let mut scene = Scene::inflatable();
    // Six months, done eleven months ago.
    scene.inspected("valves", 335, true);
    let told = without_history(&scene);
    let due = rounds(&told, "valves");
    assert_eq!(due[0].due, today());
    assert!(due[0].standing.is_overdue());
    assert_eq!(due[0].counted_from, CountedFrom::LastDone(in_days(-335)));
    assert_eq!(
        due[1].due,
        NaiveDate::from_ymd_opt(2026, 9, 1).expect("a day")
    );
    assert_eq!(due[1].counted_from, CountedFrom::ExpectedDone(today()));
    assert_eq!(
        due[2].due,
        NaiveDate::from_ymd_opt(2027, 3, 1).expect("a day")
    );
}

#[test]
fn the_weekly_run_is_kept_with_the_checks_unless_it_is_owed() {
    let mut scene = Scene::inflatable();
    let told = without_history(&scene);
    assert_eq!(rounds(&told, "engine-run").len(), 0);
    let run = told
        .often
        .iter()
        .find(|it| it.inspection == Some(LineId::from("engine-run")));
    let run = run.expect("told");
    // Done today, every seven days for 366.
    assert_eq!((run.next, run.times, run.owed), (in_days(7), 52, false));
    scene.inspected("engine-run", 30, true);
    let told = without_history(&scene);
    let [owed] = rounds(&told, "engine-run")[..] else {
        panic!("{:?}", rounds(&told, "engine-run"));
    };
    assert_eq!(owed.planned, Planned::Not(WhyNoVisit::WithTheChecks));
    let check = told
        .often
        .iter()
        .find(|it| it.inspection.is_none())
        .expect("the boat check");
    assert!(check.times >= 52 && !check.owed);
}

#[test]
fn flares_that_run_out_are_wanted_and_those_on_the_shelf_that_run_out_before_are_not_counted() {
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 3).lots = vec![lot(3, 2026, Some(9), None)];
    let flares = scene
        .standard
        .items
        .iter()
        .position(|item| item.id.as_str() == "flare-red-hand");
    let flares = flares.expect("an item");
    add_shelf(&mut scene, &[(flares, 2, 2026)]);
    let told = without_history(&scene);
    let need = |told: &Ahead| {
        let mut needs = told.shelf.iter();
        needs
            .find(|it| it.item.as_str() == "flare-red-hand")
            .expect("wanted")
            .clone()
    };
    let out = NaiveDate::from_ymd_opt(2026, 9, 30).expect("a day");
    let item = told.due.iter().find(|item| matches!(&item.what, What::KitDate { item, .. } if item.as_str() == "flare-red-hand"));
    let item = item.expect("due");
    assert_eq!((item.due, item.uses[0].count), (out, 3));
    // Those of the shelf hold to the end of the year, then they are wanted once more.
    let first = need(&told);
    assert_eq!(
        (first.there, first.wanted[0].count, first.wanted[0].short),
        (2, 3, 1)
    );
    assert_eq!(first.wanted[1].count, 2);
    assert_eq!(first.short, 3);
    let lead = Duration::days(42);
    assert_eq!(first.order_by, first.by.map(|by| by - lead));
    // On a shelf that was counted too long ago nothing counts.
    let old = scene.side_at(counted("flare-red-hand", 9), NOON.plus_ms(-200 * DAY_MS));
    let key = (LineId::from("flare-red-hand"), None);
    let sides = Sides(vec![old]);
    scene.record(SHELF).counts.insert(key, sides);
    let second = need(&without_history(&scene));
    assert_eq!((second.there, second.not_counted, second.short), (0, 1, 3));
}
