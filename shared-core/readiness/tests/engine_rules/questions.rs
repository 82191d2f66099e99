//! Questions of the check.

use sponson_readiness::answer::{Action, Effect, Limit, Readiness, Rule};
use sponson_readiness::event::{AnswerValue, NotApplicable};
use sponson_readiness::ids::{FaultId, LineId};
use sponson_readiness::record::Sides;

use super::scene::{DAY_MS, NOON, Scene};

#[test]
fn a_no_does_what_the_sheet_says() {
    for (line, effect) in [
        ("drain-plug", Effect::NotReady),
        ("motor-mount", Effect::Limit(Limit::NoPower)),
        ("nav-lights", Effect::Limit(Limit::DaylightOnly)),
        ("plate", Effect::Limit(Limit::CrewOnly)),
        ("clean-dry", Effect::Note),
        (
            "trailer",
            Effect::Limit(Limit::DoSoon(LineId::from("trailer"))),
        ),
    ] {
        let mut scene = Scene::inflatable();
        scene.answered(line, AnswerValue::No);
        assert_eq!(scene.effect(Rule::LineNo), Some(effect), "{line}");
    }
}

#[test]
fn a_no_that_is_a_fault_stays_until_it_is_signed_off() {
    let mut scene = Scene::inflatable();
    let side = scene.side(LineId::from("stop-switch"));
    let id = FaultId {
        event: side.origin.event,
        ordinal: FaultId::FIRST_ANSWER,
    };
    // Answered yes since: the scene's answer stands, the fault too.
    scene.craft().open_noes.insert(id, side);
    let finding = scene.finding(Rule::LineNo).expect("open");
    assert_eq!(finding.effect, Effect::NotReady);
    assert_eq!(finding.to_do[0].action, Action::RepairAndSignOff(id));
    scene.craft().open_noes.remove(&id);
    // Signed off, and not asked again since: the old 'no' is over.
    scene.answered("stop-switch", AnswerValue::No);
    assert_eq!(scene.readiness(), Readiness::Ready);
}

#[test]
fn could_not_look_and_never_answered_prove_nothing() {
    let mut scene = Scene::inflatable();
    scene.answered(
        "steering",
        AnswerValue::NotApplicable(NotApplicable::CouldNotLook),
    );
    assert_eq!(scene.effect(Rule::LineNotAnswered), Some(Effect::Unproven));
    scene.craft().answers.remove(&LineId::from("steering"));
    assert_eq!(scene.effect(Rule::LineNotAnswered), Some(Effect::Unproven));
    scene.answered(
        "steering",
        AnswerValue::NotApplicable(NotApplicable::NotFitted),
    );
    assert_eq!(scene.effect(Rule::LineNotAnswered), None);
}

#[test]
fn an_answer_proves_no_longer_than_a_check() {
    for (days, effect) in [(9, None), (10, Some(Effect::Unproven))] {
        let mut scene = Scene::inflatable();
        let old = scene.side_at(AnswerValue::Yes, NOON.plus_ms(-days * DAY_MS));
        let line = LineId::from("steering");
        scene.craft().answers.insert(line, Sides(vec![old]));
        assert_eq!(scene.effect(Rule::LineNotAnswered), effect, "{days} days");
    }
}

#[test]
fn one_no_among_the_sides_is_a_no() {
    let mut scene = Scene::inflatable();
    let no = scene.side(AnswerValue::No);
    let sides = scene.craft().answers.get_mut(&LineId::from("drain-plug"));
    sides.expect("answered").0.push(no);
    assert_eq!(scene.effect(Rule::LineNo), Some(Effect::NotReady));
    assert_eq!(scene.effect(Rule::SidesDiffer), Some(Effect::Note));
}

#[test]
fn an_untrusted_no_is_at_most_go_and_look() {
    let mut scene = Scene::inflatable();
    let no = scene.untrusted(AnswerValue::No);
    let sides = scene.craft().answers.get_mut(&LineId::from("drain-plug"));
    sides.expect("answered").0.push(no);
    assert_eq!(scene.effect(Rule::LineNo), Some(Effect::Unproven));
}
