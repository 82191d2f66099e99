//! The record of hold tests, and the reading history of one craft.
//!
//! Sources: TM 5-1940-321-13&P p. 5-35 and 5-36 (30 mbar in 24 h, 4 mbar for each °C); the gas law.

use std::collections::BTreeMap;

use sponson_readiness::answer::KnownBy;
use sponson_readiness::chambers::ChamberCurve;
use sponson_readiness::doubted::Past;
use sponson_readiness::engine::{County, HoldNothing, NotUnderstood, Question, chamber_curves};
use sponson_readiness::event::{HoldDone, HoldPoint};
use sponson_readiness::history::{History, InspectionPast};
use sponson_readiness::holds_done::{HoldsDone, LossSaid, holds_done};
use sponson_readiness::ids::{LineId, PartId};
use sponson_readiness::leak::{Cut, HoldFault, HoldVerdict};
use sponson_readiness::read_back::{Happened, read_back};

use super::bay::{DAY_MS, START, added, craft, event, policy, read, standard, subject};

const HOUR_S: u32 = 3_600;

/// A test of the keel, so many days on: from 240 mbar at 20 °C to so many mbar at so many °C.
fn test(day: i64, end_mbar: i64, end_celsius: i32, hours: u32) -> InspectionPast {
    let point = |mbar: i64, celsius: i32| HoldPoint {
        gauge_pa: mbar * 100,
        air_mc: Some(celsius * 1_000),
        ambient_pa: Some(101_325),
    };
    InspectionPast {
        event: event(u32::try_from(day).expect("few") + 1),
        at: START.plus_ms(day * DAY_MS),
        by: read((event(0), START), "keel", None, (0.0, 0.0)).by,
        line: LineId::from("no-such-line"),
        passed: true,
        engine_s: None,
        run_s: None,
        holds: vec![HoldDone {
            part: PartId::from("keel"),
            start: point(240, 20),
            end: point(end_mbar, end_celsius),
            duration_s: hours * HOUR_S,
        }],
    }
}

fn held(tests: Vec<InspectionPast>) -> HoldsDone {
    let mut history = History::empty(START.plus_ms(4_000 * DAY_MS));
    let mut past = craft(subject(1, 0, 0), "Boat 1", standard().model);
    past.inspections = tests;
    history.crafts.insert(past.id, past);
    let standards = BTreeMap::from([(standard().model, standard())]);
    holds_done(Past {
        history: &history,
        policy: &policy(),
        standards: &standards,
        stations: &BTreeMap::new(),
    })
}

#[test]
fn each_test_is_told_by_both_rules() {
    // 10 °C colder: 40 mbar by the linear rule, 42.8 by the gas law (125325 x 10 / 293.15).
    let all = held(vec![test(1, 190, 10, 24), test(30, 165, 10, 24)]);
    let [newest, first] = all.tests.as_slice() else {
        panic!("{:?}", all.tests);
    };
    assert_eq!(
        (first.told.lost_linear_pa, first.told.lost_gas_pa),
        (1_000, 725)
    );
    assert_eq!(
        (first.told.verdict, first.nothing),
        (HoldVerdict::Passed, None)
    );
    // 35 mbar by the linear rule, 32.2 by the gas law: more than 30, though it was ticked as passed.
    assert_eq!(
        (newest.told.lost_linear_pa, newest.told.verdict),
        (3_500, HoldVerdict::TestForLeaks)
    );
    assert!(newest.entered_passed && newest.told.agree);
}

#[test]
fn what_proves_nothing_says_why_and_counts_in_no_course() {
    let all = held(vec![
        test(1, 239, 20, 3),
        test(2, 262, 20, 24),
        test(3, 239, 20, 40),
    ]);
    let why: Vec<Option<HoldNothing>> = all.tests.iter().map(|test| test.nothing).collect();
    let [long, gained, hour] = why.as_slice() else {
        panic!("{why:?}");
    };
    assert_eq!(*long, Some(HoldNothing::Fault(HoldFault::TooLong)));
    assert_eq!(*gained, Some(HoldNothing::Fault(HoldFault::Gained)));
    assert_eq!(*hour, None, "three hours are a one-hour test");
    assert!(all.courses.is_empty());
}

#[test]
fn losses_that_grow_are_told_and_few_or_scattered_ones_are_not_called_a_trend() {
    let course = |ends: &[i64]| {
        let tests = ends
            .iter()
            .zip(0..)
            .map(|(mbar, n)| test(1 + n * 180, *mbar, 20, 24));
        let all = held(tests.collect());
        let course = all.courses.first().expect("tested more than once");
        (
            course.said,
            course
                .losses
                .iter()
                .map(|(_, pa)| *pa)
                .collect::<Vec<i64>>(),
        )
    };
    assert_eq!(
        course(&[238, 235, 229]),
        (LossSaid::TooFew, vec![200, 500, 1_100])
    );
    assert_eq!(course(&[238, 235, 231, 228, 224]).0, LossSaid::Grows);
    assert_eq!(course(&[224, 228, 231, 235, 238]).0, LossSaid::Shrinks);
    assert_eq!(course(&[238, 230, 239, 231, 236]).0, LossSaid::NoTrend);
    assert_eq!(
        course(&[236, 236, 236, 236]).0,
        LossSaid::NoTrend,
        "all alike"
    );
}

/// A longer test of the same sort is brought to the least time: 24 mbar in 30 h are 19.2 in 24 h.
#[test]
fn losses_are_brought_to_one_length() {
    let all = held(vec![test(1, 216, 20, 30), test(100, 216, 20, 24)]);
    let losses: Vec<i64> = all.courses[0].losses.iter().map(|(_, pa)| *pa).collect();
    assert_eq!(losses, [1_920, 2_400]);
}

#[test]
fn a_reading_is_told_as_read_and_at_one_temperature_and_cuts_between() {
    let mut history = History::empty(START.plus_ms(400 * DAY_MS));
    let mut past = craft(subject(1, 0, 0), "Boat 1", standard().model);
    let at = |day: i64| START.plus_ms(day * DAY_MS);
    past.readings
        .push(read((event(1), at(1)), "keel", None, (238.0, 20.0)));
    let mut unknown = read((event(2), at(2)), "keel", None, (230.0, 20.0));
    unknown.reading.stood_s = None;
    past.readings.push(unknown);
    past.air.push(added((event(3), at(3)), "keel"));
    past.readings
        .push(read((event(4), at(4)), "tube-1", None, (240.0, 15.0)));
    history.crafts.insert(past.id, past.clone());
    let (standards, policy) = (BTreeMap::from([(standard().model, standard())]), policy());
    let looked = Past {
        history: &history,
        policy: &policy,
        standards: &standards,
        stations: &BTreeMap::new(),
    };
    let shown = read_back(looked, &past, curves(&standards));
    assert_eq!(shown.chambers.len(), curves(&standards).len());
    let keel = shown
        .chambers
        .iter()
        .find(|it| it.curve.chamber.part == PartId::from("keel"));
    let [
        Happened::Read(first),
        Happened::Read(second),
        Happened::Cut(when, cut),
    ] = keel.expect("a keel").happened.as_slice()
    else {
        panic!("{keel:?}");
    };
    // (101325 + 23800) x 288.15 / 293.15 - 101325.
    assert_eq!(
        (first.past.reading.gauge_pa, first.corrected_pa),
        (23_800, Some(21_666))
    );
    assert_eq!(second.corrected_pa, None, "nobody said that it had stood");
    assert_eq!((*when, *cut), (at(3), Cut::AirAdded));
}

/// Of a craft of the sheet that nobody has read: chambers without a line.
fn curves(
    standards: &BTreeMap<sponson_readiness::ids::ModelId, sponson_readiness::standard::Standard>,
) -> Vec<ChamberCurve> {
    use sponson_readiness::event::{CraftRegistered, Plate, SubjectKind};
    use sponson_readiness::moment::Interval;
    use sponson_readiness::record::{Origin, Record, Side, Sides};
    let registered = CraftRegistered {
        number: "Boat 1".to_owned(),
        model: standard().model,
        station: subject(5, 0, 0),
        plate: Plate::default(),
        fabric: String::new(),
        batch: String::new(),
    };
    let origin = Origin {
        event: event(9),
        author: read((event(0), START), "keel", None, (0.0, 0.0)).by,
        interval: Interval {
            early: Some(START),
            late: Some(START),
            claimed: START,
        },
        trust: sponson_readiness::event::Trust::Trusted,
    };
    let mut record = Record::new(subject(1, 0, 0), SubjectKind::Craft);
    record.craft = Sides(vec![Side {
        value: registered,
        origin,
    }]);
    let county = County {
        policy: &policy(),
        standards,
        stations: &BTreeMap::new(),
        records: &BTreeMap::from([(record.subject, record)]),
        not_understood: &NotUnderstood::default(),
        known_by: &KnownBy {
            log_id: [0; 16],
            size: 0,
            root: [0; 32],
            beyond: 0,
        },
    };
    chamber_curves(&county, &Question::general(START, START))
}
