//! Rules of light, wind, current and towing.

use sponson_readiness::answer::Rule;
use sponson_readiness::conditions::{Tow, Visibility};
use sponson_readiness::engine::table::Makes::{NotReady, Note, Unproven};
use sponson_readiness::event::AnswerValue;
use sponson_readiness::ids::LineId;
use sponson_readiness::standard::{LimitRule, Towing};

use super::Reached;
use crate::scene::Scene;

pub(super) fn scenes() -> Vec<Reached> {
    vec![
        (
            Rule::WindOver,
            NotReady,
            asked(|it| it.question.conditions.wind_mm_s = Some(20_000)),
        ),
        (
            Rule::CurrentOver,
            NotReady,
            asked(|it| it.question.conditions.current_mm_s = Some(6_000)),
        ),
        (
            Rule::TowNotAllowed,
            NotReady,
            asked(|it| {
                it.standard.limits.every.tow = Some(Towing::No);
                it.question.conditions.tow = Tow::Yes;
            }),
        ),
        (
            Rule::LimitNotSet,
            Note,
            asked(|it| {
                it.standard.limits = LimitRule::default();
                it.question.conditions.wind_mm_s = Some(1_000);
            }),
        ),
        (Rule::LightsNeeded, NotReady, asked(dead_lights_in_fog)),
        (Rule::LightsNeeded, Unproven, asked(unknown_lights_in_fog)),
    ]
}

fn asked(change: impl FnOnce(&mut Scene)) -> Scene {
    let mut scene = Scene::inflatable();
    change(&mut scene);
    scene
}

fn dead_lights_in_fog(scene: &mut Scene) {
    let no = scene.said(AnswerValue::No);
    scene.craft().answers.insert(LineId::from("nav-lights"), no);
    scene.question.conditions.visibility = Some(Visibility::Restricted);
}

fn unknown_lights_in_fog(scene: &mut Scene) {
    scene.craft().answers.remove(&LineId::from("nav-lights"));
    scene.question.conditions.visibility = Some(Visibility::Restricted);
}
