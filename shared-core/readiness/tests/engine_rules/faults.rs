//! Faults, waivers, holds.
//!
//! Source of the severities: COMDTINST M16114.32 series and the Defender handbook p. 5-3. Source of
//! the hold: a maker's page on glue for PVC, 24 h before inflating and 72 h before water.

use sponson_readiness::answer::{Action, Effect, Limit, Measure, Readiness, Rule};
use sponson_readiness::event::{HoldKind, Place, RepairHold, Severity};
use sponson_readiness::ids::FaultId;
use sponson_readiness::record::{FaultState, Placement, Side, Waiver};
use sponson_readiness::standard::Reporting;

use super::scene::{CRAFT, HOUR_MS, MOTOR, NOON, OTHER_CRAFT, Scene, fault, missions};

fn add(scene: &mut Scene, severity: Severity, of: &[&str]) -> FaultId {
    let side = scene.side(());
    let id = FaultId {
        event: side.origin.event,
        ordinal: 0,
    };
    scene.craft().faults.insert(id, fault(side, severity, of));
    id
}

#[test]
fn severity_decides() {
    for (severity, effect) in [
        (Severity::Disabling, Effect::NotReady),
        (Severity::Restrictive, Effect::NotReady),
        (Severity::Major, Effect::Note),
        (Severity::Minor, Effect::Note),
    ] {
        let mut scene = Scene::inflatable();
        let id = add(&mut scene, severity, &[]);
        let finding = scene.finding(Rule::FaultOpen).expect("open");
        assert_eq!(finding.effect, effect);
        assert_eq!(finding.to_do[0].action, Action::RepairAndSignOff(id));
    }
}

#[test]
fn a_fault_may_rule_out_named_missions_alone() {
    let mut scene = Scene::inflatable();
    add(&mut scene, Severity::Major, &["swiftwater"]);
    let limit = Effect::Limit(Limit::NotFor(missions(&["swiftwater"])));
    assert_eq!(scene.effect(Rule::FaultOpen), Some(limit));
    scene.mission("swiftwater");
    assert_eq!(scene.effect(Rule::FaultOpen), Some(Effect::NotReady));
}

/// With a disabling fault a boat shall not get underway at all.
#[test]
fn a_disabling_fault_rules_out_every_mission_whatever_it_names() {
    let mut scene = Scene::inflatable();
    add(&mut scene, Severity::Disabling, &["swiftwater"]);
    assert_eq!(scene.readiness(), Readiness::NotReady);
    scene.question.mission = None;
    assert_eq!(scene.readiness(), Readiness::NotReady);
}

#[test]
fn only_a_trusted_sign_off_closes() {
    let mut scene = Scene::inflatable();
    let id = add(&mut scene, Severity::Disabling, &[]);
    let untrusted = scene.untrusted(());
    let state: &mut FaultState = scene.craft().faults.get_mut(&id).expect("there");
    state.closed = Some(untrusted.origin);
    assert_eq!(scene.readiness(), Readiness::NotReady);
    let trusted = scene.side(());
    let state: &mut FaultState = scene.craft().faults.get_mut(&id).expect("there");
    state.closed = Some(trusted.origin);
    assert_eq!(scene.readiness(), Readiness::Ready);
}

#[test]
fn a_waiver_lets_a_restrictive_fault_go_for_its_missions_until_its_end() {
    let mut scene = Scene::inflatable();
    let id = add(&mut scene, Severity::Restrictive, &[]);
    let until = NOON.plus_ms(HOUR_MS);
    let waiver = scene.side(Waiver {
        faults: [id].into(),
        missions: missions(&["lake"]),
        until,
    });
    let event = waiver.origin.event;
    scene.craft().waivers.insert(event, waiver);
    let limit = Effect::Limit(Limit::OnlyFor(missions(&["lake"]), until));
    assert_eq!(scene.effect(Rule::FaultOpen), Some(limit));
    scene.mission("flood");
    assert_eq!(scene.effect(Rule::FaultOpen), Some(Effect::NotReady));
    scene.mission("lake");
    scene.question.as_of = until;
    assert_eq!(scene.effect(Rule::FaultOpen), Some(Effect::NotReady));
}

#[test]
fn no_waiver_lets_a_disabling_fault_go_and_no_untrusted_one_any() {
    for severity in [Severity::Disabling, Severity::Restrictive] {
        let mut scene = Scene::inflatable();
        let id = add(&mut scene, severity, &[]);
        let waiver = Waiver {
            faults: [id].into(),
            missions: missions(&["lake"]),
            until: NOON.plus_ms(HOUR_MS),
        };
        let side = match severity {
            Severity::Disabling => scene.side(waiver),
            Severity::Restrictive | Severity::Major | Severity::Minor => scene.untrusted(waiver),
        };
        scene.craft().waivers.insert(side.origin.event, side);
        assert_eq!(scene.readiness(), Readiness::NotReady);
    }
}

#[test]
fn an_unconfirmed_fault_is_at_most_go_and_look() {
    let mut scene = Scene::inflatable();
    let side = scene.untrusted(());
    let id = FaultId {
        event: side.origin.event,
        ordinal: 0,
    };
    let state = fault(side, Severity::Disabling, &[]);
    scene.craft().faults.insert(id, state);
    assert_eq!(scene.effect(Rule::FaultOpen), Some(Effect::Unproven));
}

#[test]
fn a_fault_travels_with_the_gear_that_it_is_on() {
    let mut scene = Scene::inflatable();
    let id = add(&mut scene, Severity::Disabling, &[]);
    let mut state = scene.craft().faults.remove(&id).expect("there");
    state.fault.gear = Some(MOTOR);
    scene.craft().faults.insert(id, state.clone());
    scene.record(MOTOR).faults.insert(id, state);
    let judged = scene.judged();
    let faults = judged.why.iter().filter(|one| one.rule == Rule::FaultOpen);
    assert_eq!(faults.count(), 1);
    let elsewhere = scene.said(Placement {
        at: Place::Craft(OTHER_CRAFT),
        part: None,
    });
    scene.record(MOTOR).place = elsewhere;
    assert_eq!(scene.effect(Rule::FaultOpen), None);
}

#[test]
fn the_faults_of_a_craft_registered_twice_are_judged_together() {
    let mut scene = Scene::inflatable();
    let mut twin = scene.craft().clone();
    twin.subject = OTHER_CRAFT;
    scene.records.insert(OTHER_CRAFT, twin);
    let id = add(&mut scene, Severity::Disabling, &[]);
    let state = scene.craft().faults.remove(&id).expect("there");
    scene.record(OTHER_CRAFT).faults.insert(id, state);
    assert_eq!(scene.readiness(), Readiness::Ready);
    scene.record(OTHER_CRAFT).same_as.insert(CRAFT);
    assert_eq!(scene.readiness(), Readiness::NotReady);
    assert_eq!(scene.effect(Rule::SameAs), Some(Effect::Note));
    assert_eq!(scene.effect(Rule::NumberTwice), None);
}

/// Glue finished at 0 h; inflating is held at 20 h, launching at 60 h.
#[test]
fn a_hold_runs_from_the_late_end_of_the_work() {
    for (hours, kind, duration_h, effect) in [
        (20, HoldKind::Inflate, 24, Some(Effect::NotReady)),
        (24, HoldKind::Inflate, 24, None),
        (60, HoldKind::Launch, 72, Some(Effect::NotReady)),
    ] {
        let mut scene = Scene::inflatable();
        let hold = RepairHold {
            kind,
            duration_s: duration_h * 3_600,
        };
        let done = NOON.plus_ms(-hours * HOUR_MS);
        let side = scene.side_at(hold, done);
        scene.craft().holds.push(side);
        assert_eq!(scene.effect(Rule::HoldRuns), effect, "{hours} h");
        if let Some(finding) = scene.finding(Rule::HoldRuns) {
            let end = done.plus_ms(i64::from(duration_h) * HOUR_MS);
            assert_eq!(finding.to_do[0].action, Action::WaitUntil(end));
        }
    }
}

/// A fault found so many hours before noon.
fn found_ago(scene: &mut Scene, severity: Severity, hours: i64) -> FaultId {
    let side = scene.side_at((), NOON.plus_ms(-hours * HOUR_MS));
    let id = FaultId {
        event: side.origin.event,
        ordinal: 0,
    };
    scene.craft().faults.insert(id, fault(side, severity, &[]));
    id
}

/// Trade rules 7.2: a restrictive one found at 10:00 and not over at 11:00 is reported; a disabling
/// one at once, and not repaired in 48 h it is a casualty report within 24 h of the casualty. Source:
/// Defender handbook p. 5-3. Off by default.
#[test]
fn reporting_times_are_a_setting_and_off_by_default() {
    let times = Reporting {
        restrictive_s: 3_600,
        casualty_s: 48 * 3_600,
        within_s: 24 * 3_600,
    };
    for (severity, hours, report, casualty) in [
        (Severity::Restrictive, 0, false, false),
        (Severity::Restrictive, 1, true, false),
        (Severity::Disabling, 0, true, false),
        (Severity::Disabling, 47, true, false),
        (Severity::Disabling, 48, true, true),
        (Severity::Restrictive, 48, true, true),
        (Severity::Major, 48, false, false),
    ] {
        let mut scene = Scene::inflatable();
        found_ago(&mut scene, severity, hours);
        let before = scene.readiness();
        assert_eq!(scene.finding(Rule::ReportDue), None);
        scene.policy.faults.reporting = Some(times);
        let due = |rule| scene.effect(rule) == Some(Effect::Note);
        assert_eq!(due(Rule::ReportDue), report, "{severity:?} {hours} h");
        assert_eq!(
            due(Rule::CasualtyReportDue),
            casualty,
            "{severity:?} {hours} h"
        );
        assert_eq!(scene.readiness(), before);
    }
    let mut scene = Scene::inflatable();
    found_ago(&mut scene, Severity::Disabling, 50);
    scene.policy.faults.reporting = Some(times);
    let casualty = scene.finding(Rule::CasualtyReportDue).expect("due");
    let within = casualty.required.expect("required").high;
    assert_eq!(within, Some(Measure::SpanMs(24 * HOUR_MS)));
}

/// By setting only: the same person, by member number or else by device.
#[test]
fn whoever_repaired_a_disabling_fault_does_not_sign_it_off_where_the_county_says_so() {
    let by = |side: &Side<()>, member: &str, key: u8| {
        let mut origin = side.origin.clone();
        member.clone_into(&mut origin.author.member);
        origin.author.key = [key; 32];
        origin
    };
    for (repairer, signer, severity, closes) in [
        (("104", 1), ("104", 2), Severity::Disabling, false),
        (("104", 1), (" 104", 1), Severity::Disabling, false),
        (("104", 1), ("105", 1), Severity::Disabling, true),
        (("104", 1), ("", 1), Severity::Disabling, false),
        (("", 1), ("104", 2), Severity::Disabling, true),
        (("104", 1), ("104", 1), Severity::Restrictive, true),
    ] {
        let mut scene = Scene::inflatable();
        let id = add(&mut scene, severity, &[]);
        let side = scene.side(());
        let state = scene.craft().faults.get_mut(&id).expect("there");
        state.repairs.push(by(&side, repairer.0, repairer.1));
        state.closed = Some(by(&side, signer.0, signer.1));
        assert_eq!(scene.finding(Rule::FaultOpen), None, "off by default");
        scene.policy.faults.repairer_signs_off = false;
        let open = scene.finding(Rule::FaultOpen);
        assert_eq!(
            open.is_none(),
            closes,
            "{repairer:?} {signer:?} {severity:?}"
        );
        if let Some(open) = open {
            assert_eq!(open.effect, Effect::NotReady);
            assert_eq!(open.to_do[0].action, Action::SignOffByAnother(id));
        }
    }
}
