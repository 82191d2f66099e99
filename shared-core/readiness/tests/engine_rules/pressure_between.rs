//! What a part meets between its reading and the launch, and back in the bay; what is not known.
//!
//! Sources: the gas law, p1/T1 = p2/T2 in absolute pressure, worked by hand beside each figure; TM
//! 5-1940-321-13&P p. 4-4 for the ranges; 'common practice, no source' for a valve that freezes.

use sponson_readiness::answer::{
    Action, CraftAnswer, Effect, Finding, Limit, Measure, PartPressure, Readiness, Rule, Subject,
};
use sponson_readiness::conditions::Ambient;
use sponson_readiness::event::ValveState;
use sponson_readiness::ids::PartId;
use sponson_readiness::pressure::station_pressure_pa;
use sponson_readiness::record::Recent;
use sponson_readiness::standard::Sun;

use super::scene::{DAY_MS, HOUR_MS, NOON, Scene, missions, reading};

const MBAR: i64 = 100;

fn part(craft: &CraftAnswer, id: &str) -> PartPressure {
    let mut pressures = craft.pressures.iter();
    let found = pressures.find(|one| one.part == PartId::from(id));
    found.expect("a prediction").clone()
}

fn of(scene: &Scene, rule: Rule, id: &str) -> Option<Effect> {
    let why = scene.judged().why;
    let about =
        |one: &Finding| matches!(&one.subject, Subject::Part(part, _) if *part == PartId::from(id));
    let found = why.into_iter().find(|one| one.rule == rule && about(one));
    found.map(|one| one.effect)
}

/// 225 mbar at 10 °C is (1013.25 + 225) x 293.15 / 283.15 - 1013.25 = 268.7 mbar at 20 °C.
#[test]
fn a_part_read_soft_in_the_cold_is_soft_by_cold() {
    let mut scene = Scene::inflatable();
    scene.weather(10, 10);
    scene.read("tube-1", 225 * MBAR).air_mc = Some(10_000);
    let top_up = Effect::Limit(Limit::TopUp(PartId::from("tube-1")));
    assert_eq!(of(&scene, Rule::PressureLow, "tube-1"), Some(top_up));
    scene.count("pump", 0);
    scene.count("hand-pump", 0);
    let nothing = Some(Effect::NotReady);
    assert_eq!(of(&scene, Rule::PressureLow, "tube-1"), nothing);
}

/// Read 260 mbar in the same cold a week ago: 35 mbar are gone, which cold does not explain.
#[test]
fn a_part_that_lost_air_since_an_earlier_reading_is_not_soft_by_cold() {
    for (then, effect) in [
        (230, Effect::Limit(Limit::TopUp(PartId::from("tube-1")))),
        (260, Effect::NotReady),
    ] {
        let mut scene = Scene::inflatable();
        scene.weather(10, 10);
        scene.read("tube-1", 225 * MBAR).air_mc = Some(10_000);
        let mut before = reading("tube-1", then * MBAR);
        before.air_mc = Some(10_000);
        let side = scene.side_at(Recent::Read(before), NOON.plus_ms(-7 * DAY_MS));
        let readings = scene.craft().readings.get_mut(&PartId::from("tube-1"));
        readings.expect("read").recent.push(side);
        assert_eq!(of(&scene, Rule::PressureLow, "tube-1"), Some(effect));
    }
}

/// The keel wants 230 mbar at the launch of 4 °C; back at 20 °C that is
/// (1013.25 + 230) x 293.15 / 277.15 - 1013.25 = 301.8 mbar, and it may hold 240.
#[test]
fn a_part_topped_up_in_the_cold_comes_home_too_hard_where_no_valve_lifts() {
    let mut scene = Scene::inflatable();
    scene.weather(4, 4);
    let judged = scene.judged();
    let keel = part(&judged, "keel");
    assert_eq!((keel.home_high_pa, keel.home_mc), (30_177, 20_000));
    assert_eq!(part(&judged, "tube-1").home_high_pa, 280 * MBAR);
    let finding = scene.finding(Rule::PressureHighAtHome).expect("too hard");
    let limit = Limit::LetOutAtHome(PartId::from("keel"));
    assert_eq!(finding.effect, Effect::Limit(limit));
    assert_eq!(finding.measured, Some(Measure::GaugePa(30_177)));
    let at_home = Action::BringToAtHome(PartId::from("keel"), 230 * MBAR);
    assert_eq!(finding.to_do[0].action, at_home);
    scene.weather(20, 20);
    assert_eq!(scene.finding(Rule::PressureHighAtHome), None);
}

/// 245 mbar at 20 °C is 227.8 mbar at 16 °C: right at the launch, and 5 above where it stands.
#[test]
fn a_part_too_hard_only_where_it_stands_is_let_out_now() {
    let mut scene = Scene::inflatable();
    scene.weather(16, 16);
    scene.read("keel", 245 * MBAR);
    let finding = scene.finding(Rule::PressureHighAtHome).expect("too hard");
    let keel = PartId::from("keel");
    assert_eq!(finding.effect, Effect::Limit(Limit::LetOut(keel.clone())));
    assert_eq!(finding.to_do[0].action, Action::BringTo(keel, 24_000));
}

/// Where the bay was not measured, the county's setting stands for it.
#[test]
fn the_bay_is_the_one_it_stood_in_else_the_countys() {
    let home_mc = |stood: bool| {
        let mut scene = Scene::inflatable();
        scene.policy.pressure.bay_mc = 25_000;
        let read = scene.read("keel", 230 * MBAR);
        read.air_mc = Some(8_000);
        if !stood {
            read.stood_s = None;
        }
        part(&scene.judged(), "keel").home_mc
    };
    assert_eq!(home_mc(true), 8_000);
    assert_eq!(home_mc(false), 25_000);
}

/// Tube 2 was read at 40 °C after tube 1 at 20 °C: the bay was that hot, and tube 1 kept what its
/// valve holds at 40 °C: (1013.25 + 280) x 293.15 / 313.15 - 1013.25 = 197.4 mbar at 20 °C.
#[test]
fn any_later_reading_shows_how_hot_the_bay_became() {
    let mut scene = Scene::inflatable();
    let mut later = reading("tube-2", 270 * MBAR);
    later.air_mc = Some(40_000);
    let side = scene.side_at(Recent::Read(later), NOON.plus_ms(-HOUR_MS / 2));
    let readings = scene.craft().readings.get_mut(&PartId::from("tube-2"));
    readings.expect("read").recent.push(side);
    assert_eq!(part(&scene.judged(), "tube-1").launch_low_pa, 19_740);
    // It is no leak: with a pump aboard it is topped up.
    let top_up = Effect::Limit(Limit::TopUp(PartId::from("tube-1")));
    assert_eq!(of(&scene, Rule::PressureLow, "tube-1"), Some(top_up));
}

#[test]
fn an_untrusted_reading_does_not_show_how_hot_the_bay_became() {
    let mut scene = Scene::inflatable();
    let before = part(&scene.judged(), "tube-1").launch_low_pa;
    let mut later = reading("tube-2", 270 * MBAR);
    later.air_mc = Some(40_000);
    let side = scene.untrusted(Recent::Read(later));
    let readings = scene.craft().readings.get_mut(&PartId::from("tube-2"));
    readings.expect("read").recent.push(side);
    assert_eq!(part(&scene.judged(), "tube-1").launch_low_pa, before);
}

/// 275 mbar at -20 °C is 376.8 mbar at 0 °C: a valve of 280 holds that, unless it is frozen shut.
#[test]
fn a_valve_that_may_be_frozen_bounds_nothing() {
    let mut scene = Scene::inflatable();
    scene.weather(-5, 0);
    scene.read("tube-1", 275 * MBAR).air_mc = Some(-20_000);
    let high_pa = |scene: &Scene| part(&scene.judged(), "tube-1").launch_high_pa;
    assert_eq!(high_pa(&scene), 37_678);
    let let_out = Effect::Limit(Limit::LetOut(PartId::from("tube-1")));
    assert_eq!(of(&scene, Rule::PressureHigh, "tube-1"), Some(let_out));
    scene.policy.pressure.relief_ices_mc = -30_000;
    assert_eq!(high_pa(&scene), 280 * MBAR);
    assert_eq!(of(&scene, Rule::PressureHigh, "tube-1"), None);
}

/// The keel is at 230 mbar and rises mbar for mbar as the air round it thins.
#[test]
fn the_air_pressure_asked_with_stands_before_the_elevation() {
    let high_pa = |ambient| {
        let mut scene = Scene::inflatable();
        scene.question.elevation_mm = Some(1_500_000);
        scene.question.conditions.ambient = ambient;
        part(&scene.judged(), "keel").launch_high_pa
    };
    assert_eq!(high_pa(None), 23_000 + 101_325 - 84_560);
    let measured = high_pa(Some(Ambient::StationPa(84_300)));
    assert_eq!(measured, 23_000 + 101_325 - 84_300);
    // 30.20 inHg at 1500 m.
    let station_pa = station_pressure_pa(102_269, 1_500_000);
    let high = high_pa(Some(Ambient::AltimeterPa(102_269)));
    let wanted = 23_000.0 + 101_325.0 - station_pa;
    assert_eq!(format!("{high}"), format!("{wanted:.0}"));
}

/// The gauge may be 5 mbar off and the weather have moved 5: 245 mbar may be 235, below 240.
#[test]
fn near_a_limit_is_noted_and_decides_nothing() {
    let mut scene = Scene::inflatable();
    scene.read("tube-1", 245 * MBAR);
    let finding = scene.finding(Rule::PressureNearLimit).expect("near");
    assert_eq!(finding.effect, Effect::Note);
    assert_eq!(
        finding.to_do[0].action,
        Action::ReadGauge(PartId::from("tube-1"))
    );
    assert_eq!(scene.readiness(), Readiness::Ready);
    let spread = part(&scene.judged(), "tube-1").spread;
    assert_eq!((spread.least_pa, spread.most_pa), (235 * MBAR, 255 * MBAR));
    // Both air pressures measured: the gauge alone is left.
    scene.read("tube-1", 245 * MBAR).ambient_pa = Some(101_325);
    scene.question.conditions.ambient = Some(Ambient::StationPa(101_325));
    let spread = part(&scene.judged(), "tube-1").spread;
    assert_eq!((spread.least_pa, spread.most_pa), (240 * MBAR, 250 * MBAR));
    assert_eq!(scene.finding(Rule::PressureNearLimit), None);
}

/// The sun is shown; a county that keeps its craft outdoors has it judged. 230 mbar in the keel at
/// 20 °C is (1013.25 + 230) x 323.15 / 293.15 - 1013.25 = 357.2 mbar at 50 °C.
#[test]
fn the_sun_is_shown_unless_the_county_has_it_judged() {
    let mut scene = Scene::inflatable();
    let shown = part(&scene.judged(), "keel");
    assert_eq!(
        (shown.in_sun.high_pa, shown.launch_high_pa),
        (35_723, 23_000)
    );
    assert_eq!(scene.readiness(), Readiness::Ready);
    scene.policy.pressure.sun = Sun::Judged;
    let judged = part(&scene.judged(), "keel");
    assert_eq!(judged.launch_high_pa, 35_723);
    let tube = part(&scene.judged(), "tube-1");
    // What the valve holds at 50 °C: (1013.25 + 280) x 293.15 / 323.15 - 1013.25 = 159.9 mbar.
    assert_eq!(
        (tube.launch_low_pa, tube.in_sun.then_low_pa),
        (15_994, 15_994)
    );
    assert_eq!(scene.readiness(), Readiness::ReadyWithLimits);
}

/// Two chambers read with the valves between them open show one pressure: it proves one of them.
#[test]
fn joined_chambers_count_as_one_reading() {
    let mut scene = Scene::inflatable();
    for tube in ["tube-1", "tube-2"] {
        scene.read(tube, 260 * MBAR).valves = Some(ValveState::Open);
    }
    let unproven = Some(Effect::Unproven);
    assert_eq!(of(&scene, Rule::PressureJoined, "tube-2"), unproven);
    assert_eq!(of(&scene, Rule::PressureJoined, "tube-1"), None);
    assert_eq!(scene.readiness(), Readiness::Unproven);
    assert_eq!(scene.judged().minutes_to_ready, Some(1));
    scene.read("tube-2", 260 * MBAR);
    assert_eq!(scene.finding(Rule::PressureJoined), None);
}

/// A soft keel with nothing aboard that adds air still goes on the lake, and not on swiftwater.
#[test]
fn the_sheets_line_decides_what_soft_does() {
    let mut scene = Scene::inflatable();
    scene
        .standard
        .parts
        .retain(|part| part.id.as_str() == "keel");
    scene.weather(10, 10);
    scene.count("pump", 0);
    scene.count("hand-pump", 0);
    let limit = Effect::Limit(Limit::NotFor(missions(&["swiftwater"])));
    assert_eq!(scene.effect(Rule::PressureLow), Some(limit));
    scene.mission("swiftwater");
    assert_eq!(scene.effect(Rule::PressureLow), Some(Effect::NotReady));
}
