//! Laws of what is carried: a worse fact never makes a craft readier.

use proptest::prelude::*;
use sponson_readiness::answer::Readiness;
use sponson_readiness::conditions::Light;
use sponson_readiness::event::{DateMark, Fuel};

use super::scene::{NOON, Scene};

const SIGNALS: [&str; 6] = [
    "flare-red-hand",
    "flare-parachute",
    "flare-pistol-parachute",
    "flare-pistol",
    "smoke-orange-hand",
    "distress-light",
];

/// A craft with so many of each signal, of which the lines ask for none or for the usual kind.
fn with_signals(counts: [u32; 6], usual: bool, length_mm: u32) -> Scene {
    let mut scene = Scene::of("rigid-inflatable-17");
    scene.standard.length_mm = Some(length_mm);
    let rule = scene.standard.signals.as_mut().expect("signals");
    rule.day_from_mm = Some(4_877);
    for item in &mut scene.standard.items {
        if item.signal.is_some() && !usual {
            item.count = 0;
        }
    }
    for (item, count) in SIGNALS.into_iter().zip(counts) {
        scene.count(item, count);
    }
    scene
}

fn with_fuel(amount_ml: u32, days_ago: u32, mix: Option<u32>) -> Scene {
    let mut scene = Scene::inflatable();
    let filled = chrono::NaiveDate::from_ymd_opt(2026, 3, 1).expect("a day")
        - chrono::Duration::days(i64::from(days_ago));
    let mark = DateMark {
        year: chrono::Datelike::year(&filled),
        month: Some(chrono::Datelike::month(&filled)),
        day: Some(chrono::Datelike::day(&filled)),
    };
    let sides = scene.said(Fuel {
        tank: None,
        amount_ml,
        filled: Some(mark),
        mix,
    });
    scene.craft().fuel.insert(None, sides);
    scene
}

fn readiness(scene: &Scene) -> Readiness {
    scene.readiness()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn fewer_signals_are_never_readier(
        counts in proptest::array::uniform6(0_u32..5),
        which in 0_usize..6,
        usual in any::<bool>(),
        long in any::<bool>(),
    ) {
        let length = if long { 5_182 } else { 4_267 };
        let more = readiness(&with_signals(counts, usual, length));
        let mut fewer = counts;
        fewer[which] = fewer[which].saturating_sub(1);
        let less = readiness(&with_signals(fewer, usual, length));
        prop_assert!(less >= more, "{counts:?} {fewer:?}");
    }

    #[test]
    fn dark_is_never_readier_than_light_and_a_longer_boat_than_a_shorter(
        counts in proptest::array::uniform6(0_u32..4),
    ) {
        let lit = |dark: bool, length| {
            let mut scene = with_signals(counts, false, length);
            let stretch = (NOON, NOON.plus_ms(3_600_000));
            scene.question.conditions.light = vec![Light {
                from: NOON.plus_ms(-86_400_000),
                to: NOON.plus_ms(86_400_000),
                dark: if dark { vec![stretch] } else { Vec::new() },
            }];
            scene.question.conditions.duration_s = Some(3_600);
            readiness(&scene)
        };
        prop_assert!(lit(true, 4_267) >= lit(false, 4_267));
        prop_assert!(lit(false, 5_182) >= lit(false, 4_267));
    }

    #[test]
    fn less_or_older_fuel_or_a_stricter_county_is_never_readier(
        amount_ml in 0_u32..30_000,
        less_ml in 0_u32..10_000,
        days in 0_u32..120,
        older in 0_u32..60,
    ) {
        let one = readiness(&with_fuel(amount_ml, days, None));
        let less = readiness(&with_fuel(amount_ml.saturating_sub(less_ml), days, None));
        prop_assert!(less >= one);
        prop_assert!(readiness(&with_fuel(amount_ml, days + older, None)) >= one);
        prop_assert!(readiness(&with_fuel(amount_ml, days, Some(50))) >= one);
        let mut strict = with_fuel(amount_ml, days, None);
        strict.policy.fuel.warn_days -= strict.policy.fuel.warn_days.min(older);
        strict.policy.fuel.fail_days -= strict.policy.fuel.fail_days.min(older);
        prop_assert!(readiness(&strict) >= one);
    }
}
