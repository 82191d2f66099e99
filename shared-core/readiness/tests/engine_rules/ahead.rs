//! What comes due: the same days as the engine's answer, round after round, and laws of the plan.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike as _, Duration, NaiveDate};
use proptest::prelude::*;
use sponson_readiness::ahead::{
    Ahead, AheadAsked, By, CountedFrom, DueItem, On, Past, Planned, Standing, What, WhyNoVisit,
    ahead,
};
use sponson_readiness::answer::{Measure, Rule, Status};
use sponson_readiness::engine::{Question, answer};
use sponson_readiness::event::{
    Author, CylinderMarks, DateMark, GearKind, GearRegistered, Place, Plate, PumpMarks,
    SubjectKind, Use,
};
use sponson_readiness::history::{CraftPast, GearPast, History, InspectionPast, MeterPast};
use sponson_readiness::ids::{EventId, LineId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::{Inspection, Placement, Record, Sides};
use sponson_readiness::standard::Every;

use super::reached;
use super::scene::{CRAFT, DAY_MS, MOTOR, NOON, STATION, Scene, counted, lot};

const SHELF: SubjectId = SubjectId::from_bytes([31; 16]);
const CYLINDER: SubjectId = SubjectId::from_bytes([32; 16]);

fn asked(from: Moment) -> AheadAsked {
    AheadAsked {
        from,
        now: from,
        days: 366,
    }
}

fn looked(scene: &Scene, history: &History) -> Ahead {
    let mut asked = asked(scene.question.as_of);
    asked.now = scene.question.now;
    scene.of_county(|county| ahead(county, history, &asked))
}

fn without_history(scene: &Scene) -> Ahead {
    looked(scene, &History::empty(NOON))
}

/// What is overdue: craft, line, what it is on where that matters, and since when.
type Overdue = BTreeSet<(SubjectId, String, String, Option<NaiveDate>)>;

/// By the answers to the general question and to that of every mission.
fn by_engine(scene: &Scene) -> Overdue {
    let missions = scene.standard.missions.keys().cloned().map(Some);
    let mut earliest: BTreeMap<(SubjectId, String, String), Option<NaiveDate>> = BTreeMap::new();
    for mission in [None].into_iter().chain(missions) {
        let question = Question {
            mission,
            ..Question::general(scene.question.as_of, scene.question.now)
        };
        let answered = scene.of_county(|county| answer(county, &question));
        let used: BTreeSet<SubjectId> = answered
            .craft
            .iter()
            .filter(|craft| craft.status != Status::Condemned)
            .map(|craft| craft.id)
            .collect();
        for one in answered.overdue {
            if used.contains(&one.craft) {
                let on = match one.inspection.as_str() {
                    "requalification" => one.label,
                    _ => String::new(),
                };
                earliest.insert((one.craft, one.inspection.to_string(), on), one.due);
            }
        }
    }
    let all = earliest.into_iter();
    all.map(|((craft, line, on), since)| (craft, line, on, since))
        .collect()
}

fn by_ahead(scene: &Scene) -> Overdue {
    let mut earliest: BTreeMap<(SubjectId, String, String), Option<NaiveDate>> = BTreeMap::new();
    for item in without_history(scene).due {
        let since = match item.standing {
            Standing::Overdue { since, .. } => since,
            Standing::NeverDone => None,
            Standing::Failed | Standing::InTime => continue,
        };
        let (line, on) = match item.what {
            What::Inspection(line) | What::KitDate { item: line, .. } => {
                (line.to_string(), String::new())
            }
            What::Requalification | What::CylinderLife => {
                ("requalification".to_owned(), item.label.clone())
            }
            // Found as a count that is owed, and not listed as overdue; no standard has the others.
            What::SealTag | What::GearLife(_) | What::WaiverEnds(_) => continue,
        };
        let Some(craft) = item.craft else { continue };
        let known = earliest.entry((craft, line, on)).or_insert(since);
        *known = (*known).min(since);
    }
    let all = earliest.into_iter();
    all.map(|((craft, line, on), since)| (craft, line, on, since))
        .collect()
}

#[test]
fn what_is_overdue_now_is_what_the_answer_says_is_overdue() {
    let mut seen = 0;
    for (rule, makes, scene) in reached::all() {
        let engine = by_engine(&scene);
        seen += engine.len();
        assert_eq!(by_ahead(&scene), engine, "scene of {rule:?} {makes:?}");
    }
    assert!(seen > 20, "{seen} overdue in all scenes");
}

#[test]
fn a_tag_whose_date_has_passed_is_told_where_the_answer_says_that_a_count_is_owed() {
    let scenes = reached::all().into_iter();
    let scenes = scenes.filter(|(rule, ..)| *rule == Rule::CountOwed);
    for (_, makes, scene) in scenes {
        let tags = without_history(&scene).due.into_iter();
        let passed = tags.filter(|item| item.what == What::SealTag && item.standing.is_overdue());
        let owed = scene.finding(Rule::CountOwed).expect("reached");
        let by_date = owed
            .measured
            .is_some_and(|measured| matches!(measured, Measure::Date(_)));
        assert!(!by_date || passed.count() > 0, "{makes:?}");
    }
}

/// A county somewhat out of order: inspections long ago or failed, dates near and past, a cylinder.
fn scenes() -> impl Strategy<Value = Scene> {
    let inspections = prop::collection::vec((0_usize..30, 0_i64..900, 0_u8..10), 0..12);
    let dates = prop::collection::vec((0_usize..60, 1_u32..5, 2025_i32..2028, 1_u32..13), 0..8);
    let cylinder = (2008_i32..2026, 2018_i32..2026, any::<bool>());
    let stocked = prop::collection::vec((0_usize..60, 1_u32..5, 2025_i32..2029), 0..4);
    (inspections, dates, cylinder, stocked).prop_map(|(inspections, dates, cylinder, stocked)| {
        let mut scene = Scene::inflatable();
        for (line, days_ago, kind) in inspections {
            let lines = &scene.standard.inspections;
            let id = lines[line % lines.len()].id.clone();
            match kind {
                0 => {
                    scene.craft().inspections.remove(&id);
                }
                _ => {
                    scene.inspected(id.as_str(), days_ago, kind > 1);
                }
            }
        }
        for (line, count, year, month) in dates {
            let items = &scene.standard.items;
            let id = items[line % items.len()].id.clone();
            scene.count(id.as_str(), count + 2).lots = vec![
                lot(count, year, Some(month), None),
                lot(2, 2030, None, None),
            ];
        }
        add_cylinder(&mut scene, cylinder);
        add_shelf(&mut scene, &stocked);
        scene
    })
}

fn add_cylinder(scene: &mut Scene, (made, tested, is_aboard): (i32, i32, bool)) {
    let mark = |year| {
        Some(DateMark {
            year,
            month: Some(4),
            day: None,
        })
    };
    let mut record = Record::new(CYLINDER, SubjectKind::Gear);
    record.gear = scene.said(GearRegistered {
        batch: String::new(),
        number: "Cylinder 9".to_owned(),
        kind: GearKind::Cylinder,
        model: String::new(),
        station: STATION,
        mass_g: None,
        power_w: None,
        connector: String::new(),
        made: mark(made),
        cylinder: Box::new(CylinderMarks {
            specification: "composite".to_owned(),
            requalified: mark(tested.max(made)),
            ..CylinderMarks::default()
        }),
        pump: PumpMarks::default(),
    });
    record.number = scene.said("Cylinder 9".to_owned());
    record.place = scene.said(Placement {
        at: match is_aboard {
            true => Place::Craft(CRAFT),
            false => Place::Station(STATION),
        },
        part: None,
    });
    scene.records.insert(CYLINDER, record);
}

fn add_shelf(scene: &mut Scene, stocked: &[(usize, u32, i32)]) {
    let mut record = Record::new(SHELF, SubjectKind::Shelf);
    record.number = scene.said("Shelf 2".to_owned());
    record.place = scene.said(Placement {
        at: Place::Station(STATION),
        part: None,
    });
    for (line, count, year) in stocked {
        let items = &scene.standard.items;
        let id = items[line % items.len()].id.clone();
        let mut on_shelf = counted(id.as_str(), *count);
        on_shelf.lots = vec![lot(*count, *year, None, None)];
        record.counts.insert((id, None), scene.said(on_shelf));
    }
    scene.records.insert(SHELF, record);
}

/// The history of the scene's motor: meter values, days before noon and hours.
fn metered(values: &[(i64, u64)]) -> History {
    let mut history = History::empty(NOON);
    let meters = values
        .iter()
        .zip(0_u8..)
        .map(|((days_ago, hours), n)| MeterPast {
            event: EventId::from_bytes([n; 32]),
            at: NOON.plus_ms(-days_ago * DAY_MS),
            gear: Some(MOTOR),
            engine_s: hours * 3_600,
        });
    let past = GearPast {
        id: MOTOR,
        number: "Motor 3".to_owned(),
        kind: GearKind::Motor,
        model: String::new(),
        batch: String::new(),
        made: None,
        cylinder: CylinderMarks::default(),
        registered: NOON.plus_ms(-700 * DAY_MS),
        ended: None,
        stations: Vec::new(),
        on: Vec::new(),
        meters: meters.collect(),
        faults: Vec::new(),
        repairs: Vec::new(),
        sign_offs: Vec::new(),
        inspections: Vec::new(),
        gauges: Vec::new(),
        out: Vec::new(),
        unvouched: Vec::new(),
    };
    history.gear.insert(MOTOR, past);
    history
}

fn rounds<'a>(ahead: &'a Ahead, line: &str) -> Vec<&'a DueItem> {
    let what = What::Inspection(LineId::from(line));
    ahead.due.iter().filter(|item| item.what == what).collect()
}

/// Source: tests/reference/calendar-intervals.csv, python-dateutil and java.time, exact. Row by row
/// the next due day; and a row of several months as the round of a monthly line, which the row that
/// steps month by month from the day before does not give.
#[test]
fn due_days_are_those_of_the_reference_and_do_not_drift() {
    let rows = include_str!("../../../../tests/reference/calendar-intervals.csv");
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

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).expect("a day")
}

fn in_days(days: i64) -> NaiveDate {
    today() + Duration::days(days)
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

/// A craft of the scene's model that was always at its station.
fn craft_past(scene: &Scene) -> CraftPast {
    let long_ago = NOON.plus_ms(-900 * DAY_MS);
    CraftPast {
        id: CRAFT,
        number: "Boat 14".to_owned(),
        model: scene.standard.model.clone(),
        fabric: String::new(),
        batch: String::new(),
        plate: Plate::default(),
        registered: long_ago,
        ended: None,
        stations: vec![(long_ago, STATION)],
        uses: Vec::new(),
        meters: Vec::new(),
        faults: Vec::new(),
        noes: Vec::new(),
        repairs: Vec::new(),
        sign_offs: Vec::new(),
        readings: Vec::new(),
        air: Vec::new(),
        inspections: Vec::new(),
        checks: Vec::new(),
        fitted: Vec::new(),
        out: Vec::new(),
        unvouched: Vec::new(),
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

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn what_is_overdue_is_the_same_in_any_county(scene in scenes()) {
        prop_assert_eq!(by_ahead(&scene), by_engine(&scene));
    }

    #[test]
    fn every_item_is_done_by_one_visit_or_it_is_told_why_by_none(scene in scenes()) {
        let told = without_history(&scene);
        let window = Duration::days(i64::from(told.window_days));
        for (place, item) in told.due.iter().enumerate() {
            let of = told.visits.iter().filter(|visit| visit.items.contains(&place)).count();
            match item.planned {
                Planned::Visit(at) => {
                    let visit = &told.visits[at];
                    prop_assert_eq!(of, 1);
                    prop_assert!(visit.items.contains(&place));
                    prop_assert_eq!(Some(visit.station), item.station);
                    prop_assert!(visit.day <= item.due && visit.day >= item.due - window);
                    prop_assert!(visit.day >= told.from && visit.not_before <= visit.day);
                }
                Planned::Not(why) => {
                    prop_assert_eq!(of, 0);
                    prop_assert_eq!(why == WhyNoVisit::StationNotKnown, item.station.is_none());
                }
            }
        }
        // No round of a thing is done with the round before.
        for visit in &told.visits {
            let things: BTreeSet<(&On, &What)> =
                visit.items.iter().map(|at| (&told.due[*at].on, &told.due[*at].what)).collect();
            let lots = visit.items.iter().filter(|at| matches!(told.due[**at].what, What::KitDate { .. })).count();
            prop_assert!(things.len() + lots >= visit.items.len());
        }
        let counted: u32 = told.weeks.iter().map(|week| week.items).sum();
        prop_assert_eq!(counted as usize, told.due.len());
    }

    #[test]
    fn an_inspection_that_was_done_comes_due_no_longer_now(mut scene in scenes(), pick in any::<prop::sample::Index>()) {
        let due = without_history(&scene).due;
        let mut now: Vec<LineId> = Vec::new();
        for item in due {
            if let (What::Inspection(line), true) = (item.what, item.standing != Standing::InTime) {
                now.push(line);
            }
        }
        if !now.is_empty() {
            let line = pick.get(&now).clone();
            scene.inspected(line.as_str(), 0, true);
            let told = without_history(&scene);
            let is_later = |item: &&DueItem| item.standing == Standing::InTime && item.due > told.from;
            prop_assert!(rounds(&told, line.as_str()).iter().all(is_later));
        }
    }

    #[test]
    fn more_hours_on_the_meter_make_nothing_due_later(
        runs in prop::collection::vec(0_u64..30, 4..12),
        at_h in 0_u64..150,
        more_h in 0_u64..120,
        hard in any::<bool>(),
    ) {
        let mut hours = 0;
        let steps = i64::try_from(runs.len()).expect("few");
        let values: Vec<(i64, u64)> = runs.iter().zip(0_i64..).map(|(run, step)| {
            hours += run;
            ((steps - step) * 30, hours)
        }).collect();
        let history = metered(&values);
        let mut scene = Scene::inflatable();
        scene.inspected("engine-service", 40, true).engine_s = Some(0);
        let due = |scene: &Scene| {
            let told = looked(scene, &history);
            let due = rounds(&told, "engine-service");
            (due[0].due, due[0].between)
        };
        let meter = |scene: &mut Scene, hours: u64| {
            let meters = scene.said(hours * 3_600);
            scene.record(MOTOR).meters.insert(None, meters);
        };
        meter(&mut scene, at_h);
        let before = due(&scene);
        meter(&mut scene, at_h + more_h);
        if hard {
            let used = scene.side(Use { hard: true, ..Use::default() });
            scene.craft().uses.push(used);
        }
        let after = due(&scene);
        prop_assert!(after.0 <= before.0, "{before:?} {after:?}");
        if let (Some((one, _)), Some((other, _))) = (before.1, after.1) {
            prop_assert!(other <= one);
        }
    }

    #[test]
    fn less_on_the_shelf_never_means_less_to_order(mut scene in scenes(), pick in any::<prop::sample::Index>()) {
        let short = |scene: &Scene| -> BTreeMap<LineId, u32> {
            let told = without_history(scene);
            told.shelf.into_iter().map(|need| (need.item, need.short)).collect()
        };
        let before = short(&scene);
        let keys: Vec<_> = scene.record(SHELF).counts.keys().cloned().collect();
        if !keys.is_empty() {
            scene.record(SHELF).counts.remove(pick.get(&keys));
            let after = short(&scene);
            for (line, units) in before {
                prop_assert!(after.get(&line).is_some_and(|it| *it >= units), "{line}");
            }
        }
    }
}
