//! Rules whose effect stands in a line of the boat standard: each with every effect that a line can
//! have.

use sponson_readiness::answer::Rule;
use sponson_readiness::engine::table::Makes::{self, Limit, NotReady, Note, Unproven};
use sponson_readiness::event::{AnswerValue, HoldDone, HoldPoint};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::load::Size;
use sponson_readiness::standard::{HoldSort, InspectionLine, Item, Question, RuleEffect, SoftRule};

use super::Reached;
use crate::scene::{MOTOR, Scene};
use crate::sealed;

const EFFECTS: [(RuleEffect, Makes); 4] = [
    (RuleEffect::Note, Note),
    (RuleEffect::Limit, Limit),
    (RuleEffect::Unproven, Unproven),
    (RuleEffect::NotReady, NotReady),
];

pub(super) fn scenes() -> Vec<Reached> {
    let mut scenes = soft();
    scenes.extend(by_policy());
    scenes.push((Rule::LeakShows, Note, slow_leak()));
    for (effect, makes) in EFFECTS {
        let unproven_at_most = makes.min(Unproven);
        let kit = |change: &dyn Fn(&mut Scene)| {
            let mut scene = Scene::inflatable();
            item(&mut scene, "throw-bag").short = effect;
            change(&mut scene);
            scene
        };
        let inspected = |change: &dyn Fn(&mut Scene)| {
            let mut scene = Scene::inflatable();
            let line = inspection(&mut scene, "seams");
            line.hold = Some(HoldSort::Day);
            (line.overdue, line.never, line.failed) = (effect, effect, effect);
            change(&mut scene);
            scene
        };
        let answered = |change: &dyn Fn(&mut Scene)| {
            let mut scene = Scene::inflatable();
            let line = question(&mut scene, "grab-lines");
            (line.no, line.unanswered) = (effect, effect);
            change(&mut scene);
            scene
        };
        let jackets = {
            let mut scene = Scene::inflatable();
            item(&mut scene, "child-life-jacket").short = effect;
            scene.bring_home(Size::Child, 1);
            scene.count("child-life-jacket", 0);
            scene
        };
        scenes.push((Rule::JacketShort, makes, jackets));
        let mut opened = sealed::scene(1);
        opened.standard.check.count_owed = effect;
        sealed::look(&mut opened, sealed::seal(None, None), true);
        scenes.push((Rule::CountOwed, makes, opened));
        scenes.extend([
            (
                Rule::KitShort,
                makes,
                kit(&|it| it.count("throw-bag", 0).count = 0),
            ),
            (Rule::KitNotCounted, unproven_at_most, kit(&never_counted)),
            (
                Rule::KitStale,
                unproven_at_most,
                kit(&|it| it.counted_long_ago("throw-bag", 3)),
            ),
            (Rule::GearMissing, makes, without_motor(effect)),
            (
                Rule::InspectionOverdue,
                makes,
                inspected(&|it| it.inspected("seams", 500, true).passed = true),
            ),
            (
                Rule::InspectionFailed,
                makes,
                inspected(&|it| it.inspected("seams", 1, false).passed = false),
            ),
            (
                Rule::HoldProvesNothing,
                makes,
                inspected(&|it| held_too_short(it)),
            ),
            (
                Rule::InspectionNeverDone,
                makes,
                inspected(&|it| drop(it.craft().inspections.remove(&LineId::from("seams")))),
            ),
            (
                Rule::LineNo,
                makes,
                answered(&|it| it.answered("grab-lines", AnswerValue::No)),
            ),
            (
                Rule::LineNotAnswered,
                makes,
                answered(&|it| drop(it.craft().answers.remove(&LineId::from("grab-lines")))),
            ),
        ]);
    }
    scenes
}

/// Soft by cold: with what adds air, with what was counted too long ago, and without.
fn soft() -> Vec<Reached> {
    let cold = |change: &dyn Fn(&mut Scene)| {
        let mut scene = Scene::inflatable();
        scene.weather(5, 5);
        for part in &mut scene.standard.parts {
            if let Some(rule) = &mut part.pressure {
                rule.soft = SoftRule::TopUp;
            }
        }
        change(&mut scene);
        scene
    };
    let long_ago = |scene: &mut Scene| {
        scene.counted_long_ago("pump", 1);
        scene.counted_long_ago("hand-pump", 1);
    };
    let none = |scene: &mut Scene| {
        scene.count("pump", 0);
        scene.count("hand-pump", 0);
    };
    vec![
        (Rule::PressureLow, Limit, cold(&|_| {})),
        (Rule::PressureLow, Unproven, cold(&long_ago)),
        (Rule::PressureLow, NotReady, cold(&none)),
    ]
}

fn slow_leak() -> Scene {
    let mut scene = Scene::inflatable();
    scene.past(
        &["keel"],
        &[
            (21, 20, &[238]),
            (14, 20, &[235]),
            (7, 20, &[232]),
            (0, 20, &[229]),
        ],
    );
    scene
}

fn held_too_short(scene: &mut Scene) {
    let point = |gauge_pa| HoldPoint {
        gauge_pa,
        air_mc: None,
        ambient_pa: None,
    };
    scene.inspected("seams", 1, true).holds = vec![HoldDone {
        part: "tube-1".into(),
        start: point(26_000),
        end: point(26_000),
        duration_s: 3_600,
    }];
}

/// Leaks, baffles and gauges that never move: what each does is a setting of the county.
fn by_policy() -> Vec<Reached> {
    let mut scenes = Vec::new();
    for (effect, makes) in EFFECTS {
        let with = |past: &dyn Fn(&mut Scene)| {
            let mut scene = Scene::inflatable();
            let leak = &mut scene.policy.leak;
            (leak.over_limit, leak.baffle, leak.still) = (effect, effect, effect);
            past(&mut scene);
            scene
        };
        let fast = with(&|it| {
            it.past(
                &["keel"],
                &[(2, 20, &[300]), (1, 20, &[250]), (0, 20, &[200])],
            )
        });
        let baffle = with(&|it| {
            it.past(
                &["tube-1", "tube-2"],
                &[(2, 20, &[260, 245]), (0, 20, &[245, 260])],
            );
        });
        let still = with(&|it| {
            it.past(
                &["tube-1"],
                &[(14, 5, &[250]), (7, 12, &[250]), (1, 20, &[250])],
            );
        });
        scenes.extend([
            (Rule::LeakOver, makes, fast),
            (Rule::BaffleLeaks, makes, baffle),
            (Rule::ReadingsNeverMove, makes, still),
        ]);
    }
    scenes
}

fn never_counted(scene: &mut Scene) {
    let key = (LineId::from("throw-bag"), None::<SubjectId>);
    scene.craft().counts.remove(&key);
}

fn without_motor(effect: RuleEffect) -> Scene {
    let mut scene = Scene::inflatable();
    scene.records.remove(&MOTOR);
    for part in &mut scene.standard.parts {
        if let Some(rule) = &mut part.gear {
            rule.effect = effect;
        }
    }
    scene
}

fn item<'a>(scene: &'a mut Scene, id: &str) -> &'a mut Item {
    let mut items = scene.standard.items.iter_mut();
    items.find(|one| one.id.as_str() == id).expect("an item")
}

fn inspection<'a>(scene: &'a mut Scene, id: &str) -> &'a mut InspectionLine {
    let mut lines = scene.standard.inspections.iter_mut();
    lines.find(|one| one.id.as_str() == id).expect("a line")
}

fn question<'a>(scene: &'a mut Scene, id: &str) -> &'a mut Question {
    let mut lines = scene.standard.questions.iter_mut();
    lines.find(|one| one.id.as_str() == id).expect("a line")
}
