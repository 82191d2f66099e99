//! Inspections by calendar and by engine hours.

use sponson_readiness::answer::{Action, Effect, Limit, Measure, Readiness, Rule};
use sponson_readiness::event::{GearKind, Place, Use};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::record::{Placement, Sides};
use sponson_readiness::standard::HardUse;

use super::scene::{HOUR_MS, MOTOR, NOON, STATION, Scene};

fn do_soon(line: &str) -> Effect {
    Effect::Limit(Limit::DoSoon(LineId::from(line)))
}

/// Six months and 30 days of grace; due soon for 30 days before. 2026-03-01 less 181 days is
/// 2025-09-01, which is due on 2026-03-01.
#[test]
fn an_inspection_falls_due_soon_then_in_grace_then_over() {
    for (days_ago, rule, effect) in [
        (151, None, None),
        (152, Some(Rule::InspectionDueSoon), Some(Effect::Note)),
        (181, Some(Rule::InspectionDueSoon), Some(Effect::Note)),
        (182, Some(Rule::InspectionOverdue), Some(Effect::Note)),
        (214, Some(Rule::InspectionOverdue), Some(Effect::Note)),
        (215, Some(Rule::InspectionOverdue), Some(do_soon("seams"))),
    ] {
        let mut scene = Scene::inflatable();
        scene.inspected("seams", days_ago, true);
        let why = scene.judged().why;
        let found = why.first().map(|one| one.rule);
        assert_eq!(found, rule, "{days_ago}");
        assert_eq!(
            why.into_iter().next().map(|one| one.effect),
            effect,
            "{days_ago}"
        );
    }
}

#[test]
fn overdue_is_listed_with_its_day_the_longest_first() {
    let mut scene = Scene::inflatable();
    scene.inspected("seams", 215, true);
    scene.inspected("fuel-line", 400, true);
    let overdue = scene.answer().overdue;
    let lines: Vec<&str> = overdue.iter().map(|one| one.inspection.as_str()).collect();
    assert_eq!(lines, ["fuel-line", "seams"]);
    assert_eq!(overdue[0].effect, Effect::Limit(Limit::NoPower));
    assert_eq!(overdue[0].due, "2026-01-25".parse().ok());
    assert_eq!(overdue[0].days_over, Some(35));
}

#[test]
fn never_done_and_failed_have_effects_of_their_own() {
    let mut scene = Scene::inflatable();
    scene.craft().inspections.remove(&LineId::from("seams"));
    assert_eq!(
        scene.effect(Rule::InspectionNeverDone),
        Some(Effect::Unproven)
    );
    scene.inspected("seams", 1, false);
    let finding = scene.finding(Rule::InspectionFailed).expect("failed");
    assert_eq!(finding.effect, Effect::NotReady);
    assert_eq!(
        finding.to_do[0].action,
        Action::Inspect(LineId::from("seams"))
    );
    assert_eq!(finding.to_do[0].minutes, Some(60));
}

#[test]
fn an_untrusted_pass_proves_nothing_and_an_untrusted_failure_means_go_and_look() {
    let mut scene = Scene::inflatable();
    scene.inspected("seams", 1, true);
    let failed = sponson_readiness::record::Inspection {
        passed: false,
        engine_s: None,
        run_s: None,
        holds: Vec::new(),
    };
    let side = scene.untrusted(failed);
    let sides = scene.craft().inspections.get_mut(&LineId::from("seams"));
    sides.expect("inspected").0.push(side);
    assert_eq!(scene.effect(Rule::InspectionFailed), Some(Effect::Unproven));
    let passed = sponson_readiness::record::Inspection {
        passed: true,
        engine_s: None,
        run_s: None,
        holds: Vec::new(),
    };
    let side = scene.untrusted(passed);
    let only = sponson_readiness::record::Sides(vec![side]);
    scene
        .craft()
        .inspections
        .insert(LineId::from("seams"), only);
    assert_eq!(
        scene.effect(Rule::InspectionNeverDone),
        Some(Effect::Unproven)
    );
}

/// An outboard manual p. 36: every 100 h or yearly, whichever first. 96 h and 11
/// months: due soon; 97 h and 13 months: overdue.
#[test]
fn engine_service_by_hours_or_months_whichever_first() {
    let hours = |hours: u64, days_ago| {
        let mut scene = Scene::inflatable();
        scene.inspected("engine-service", days_ago, true).engine_s = Some(0);
        let sides = scene.said(hours * 3_600);
        scene.record(MOTOR).meters.insert(None, sides);
        let why = scene.judged().why.into_iter();
        let of_line = why.filter(|one| {
            one.to_do.first().map(|one| &one.action)
                == Some(&Action::Inspect(LineId::from("engine-service")))
        });
        of_line.map(|one| (one.rule, one.effect)).next()
    };
    let soon = Some((Rule::InspectionDueSoon, Effect::Note));
    let grace = Some((Rule::InspectionOverdue, Effect::Note));
    let over = Some((Rule::InspectionOverdue, do_soon("engine-service")));
    assert_eq!(hours(89, 300), None);
    assert_eq!(hours(96, 334), soon);
    assert_eq!(hours(97, 366), grace);
    assert_eq!(hours(97, 396), over);
    assert_eq!(hours(100, 300), soon);
    assert_eq!(hours(101, 30), over);
}

#[test]
fn hard_use_halves_engine_hours() {
    let mut scene = Scene::inflatable();
    scene.inspected("engine-service", 30, true).engine_s = Some(0);
    let sides = scene.said(60 * 3_600);
    scene.record(MOTOR).meters.insert(None, sides);
    assert_eq!(scene.effect(Rule::InspectionOverdue), None);
    let hard = Use {
        hard: true,
        ..Use::default()
    };
    let side = scene.side_at(hard, NOON.plus_ms(-2 * HOUR_MS));
    scene.record(MOTOR).uses.push(side);
    let finding = scene.finding(Rule::InspectionOverdue).expect("over");
    assert_eq!(finding.measured, Some(Measure::EngineS(10 * 3_600)));
}

/// The maker says 'twice as often' (Yamaha F150B maintenance chart); whether that means days too is
/// the sheet's. A note says why it is due already, and only once it is.
#[test]
fn hard_use_halves_what_the_sheet_says() {
    for (hard_use, days_ago, over, said) in [
        (HardUse::HalvesNothing, 200, false, false),
        (HardUse::HalvesHours, 200, false, false),
        (HardUse::HalvesBoth, 200, true, true),
        (HardUse::HalvesBoth, 100, false, false),
    ] {
        let mut scene = Scene::inflatable();
        let lines = scene.standard.inspections.iter_mut();
        let line = lines.filter(|line| line.id.as_str() == "engine-service");
        line.for_each(|line| line.hard_use = hard_use);
        scene.inspected("engine-service", days_ago, true).engine_s = None;
        assert_eq!(scene.finding(Rule::InspectionOverdue), None, "{hard_use:?}");
        let hard = Use {
            hard: true,
            ..Use::default()
        };
        let side = scene.side_at(hard, NOON.plus_ms(-2 * HOUR_MS));
        let event = side.origin.event;
        scene.record(MOTOR).uses.push(side);
        let overdue = scene.finding(Rule::InspectionOverdue);
        assert_eq!(overdue.is_some(), over, "{hard_use:?} {days_ago}");
        let note = scene.finding(Rule::UsedHard);
        assert_eq!(note.is_some(), said, "{hard_use:?} {days_ago}");
        if let Some(note) = note {
            assert_eq!(note.evidence, [event]);
            assert_eq!(note.measured, Some(Measure::EngineS(50 * 3_600)));
        }
    }
}

#[test]
fn an_inspection_travels_with_its_motor() {
    let mut scene = Scene::inflatable();
    scene.inspected("fuel-line", 400, true);
    let of_motor = scene.clone().inspected("fuel-line", 1, true).to_owned();
    let sides = scene.said(of_motor);
    let motor = scene.record(MOTOR);
    motor.inspections.insert(LineId::from("fuel-line"), sides);
    assert_eq!(scene.effect(Rule::InspectionOverdue), None);
}

/// Row 59: 46 CFR 185.720(b) asks for at least 3 min; a run of 2 min 30 s does not satisfy it. A run
/// whose length nobody gave is taken as stated.
#[test]
fn a_run_shorter_than_the_standard_does_not_count() {
    for (run_s, effect) in [
        (Some(150), Some(Effect::Unproven)),
        (Some(179), Some(Effect::Unproven)),
        (Some(180), None),
        (Some(600), None),
        (None, None),
    ] {
        let mut scene = Scene::inflatable();
        scene.inspected("engine-run", 1, true).run_s = run_s;
        assert_eq!(scene.effect(Rule::InspectionTooShort), effect, "{run_s:?}");
        let other = scene.effect(Rule::InspectionNeverDone);
        assert_eq!(other, None, "{run_s:?}");
    }
    let mut scene = Scene::inflatable();
    scene.inspected("engine-run", 1, true).run_s = Some(150);
    let finding = scene.finding(Rule::InspectionTooShort).expect("short");
    assert_eq!(finding.measured, Some(Measure::SpanMs(150_000)));
    let run = Action::Inspect(LineId::from("engine-run"));
    assert_eq!(finding.to_do[0].action, run);
    // One that is no run has no length.
    scene.inspected("engine-run", 1, true);
    scene.inspected("fuel-line", 1, true).run_s = Some(1);
    assert_eq!(scene.finding(Rule::InspectionTooShort), None);
}

/// What was inspected on the motor before it was changed says nothing about the new one; what was
/// stated of the craft alone, as older entries were, still counts.
#[test]
fn a_swapped_motor_does_not_inherit_the_inspections_of_the_old_one() {
    let mut scene = Scene::inflatable();
    scene.inspected("fuel-line", 1, true);
    let said = scene.craft().inspections[&LineId::from("fuel-line")].clone();
    let mut old = scene.record(MOTOR).clone();
    old.subject = SubjectId::from_bytes([31; 16]);
    old.place = scene.said(Placement {
        at: Place::Station(STATION),
        part: None,
    });
    scene.records.insert(old.subject, old.clone());
    assert_eq!(scene.finding(Rule::InspectionNeverDone), None);
    // The entry was about the craft and the old motor.
    let old = scene.record(old.subject);
    old.inspections
        .insert(LineId::from("fuel-line"), said.clone());
    let never = scene
        .finding(Rule::InspectionNeverDone)
        .expect("the new one");
    assert_eq!(never.effect, Effect::Unproven);
    // About both motors, as when the new one was inspected in the same entry.
    let new = scene.record(MOTOR);
    new.inspections.insert(LineId::from("fuel-line"), said);
    assert_eq!(scene.finding(Rule::InspectionNeverDone), None);
}

/// A trailer that is numbered keeps its own yearly inspection.
#[test]
fn a_trailer_carries_its_inspection_along() {
    let mut scene = Scene::inflatable();
    let mut trailer = scene.record(MOTOR).clone();
    trailer.subject = SubjectId::from_bytes([32; 16]);
    trailer.gear.0[0].value.kind = GearKind::Trailer;
    trailer.place.0[0].value.part = None;
    let over = scene.inspected("trailer-yearly", 500, true).to_owned();
    let old = scene.side_at(over, NOON.plus_ms(-500 * 24 * HOUR_MS));
    scene.inspected("trailer-yearly", 1, true);
    assert_eq!(scene.finding(Rule::InspectionOverdue), None);
    let line = LineId::from("trailer-yearly");
    trailer.inspections.insert(line, Sides(vec![old]));
    scene.records.insert(trailer.subject, trailer);
    let soon = Some(do_soon("trailer-yearly"));
    assert_eq!(scene.effect(Rule::InspectionOverdue), soon);
}

/// What is done once or twice a year lapses somewhere every month: it must not blank a county.
#[test]
fn a_lapsed_inspection_leaves_a_limit_at_most() {
    for name in ["inflatable-14", "rigid-inflatable-17", "flat-bottom-16"] {
        let scene = Scene::of(name);
        for line in &scene.standard.inspections {
            // The weekly run is part of looking after the craft: without it nobody has.
            let worst = match line.id.as_str() {
                "engine-run" => Readiness::Unproven,
                _ => Readiness::ReadyWithLimits,
            };
            let mut scene = scene.clone();
            scene.inspected(line.id.as_str(), 500, true);
            let readiness = scene.readiness();
            assert!(readiness <= worst, "{name} {:?}", line.id);
        }
    }
}
