//! Distress signals: numbers and mixing by day and by night. 33 CFR 175.110 to 175.130 and its
//! table; the numbers of the worked rows of the trade rules stand beside each.

use sponson_readiness::answer::{Action, Effect, Limit, Measure, Rule};
use sponson_readiness::conditions::Light;
use sponson_readiness::ids::LineId;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{Propulsion, Waters};

use super::scene::{NOON, Scene, counted, lot};

/// 16 ft and 17 ft, millimetres.
const FT_16: u32 = 4_877;
const FT_17: u32 = 5_182;
/// 14 ft, and 15 ft 11 in.
const FT_14: u32 = 4_267;
const FT_15_11: u32 = 4_851;

/// Kinds of signal, and how many of each.
type Kinds<'a> = &'a [(&'a str, u32)];

/// A craft of a length that carries these signals and no others.
fn carrying(length_mm: u32, kinds: Kinds<'_>) -> Scene {
    let mut scene = Scene::of("rigid-inflatable-17");
    scene.standard.length_mm = Some(length_mm);
    let rule = scene.standard.signals.as_mut().expect("signals");
    rule.day_from_mm = Some(FT_16);
    // The published rule asks for a set, whatever makes it up: no kind is asked for by itself.
    for item in &mut scene.standard.items {
        if item.signal.is_some() {
            item.count = 0;
            item.missions.clear();
        }
    }
    for item in [
        "flare-red-hand",
        "flare-parachute",
        "flare-pistol-parachute",
    ] {
        scene.count(item, 0);
    }
    for item in ["distress-light", "smoke-orange-hand", "flare-pistol"] {
        scene.count(item, 0);
    }
    for (item, count) in kinds {
        scene.count(item, *count);
    }
    scene
}

/// Whether the signals by day and those by night are short.
fn short(scene: &Scene) -> (bool, bool) {
    (
        scene.finding(Rule::SignalsShortByDay).is_some(),
        scene.finding(Rule::SignalsShortByNight).is_some(),
    )
}

const MET: (bool, bool) = (false, false);
const NO_NIGHT: (bool, bool) = (false, true);
const NO_DAY: (bool, bool) = (true, false);
const NEITHER: (bool, bool) = (true, true);

/// Row 42: two hand red flares and one parachute flare with its launcher (175.130(b), 175.113).
/// Row 43: three hand orange smokes and one electric light (175.130(b)). Row 44: smokes alone, 17
/// ft (table 175.130).
#[test]
fn kinds_make_up_a_set_by_day_and_by_night() {
    let cases: &[(Kinds<'_>, (bool, bool))] = &[
        (
            &[
                ("flare-red-hand", 2),
                ("flare-pistol-parachute", 1),
                ("flare-pistol", 1),
            ],
            MET,
        ),
        (
            &[("flare-red-hand", 2), ("flare-pistol-parachute", 1)],
            NEITHER,
        ),
        (&[("smoke-orange-hand", 3), ("distress-light", 1)], MET),
        (&[("smoke-orange-hand", 3)], NO_NIGHT),
        (&[("smoke-orange-hand", 2), ("flare-red-hand", 1)], NO_NIGHT),
        (&[("distress-light", 1)], NO_DAY),
        (&[("flare-red-hand", 3)], MET),
        (&[("flare-red-hand", 2)], NEITHER),
        (&[("flare-red-hand", 1), ("flare-parachute", 2)], MET),
        (&[], NEITHER),
    ];
    for (kinds, expected) in cases {
        assert_eq!(short(&carrying(FT_17, kinds)), *expected, "{kinds:?}");
    }
}

/// Row 46: 14 ft, driven by motor, coastal: none by day, those by night after sunset (175.110(b)).
/// From 16 ft both, at any hour (175.110(a)). Paddled: by night alone (175.115).
#[test]
fn length_hour_and_drive_decide_what_is_asked() {
    for (length, propulsion, expected) in [
        (FT_14, Propulsion::Motor, NO_NIGHT),
        (FT_15_11, Propulsion::Motor, NO_NIGHT),
        (FT_16, Propulsion::Motor, NEITHER),
        (FT_17, Propulsion::Manual, NO_NIGHT),
    ] {
        let mut scene = carrying(length, &[]);
        scene.standard.propulsion = propulsion;
        assert_eq!(
            short(&scene),
            expected,
            "{length} mm, not known whether dark"
        );
        let by_day = match expected {
            NEITHER => NEITHER,
            _ => MET,
        };
        light(&mut scene, Vec::new());
        assert_eq!(short(&scene), by_day, "{length} mm, light all the time");
        light(&mut scene, vec![(NOON, NOON.plus_ms(3_600_000))]);
        assert_eq!(short(&scene), expected, "{length} mm, dark");
    }
}

/// Whether it is dark is worked out where the question is taken in.
fn light(scene: &mut Scene, dark: Vec<(Moment, Moment)>) {
    scene.question.conditions.light = vec![Light {
        from: NOON.plus_ms(-86_400_000),
        to: NOON.plus_ms(86_400_000),
        dark,
    }];
    scene.question.conditions.duration_s = Some(3_600);
}

/// 175.101 and 175.105, as the sheet sets them: an inland craft is outside.
#[test]
fn waters_decide_whether_they_are_asked() {
    let mut scene = carrying(FT_17, &[]);
    let rule = scene.standard.signals.as_mut().expect("signals");
    rule.waters = [Waters::Coastal].into();
    assert_eq!(short(&scene), MET, "an inland craft");
    scene.standard.waters = [Waters::Coastal, Waters::Inland].into();
    assert_eq!(short(&scene), NEITHER, "one that also works on the coast");
    // A sheet that does not say where its craft work is not let off.
    scene.standard.waters.clear();
    assert_eq!(short(&scene), NEITHER);
    scene.mission("medical");
    assert_eq!(short(&scene), MET, "a mission that the sheet does not name");
}

/// 175.125: not past the date, and serviceable.
#[test]
fn what_is_out_of_date_or_spent_is_not_in_the_sum() {
    let mut scene = carrying(FT_17, &[]);
    scene.count("flare-red-hand", 3).lots = vec![lot(3, 2026, Some(2), None)];
    assert_eq!(short(&scene), NEITHER);
    scene.count("flare-red-hand", 3).unserviceable = 1;
    assert_eq!(short(&scene), NEITHER);
    scene.count("flare-red-hand", 4).unserviceable = 1;
    assert_eq!(short(&scene), MET);
}

#[test]
fn what_lacks_is_said_in_the_usual_kind_with_what_to_bring() {
    let scene = carrying(FT_17, &[("flare-red-hand", 2)]);
    let finding = scene.finding(Rule::SignalsShortByNight).expect("short");
    assert_eq!(finding.measured, Some(Measure::Count(2)));
    let bring = Action::Bring(LineId::from("flare-red-hand"), 1);
    assert_eq!(finding.to_do[0].action, bring);
    let soon = Effect::Limit(Limit::DoSoon(LineId::from("signals")));
    assert_eq!(finding.effect, soon);
    let missing = scene.answer().missing_kit;
    let lacking: Vec<_> = missing.iter().map(|it| (it.have, it.need)).collect();
    assert_eq!(lacking, [(2, 3)], "once, though short by day and by night");
    let limits = scene.judged().limits;
    assert!(
        limits.contains(&Limit::DoSoon(LineId::from("signals"))),
        "{limits:?}"
    );
}

/// A craft whose flares ran out, with smokes and a light instead, is as good as before.
#[test]
fn a_set_made_up_otherwise_forgives_the_usual_kind() {
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 0);
    assert!(scene.finding(Rule::KitShort).is_some());
    assert_eq!(short(&scene), MET, "said once, by the line");
    scene.count("smoke-orange-hand", 3);
    assert!(scene.finding(Rule::KitShort).is_some(), "none by night");
    scene.count("distress-light", 1);
    assert_eq!(scene.finding(Rule::KitShort), None);
    assert!(scene.answer().missing_kit.is_empty());
    // Said by somebody who is not trusted: somebody goes and looks.
    let doubt = scene.untrusted(counted("distress-light", 0));
    let key = (LineId::from("distress-light"), None);
    let counts = &mut scene.craft().counts;
    counts.get_mut(&key).expect("counted").0.push(doubt);
    assert_eq!(scene.effect(Rule::KitShort), Some(soon("flare-red-hand")));
}

fn soon(line: &str) -> Effect {
    Effect::Limit(Limit::DoSoon(LineId::from(line)))
}

/// A light that was counted long ago stands in for nothing.
#[test]
fn what_was_counted_long_ago_makes_up_nothing() {
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 0);
    scene.count("smoke-orange-hand", 3);
    let old = scene.side_at(counted("distress-light", 1), NOON.plus_ms(-10 * 86_400_000));
    let key = (LineId::from("distress-light"), None);
    let sides = sponson_readiness::record::Sides(vec![old]);
    scene.craft().counts.insert(key, sides);
    assert!(scene.finding(Rule::KitShort).is_some());
}
