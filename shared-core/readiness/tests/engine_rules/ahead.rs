//! What comes due: the same days as the engine's answer, round after round, and laws of the plan.

#[path = "ahead/late.rs"]
mod late;
#[path = "ahead/laws.rs"]
mod laws;
#[path = "ahead/rounds.rs"]
mod rounds;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Duration, NaiveDate};
use proptest::prelude::*;
use sponson_readiness::ahead::{Ahead, AheadAsked, DueItem, Standing, What, ahead};
use sponson_readiness::answer::{Measure, Rule, Status};
use sponson_readiness::engine::{Question, answer};
use sponson_readiness::event::{
    CylinderMarks, DateMark, GearKind, GearRegistered, Place, PumpMarks, SubjectKind,
};
use sponson_readiness::history::{GearPast, History, MeterPast};
use sponson_readiness::ids::{EventId, LineId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::{Placement, Record};

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

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).expect("a day")
}

fn in_days(days: i64) -> NaiveDate {
    today() + Duration::days(days)
}
