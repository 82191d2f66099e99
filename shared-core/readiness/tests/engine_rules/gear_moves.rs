//! Numbered gear that moves: what it carries along to another craft, and what its new craft is
//! tested for again.

use sponson_readiness::answer::{Effect, Limit, Rule, Subject};
use sponson_readiness::event::{
    CountyHold, GearKind, HoldKind, Place, RepairHold, Severity, SubjectKind, Use,
};
use sponson_readiness::ids::{FaultId, LineId, PartId, SubjectId};
use sponson_readiness::record::{Inspection, Placement, Record, Sides};
use sponson_readiness::standard::{GearRule, RuleEffect};

use super::scene::{CRAFT, HOUR_MS, MOTOR, NOON, OTHER_CRAFT, Scene, fault};

const COUNTY: SubjectId = SubjectId::from_bytes([7; 16]);
const TRAILER: SubjectId = SubjectId::from_bytes([44; 16]);

/// Two craft in order: the motor is on the first, the second has one of its own.
fn two() -> Scene {
    let mut scene = Scene::inflatable();
    let mut other = scene.craft().clone();
    other.subject = OTHER_CRAFT;
    other.number = scene.said("Boat 15".to_owned());
    scene.records.insert(OTHER_CRAFT, other);
    scene
}

/// Fits the motor to the second craft.
fn moved(scene: &Scene) -> Scene {
    let mut scene = scene.clone();
    scene.record(MOTOR).place = scene.clone().said(Placement {
        at: Place::Craft(OTHER_CRAFT),
        part: Some(PartId::from("motor")),
    });
    scene
}

/// What a rule does to one craft.
fn effect(scene: &Scene, craft: SubjectId, rule: Rule) -> Option<Effect> {
    let judged = scene.answer().craft;
    let one = judged.iter().find(|one| one.id == craft).expect("a craft");
    let found = one.why.iter().find(|finding| finding.rule == rule);
    found.map(|finding| finding.effect.clone())
}

/// A rule is found on whichever craft the motor is, and on no other.
fn goes_along(change: impl Fn(&mut Scene), rule: Rule, expected: &Effect) {
    let mut scene = two();
    change(&mut scene);
    assert_eq!(
        effect(&scene, CRAFT, rule).as_ref(),
        Some(expected),
        "{rule:?}"
    );
    assert_eq!(effect(&scene, OTHER_CRAFT, rule), None, "{rule:?}");
    let scene = moved(&scene);
    assert_eq!(effect(&scene, CRAFT, rule), None, "{rule:?}");
    let there = effect(&scene, OTHER_CRAFT, rule);
    assert_eq!(there.as_ref(), Some(expected), "{rule:?}");
}

#[test]
fn faults_holds_hours_and_water_go_along_with_a_motor() {
    goes_along(
        |scene| {
            let side = scene.side(());
            let id = FaultId {
                event: side.origin.event,
                ordinal: 0,
            };
            let mut state = fault(side, Severity::Disabling, &[]);
            state.fault.part = PartId::from("motor");
            state.fault.gear = Some(MOTOR);
            scene.record(MOTOR).faults.insert(id, state);
        },
        Rule::FaultOpen,
        &Effect::NotReady,
    );
    goes_along(
        |scene| {
            let hold = RepairHold {
                kind: HoldKind::Launch,
                duration_s: 72 * 3_600,
            };
            let side = scene.side(hold);
            scene.record(MOTOR).holds.push(side);
        },
        Rule::HoldRuns,
        &Effect::NotReady,
    );
    goes_along(
        |scene| {
            let side = scene.side(CountyHold {
                model: String::new(),
                batch: "MB-7".to_owned(),
                part: String::new(),
                missions: Vec::new(),
            });
            scene.record(MOTOR).gear.0[0].value.batch = "MB-7".to_owned();
            let mut county = Record::new(COUNTY, SubjectKind::County);
            county.county_holds.insert(side.origin.event, side);
            scene.records.insert(COUNTY, county);
        },
        Rule::HeldCountyWide,
        &Effect::NotReady,
    );
    goes_along(
        |scene| {
            let used = Use {
                motor_immersed: true,
                ..Use::default()
            };
            let side = scene.side_at(used, NOON.plus_ms(-HOUR_MS / 2));
            scene.record(MOTOR).uses.push(side);
        },
        Rule::MotorImmersed,
        &Effect::NotReady,
    );
}

/// Serviced at 0 h and at 101 h by its meter now: due by hours wherever it is.
#[test]
fn engine_hours_go_along_with_the_motor() {
    let soon = Effect::Limit(Limit::DoSoon(LineId::from("engine-service")));
    goes_along(
        |scene| {
            let service = Inspection {
                passed: true,
                engine_s: Some(0),
                ..Inspection::default()
            };
            let done = scene.said(service);
            let meter = scene.said(101 * 3_600);
            let motor = scene.record(MOTOR);
            motor
                .inspections
                .insert(LineId::from("engine-service"), done);
            motor.meters.insert(None, meter);
        },
        Rule::InspectionOverdue,
        &soon,
    );
}

/// The plate is tested wherever the motor goes: power and weight.
#[test]
fn the_plate_of_the_new_craft_is_tested_again() {
    let mut scene = two();
    let other = scene.record(OTHER_CRAFT);
    other.craft.0[0].value.plate.power_w = Some(15_000);
    assert_eq!(effect(&scene, OTHER_CRAFT, Rule::MotorOverPlate), None);
    let fitted = moved(&scene);
    let over = effect(&fitted, OTHER_CRAFT, Rule::MotorOverPlate);
    assert_eq!(over, Some(Effect::NotReady));
    assert_eq!(effect(&fitted, CRAFT, Rule::MotorOverPlate), None);
    let other = scene.record(OTHER_CRAFT);
    other.craft.0[0].value.plate.power_w = None;
    other.craft.0[0].value.plate.motor_mass_g = Some(40_000);
    let over = effect(&moved(&scene), OTHER_CRAFT, Rule::MotorOverPlate);
    assert_eq!(over, Some(Effect::NotReady));
}

/// A trailer of two craft counts for the one that it is at; said to be at both, for neither.
#[test]
fn a_trailer_of_two_craft_counts_for_one() {
    let mut scene = two();
    for part in &mut scene.standard.parts {
        if part.id.as_str() == "trailer" {
            part.gear = Some(GearRule {
                effect: RuleEffect::NotReady,
            });
        }
    }
    let mut trailer = scene.record(MOTOR).clone();
    trailer.subject = TRAILER;
    trailer.gear.0[0].value.kind = GearKind::Trailer;
    trailer.place = scene.said(Placement {
        at: Place::Craft(CRAFT),
        part: None,
    });
    scene.records.insert(TRAILER, trailer);
    let missing = |scene: &Scene, craft| {
        let judged = scene.answer().craft;
        let one = judged.iter().find(|one| one.id == craft).expect("a craft");
        one.why.iter().any(|finding| {
            let about = Subject::Part(PartId::from("trailer"), "trailer".to_owned());
            finding.rule == Rule::GearMissing && finding.subject == about
        })
    };
    assert_eq!(
        (missing(&scene, CRAFT), missing(&scene, OTHER_CRAFT)),
        (false, true)
    );
    let there = scene.side(Placement {
        at: Place::Craft(OTHER_CRAFT),
        part: None,
    });
    scene.record(TRAILER).place.0.push(there.clone());
    assert_eq!(
        (missing(&scene, CRAFT), missing(&scene, OTHER_CRAFT)),
        (true, true)
    );
    assert_eq!(
        effect(&scene, CRAFT, Rule::GearInTwoPlaces),
        Some(Effect::Note)
    );
    scene.record(TRAILER).place = Sides(vec![there]);
    assert_eq!(
        (missing(&scene, CRAFT), missing(&scene, OTHER_CRAFT)),
        (true, false)
    );
}

/// A motor that was under water was changed: the new one is not held for it, nor cleared by what
/// was done to the old one.
#[test]
fn water_in_the_old_motor_is_not_in_the_new_one() {
    let mut scene = Scene::inflatable();
    let used = Use {
        capsized: true,
        ..Use::default()
    };
    let side = scene.side_at(used, NOON.plus_ms(-HOUR_MS / 2));
    scene.craft().uses.push(side.clone());
    assert_eq!(scene.effect(Rule::MotorImmersed), Some(Effect::NotReady));
    let mut old = scene.record(MOTOR).clone();
    old.subject = SubjectId::from_bytes([45; 16]);
    old.place = scene.said(Placement {
        at: Place::Station(super::scene::STATION),
        part: None,
    });
    old.uses.push(side);
    scene.records.insert(old.subject, old);
    assert_eq!(scene.effect(Rule::MotorImmersed), None);
}
