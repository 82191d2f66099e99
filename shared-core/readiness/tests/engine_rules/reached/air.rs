//! Rules about air: each with every effect that the table gives it.

use sponson_readiness::answer::Rule;
use sponson_readiness::engine::table::Makes::{Limit, NotReady, Note, Unproven};
use sponson_readiness::event::GearKind;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::standard::RuleEffect;

use super::Reached;
use crate::air::{cylinder, month, no_pumps};
use crate::scene::Scene;

const OTHER: SubjectId = SubjectId::from_bytes([42; 16]);

pub(super) fn scenes() -> Vec<Reached> {
    let mut scenes = by_engine();
    let effects = [
        (RuleEffect::Note, Note),
        (RuleEffect::Limit, Limit),
        (RuleEffect::Unproven, Unproven),
        (RuleEffect::NotReady, NotReady),
    ];
    for (effect, makes) in effects {
        let mut iced = Scene::inflatable();
        iced.weather(-1, 4);
        for part in &mut iced.standard.parts {
            if let Some(rule) = &mut part.pressure {
                rule.iced = effect;
            }
        }
        let set = |change: &dyn Fn(&mut Scene)| {
            let mut scene = Scene::inflatable();
            cylinder(&mut scene, 4_500);
            let policy = &mut scene.policy.free_air;
            (policy.low_charge, policy.overdue, policy.life_over) = (effect, effect, effect);
            change(&mut scene);
            scene
        };
        scenes.extend([
            (Rule::ReliefIced, makes, iced),
            (
                Rule::CylinderLow,
                makes,
                set(&|it| cylinder(it, 3_000).events = 1),
            ),
            (
                Rule::CylinderOverdue,
                makes,
                set(&|it| {
                    let gear = &mut cylinder(it, 4_500).gear.0[0].value;
                    gear.cylinder.requalified = month(2010, 1);
                }),
            ),
            (
                Rule::CylinderLifeOver,
                makes,
                set(&|it| {
                    let gear = &mut cylinder(it, 4_500).gear.0[0].value;
                    gear.made = month(2000, 1);
                    "composite".clone_into(&mut gear.cylinder.specification);
                }),
            ),
        ]);
    }
    scenes
}

fn by_engine() -> Vec<Reached> {
    let with = |change: &dyn Fn(&mut Scene)| {
        let mut scene = Scene::inflatable();
        scene.weather(5, 5);
        cylinder(&mut scene, 4_500);
        change(&mut scene);
        scene
    };
    vec![
        (Rule::ByPumpOnly, Note, with(&|_| {})),
        (
            Rule::BreathingAir,
            Note,
            with(&|it| cylinder(it, 4_500).gear.0[0].value.kind = GearKind::BreathingSet),
        ),
        (
            Rule::AirNotEnough,
            NotReady,
            with(&|it| {
                no_pumps(it);
                cylinder(it, 80);
            }),
        ),
        (
            Rule::AirNotEnough,
            Unproven,
            with(&|it| {
                no_pumps(it);
                let mut other = cylinder(it, 80).clone();
                other.subject = OTHER;
                other.charge.0.clear();
                it.records.insert(OTHER, other);
            }),
        ),
        (
            Rule::CylinderNotRead,
            Note,
            with(&|it| cylinder(it, 4_500).charge.0.clear()),
        ),
        (
            Rule::CylinderNotDated,
            Note,
            with(&|it| {
                cylinder(it, 4_500).gear.0[0]
                    .value
                    .cylinder
                    .specification
                    .clear()
            }),
        ),
        (
            Rule::CylinderDueSoon,
            Note,
            with(&|it| {
                let gear = &mut cylinder(it, 4_500).gear.0[0].value;
                gear.cylinder.requalified = month(2021, 3);
            }),
        ),
    ]
}
