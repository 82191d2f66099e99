//! Fuel by amount, age and mix; tanks and lines by connector; and where a tank counts.

use sponson_readiness::answer::{Differ, Effect, Limit, Measure, Readiness, Rule, Until};
use sponson_readiness::event::{DateMark, Fuel, GearKind, Place};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::record::{Placement, Record, Sides};
use sponson_readiness::standard::{Policy, RuleEffect};

use super::scene::{CRAFT, MOTOR, NOON, OTHER_CRAFT, Scene};

const TANK: SubjectId = SubjectId::from_bytes([41; 16]);
const LINE: SubjectId = SubjectId::from_bytes([42; 16]);
const DAY_MS: i64 = 86_400_000;
const NO_POWER: Option<Effect> = Some(Effect::Limit(Limit::NoPower));

fn mark(year: i32, month: u32, day: u32) -> Option<DateMark> {
    Some(DateMark {
        year,
        month: Some(month),
        day: (day > 0).then_some(day),
    })
}

fn fuel(amount_ml: u32) -> Fuel {
    Fuel {
        tank: None,
        amount_ml,
        filled: mark(2026, 2, 20),
        mix: None,
    }
}

/// A craft whose fixed tank holds this; noon is 2026-03-01.
fn holding(fuel: Fuel) -> Scene {
    let mut scene = Scene::inflatable();
    let sides = scene.said(fuel);
    scene.craft().fuel.insert(None, sides);
    scene
}

/// A piece of gear like the motor, of another sort and connector, at a place.
fn gear(scene: &mut Scene, id: SubjectId, kind: GearKind, connector: &str, at: Place) -> Record {
    let mut record = scene.record(MOTOR).clone();
    record.subject = id;
    record.gear.0[0].value.kind = kind;
    record.gear.0[0].value.connector = connector.to_owned();
    record.meters.clear();
    record.place = scene.said(Placement { at, part: None });
    record
}

/// 3 US gal for lake, 6 for search: the sheet's.
#[test]
fn too_little_for_the_mission_means_no_power() {
    for (amount_ml, mission, effect) in [
        (11_356, "lake", None),
        (11_355, "lake", NO_POWER),
        (11_356, "search", NO_POWER),
        (22_712, "search", None),
        (0, "lake", NO_POWER),
    ] {
        let mut scene = holding(fuel(amount_ml));
        scene.mission(mission);
        assert_eq!(
            scene.effect(Rule::FuelShort),
            effect,
            "{amount_ml} ml, {mission}"
        );
    }
    let finding = holding(fuel(5_000))
        .finding(Rule::FuelShort)
        .expect("little");
    assert_eq!(finding.measured, Some(Measure::VolumeMl(5_000)));
}

/// 30 and 90 days: settings of the county, common practice.
#[test]
fn old_fuel_is_changed_soon_then_counts_nothing() {
    let soon = Some(Effect::Limit(Limit::DoSoon(LineId::from("fuel"))));
    for (filled, old, short) in [
        (mark(2026, 1, 30), None, None),
        (mark(2026, 1, 29), soon.clone(), None),
        (mark(2025, 12, 1), soon.clone(), None),
        (mark(2025, 11, 30), Some(Effect::Note), NO_POWER),
        // A mark without a day is taken at its beginning, which is worse.
        (mark(2025, 12, 0), soon, None),
        (None, None, None),
    ] {
        let filled_fuel = Fuel {
            filled,
            ..fuel(20_000)
        };
        let scene = holding(filled_fuel);
        assert_eq!(scene.effect(Rule::FuelOld), old, "{filled:?}");
        assert_eq!(scene.effect(Rule::FuelShort), short, "{filled:?}");
    }
    let mut scene = holding(Fuel {
        filled: mark(2025, 11, 30),
        ..fuel(20_000)
    });
    scene.policy.fuel.fail_days = 120;
    assert_eq!(scene.effect(Rule::FuelShort), None);
}

#[test]
fn a_policy_without_ages_has_the_defaults() {
    let text = Policy::default_text();
    let (before, rest) = text.split_once("\n[fuel]").expect("a table of fuel");
    let after = rest.find("\n[").map_or("", |at| &rest[at..]);
    let without = format!("{before}{after}");
    let old = Policy::parse(&without).expect("an older policy");
    let new = Policy::parse(text).expect("the policy");
    assert_eq!(old.fuel, new.fuel);
    assert_eq!((new.fuel.warn_days, new.fuel.fail_days), (30, 90));
    let wrong = text.replacen("warn = \"30 days\"", "warn = \"100 days\"", 1);
    let refusal = Policy::parse(&wrong).expect_err("warns after it fails");
    assert!(refusal.to_string().contains("at most fail"), "{refusal}");
}

#[test]
fn fuel_of_another_mix_counts_nothing() {
    for (wanted, mix, wrong) in [
        (None, None, false),
        (Some(50), Some(50), false),
        (Some(50), None, true),
        (Some(50), Some(100), true),
        (None, Some(50), true),
    ] {
        let mut scene = holding(Fuel {
            mix,
            ..fuel(20_000)
        });
        let rule = scene.standard.fuel.as_mut().expect("fuel");
        rule.mix = wanted;
        assert_eq!(
            scene.finding(Rule::FuelMixWrong).is_some(),
            wrong,
            "{mix:?}"
        );
        assert_eq!(scene.finding(Rule::FuelShort).is_some(), wrong, "{mix:?}");
    }
}

#[test]
fn the_worse_side_of_a_tank_counts_and_untrusted_ones_only_send_to_look() {
    let mut scene = holding(fuel(20_000));
    let less = scene.side(fuel(1_000));
    scene
        .craft()
        .fuel
        .get_mut(&None)
        .expect("said")
        .0
        .push(less);
    assert_eq!(scene.effect(Rule::FuelShort), NO_POWER);
    let differ = scene.answer().disagreements;
    assert_eq!(differ.len(), 1);
    assert_eq!(
        (differ[0].differ, &differ[0].until),
        (Differ::Fuel, &Until::Side(1))
    );
    let mut scene = holding(fuel(20_000));
    scene.standard.fuel.as_mut().expect("fuel").short = RuleEffect::NotReady;
    let doubt = scene.untrusted(fuel(0));
    scene
        .craft()
        .fuel
        .get_mut(&None)
        .expect("said")
        .0
        .push(doubt);
    assert_eq!(scene.effect(Rule::FuelShort), Some(Effect::Unproven));
    // One that nobody trusts fills no tank.
    let mut scene = holding(fuel(1_000));
    let more = scene.untrusted(fuel(20_000));
    scene
        .craft()
        .fuel
        .get_mut(&None)
        .expect("said")
        .0
        .push(more);
    assert_eq!(scene.effect(Rule::FuelShort), NO_POWER);
}

/// A numbered tank counts where it is, once, and only where its connector is the motor's.
#[test]
fn a_tank_counts_where_it_is_and_where_it_fits() {
    let with = |connector: &str, at: Place| {
        let mut scene = holding(fuel(6_000));
        scene.record(MOTOR).gear.0[0].value.connector = "bayonet".to_owned();
        let mut tank = gear(&mut scene, TANK, GearKind::FuelTank, connector, at);
        let own = scene.said(fuel(6_000));
        tank.fuel.insert(None, own.clone());
        // The craft's check kept what it saw of the tank as well: it counts once.
        scene.craft().fuel.insert(Some(TANK), own);
        scene.records.insert(TANK, tank);
        scene
    };
    let here = with("Bayonet", Place::Craft(CRAFT));
    assert_eq!(here.effect(Rule::FuelShort), None, "12 of 11.4 litres");
    assert_eq!(here.finding(Rule::GearDoesNotFit), None);
    let mut twice = here.clone();
    twice.mission("search");
    assert_eq!(twice.effect(Rule::FuelShort), NO_POWER, "counted once");
    let away = with("bayonet", Place::Craft(OTHER_CRAFT));
    assert_eq!(away.effect(Rule::FuelShort), NO_POWER);
    let unfit = with("quick 3/8", Place::Craft(CRAFT));
    assert_eq!(unfit.effect(Rule::FuelShort), NO_POWER);
    assert_eq!(unfit.effect(Rule::GearDoesNotFit), NO_POWER);
    let unknown = with("", Place::Craft(CRAFT));
    assert_eq!(unknown.finding(Rule::GearDoesNotFit), None);
}

/// Fitting another motor re-tests the connectors: a line that fitted the old one is of no use.
#[test]
fn another_motor_another_connector() {
    let mut scene = Scene::inflatable();
    scene.record(MOTOR).gear.0[0].value.connector = "bayonet".to_owned();
    let line = gear(
        &mut scene,
        LINE,
        GearKind::FuelLine,
        "bayonet",
        Place::Craft(CRAFT),
    );
    scene.records.insert(LINE, line);
    assert_eq!(scene.readiness(), Readiness::Ready);
    scene.record(MOTOR).gear.0[0].value.connector = "quick 3/8".to_owned();
    assert_eq!(scene.effect(Rule::GearDoesNotFit), NO_POWER);
    // With one that fits as well, the other is only said.
    let id = SubjectId::from_bytes([43; 16]);
    let other = gear(
        &mut scene,
        id,
        GearKind::FuelLine,
        "quick 3/8",
        Place::Craft(CRAFT),
    );
    scene.records.insert(id, other);
    assert_eq!(scene.effect(Rule::GearDoesNotFit), Some(Effect::Note));
}

/// Whether an amount that nobody recorded matters is a setting of the sheet.
#[test]
fn an_amount_that_nobody_recorded_or_long_ago() {
    let mut scene = Scene::inflatable();
    assert_eq!(scene.finding(Rule::FuelNotRecorded), None);
    scene.standard.fuel.as_mut().expect("fuel").unknown = Some(RuleEffect::NotReady);
    assert_eq!(scene.effect(Rule::FuelNotRecorded), Some(Effect::Unproven));
    let old = scene.side_at(fuel(20_000), NOON.plus_ms(-10 * DAY_MS));
    scene.craft().fuel.insert(None, Sides(vec![old]));
    let finding = scene.finding(Rule::FuelNotRecorded).expect("too long ago");
    assert_eq!(finding.measured, Some(Measure::SpanMs(10 * DAY_MS)));
}

/// Any petrol leak stops the craft, and stays until it is signed off.
#[test]
fn a_petrol_leak_stops_the_craft() {
    let scene = Scene::inflatable();
    let questions = scene.standard.questions.iter();
    let line = questions
        .clone()
        .find(|line| line.id.as_str() == "fuel-leak")
        .expect("a line about leaks");
    assert_eq!(line.no, RuleEffect::NotReady);
    assert!(line.no_is_fault);
}
