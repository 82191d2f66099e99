//! Chambers side by side by their leak: the figures of the findings, ranked; of which it is not known;
//! the line through the readings of each.

use sponson_readiness::answer::{LeakRate, Measure, Rule};
use sponson_readiness::chambers::{ChamberCurve, ChamberLeaks, Height, WhyNotKnown};
use sponson_readiness::engine::{chamber_curves, chamber_leaks};
use sponson_readiness::event::{AirChanged, AirDirection, ReadingMoment, Stowage};
use sponson_readiness::ids::PartId;
use sponson_readiness::leak::NotFitted;
use sponson_readiness::record::Recent;

use super::scene::{DAY_MS, NOON, Scene, reading};

const STILL: [&str; 3] = ["keel", "tube-1", "tube-2"];

/// The keel loses 3 mbar a day, tube 1 about 6, tube 2 holds.
fn three() -> Scene {
    let mut scene = Scene::inflatable();
    let past: &[(i64, i32, &[i64])] = &[
        (3, 20, &[238, 250, 238]),
        (2, 20, &[235, 244, 239]),
        (1, 20, &[232, 238, 238]),
    ];
    scene.past(&STILL, past);
    scene
}

fn leaks(scene: &Scene) -> ChamberLeaks {
    scene.of_county(|county| chamber_leaks(county, &scene.question))
}

fn curve(scene: &Scene, part: &str) -> ChamberCurve {
    let curves = scene.of_county(|county| chamber_curves(county, &scene.question));
    let mut of_part = curves
        .into_iter()
        .filter(|it| it.chamber.part == PartId::from(part));
    of_part.next().expect("a chamber")
}

fn rates_of_findings(scene: &Scene) -> Vec<LeakRate> {
    let why = scene.judged().why.into_iter();
    let leaks = why.filter(|it| matches!(it.rule, Rule::LeakShows | Rule::LeakOver));
    let rates = leaks.filter_map(|finding| match finding.measured {
        Some(Measure::Leak(rate)) => Some(rate),
        _ => None,
    });
    rates.collect()
}

#[test]
fn the_one_that_is_too_soft_first_comes_first_with_the_figures_of_its_finding() {
    let scene = three();
    let leaks = leaks(&scene);
    let parts: Vec<&str> = leaks
        .leaking
        .iter()
        .map(|one| one.chamber.part.as_str())
        .collect();
    assert_eq!(parts, ["tube-1", "keel"]);
    let days: Vec<_> = leaks
        .leaking
        .iter()
        .map(|one| one.rate.below_on.expect("a day"))
        .collect();
    assert!(days[0] < days[1], "{days:?}");
    assert_eq!(days[1].to_string(), "2026-03-04");
    let findings = rates_of_findings(&scene);
    for one in &leaks.leaking {
        assert!(findings.contains(&one.rate), "{one:?}");
        assert_eq!(one.height, Height::Stands);
        assert_eq!(one.evidence.len(), 3);
    }
    assert_eq!(findings.len(), 2);
    let holding: Vec<&str> = leaks
        .holding
        .iter()
        .map(|one| one.chamber.part.as_str())
        .collect();
    assert_eq!(holding, ["tube-2"]);
}

/// A colder launch never gives a later day, nor fewer chambers that are too soft.
#[test]
fn colder_is_never_later() {
    let mut scene = three();
    let mut before: Option<Vec<String>> = None;
    for celsius in [25, 20, 10, 0, -10] {
        scene.weather(celsius, celsius);
        let mut leaks = leaks(&scene);
        leaks.leaking.sort_by_key(|one| one.chamber.part.clone());
        let days = leaks.leaking.iter().filter_map(|one| one.rate.below_on);
        let days: Vec<String> = days.map(|day| day.to_string()).collect();
        if let Some(before) = before {
            assert_eq!(before.len(), days.len());
            let later = days.iter().zip(&before).any(|(day, before)| day > before);
            assert!(!later, "{celsius}: {days:?} after {before:?}");
        }
        before = Some(days);
    }
}

#[test]
fn what_is_not_known_stands_apart_with_why() {
    let why = |scene: &Scene| {
        let leaks = leaks(scene);
        let mut all = leaks.not_known.into_iter();
        let one = all.find(|one| one.chamber.part == PartId::from("keel"));
        one.map(|one| (one.why, one.hint.is_some()))
    };
    let of = |past: &[(i64, i32, &[i64])]| {
        let mut scene = Scene::inflatable();
        scene.past(&["keel"], past);
        scene
    };
    assert_eq!(
        why(&of(&[])),
        Some((WhyNotKnown::NotFitted(NotFitted::NoReading), false))
    );
    let once = of(&[(3, 20, &[238])]);
    assert_eq!(
        why(&once),
        Some((WhyNotKnown::NotFitted(NotFitted::OneReading), false))
    );
    let twice = of(&[(3, 20, &[238]), (1, 20, &[226])]);
    let few = WhyNotKnown::FewReadings {
        readings: 2,
        least: 3,
    };
    assert_eq!(why(&twice), Some((few, true)), "two readings hint");
    let mut rolled = three();
    let stowed = rolled.said(Stowage::Rolled);
    rolled.craft().stowage = stowed;
    assert_eq!(why(&rolled), Some((WhyNotKnown::Rolled, false)));
    assert!(leaks(&rolled).leaking.is_empty());
    let mut condemned = three();
    let origin = condemned.side(()).origin;
    condemned.craft().condemned.push(origin);
    let leaks = leaks(&condemned);
    assert!(leaks.leaking.is_empty() && leaks.not_known.is_empty());
}

#[test]
fn after_air_was_added_the_day_is_not_told() {
    let mut scene = three();
    let origin = scene.side_at((), NOON.plus_ms(-DAY_MS / 2)).origin;
    let air = AirChanged {
        part: PartId::from("tube-1"),
        direction: AirDirection::Added,
        before_pa: None,
        after_pa: None,
        air_mc: None,
        source: None,
        source_gear: None,
        source_after_kpa: None,
    };
    scene.recent("tube-1", Recent::Air(air), &origin);
    let leaks = leaks(&scene);
    let last = leaks.leaking.last().expect("two");
    assert_eq!(last.chamber.part.as_str(), "tube-1", "no day comes last");
    assert_eq!(
        (last.height, last.rate.below_on),
        (Height::ChangedSince, None)
    );
    // Its line ends where it is known.
    let curve = curve(&scene, "tube-1").curve.expect("a line");
    assert_eq!(curve.points.last().expect("points").at, curve.last);
}

#[test]
fn the_line_goes_through_the_readings_and_on_to_where_it_is_too_soft() {
    let scene = three();
    let keel = curve(&scene, "keel");
    let line = keel.curve.expect("a line");
    let (first, last) = (line.points[0], line.points[line.points.len() - 1]);
    assert_eq!(first.at, NOON.plus_ms(-3 * DAY_MS));
    assert_eq!(line.last, NOON.plus_ms(-DAY_MS));
    assert!(line.points.windows(2).all(|two| two[0].at < two[1].at));
    // 238 mbar at 20 °C: (101325 + 23800) x 288.15 / 293.15 - 101325 = 21666 Pa at 15 °C.
    assert!((first.line_pa - 21_666).abs() < 30, "{first:?}");
    // Least 220 mbar at 20 °C is 19897 Pa at 15 °C; the line passes it three days before its end.
    assert!((keel.least_pa - 19_897).abs() < 2, "{}", keel.least_pa);
    assert!(
        last.line_pa < keel.least_pa && last.at.since(NOON) > 2 * DAY_MS,
        "{last:?}"
    );
    // The further ahead, the wider.
    let width = |place: usize| {
        let (low, high) = line.points[place].between_pa.expect("three readings");
        high - low
    };
    assert!(width(line.points.len() - 1) > width(line.points.len() / 3));
    assert_eq!(keel.fitted.len(), 3);
}

/// As left against the next as found: the line has the height of the newest stretch from there on.
#[test]
fn the_line_begins_with_the_newest_stretch() {
    let mut scene = Scene::inflatable();
    scene.past(&["keel"], &[]);
    for days_ago in [15, 8] {
        let origin = scene.side_at((), NOON.plus_ms(-days_ago * DAY_MS)).origin;
        let found = reading("keel", 22_200);
        let mut left = reading("keel", 23_600);
        left.moment = ReadingMoment::AsLeft;
        scene.recent("keel", Recent::Read(found), &origin);
        scene.recent("keel", Recent::Read(left), &origin);
    }
    scene.past_goes_on("keel", 1, 222);
    let line = curve(&scene, "keel").curve.expect("a line");
    assert_eq!(line.points[0].at, NOON.plus_ms(-8 * DAY_MS));
}
