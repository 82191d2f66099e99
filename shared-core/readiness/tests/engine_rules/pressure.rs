//! Pressure at the launch.
//!
//! Sources: TM 5-1940-321-13&P p. 4-4 for the ranges of tubes and keel and the hour after
//! inflating; a commando boat manual p. 8 for the high-pressure floor; the gas law for the rest.

use sponson_readiness::answer::{Action, Effect, Limit, Measure, Readiness, Rule};
use sponson_readiness::event::{AirChanged, AirDirection, ValveState};
use sponson_readiness::ids::PartId;
use sponson_readiness::standard::SoftRule;

use super::scene::{DAY_MS, HOUR_MS, NOON, Scene, missions, of_part, reading};

const MBAR: i64 = 100;

fn tube() -> PartId {
    PartId::from("tube-1")
}

/// 235 mbar is low for a tube of 240 to 280 and in range for a keel of 220
/// to 240.
#[test]
fn each_part_is_held_against_its_own_range() {
    let mut scene = Scene::inflatable();
    scene.read("tube-1", 235 * MBAR);
    scene.read("keel", 235 * MBAR);
    let low = scene.finding(Rule::PressureLow).expect("the tube is low");
    assert_eq!(low.effect, Effect::NotReady);
    assert_eq!(low.measured, Some(Measure::GaugePa(235 * MBAR)));
    let judged = scene.judged();
    let lows = judged
        .why
        .iter()
        .filter(|one| one.rule == Rule::PressureLow);
    assert_eq!(lows.count(), 1);
}

#[test]
fn soft_by_cold_with_a_pump_is_topped_up_before_power() {
    let mut scene = Scene::inflatable();
    scene.weather(5, 10);
    let judged = scene.judged();
    assert_eq!(judged.readiness, Readiness::ReadyWithLimits);
    assert!(judged.limits.contains(&Limit::TopUp(tube())));
    // 260 mbar at 20 °C: (1013.25 + 260) x 278.15 / 293.15 - 1013.25 = 194.85 mbar at 5 °C.
    let of_tube = judged.pressures.iter().find(|one| one.part == tube());
    let of_tube = of_tube.expect("a prediction");
    assert_eq!(
        (of_tube.launch_low_pa, of_tube.range_pa),
        (19_485, (24_000, 28_000))
    );
}

#[test]
fn soft_by_cold_with_nothing_to_top_up_with_is_not_ready() {
    let mut scene = Scene::inflatable();
    scene.weather(5, 10);
    scene.count("pump", 0);
    scene.count("hand-pump", 0);
    assert_eq!(scene.effect(Rule::PressureLow), Some(Effect::NotReady));
}

#[test]
fn the_transom_chamber_soft_means_no_power() {
    let mut scene = Scene::inflatable();
    scene
        .standard
        .parts
        .retain(|part| part.id.as_str() == "tube-5");
    scene.weather(10, 10);
    assert_eq!(
        scene.effect(Rule::PressureLow),
        Some(Effect::Limit(Limit::NoPower))
    );
}

#[test]
fn keel_and_floor_soft_mean_no_swiftwater() {
    let mut scene = Scene::inflatable();
    scene.read("keel", 200 * MBAR);
    let limit = Effect::Limit(Limit::NotFor(missions(&["swiftwater"])));
    assert_eq!(scene.effect(Rule::PressureLow), Some(limit));
    scene.mission("swiftwater");
    assert_eq!(scene.effect(Rule::PressureLow), Some(Effect::NotReady));
}

#[test]
fn what_to_bring_it_to_is_for_where_it_stands_and_never_more_than_it_may_hold() {
    let mut scene = Scene::inflatable();
    scene.read("tube-1", 235 * MBAR);
    scene.weather(16, 16);
    let finding = scene.finding(Rule::PressureLow).expect("low");
    // 260 mbar at 16 °C is (1013.25 + 260) x 293.15 / 289.15 - 1013.25 = 277.61 mbar at 20 °C.
    // Soft where it was read: the leak comes first.
    assert_eq!(finding.to_do[0].action, Action::FindLeak(tube()));
    assert_eq!(finding.to_do[1].action, Action::BringTo(tube(), 27_761));
    assert_eq!(finding.to_do[1].minutes, Some(3));
    assert_eq!(scene.judged().minutes_to_ready, None);
    scene.weather(0, 0);
    let finding = scene.finding(Rule::PressureLow).expect("low");
    assert_eq!(finding.to_do[1].action, Action::BringTo(tube(), 28_000));
}

#[test]
fn the_warmer_decides_too_hard_and_only_where_no_relief_valve_lifts() {
    let mut scene = Scene::inflatable();
    scene.weather(50, 20);
    let judged = scene.judged();
    let hard = judged
        .why
        .iter()
        .filter(|one| one.rule == Rule::PressureHigh);
    let parts: Vec<&Effect> = hard.map(|one| &one.effect).collect();
    // Tubes lift at 280 mbar; the keel has no valve. The floor stays within its range.
    assert_eq!(parts, [&Effect::Limit(Limit::LetOut(PartId::from("keel")))]);
}

#[test]
fn too_hard_where_it_stands_and_no_relief_valve_is_not_ready() {
    let mut scene = Scene::inflatable();
    scene.read("floor", 1_400 * MBAR);
    assert_eq!(scene.effect(Rule::PressureHigh), Some(Effect::NotReady));
}

#[test]
fn height_makes_a_part_harder() {
    let mut scene = Scene::inflatable();
    scene.question.elevation_mm = Some(1_500_000);
    let judged = scene.judged();
    let keel = judged
        .pressures
        .iter()
        .find(|one| one.part == PartId::from("keel"));
    let keel = keel.expect("a prediction");
    // 230 mbar + (1013.25 - 845.60) mbar, ISO 2533.
    assert_eq!(keel.launch_high_pa, 23_000 + 101_325 - 84_560);
}

/// Air that a relief valve lets out in the warm is not there in the cold.
#[test]
fn a_relief_valve_never_makes_a_part_look_harder() {
    let mut scene = Scene::inflatable();
    scene.weather(35, 15);
    let with = scene.judged().pressures[0].launch_low_pa;
    for part in &mut scene.standard.parts {
        if let Some(rule) = &mut part.pressure {
            rule.relief_pa = None;
        }
    }
    let without = scene.judged().pressures[0].launch_low_pa;
    assert!(with < without, "{with} {without}");
}

#[test]
fn a_slack_part_is_said_to_be_slack() {
    let mut scene = Scene::inflatable();
    scene.read("tube-1", 10 * MBAR);
    scene.weather(0, 0);
    let finding = scene.finding(Rule::PressureLow).expect("low");
    assert_eq!(finding.measured, Some(Measure::Slack));
    assert_eq!(scene.judged().pressures[0].launch_low_pa, 0);
}

/// 240 mbar entered for a high-pressure floor is a tube's reading.
#[test]
fn a_reading_of_another_sort_of_part_is_not_read() {
    let mut scene = Scene::inflatable();
    scene.read("floor", 240 * MBAR);
    let finding = scene.finding(Rule::PressureImplausible).expect("doubted");
    assert_eq!(finding.effect, Effect::Unproven);
    assert_eq!(
        finding.to_do[0].action,
        Action::ReadGauge(PartId::from("floor"))
    );
    let judged = scene.judged();
    assert!(
        !judged
            .pressures
            .iter()
            .any(|one| one.part == PartId::from("floor"))
    );
}

/// A reading 20 min after inflating is provisional; ask again at 60 min.
#[test]
fn a_reading_is_settled_only_in_known_air_and_an_hour_after_inflating() {
    let provisional = |change: &dyn Fn(&mut sponson_readiness::event::Reading)| {
        let mut scene = Scene::inflatable();
        change(scene.read("tube-1", 260 * MBAR));
        scene.effect(Rule::PressureProvisional)
    };
    assert_eq!(provisional(&|_| {}), None);
    let note = Some(Effect::Note);
    assert_eq!(
        provisional(&|read| read.since_inflating_s = Some(1_200)),
        note
    );
    assert_eq!(
        provisional(&|read| read.since_inflating_s = Some(3_600)),
        None
    );
    assert_eq!(provisional(&|read| read.stood_s = Some(7_199)), note);
    assert_eq!(provisional(&|read| read.stood_s = None), note);
    assert_eq!(provisional(&|read| read.air_mc = None), note);
    assert_eq!(
        provisional(&|read| read.valves = Some(ValveState::Open)),
        note
    );
    assert_eq!(
        provisional(&|read| {
            read.stood_s = None;
            read.fabric_mc = Some(20_000);
        }),
        None
    );
}

#[test]
fn an_unsettled_reading_counts_at_the_worse_temperature() {
    let mut scene = Scene::inflatable();
    scene.read("tube-1", 260 * MBAR).stood_s = None;
    let of_tube = scene.judged().pressures.remove(0);
    // Read at 30 °C at worst, launched at 20 °C: 218.0 mbar; at 10 °C at worst, more than the
    // valve holds.
    assert_eq!(of_tube.launch_low_pa, 21_800);
    assert_eq!(of_tube.launch_high_pa, 28_000);
}

#[test]
fn a_part_without_a_reading_is_unproven() {
    let mut scene = Scene::inflatable();
    scene.craft().readings.remove(&tube());
    assert_eq!(scene.effect(Rule::PressureNotRead), Some(Effect::Unproven));
    assert_eq!(scene.judged().minutes_to_ready, Some(1));
}

#[test]
fn a_reading_proves_no_longer_than_a_check() {
    let mut scene = Scene::inflatable();
    let old = scene.side_at(reading("tube-1", 260 * MBAR), NOON.plus_ms(-10 * DAY_MS));
    let sides = sponson_readiness::record::Sides(vec![old]);
    scene.craft().readings.insert(tube(), of_part(sides));
    assert_eq!(scene.effect(Rule::PressureNotRead), Some(Effect::Unproven));
}

#[test]
fn the_worse_of_two_sides_counts() {
    let mut scene = Scene::inflatable();
    let other = scene.side(reading("tube-1", 200 * MBAR));
    let readings = scene.craft().readings.get_mut(&tube()).expect("read");
    readings.standing.0.push(other);
    assert_eq!(scene.effect(Rule::PressureLow), Some(Effect::NotReady));
    let differ = scene.finding(Rule::SidesDiffer).expect("they differ");
    assert_eq!(differ.evidence.len(), 2);
}

#[test]
fn an_untrusted_low_reading_is_at_most_go_and_look() {
    let mut scene = Scene::inflatable();
    let other = scene.untrusted(reading("tube-1", 20 * MBAR));
    let readings = scene.craft().readings.get_mut(&tube()).expect("read");
    readings.standing.0.push(other);
    assert_eq!(scene.readiness(), Readiness::Unproven);
}

#[test]
fn an_untrusted_reading_alone_proves_nothing() {
    let mut scene = Scene::inflatable();
    let only = scene.untrusted(reading("tube-1", 260 * MBAR));
    let sides = sponson_readiness::record::Sides(vec![only]);
    scene.craft().readings.insert(tube(), of_part(sides));
    assert_eq!(scene.effect(Rule::PressureNotRead), Some(Effect::Unproven));
}

fn add_air(scene: &mut Scene, after_pa: Option<i64>) {
    let added = AirChanged {
        part: tube(),
        direction: AirDirection::Added,
        before_pa: Some(200 * MBAR),
        after_pa,
        air_mc: Some(20_000),
        source: None,
        source_gear: None,
        source_after_kpa: None,
    };
    let side = scene.side_at(added, NOON.plus_ms(-HOUR_MS / 2));
    let readings = scene.craft().readings.get_mut(&tube()).expect("read");
    readings.air_since.push(side);
}

#[test]
fn air_added_and_not_read_afterwards_is_unproven() {
    let mut scene = Scene::inflatable();
    scene.read("tube-1", 200 * MBAR);
    add_air(&mut scene, None);
    assert_eq!(scene.effect(Rule::PressureAfterAir), Some(Effect::Unproven));
    assert_eq!(scene.effect(Rule::PressureLow), None);
}

#[test]
fn the_gauge_after_air_was_added_stands_provisionally() {
    let mut scene = Scene::inflatable();
    scene.read("tube-1", 200 * MBAR);
    add_air(&mut scene, Some(275 * MBAR));
    assert_eq!(scene.effect(Rule::PressureAfterAir), None);
    assert_eq!(scene.effect(Rule::PressureProvisional), Some(Effect::Note));
    assert_eq!(scene.judged().pressures[0].read_gauge_pa, 275 * MBAR);
}

#[test]
fn a_sheet_may_say_that_a_soft_part_stays_ashore() {
    let mut scene = Scene::inflatable();
    for part in &mut scene.standard.parts {
        if let Some(rule) = &mut part.pressure {
            rule.soft = SoftRule::NotReady;
        }
    }
    scene.weather(5, 5);
    assert_eq!(scene.readiness(), Readiness::NotReady);
}

/// Air of 25 °C over water of 10 °C: no value of the keel (220 to 240 mbar) serves both.
#[test]
fn nobody_is_told_to_let_air_out_of_a_part_that_the_water_makes_soft() {
    let mut scene = Scene::inflatable();
    let keel = PartId::from("keel");
    scene.standard.parts.retain(|part| part.id == keel);
    for (gauge, effect) in [
        (232, Effect::Limit(Limit::LetOut(keel.clone()))),
        (222, Effect::Note),
    ] {
        scene.read("keel", gauge * MBAR).air_mc = Some(12_000);
        scene.weather(25, 10);
        let finding = scene.finding(Rule::PressureHigh).expect("hard in the air");
        assert_eq!(finding.effect, effect, "{gauge} mbar");
        assert_eq!(finding.to_do[0].action, Action::ReadGauge(keel.clone()));
    }
    // Warm water too: let it out now.
    scene.read("keel", 232 * MBAR).air_mc = Some(12_000);
    scene.weather(25, 25);
    let finding = scene.finding(Rule::PressureHigh).expect("hard");
    // 230 mbar at 25 °C is (1013.25 + 230) x 285.15 / 298.15 - 1013.25 = 175.79 mbar at 12 °C.
    assert_eq!(finding.to_do[0].action, Action::BringTo(keel, 17_579));
}
