//! Placing a craft in service: every step is done or open, and the list never disagrees with what the
//! answer says.

use proptest::prelude::*;
use sponson_readiness::answer::{Readiness, Step, StepId, StepState};
use sponson_readiness::event::{AirSource, Extent, Plate};
use sponson_readiness::ids::{LineId, PartId};

use super::scene::{CRAFT, MOTOR, STATION, Scene};

/// The craft in order, its keel and floor filled by foot pump.
fn scene() -> Scene {
    let mut scene = Scene::inflatable();
    scene.question.craft = Some(CRAFT);
    filled(&mut scene, AirSource::FootPump);
    scene
}

fn filled(scene: &mut Scene, source: AirSource) {
    for part in ["keel", "floor"] {
        let said = scene.said(source);
        let readings = &mut scene.craft().readings;
        readings.get_mut(&PartId::from(part)).expect("read").filled = said;
    }
}

fn open(scene: &Scene) -> Vec<StepId> {
    let steps = scene.judged().in_service.into_iter();
    steps
        .filter(|step| !step.is_done())
        .map(|step| step.step)
        .collect()
}

#[test]
fn a_craft_in_order_has_every_step_done_in_the_order_of_doing() {
    let scene = scene();
    let steps = scene.judged().in_service;
    let ids: Vec<StepId> = steps.iter().map(|step| step.step).collect();
    assert_eq!(ids, StepId::ALL);
    assert_eq!(open(&scene), []);
    let shown = |step: &&Step| matches!(step.state, StepState::Done { .. });
    // Nothing has to be recorded for the other inspections alone, nor for nothing being open.
    assert_eq!(steps.iter().filter(shown).count(), StepId::ALL.len() - 2);
    // Where it was not asked for alone it is not worked out.
    let mut scene = scene;
    scene.question.craft = None;
    assert_eq!(scene.judged().in_service, []);
}

#[test]
fn a_boat_without_air_has_no_steps_for_it() {
    let mut scene = Scene::of("flat-bottom-16");
    scene.question.craft = Some(CRAFT);
    let steps = scene.judged().in_service.into_iter();
    let ids: Vec<StepId> = steps.map(|step| step.step).collect();
    for left_out in [
        StepId::FirstInflation,
        StepId::FilledByHand,
        StepId::ReCheck,
        StepId::HoldTest,
    ] {
        assert!(!ids.contains(&left_out), "{left_out:?}");
    }
}

/// Each disturbed in one thing alone.
#[test]
fn what_is_missing_opens_its_own_step() {
    type Disturb = fn(&mut Scene);
    let cases: [(StepId, Disturb); 13] = [
        (StepId::Plate, |it| {
            it.craft().craft.0[0].value.plate = Plate::default();
        }),
        (StepId::FirstInflation, |it| {
            it.craft().readings.remove(&PartId::from("tube-3"));
        }),
        (StepId::FilledByHand, |it| filled(it, AirSource::Cylinder)),
        (StepId::ReCheck, |it| {
            it.read("tube-1", 26_000).since_inflating_s = Some(1_200);
        }),
        (StepId::HoldTest, |it| {
            it.craft().inspections.remove(&LineId::from("hold-test"));
        }),
        (StepId::Valves, |it| {
            it.craft()
                .inspections
                .remove(&LineId::from("relief-valves"));
        }),
        (StepId::Motor, |it| {
            let gear = &mut it.record(MOTOR).gear.0[0].value;
            gear.power_w = Some(60_000);
        }),
        (StepId::SafetyLine, |it| {
            it.craft().answers.remove(&LineId::from("safety-line"));
        }),
        (StepId::Numbers, |it| {
            it.craft().answers.remove(&LineId::from("numbers"));
        }),
        (StepId::Kit, |it| it.count("throw-bag", 0).count = 0),
        (StepId::Inspections, |it| {
            it.craft().inspections.remove(&LineId::from("seams"));
        }),
        (StepId::Operators, |it| it.record(STATION).crews.clear()),
        (StepId::FullCheck, |it| {
            it.craft().checks.remove(&Extent::Full);
        }),
    ];
    for (step, disturb) in cases {
        let mut scene = scene();
        disturb(&mut scene);
        assert!(open(&scene).contains(&step), "{step:?}: {:?}", open(&scene));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// However much is missing: done to the last step, the answer says ready; and what keeps it from
    /// being ready stands in one step, and in one alone.
    #[test]
    fn the_list_never_disagrees_with_the_answer(gone in prop::collection::vec(0_usize..40, 0..4)) {
        let mut scene = scene();
        for number in gone {
            let lines = scene.standard.inspections.iter().map(|line| line.id.clone());
            let questions = scene.standard.questions.iter().map(|line| line.id.clone());
            if let Some(line) = lines.chain(questions).nth(number) {
                scene.craft().inspections.remove(&line);
                scene.craft().answers.remove(&line);
            }
        }
        let judged = scene.judged();
        let all_done = judged.in_service.iter().all(Step::is_done);
        prop_assert!(!all_done || judged.readiness == Readiness::Ready);
        for finding in judged.why {
            let steps = judged.in_service.iter();
            let named = steps.filter(|step| step.open.contains(&finding)).count();
            let counts = finding.effect > sponson_readiness::answer::Effect::Note;
            prop_assert!(named == 1 || !counts && named == 0, "{finding:?} {named}");
        }
    }
}
