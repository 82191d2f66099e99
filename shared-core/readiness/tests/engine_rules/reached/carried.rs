//! Kit that is of no use, signals, fuel, gear that does not fit: each rule with every effect.

use sponson_readiness::answer::Rule;
use sponson_readiness::engine::table::Makes::{self, Limit, NotReady, Note, Unproven};
use sponson_readiness::event::{DateMark, Fuel, GearKind, Place};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::record::Placement;
use sponson_readiness::standard::RuleEffect;

use super::Reached;
use crate::scene::{CRAFT, MOTOR, Scene, counted};

const EFFECTS: [(RuleEffect, Makes); 4] = [
    (RuleEffect::Note, Note),
    (RuleEffect::Limit, Limit),
    (RuleEffect::Unproven, Unproven),
    (RuleEffect::NotReady, NotReady),
];

/// What stands in a line of the sheet, and what the engine decides.
pub(super) fn scenes() -> Vec<Reached> {
    let mut scenes = engine();
    for (effect, makes) in EFFECTS {
        scenes.extend([
            (Rule::KitWithout, makes, without_dry_bag(effect)),
            (Rule::SignalsShortByDay, makes, no_signals(effect)),
            (Rule::SignalsShortByNight, makes, no_signals(effect)),
            (Rule::FuelShort, makes, with_fuel(0, effect)),
            (
                Rule::FuelNotRecorded,
                makes.min(Unproven),
                no_record_of_fuel(effect),
            ),
            (Rule::InspectionTooShort, makes, short_run(effect)),
        ]);
    }
    scenes
}

fn engine() -> Vec<Reached> {
    let old = |days| {
        let mut scene = with_fuel(20_000, RuleEffect::NoPower);
        scene.policy.fuel.warn_days = 1;
        scene.policy.fuel.fail_days = days;
        scene
    };
    let mut mixed = with_fuel(20_000, RuleEffect::NoPower);
    mixed.standard.fuel.as_mut().expect("fuel").mix = Some(50);
    vec![
        (Rule::KitDoesNotFit, Note, raft("pvc")),
        (Rule::KitFitNotKnown, Note, raft("")),
        (Rule::KitNotForMission, Note, inflatable_jackets()),
        (Rule::FuelOld, Limit, old(90)),
        (Rule::FuelOld, Note, old(2)),
        (Rule::FuelMixWrong, Note, mixed),
        (Rule::GearDoesNotFit, Limit, lines(&["quick 3/8"])),
        (Rule::GearDoesNotFit, Note, lines(&["quick 3/8", "bayonet"])),
        (Rule::MotorOnManual, NotReady, motor_on_raft()),
    ]
}

/// What only somebody unknown says.
pub(super) fn unconfirmed() -> Vec<Reached> {
    let mut signals = no_signals(RuleEffect::NotReady);
    signals.count("flare-red-hand", 3);
    for item in &mut signals.standard.items {
        if item.id.as_str() == "flare-red-hand" {
            item.count = 0;
        }
    }
    let fewer = signals.untrusted(counted("flare-red-hand", 0));
    let key = (LineId::from("flare-red-hand"), None);
    let counts = signals.craft().counts.get_mut(&key);
    counts.expect("counted").0.push(fewer);
    let mut fuel = with_fuel(20_000, RuleEffect::NotReady);
    let less = fuel.untrusted(tank(0));
    let said = fuel.craft().fuel.get_mut(&None);
    said.expect("recorded").0.push(less);
    let mut motor = motor_on_raft();
    for side in &mut motor.record(MOTOR).place.0 {
        side.origin.trust = sponson_readiness::event::Trust::Unconfirmed(
            sponson_readiness::event::Unconfirmed::NotAdmitted,
        );
    }
    vec![
        (Rule::SignalsShortByDay, Unproven, signals.clone()),
        (Rule::SignalsShortByNight, Unproven, signals),
        (Rule::FuelShort, Unproven, fuel),
        (Rule::MotorOnManual, Unproven, motor),
    ]
}

fn raft(fabric: &str) -> Scene {
    let mut scene = Scene::of("raft-13");
    scene.craft().craft.0[0].value.fabric = fabric.to_owned();
    scene
}

fn inflatable_jackets() -> Scene {
    let mut scene = raft("csm");
    scene.mission("swiftwater");
    scene.count("inflatable-life-jacket", 1);
    scene
}

fn motor_on_raft() -> Scene {
    let mut scene = Scene::of("raft-13");
    let motor = Scene::inflatable().record(MOTOR).clone();
    scene.records.insert(MOTOR, motor);
    scene
}

fn without_dry_bag(effect: RuleEffect) -> Scene {
    let mut scene = Scene::inflatable();
    scene.count("dry-bag", 0);
    for item in &mut scene.standard.items {
        item.without = item.without.map(|_| effect);
    }
    scene
}

/// No kind is asked for by itself, so the set says it.
fn no_signals(effect: RuleEffect) -> Scene {
    let mut scene = Scene::inflatable();
    let rule = scene.standard.signals.as_mut().expect("signals");
    (rule.day, rule.night) = (effect, effect);
    let mut ids = Vec::new();
    for item in &mut scene.standard.items {
        if item.signal.is_some() {
            item.count = 0;
            ids.push(item.id.clone());
        }
    }
    for id in ids {
        scene.count(id.as_str(), 0);
    }
    scene
}

fn tank(amount_ml: u32) -> Fuel {
    Fuel {
        tank: None,
        amount_ml,
        filled: Some(DateMark {
            year: 2026,
            month: Some(2),
            day: Some(1),
        }),
        mix: None,
    }
}

fn with_fuel(amount_ml: u32, short: RuleEffect) -> Scene {
    let mut scene = Scene::inflatable();
    scene.standard.fuel.as_mut().expect("fuel").short = short;
    let sides = scene.said(tank(amount_ml));
    scene.craft().fuel.insert(None, sides);
    scene
}

fn no_record_of_fuel(effect: RuleEffect) -> Scene {
    let mut scene = Scene::inflatable();
    scene.standard.fuel.as_mut().expect("fuel").unknown = Some(effect);
    scene
}

fn short_run(effect: RuleEffect) -> Scene {
    let mut scene = Scene::inflatable();
    for line in &mut scene.standard.inspections {
        line.never = effect;
    }
    scene.inspected("engine-run", 1, true).run_s = Some(150);
    scene
}

/// Fuel lines of these connectors beside a motor with a bayonet.
fn lines(connectors: &[&str]) -> Scene {
    let mut scene = Scene::inflatable();
    scene.record(MOTOR).gear.0[0].value.connector = "bayonet".to_owned();
    for (number, connector) in (50..).zip(connectors) {
        let mut line = scene.record(MOTOR).clone();
        line.subject = SubjectId::from_bytes([number; 16]);
        line.gear.0[0].value.kind = GearKind::FuelLine;
        line.gear.0[0].value.connector = (*connector).to_owned();
        line.place = scene.said(Placement {
            at: Place::Craft(CRAFT),
            part: None,
        });
        scene.records.insert(line.subject, line);
    }
    scene
}
