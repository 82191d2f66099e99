//! Laws: what can never make a craft readier.

use proptest::prelude::*;
use sponson_readiness::answer::Readiness;
use sponson_readiness::conditions::{Light, Tow, Visibility};
use sponson_readiness::event::{
    AnswerValue, HoldKind, OutReason, Place, RepairHold, Severity, Trust, Unconfirmed, Use,
};
use sponson_readiness::ids::{FaultId, LineId, PartId};
use sponson_readiness::record::{Inspection, Placement, Recent};

use super::scene::{
    BAG, CRAFT, DAY_MS, HOUR_MS, MOTOR, NOON, OTHER_CRAFT, OTHER_STATION, Scene, counted, fault,
    lot, reading,
};
use super::sealed;

const MISSIONS: [Option<&str>; 5] = [
    None,
    Some("lake"),
    Some("swiftwater"),
    Some("flood"),
    Some("search"),
];

/// A county somewhat out of order.
fn scenes() -> impl Strategy<Value = Scene> {
    let gauges = prop::collection::vec(0_i64..=28_000, 5);
    let counts = prop::collection::vec((0_usize..30, 0_u32..9), 0..6);
    let faults = prop::collection::vec((severities(), any::<bool>()), 0..2);
    let weather = (-10_i32..40, 0_i32..30);
    (0..MISSIONS.len(), weather, gauges, counts, faults).prop_map(
        |(mission, (air_c, water_c), gauges, counts, faults)| {
            let mut scene = Scene::inflatable();
            scene.question.mission = MISSIONS[mission].map(Into::into);
            scene.weather(air_c, water_c);
            for (tube, gauge_pa) in (1..).zip(gauges) {
                // Most parts in order, so that not everything is always down.
                if gauge_pa > 23_000 {
                    scene.read(&format!("tube-{tube}"), gauge_pa);
                }
            }
            for (line, count) in counts {
                let item = scene.standard.items[line].id.clone();
                scene.count(item.as_str(), count);
            }
            for (severity, named) in faults {
                add_fault(&mut scene, severity, named);
            }
            scene
        },
    )
}

fn severities() -> impl Strategy<Value = Severity> {
    prop::sample::select(Severity::ALL)
}

fn add_fault(scene: &mut Scene, severity: Severity, named: bool) {
    let of: &[&str] = if named { &["swiftwater"] } else { &[] };
    let side = scene.side(());
    let id = FaultId {
        event: side.origin.event,
        ordinal: 0,
    };
    scene.craft().faults.insert(id, fault(side, severity, of));
}

/// Adds an untrusted side of one kind.
fn add_untrusted(scene: &mut Scene, kind: u8, value: u32) {
    let part = PartId::from("tube-2");
    let line = LineId::from("drain-plug");
    match kind {
        0 => {
            let side = scene.untrusted(reading("tube-2", i64::from(value) * 2_000));
            let readings = scene.craft().readings.get_mut(&part);
            readings.expect("read").standing.0.push(side);
        }
        1 => {
            let side = scene.untrusted(counted("life-jacket", value));
            let key = (LineId::from("life-jacket"), None);
            let counts = scene.craft().counts.get_mut(&key);
            counts.expect("counted").0.push(side);
        }
        2 => {
            let side = scene.untrusted(match value % 2 {
                0 => AnswerValue::Yes,
                _ => AnswerValue::No,
            });
            let answers = scene.craft().answers.get_mut(&line);
            answers.expect("answered").0.push(side);
        }
        3 => {
            let side = scene.untrusted(Inspection {
                passed: value.is_multiple_of(2),
                engine_s: None,
                run_s: None,
                holds: Vec::new(),
            });
            let sides = scene.craft().inspections.get_mut(&LineId::from("seams"));
            sides.expect("inspected").0.push(side);
        }
        4 => {
            let side = scene.untrusted(OutReason::Mechanical);
            scene.craft().out.insert(side.origin.event, side);
        }
        5 => {
            let at = match value % 2 {
                0 => Place::Craft(CRAFT),
                _ => Place::Craft(OTHER_CRAFT),
            };
            let side = scene.untrusted(Placement { at, part: None });
            scene.record(MOTOR).place.0.push(side);
        }
        6 => {
            let side = scene.untrusted(Placement {
                at: Place::Craft(CRAFT),
                part: None,
            });
            let sides = scene.said(counted("life-jacket", value));
            let bag = scene.add_bag(Place::Craft(OTHER_CRAFT));
            bag.counts
                .insert((LineId::from("life-jacket"), None), sides);
            scene.record(BAG).place.0.push(side);
        }
        7 => {
            let side = scene.untrusted(sponson_readiness::record::Checked::default());
            scene.craft().checks.insert(
                sponson_readiness::event::Extent::Short,
                sponson_readiness::record::Sides(vec![side]),
            );
        }
        8 => {
            let side = scene.untrusted(value);
            let line = LineId::from("life-jacket");
            scene.craft().used_up.insert(line, vec![side]);
        }
        9 => {
            let side = scene.untrusted(Use {
                motor_immersed: value.is_multiple_of(2),
                hard: true,
                ..Use::default()
            });
            scene.record(MOTOR).uses.push(side);
        }
        _ => {
            let mut faults = scene.craft().faults.clone();
            for state in faults.values_mut() {
                let mut closed = state.origin.clone();
                closed.trust = Trust::Unconfirmed(Unconfirmed::NoRole);
                state.closed = Some(closed);
            }
            scene.craft().faults = faults;
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Light, wind, current, towing: none of them makes a craft readier when it is harder.
    #[test]
    fn a_harder_job_is_never_readier(
        mut scene in scenes(),
        lights in any::<bool>(),
        (wind, more_wind) in (0_u32..20_000, 0_u32..20_000),
        (current, more_current) in (0_u32..6_000, 0_u32..6_000),
        harder in 0_u8..5,
    ) {
        if !lights {
            let no = scene.said(AnswerValue::No);
            scene.craft().answers.insert(LineId::from("nav-lights"), no);
        }
        scene.question.conditions.wind_mm_s = Some(wind);
        scene.question.conditions.current_mm_s = Some(current);
        let before = scene.readiness();
        let given = &mut scene.question.conditions;
        match harder {
            0 => given.wind_mm_s = Some(wind + more_wind),
            1 => given.current_mm_s = Some(current + more_current),
            2 => given.tow = Tow::Yes,
            3 => given.visibility = Some(Visibility::Restricted),
            _ => given.light = vec![all_dark()],
        }
        prop_assert!(scene.readiness() >= before);
    }

    /// From a gauge that is not too high.
    #[test]
    fn a_lower_gauge_is_never_readier(
        mut scene in scenes(),
        part in prop::sample::select(vec![("tube-3", 28_000), ("tube-5", 28_000), ("keel", 24_000), ("floor", 132_000)]),
        (one, other) in (0_i64..=1_000, 0_i64..=1_000),
    ) {
        let (part, most_pa) = part;
        // Water as cold as the air: nothing warms, so nothing gets too hard.
        scene.question.air_mc = scene.question.air_mc.map(|air_mc| air_mc.min(20_000));
        scene.question.water_mc = scene.question.air_mc;
        scene.read(part, one.max(other) * most_pa / 1_000);
        let higher = scene.readiness();
        scene.read(part, one.min(other) * most_pa / 1_000);
        prop_assert!(scene.readiness() >= higher);
    }

    #[test]
    fn one_more_fault_is_never_readier(
        mut scene in scenes(), severity in severities(), named in any::<bool>(),
    ) {
        let before = scene.readiness();
        add_fault(&mut scene, severity, named);
        prop_assert!(scene.readiness() >= before);
    }

    #[test]
    fn an_untrusted_side_is_never_readier(
        mut scene in scenes(), kind in 0_u8..11, value in 0_u32..16,
    ) {
        let before = scene.readiness();
        add_untrusted(&mut scene, kind, value);
        let after = scene.readiness();
        prop_assert!(after >= before, "{before:?} {after:?}");
        // Nor does it do worse than 'go and look'.
        prop_assert!(after <= before.max(Readiness::Unproven), "{before:?} {after:?}");
    }

    #[test]
    fn an_untrusted_side_never_hides_a_finding(
        mut scene in scenes(), kind in 0_u8..5, value in 0_u32..16,
    ) {
        let before = scene.judged().why;
        add_untrusted(&mut scene, kind, value);
        let after = scene.judged().why;
        for finding in before {
            let kept = after.iter().any(|other| {
                other.rule == finding.rule
                    && other.subject == finding.subject
                    && other.effect >= finding.effect
            });
            prop_assert!(kept, "{finding:?}");
        }
    }

    #[test]
    fn a_stricter_sheet_is_never_readier(
        mut scene in scenes(), line in 0_usize..30, more in 1_u32..4, narrower in 0_i64..1_500,
    ) {
        let before = scene.readiness();
        let item = &mut scene.standard.items[line];
        item.count += more;
        for count in item.count_for.values_mut() {
            *count += more;
        }
        let stricter = scene.readiness();
        prop_assert!(stricter >= before);
        for part in &mut scene.standard.parts {
            if let Some(rule) = &mut part.pressure {
                rule.low_pa += narrower.min(rule.nominal_pa - rule.low_pa);
            }
        }
        prop_assert!(scene.readiness() >= stricter);
    }

    #[test]
    fn an_answer_is_a_function_of_its_inputs(scene in scenes()) {
        let answer = scene.answer();
        prop_assert_eq!(&answer, &scene.clone().answer());
        for craft in answer.craft {
            let can_go = craft.readiness <= Readiness::ReadyWithLimits;
            prop_assert!(!can_go || craft.minutes_to_ready == Some(0));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// A seal that is broken or another, an earlier date on a tag, an unconfirmed look, an older one.
    #[test]
    fn a_worse_seal_is_never_readier(
        (counted_days, worse) in (0_i64..40, 0_u8..5), looked in any::<bool>(), months in 1_u32..12,
    ) {
        let date = |months: u32| Some(sponson_readiness::event::DateMark {
            year: 2026,
            month: Some(months),
            day: None,
        });
        let mut scene = sealed::scene(counted_days);
        if looked {
            sealed::look(&mut scene, sealed::seal(Some("122"), date(months)), true);
        }
        let before = scene.readiness();
        match worse {
            0 => sealed::look(&mut scene, sealed::seal(None, None), true),
            1 => sealed::look(&mut scene, sealed::seal(Some("900"), None), true),
            2 => sealed::look(&mut scene, sealed::seal(Some("122"), None), false),
            3 => {
                let looks = &mut scene.record(BAG).seals.looked.0;
                looks.iter_mut().for_each(|look| look.value.seal.earliest = date(1));
            }
            _ => {
                let looks = &mut scene.record(BAG).seals.looked.0;
                for look in looks {
                    let interval = &mut look.origin.interval;
                    interval.early = interval.early.map(|at| at.plus_ms(-30 * DAY_MS));
                }
            }
        }
        let after = scene.readiness();
        prop_assert!(after >= before, "{before:?} {after:?}");
    }

    #[test]
    fn the_sun_judged_is_never_readier_than_the_sun_shown(mut scene in scenes()) {
        let shown = scene.readiness();
        scene.policy.pressure.sun = sponson_readiness::standard::Sun::Judged;
        prop_assert!(scene.readiness() >= shown);
    }

    #[test]
    fn an_opened_valve_between_chambers_is_never_readier(
        mut scene in scenes(), opened in prop::collection::vec(1_u32..=5, 1..4),
    ) {
        let before = scene.readiness();
        for tube in opened {
            let part = PartId::from(format!("tube-{tube}").as_str());
            if let Some(readings) = scene.craft().readings.get_mut(&part) {
                let open = sponson_readiness::event::ValveState::Open;
                readings.standing.0[0].value.valves = Some(open);
            }
        }
        prop_assert!(scene.readiness() >= before);
    }

    /// The spread is shown and decides nothing.
    #[test]
    fn moisture_and_weather_that_is_not_known_decide_nothing(
        mut scene in scenes(), humidity in 0_u32..=100, swing_pa in 0_u32..=3_000,
    ) {
        let before = scene.readiness();
        scene.policy.pressure.fill_humidity_percent = humidity;
        scene.policy.pressure.ambient_swing_pa = swing_pa;
        prop_assert_eq!(scene.readiness(), before);
    }

    /// A hotter bay since the reading lets more air out by the relief valves.
    #[test]
    fn a_later_reading_in_the_heat_is_never_readier(mut scene in scenes(), hot_c in 0_i32..60) {
        let before = scene.readiness();
        let mut later = reading("floor", 110_000);
        later.air_mc = Some(hot_c * 1_000);
        let side = scene.side_at(Recent::Read(later), NOON.plus_ms(-HOUR_MS / 2));
        let readings = scene.craft().readings.get_mut(&PartId::from("floor"));
        readings.expect("read").recent.push(side);
        prop_assert!(scene.readiness() >= before);
    }
}

/// What may make a craft readier as time goes by: the end of a hold.
/// Dark for days.
fn all_dark() -> Light {
    let [from, to] = [-9, 9].map(|days| NOON.plus_ms(days * DAY_MS));
    Light {
        from,
        to,
        dark: vec![(from, to)],
    }
}

fn add_hold(scene: &mut Scene, hours_left: u32) {
    let hold = RepairHold {
        kind: HoldKind::Launch,
        duration_s: (hours_left + 1) * 3_600,
    };
    let side = scene.side(hold);
    scene.craft().holds.push(side);
}

/// A second trusted side beside one that is there.
fn add_side(scene: &mut Scene, kind: u8, value: u32) {
    let part = PartId::from("tube-2");
    match kind {
        0 => {
            let side = scene.side(reading("tube-2", i64::from(value) * 2_000));
            let readings = scene.craft().readings.get_mut(&part);
            readings.expect("read").standing.0.push(side);
        }
        1 => {
            let side = scene.side(counted("life-jacket", value));
            let key = (LineId::from("life-jacket"), None);
            let counts = scene.craft().counts.get_mut(&key);
            counts.expect("counted").0.push(side);
        }
        2 => {
            let no = value.is_multiple_of(2);
            let side = scene.side(if no {
                AnswerValue::No
            } else {
                AnswerValue::Yes
            });
            let line = LineId::from("drain-plug");
            let answers = scene.craft().answers.get_mut(&line);
            answers.expect("answered").0.push(side);
        }
        3 => {
            let side = scene.side(Inspection {
                passed: value.is_multiple_of(2),
                engine_s: None,
                run_s: None,
                holds: Vec::new(),
            });
            let sides = scene.craft().inspections.get_mut(&LineId::from("seams"));
            sides.expect("inspected").0.push(side);
        }
        4 => {
            let elsewhere = value.is_multiple_of(2);
            let at = Place::Craft(if elsewhere { OTHER_CRAFT } else { CRAFT });
            let side = scene.side(Placement { at, part: None });
            scene.record(MOTOR).place.0.push(side);
        }
        _ => {
            let at = Place::Station(OTHER_STATION);
            let side = scene.side(Placement { at, part: None });
            scene.craft().place.0.push(side);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Evidence only grows older, dates only run out, waivers only end. What frees a craft by
    /// itself is the end of a hold, and there is none here.
    #[test]
    fn a_later_moment_is_never_readier(
        mut scene in scenes(), (one, other) in (0_i64..600, 0_i64..600), from in 0_i64..20,
    ) {
        let day = scene.question.as_of.plus_ms(from * DAY_MS).0 / DAY_MS;
        let asked_from = chrono::DateTime::from_timestamp_millis(day * DAY_MS);
        let asked_from = asked_from.map(|at| at.date_naive());
        scene.craft().answers.remove(&LineId::from("steering"));
        let steering = |one: &&mut sponson_readiness::standard::Question| {
            one.id.as_str() == "steering"
        };
        scene.standard.questions.iter_mut().filter(steering).for_each(|one| {
            one.asked_from = asked_from;
        });
        let mut at = |days: i64| {
            scene.question.as_of = NOON.plus_ms(days * DAY_MS);
            scene.question.now = scene.question.as_of;
            scene.readiness()
        };
        prop_assert!(at(one.max(other)) >= at(one.min(other)));
    }

    #[test]
    fn a_hold_only_keeps_ashore_and_only_until_it_ends(
        mut scene in scenes(), hours_left in 1_u32..48,
    ) {
        let before = scene.readiness();
        add_hold(&mut scene, hours_left);
        prop_assert_eq!(scene.readiness(), Readiness::NotReady);
        scene.question.as_of = NOON.plus_ms(i64::from(hours_left) * HOUR_MS);
        prop_assert!(scene.readiness() >= before);
        prop_assert_eq!(scene.finding(sponson_readiness::answer::Rule::HoldRuns), None);
    }

    /// As long as the warmer of air and water stays: a warmer day lets air out by a relief valve.
    #[test]
    fn a_colder_launch_is_never_predicted_harder(
        mut scene in scenes(), warm_c in 0_i32..40, (one, other) in (0_i32..50, 0_i32..50),
    ) {
        let mut low = |below_c: i32| {
            scene.weather(warm_c, warm_c - below_c);
            let pressures = scene.judged().pressures.into_iter();
            let low: Vec<_> = pressures.map(|one| (one.part, one.launch_low_pa)).collect();
            (low, scene.readiness())
        };
        let (colder, milder) = (low(one.max(other)), low(one.min(other)));
        for ((part, colder_pa), (same, milder_pa)) in colder.0.iter().zip(&milder.0) {
            prop_assert_eq!(part, same);
            prop_assert!(colder_pa <= milder_pa, "{:?}: {} {}", part, colder_pa, milder_pa);
        }
        prop_assert!(colder.1 >= milder.1);
    }

    #[test]
    fn more_expired_units_are_never_readier(
        mut scene in scenes(), line in 0_usize..30, (one, other) in (0_u32..5, 0_u32..5),
    ) {
        let mut expired = |number: u32| {
            let item = scene.standard.items[line].clone();
            let count = item.count_for.values().copied().max().unwrap_or(0).max(item.count);
            let gone = number.min(count);
            let lots = vec![lot(gone, 2026, Some(2), None), lot(count - gone, 2029, Some(2), None)];
            scene.count(item.id.as_str(), count).lots = lots;
            scene.readiness()
        };
        prop_assert!(expired(one.max(other)) >= expired(one.min(other)));
    }

    #[test]
    fn a_second_side_is_never_readier(
        mut scene in scenes(), kind in 0_u8..6, value in 0_u32..16,
    ) {
        let before = scene.readiness();
        add_side(&mut scene, kind, value);
        let after = scene.readiness();
        prop_assert!(after >= before, "{before:?} {after:?}");
    }

    #[test]
    fn older_evidence_is_never_readier(mut scene in scenes(), line in 0_usize..30, days in 0_i64..40) {
        let before = scene.readiness();
        let item = scene.standard.items[line].id.clone();
        let counts = scene.craft().counts.get_mut(&(item, None));
        prop_assume!(counts.is_some());
        let interval = &mut counts.expect("counted").0[0].origin.interval;
        let at = interval.claimed.plus_ms(-days * DAY_MS);
        (interval.early, interval.late, interval.claimed) = (Some(at), Some(at), at);
        prop_assert!(scene.readiness() >= before);
    }

    /// Silence is only noted, so that saying less than before is what makes a craft worse.
    #[test]
    fn fewer_crew_and_lower_levels_are_never_readier(
        mut scene in scenes(), (one, other) in (0_u32..4, 0_u32..4), level in 0_usize..3,
    ) {
        let levels = ["awareness", "operations", "technician"];
        let mut with = |crews: u32, level: &str| {
            scene.crews()[0].value.crews = crews;
            scene.crews()[0].value.persons = Some(crews * 2);
            scene.level("214", level, None);
            scene.readiness()
        };
        let more = with(one.max(other), levels[level]);
        prop_assert!(with(one.min(other), levels[level]) >= more);
        prop_assert!(with(one.max(other), levels[level.saturating_sub(1)]) >= more);
    }

    #[test]
    fn nothing_unconfirmed_about_people_is_ever_readier(
        mut scene in scenes(), crews in 0_u32..4, named in any::<bool>(), forked in any::<bool>(),
        lapsed in any::<bool>(),
    ) {
        if lapsed {
            scene.level("214", "operations", None);
        }
        let before = scene.readiness();
        let mut side = scene.crews()[0].clone();
        side.value.crews = crews;
        if !named {
            side.value.operators.clear();
        }
        let why = if forked { Unconfirmed::Forked } else { Unconfirmed::NotAdmitted };
        side.origin.trust = Trust::Unconfirmed(why);
        scene.crews().push(side);
        prop_assert!(scene.readiness() >= before);
    }

    /// A second person for sign-offs, and a stricter sheet about what is owed after use.
    #[test]
    fn a_stricter_county_is_never_readier(
        mut scene in scenes(), severity in severities(), by_repairer in any::<bool>(),
    ) {
        add_fault(&mut scene, severity, false);
        let side = scene.side(Use::default());
        let faults = &mut scene.craft().faults;
        for state in faults.values_mut() {
            let mut closed = side.origin.clone();
            if by_repairer {
                state.repairs.push(side.origin.clone());
            } else {
                closed.author.member = "999".to_owned();
            }
            state.closed = Some(closed);
        }
        scene.craft().uses.push(side);
        let before = scene.readiness();
        scene.policy.faults.repairer_signs_off = false;
        let stricter = scene.readiness();
        prop_assert!(stricter >= before);
        scene.standard.check.released = sponson_readiness::standard::RuleEffect::NotReady;
        for line in &mut scene.standard.after_use {
            line.owed = sponson_readiness::standard::RuleEffect::NotReady;
            line.water.clear();
        }
        prop_assert!(scene.readiness() >= stricter);
    }
}
