//! Worked check values of the trade, each with its source. More stand with the rule that they
//! concern: `load`, `pressure`, `kit`, `inspections`, and beside the engine's dates.

use sponson_readiness::answer::{Effect, Limit, LoadLimit, Readiness, Rule};
use sponson_readiness::event::{DateMark, HoldKind, Plate, RepairHold, Severity};
use sponson_readiness::ids::{FaultId, MissionId, PartId};
use sponson_readiness::pressure::{Air, gauge_elsewhere_pa};
use sponson_readiness::record::Waiver;
use sponson_readiness::standard::Standard;

use super::scene::{HOUR_MS, NOON, Scene, counted, fault, lot, missions};

const MBAR: i64 = 100;

fn at(celsius: f64) -> Air {
    Air {
        temperature_mc: milli(celsius),
        ambient_pa: 101_325.0,
    }
}

#[expect(clippy::cast_possible_truncation, reason = "weather, far inside")]
fn milli(celsius: f64) -> i32 {
    (celsius * 1_000.0).round() as i32
}

/// +1 °C, +4 mbar: Futura Commando manual p. 8. 80 °F to 60 °F, -44 mbar: TM
/// 5-1940-321-13&P p. 4-20 (13P00060). Both are linear rules; the gas law gives 4.35 and 47 to 48
/// near 240 mbar, so they agree within 10 %.
#[test]
fn temperature() {
    let plus_one = gauge_elsewhere_pa(240 * MBAR, at(15.0), at(16.0)) - 240 * MBAR;
    assert!((400..=440).contains(&plus_one), "{plus_one} Pa");
    let fall = gauge_elsewhere_pa(240 * MBAR, at(26.667), at(15.556)) - 240 * MBAR;
    assert!((-4_840..=-4_400).contains(&fall), "{fall} Pa");
}

/// 240 mbar at 50 °C to 20 °C falls by 120 mbar; Pro 750 manual p. 15 (its commando sister
/// says 110). The gas law gives 116.
#[test]
fn from_sun_to_shade() {
    let fall = 240 * MBAR - gauge_elsewhere_pa(240 * MBAR, at(50.0), at(20.0));
    assert!((110 * MBAR..=120 * MBAR).contains(&fall), "{fall} Pa");
}

/// F530 tube 235 mbar is low (240 to 280); keel 235 mbar is in range (220 to 240). TM
/// 5-1940-321-13&P p. 4-4.
#[test]
fn tube_low_and_keel_in_range() {
    let mut scene = Scene::inflatable();
    scene.read("tube-1", 235 * MBAR);
    scene.read("keel", 235 * MBAR);
    let why = scene.judged().why;
    let low: Vec<_> = why
        .iter()
        .filter(|one| one.rule == Rule::PressureLow)
        .collect();
    assert_eq!(low.len(), 1, "{low:#?}");
    assert!(low[0].to_do.iter().any(|one| {
        one.action == sponson_readiness::answer::Action::FindLeak(PartId::from("tube-1"))
    }));
}

/// A commando boat's tube of 240 mbar within 5 % (228 to 252): 230 is in range, 226 is not,
/// though within 10 % (216 to 264). Futura Commando manual p. 8.
#[test]
fn five_or_ten_percent() {
    let ready = |low: i64, high: i64, gauge: i64| {
        let mut scene = Scene::inflatable();
        for part in &mut scene.standard.parts {
            if let (true, Some(rule)) = (part.id.as_str() == "tube-1", &mut part.pressure) {
                (rule.low_pa, rule.nominal_pa, rule.high_pa) =
                    (low * MBAR, 240 * MBAR, high * MBAR);
            }
        }
        scene.read("tube-1", gauge * MBAR);
        scene.readiness() == Readiness::Ready
    };
    assert!(ready(228, 252, 230));
    assert!(!ready(228, 252, 226));
    assert!(ready(216, 264, 226));
}

/// A high-pressure floor: 1 100 mbar within 20 %, 880 to 1 320. Futura Commando manual p. 8.
#[test]
fn the_range_of_a_high_pressure_floor() {
    for (gauge, rule) in [
        (879, Some(Rule::PressureLow)),
        (880, None),
        (1_320, None),
        (1_321, Some(Rule::PressureHigh)),
    ] {
        let mut scene = Scene::inflatable();
        scene.read("floor", gauge * MBAR);
        let why = scene.judged().why;
        let counts = why.iter().find(|one| one.effect != Effect::Note);
        assert_eq!(counts.map(|one| one.rule), rule, "{gauge} mbar");
    }
}

/// Glue finished at 0 h; at 20 h inflating is refused (24 h), at 60 h launching (72 h).
/// A maker's page on glue for PVC.
#[test]
fn glue_cures() {
    for (hours, kind, required_h, effect) in [
        (20, HoldKind::Inflate, 24, Some(Effect::NotReady)),
        (24, HoldKind::Inflate, 24, None),
        (60, HoldKind::Launch, 72, Some(Effect::NotReady)),
        (72, HoldKind::Launch, 72, None),
    ] {
        let mut scene = Scene::inflatable();
        let hold = RepairHold {
            kind,
            duration_s: required_h * 3_600,
        };
        let side = scene.side_at(hold, NOON.plus_ms(-hours * HOUR_MS));
        scene.craft().holds.push(side);
        assert_eq!(scene.effect(Rule::HoldRuns), effect, "{hours} h");
    }
}

/// Two hand red flares and one parachute flare meet day and night. 33 CFR 175.130(b). The
/// hand-held rocket needs no launcher.
#[test]
fn flares_may_be_mixed() {
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 2);
    assert!(scene.finding(Rule::KitShort).is_some());
    scene.count("flare-parachute", 1);
    assert_eq!(scene.finding(Rule::KitShort), None);
}

/// 33 CFR 175.130, table: an electric light is a night signal only. Three of them are no day
/// signal, so none stands in for a hand flare.
#[test]
fn a_light_is_no_day_signal() {
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 2);
    scene.count("distress-light", 3);
    assert!(scene.finding(Rule::KitShort).is_some());
}

/// One wearable for each person aboard, and a throwable as well on a boat of 16 ft
/// or longer, not below. 33 CFR 175.15(a), (b).
#[test]
fn life_jackets() {
    for (name, is_long) in [
        ("inflatable-14", false),
        ("flat-bottom-16", true),
        ("rigid-inflatable-17", true),
    ] {
        let mut scene = Scene::of(name);
        let asks = |sheet: &Standard| {
            let items = sheet.items.iter();
            items.filter(|one| one.id.as_str() == "throwable").count()
        };
        assert_eq!(asks(&scene.standard), usize::from(is_long), "{name}");
        scene.count("life-jacket", 3);
        assert_eq!(scene.readiness(), Readiness::NotReady, "{name}");
        scene.count("life-jacket", 4);
        assert_eq!(scene.readiness(), Readiness::Ready, "{name}");
        if is_long {
            scene.count("throwable", 0);
            assert_eq!(scene.readiness(), Readiness::ReadyWithLimits, "{name}");
        }
    }
}

/// A disposable extinguisher stamped 2013-05 is over 12 years old on 2025-06-01 and does
/// not count. 33 CFR 175.310; Utah R650-217-6(1)(c).
#[test]
fn extinguisher_of_twelve_years() {
    // The scene asks on 2026-03-01: 2014-02 has just run out, 2014-03 not yet.
    for (year, month, short) in [(2013, 5, true), (2014, 2, true), (2014, 3, false)] {
        let mut scene = Scene::inflatable();
        let lot = &mut scene.count("fire-extinguisher", 1).lots[0];
        lot.expires = None;
        lot.made = Some(DateMark {
            year,
            month: Some(month),
            day: None,
        });
        assert_eq!(scene.finding(Rule::KitShort).is_some(), short, "{year}");
        assert_eq!(scene.finding(Rule::KitExpired).is_some(), short, "{year}");
    }
}

/// An inflatable life jacket with a spent cartridge does not count. 33 CFR 175.23(c)(1).
#[test]
fn a_spent_cartridge_does_not_count() {
    let mut scene = Scene::inflatable();
    scene.count("life-jacket", 4).unserviceable = 1;
    assert_eq!(scene.effect(Rule::KitShort), Some(Effect::NotReady));
}

/// A restrictive fault that is not over keeps the boat ashore; a waiver or a repair is
/// needed to go. Defender handbook p. 5-3.
#[test]
fn a_restrictive_fault_needs_a_waiver() {
    let mut scene = Scene::inflatable();
    let side = scene.side(());
    let id = FaultId {
        event: side.origin.event,
        ordinal: 0,
    };
    let state = fault(side, Severity::Restrictive, &[]);
    scene.craft().faults.insert(id, state);
    assert_eq!(scene.readiness(), Readiness::NotReady);
    let until = NOON.plus_ms(HOUR_MS);
    let waiver = scene.side(Waiver {
        faults: [id].into(),
        missions: missions(&["lake"]),
        until,
    });
    scene.craft().waivers.insert(waiver.origin.event, waiver);
    let only = Limit::OnlyFor([MissionId::from("lake")].into(), until);
    assert_eq!(scene.judged().limits, [only]);
}

/// A boat of 20 ft is outside the formulas of 33 CFR 183.21, and so is an inflatable. No capacity is ever computed: without a plate there is none.
#[test]
fn no_capacity_without_a_plate() {
    for name in ["inflatable-14", "flat-bottom-16", "rigid-inflatable-17"] {
        let mut scene = Scene::of(name);
        scene.craft().craft.0[0].value.plate = Plate::default();
        assert_eq!(scene.judged().load, None, "{name}");
    }
}

/// The built-in sheets against plates of such boats (invented): three in gear at 240 lb, with the
/// sheet's own kit and a motor, leave sensible seats.
#[test]
fn sheets_leave_sensible_seats() {
    let lb = |pounds: u64| pounds * 453_592 / 1_000;
    for (name, persons, persons_lb, total_lb, mission, seats, binds) in [
        (
            "inflatable-14",
            8,
            1_650,
            2_310,
            "swiftwater",
            5,
            LoadLimit::Persons,
        ),
        (
            "inflatable-14",
            8,
            1_650,
            2_310,
            "flood",
            6,
            LoadLimit::Persons,
        ),
        (
            "rigid-inflatable-17",
            9,
            1_820,
            2_640,
            "swiftwater",
            5,
            LoadLimit::PersonsMass,
        ),
        (
            "flat-bottom-16",
            5,
            890,
            1_380,
            "flood",
            2,
            LoadLimit::PersonsMass,
        ),
    ] {
        let mut scene = Scene::of(name);
        scene.policy.crew_mass_g = lb(240);
        scene.craft().craft.0[0].value.plate = Plate {
            persons: Some(persons),
            persons_mass_g: Some(lb(persons_lb)),
            total_mass_g: Some(lb(total_lb)),
            ..Plate::default()
        };
        let load = scene.mission(mission).judged().load.expect("a plate");
        assert_eq!((load.seats, load.binds), (seats, binds), "{name} {mission}");
    }
}

/// Dates are those of the count's own units: three flares of which one has run out are two.
#[test]
fn one_of_three_out_of_date_is_two() {
    let mut scene = Scene::inflatable();
    let mut count = counted("flare-red-hand", 3);
    count.lots = vec![lot(1, 2026, Some(2), None), lot(2, 2028, Some(2), None)];
    let line = count.item.clone();
    let sides = scene.said(count);
    scene.craft().counts.insert((line, None), sides);
    let short = scene.finding(Rule::KitShort).expect("one lacks");
    assert_eq!(
        short.measured,
        Some(sponson_readiness::answer::Measure::Count(2))
    );
}
