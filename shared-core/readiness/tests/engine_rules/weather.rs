//! Light, wind, current and towing, and what is assumed of them.

use sponson_readiness::answer::{Assumed, Effect, Limit, Measure, Readiness, Rule};
use sponson_readiness::conditions::{Conditions, Dark, Light, Lights, Position, Tow, Visibility};
use sponson_readiness::event::AnswerValue;
use sponson_readiness::ids::{LineId, MissionId};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{Standard, Towing};

use super::scene::{HOUR_MS, NOON, Scene};

fn hour(hours: i64) -> Moment {
    NOON.plus_ms(hours * HOUR_MS)
}

/// Sunset 6 h after noon, sunrise 18 h after it.
fn place() -> Conditions {
    Conditions {
        position: Some(Position {
            lat_e7: 449_000_000,
            lon_e7: -1_032_000_000,
        }),
        light: vec![Light {
            from: hour(-30),
            to: hour(60),
            dark: vec![
                (hour(-18), hour(-6)),
                (hour(6), hour(18)),
                (hour(30), hour(42)),
            ],
        }],
        ..Conditions::NONE
    }
}

fn without_lights() -> Scene {
    let mut scene = Scene::inflatable();
    let no = scene.said(AnswerValue::No);
    scene.craft().answers.insert(LineId::from("nav-lights"), no);
    scene
}

/// A craft with dead lights works by daylight, and not in a job that runs into the dark.
#[test]
fn dead_lights_and_the_dark_of_the_job() {
    let from = |hours| Lights::NeededFrom(hour(hours));
    for (starts, duration_h, lights, readiness) in [
        (0, 3, Lights::NotNeeded, Readiness::ReadyWithLimits),
        (0, 6, Lights::NotNeeded, Readiness::ReadyWithLimits),
        (0, 7, from(6), Readiness::NotReady),
        (4, 3, from(6), Readiness::NotReady),
    ] {
        let mut scene = without_lights();
        scene.question.as_of = hour(starts);
        scene.question.now = hour(starts);
        scene.question.conditions = Conditions {
            duration_s: Some(duration_h * 3_600),
            ..place()
        };
        let asked = scene.answer().asked;
        assert_eq!(asked.lights, lights, "{starts} for {duration_h}");
        assert_eq!(scene.readiness(), readiness, "{starts} for {duration_h}");
        let said = scene.finding(Rule::LightsNeeded);
        let from = lights.from().map(Measure::Moment);
        assert_eq!(said.and_then(|it| it.measured), from);
    }
}

#[test]
fn not_known_whether_it_is_dark_leaves_daylight_only() {
    let scene = without_lights();
    let asked = scene.answer().asked;
    assert_eq!(
        (asked.dark, asked.lights),
        (Dark::NotKnown, Lights::NotKnown)
    );
    assert!(asked.assumed.contains(&Assumed::Place));
    assert_eq!(
        scene.effect(Rule::LineNo),
        Some(Effect::Limit(Limit::DaylightOnly))
    );
    assert_eq!(scene.finding(Rule::LightsNeeded), None);
}

#[test]
fn working_lights_work_by_night_and_in_fog() {
    let mut scene = Scene::inflatable();
    scene.question.conditions = Conditions {
        duration_s: Some(8 * 3_600),
        visibility: Some(Visibility::Restricted),
        ..place()
    };
    assert_eq!(scene.readiness(), Readiness::Ready);
}

/// Seeing less far than the county's setting is restricted visibility: 2 nautical miles.
#[test]
fn restricted_visibility_wants_lights_by_day() {
    for (visibility, needed) in [
        (Visibility::Clear, false),
        (Visibility::Metres(3_704), false),
        (Visibility::Metres(3_703), true),
        (Visibility::Restricted, true),
    ] {
        let mut scene = without_lights();
        scene.question.conditions = Conditions {
            visibility: Some(visibility),
            ..place()
        };
        let is_needed = scene.answer().asked.lights == Lights::NeededFrom(NOON);
        assert_eq!(is_needed, needed, "{visibility:?}");
        let not_ready = scene.readiness() == Readiness::NotReady;
        assert_eq!(not_ready, needed, "{visibility:?}");
    }
}

/// The mission's own limit stands before the craft's; at the limit it may go.
#[test]
fn wind_and_current_against_the_limits_of_the_mission() {
    let kn = |knots: u32| knots * 1_852_000 / 3_600;
    let cases = [
        ("lake", kn(25), kn(4), None),
        ("lake", kn(26), 0, Some(Rule::WindOver)),
        ("lake", 0, kn(5), Some(Rule::CurrentOver)),
        ("swiftwater", kn(25), kn(8), None),
        ("swiftwater", 0, kn(9), Some(Rule::CurrentOver)),
    ];
    for (mission, wind, current, rule) in cases {
        let mut scene = Scene::inflatable();
        scene.question.mission = Some(MissionId::from(mission));
        scene.question.conditions.wind_mm_s = Some(wind);
        scene.question.conditions.current_mm_s = Some(current);
        let why = scene.judged().why;
        let found = why.iter().find(|it| it.effect == Effect::NotReady);
        let named = format!("{mission} {wind} {current}: {why:?}");
        assert_eq!(found.map(|it| it.rule), rule, "{named}");
    }
}

#[test]
fn towing_as_the_boat_standard_says() {
    for (may, rule) in [
        (Some(Towing::Yes), None),
        (Some(Towing::No), Some(Rule::TowNotAllowed)),
        (None, Some(Rule::LimitNotSet)),
    ] {
        let mut scene = Scene::inflatable();
        scene.standard.limits.every.tow = may;
        assert_eq!(scene.finding(Rule::LimitNotSet), None, "nothing to tow");
        scene.question.conditions.tow = Tow::Yes;
        let why = scene.judged().why;
        assert_eq!(why.first().map(|it| it.rule), rule, "{may:?}");
    }
}

#[test]
fn a_limit_that_is_not_set_is_said_and_a_wind_not_given_is_assumed_within() {
    let mut scene = Scene::inflatable();
    let assumed = scene.answer().asked.assumed;
    assert!(assumed.contains(&Assumed::Wind) && assumed.contains(&Assumed::Current));
    scene.standard.limits = Default::default();
    scene.question.conditions.wind_mm_s = Some(50_000);
    assert_eq!(scene.readiness(), Readiness::Ready);
    assert_eq!(scene.effect(Rule::LimitNotSet), Some(Effect::Note));
    let assumed = scene.answer().asked.assumed;
    assert!(!assumed.contains(&Assumed::Wind));
}

/// A sheet that was signed before there were limits still parses, and limits nothing.
#[test]
fn a_sheet_without_limits_parses() {
    let scene = Scene::inflatable();
    assert!(scene.standard.limits.cited.is_some());
    let (_, text) = sponson_readiness::standard::built_in()
        .into_iter()
        .find(|(name, _)| *name == "inflatable-14")
        .expect("built in");
    let (before, rest) = text.split_once("[limits]").expect("limits");
    let (_, after) = rest.split_once("[missions]").expect("missions");
    let older = format!("{before}[missions]{after}");
    let older = Standard::parse(&older).expect("an older sheet");
    assert_eq!(older.limits.cited, None);
    assert_eq!(older.limits.every.wind_mm_s, None);
    let wrong = text.replace("wind = \"25 kn\"", "wind = \"25\"");
    let refusal = Standard::parse(&wrong).expect_err("no unit").to_string();
    assert!(refusal.contains("limits: wind is 25"), "{refusal}");
}
