//! What an answer would be if something were recorded: the same as after recording it, and nothing
//! is kept by asking.

use std::collections::BTreeSet;

use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use sponson_log::ids::SubjectId;
use sponson_proto::event::v1::{self as wire, Kind, SubjectType};
use sponson_readiness::answer::Rule;
use sponson_readiness::asked_back::AskedWhy;
use sponson_readiness::engine::Question;
use sponson_readiness::ids::SubjectId as TradeId;
use sponson_readiness::standard::Standard;
use sponson_replica::{AppendError, Held, NewEvent, Now, TRIED_MAX};

use crate::asking::{checked, question};
use crate::county::{
    CRAFT, DAY, MINUTE, MOTOR, NORTH, Placed, SHEET, SOUTH, START, craft_registered, event, join,
    now, stranger, sync,
};

const TWIN: SubjectId = SubjectId::from_bytes([0xc2; 16]);
const BAG: SubjectId = SubjectId::from_bytes([0xb3; 16]);

fn trade(id: SubjectId) -> TradeId {
    TradeId::from_bytes(*id.as_bytes())
}

/// A device that was started on the second day, whose clock nobody set since.
fn clock(unix_ms: i64) -> Now {
    Now {
        boot_id: [9; 16],
        monotonic_ms: u64::try_from(unix_ms - START).expect("after the start"),
        ..now(unix_ms)
    }
}

/// What somebody enters, by numbers alone.
#[derive(Clone, Debug)]
struct Entered {
    extent: i32,
    gauges: Vec<(usize, i64, bool)>,
    counts: Vec<(usize, u32, bool)>,
    answers: Vec<(usize, i32)>,
    meter_s: Option<u64>,
    fuel_ml: Option<u32>,
    fault: Option<usize>,
    stowage: i32,
    /// Minutes before now; none for just now.
    observed_before: Option<i64>,
    /// Air that was added to a part before.
    air: Option<usize>,
    member: u32,
}

fn entered() -> impl Strategy<Value = Entered> {
    let gauges = prop::collection::vec((0_usize..7, 0_i64..400, any::<bool>()), 0..4);
    let counts = prop::collection::vec((0_usize..20, 0_u32..12, any::<bool>()), 0..4);
    let answers = prop::collection::vec((0_usize..17, 1_i32..4), 0..4);
    let seen = (
        prop::option::of(0_u64..100_000),
        prop::option::of(0_u32..60_000),
    );
    let rest = (
        prop::option::of(0_usize..7),
        0_i32..4,
        prop::option::of(1_i64..4_000),
        prop::option::of(0_usize..7),
        1_u32..3,
    );
    (1_i32..4, gauges, counts, answers, seen, rest).prop_map(
        |(extent, gauges, counts, answers, (meter_s, fuel_ml), rest)| Entered {
            extent,
            gauges,
            counts,
            answers,
            meter_s,
            fuel_ml,
            fault: rest.0,
            stowage: rest.1,
            observed_before: rest.2,
            air: rest.3,
            member: rest.4,
        },
    )
}

impl Entered {
    fn events(&self, unix_ms: i64) -> Vec<NewEvent> {
        let sheet = Standard::parse(SHEET).expect("the sheet can be read");
        let part = |at: usize| sheet.parts[at].id.as_str().to_owned();
        let air = self.air.map(|at| {
            let payload = wire::AirChanged {
                part: part(at),
                direction: wire::AirDirection::Added as i32,
                source: wire::AirSource::FootPump as i32,
                ..wire::AirChanged::default()
            };
            event(Kind::AirChanged, &payload)
        });
        let events = air.into_iter().chain([self.check(&sheet)]);
        let observed = self.observed_before.map(|minutes| {
            let at = unix_ms - minutes * MINUTE;
            (at, at)
        });
        let mut events: Vec<NewEvent> = events.collect();
        for event in &mut events {
            event.observed = observed;
            event.member = self.member.to_string();
        }
        events
    }

    fn check(&self, sheet: &Standard) -> NewEvent {
        let once = |mut all: Vec<(usize, i64, bool)>| {
            all.sort_unstable();
            all.dedup_by_key(|(at, _, _)| *at);
            all
        };
        let readings = once(self.gauges.clone()).into_iter();
        let readings = readings.map(|(at, mbar, is_left)| wire::Reading {
            part: sheet.parts[at].id.as_str().to_owned(),
            moment: 1 + i32::from(is_left),
            gauge_pa: mbar * 100,
            air_mc: Some(15_000),
            stood_s: Some(20_000),
            ..wire::Reading::default()
        });
        let mut counted = BTreeSet::new();
        let counts = self
            .counts
            .iter()
            .filter(|count| counted.insert((count.0, count.2)));
        let counts = counts.map(|(at, count, in_bag)| wire::ItemCount {
            item: sheet.items[*at].id.as_str().to_owned(),
            count: *count,
            bag: if *in_bag {
                BAG.to_bytes()
            } else {
                bytes::Bytes::new()
            },
            ..wire::ItemCount::default()
        });
        let mut asked = BTreeSet::new();
        let answers = self.answers.iter().filter(|answer| asked.insert(answer.0));
        let answers = answers.map(|(at, value)| wire::Answer {
            line: sheet.questions[*at].id.as_str().to_owned(),
            value: *value,
            not_applicable: i32::from(*value == wire::AnswerValue::NotApplicable as i32),
        });
        let meters = self.meter_s.map(|engine_s| wire::MeterReading {
            subject: MOTOR.to_bytes(),
            engine_s,
        });
        let fuel = self.fuel_ml.map(|amount_ml| wire::FuelAboard {
            amount_ml,
            ..wire::FuelAboard::default()
        });
        let faults = self.fault.map(|at| wire::FaultFound {
            part: sheet.parts[at].id.as_str().to_owned(),
            class: "leak".to_owned(),
            severity: wire::Severity::Restrictive as i32,
            ..wire::FaultFound::default()
        });
        let check = wire::Check {
            extent: self.extent,
            readings: readings.collect(),
            counts: counts.collect(),
            answers: answers.collect(),
            meters: meters.into_iter().collect(),
            fuel: fuel.into_iter().collect(),
            faults: faults.into_iter().collect(),
            stowage: self.stowage,
            ..wire::Check::default()
        };
        let mut event = event(Kind::Check, &check);
        event.subjects.push((MOTOR, SubjectType::Gear));
        event.subjects.push((BAG, SubjectType::Bag));
        event
    }
}

/// Everything that asking must leave as it is.
fn kept(placed: &mut Placed) -> (Held, usize, Vec<Vec<u8>>) {
    (
        placed.replica.held(),
        placed.events().len(),
        placed.record_bytes(),
    )
}

/// Tries a batch, then records it: both give one answer for the craft, and trying kept nothing.
fn check(placed: &mut Placed, batch: &[Entered], unix_ms: i64) {
    let now = clock(unix_ms);
    let events: Vec<NewEvent> = batch.iter().flat_map(|one| one.events(unix_ms)).collect();
    let asked = Question {
        craft: Some(trade(CRAFT)),
        ..question(unix_ms)
    };
    let before = kept(placed);
    let tried = placed
        .replica
        .try_record(events.clone(), trade(CRAFT), &asked, &now)
        .expect("every one can be recorded");
    assert_eq!(kept(placed), before, "nothing is written");
    for event in events {
        placed.replica.append(event, &now).expect("it was tried");
    }
    let recorded = placed.replica.ask_by_clock(&asked, &now);
    assert_eq!(tried.answer.craft, recorded.craft);
    assert_eq!(tried.craft.as_ref(), recorded.craft.first());
    assert_eq!(tried.answer.missing_kit, recorded.missing_kit);
    assert_eq!(tried.answer.overdue, recorded.overdue);
    assert_eq!(tried.answer.disagreements, recorded.disagreements);
}

/// Random batches on one replica, one after another.
fn run(cases: u32, mut placed: Placed) {
    let config = Config {
        cases,
        failure_persistence: None,
        ..Config::default()
    };
    let batches = prop::collection::vec(entered(), 1..3);
    let mut unix_ms = START + 2 * DAY;
    let placed = std::cell::RefCell::new(&mut placed);
    let at = std::cell::RefCell::new(&mut unix_ms);
    let tested = TestRunner::new_with_rng(
        config.clone(),
        proptest::test_runner::TestRng::deterministic_rng(config.rng_algorithm),
    )
    .run(&batches, |batch| {
        let mut at = at.borrow_mut();
        **at += 7 * MINUTE;
        check(&mut placed.borrow_mut(), &batch, **at);
        Ok(())
    });
    tested.unwrap_or_else(|error| panic!("{error}"));
}

#[test]
fn at_a_station_what_is_tried_is_what_recording_gives() {
    let (_, station) = checked();
    run(40, station);
}

#[test]
fn at_the_county_what_is_tried_is_what_recording_gives() {
    let (county, _) = checked();
    run(20, county);
}

#[test]
fn of_a_boat_that_was_registered_twice_what_is_tried_is_what_recording_gives() {
    let (_, mut station) = checked();
    let of_twin = |event: NewEvent| NewEvent {
        subjects: vec![(TWIN, SubjectType::Craft)],
        ..event
    };
    let at = START + DAY + 10 * MINUTE;
    station.append(of_twin(craft_registered("41", SOUTH)), at);
    let same = wire::SameAs {
        one: CRAFT.to_bytes(),
        other: TWIN.to_bytes(),
    };
    let mut same = event(Kind::SameAs, &same);
    same.subjects.push((TWIN, SubjectType::Craft));
    station.append(same, at);
    run(20, station);
}

#[test]
fn of_a_device_that_nobody_admitted_what_is_tried_is_what_recording_gives() {
    let (mut county, _) = checked();
    let mut unknown = join(stranger());
    sync(&mut unknown, &mut county, START + 2 * DAY);
    run(20, unknown);
}

#[test]
fn what_would_be_refused_is_refused_when_it_is_tried() {
    let (_, mut station) = checked();
    let unix_ms = START + 2 * DAY;
    let mut tried = |events: Vec<NewEvent>| {
        let asked = question(unix_ms);
        let tried = station
            .replica
            .try_record(events, trade(CRAFT), &asked, &clock(unix_ms));
        tried.expect_err("it cannot be recorded")
    };
    let wrong = wire::Check {
        readings: vec![wire::Reading {
            part: String::new(),
            ..wire::Reading::default()
        }],
        ..wire::Check::default()
    };
    assert!(matches!(
        tried(vec![event(Kind::Check, &wrong)]),
        AppendError::Parse(_)
    ));
    let mut late = event(Kind::Check, &wire::Check::default());
    late.observed = Some((unix_ms + DAY, unix_ms + DAY));
    assert!(matches!(tried(vec![late]), AppendError::Value { .. }));
    let one = craft_registered("9", NORTH);
    assert!(matches!(
        tried(vec![one; TRIED_MAX + 1]),
        AppendError::Value { .. }
    ));
}

#[test]
fn an_unlikely_entry_is_asked_back_and_judged_alike() {
    let (_, mut station) = checked();
    let unix_ms = START + 2 * DAY;
    let payload = wire::Check {
        extent: wire::CheckExtent::Part as i32,
        readings: vec![wire::Reading {
            part: "tube-1".to_owned(),
            moment: wire::ReadingMoment::AsFound as i32,
            gauge_pa: 110_000,
            air_mc: Some(15_000),
            stood_s: Some(20_000),
            ..wire::Reading::default()
        }],
        ..wire::Check::default()
    };
    let check = event(Kind::Check, &payload);
    let asked = question(unix_ms);
    let tried = station
        .replica
        .try_record(vec![check], trade(CRAFT), &asked, &clock(unix_ms))
        .expect("it can be recorded");
    assert!(matches!(
        &tried.asked_back[..],
        [one] if matches!(&one.why, AskedWhy::OtherPart { fits, .. } if fits.as_str() == "floor")
    ));
    let why = &tried.craft.expect("known").why;
    assert!(
        why.iter()
            .any(|finding| finding.rule == Rule::PressureImplausible)
    );
}

#[test]
fn what_is_on_a_craft_is_told_for_the_walk_round_it() {
    let (_, mut station) = checked();
    let walk = station
        .replica
        .walk_of(trade(CRAFT))
        .expect("its sheet is in force");
    assert_eq!(walk.standard.model.as_str(), "inflatable-14");
    let gear: Vec<&str> = walk
        .aboard
        .gear
        .iter()
        .map(|gear| gear.number.as_str())
        .collect();
    assert_eq!(gear, ["M-7"]);
    assert_eq!(walk.aboard.on_craft.len(), walk.standard.items.len());
    assert!(station.replica.walk_of(trade(TWIN)).is_none());
}
