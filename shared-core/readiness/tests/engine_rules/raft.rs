//! The paddled raft: a torch by night, no motor at all, rolled up.

use sponson_readiness::answer::{Effect, Limit, Readiness, Rule};
use sponson_readiness::event::Stowage;
use sponson_readiness::record::Sides;

use super::scene::{MOTOR, Scene};

#[test]
fn a_raft_in_order_is_ready_for_each_of_its_missions() {
    let mut scene = Scene::of("raft-13");
    let missions: Vec<String> = scene
        .standard
        .missions
        .keys()
        .map(|id| id.0.clone())
        .collect();
    for mission in missions {
        scene.mission(&mission);
        let judged = scene.judged();
        assert_eq!(
            judged.readiness,
            Readiness::Ready,
            "{mission} {:#?}",
            judged.why
        );
    }
}

/// Row 63: a paddled raft by night with one torch aboard meets the rule of lights. 33 CFR
/// 83.25(d)(ii).
#[test]
fn one_torch_is_enough_by_night() {
    let mut scene = Scene::of("raft-13");
    scene.count("torch", 1);
    assert!(!scene.judged().limits.contains(&Limit::DaylightOnly));
    scene.count("torch", 0);
    assert_eq!(scene.judged().limits, [Limit::DaylightOnly]);
}

/// 33 CFR 183.25(b)(4): the plate of a manual boat has no motor line; any motor is out of limits.
#[test]
fn any_motor_on_a_paddled_craft_is_out_of_limits() {
    let motor = Scene::inflatable().record(MOTOR).clone();
    let mut scene = Scene::of("raft-13");
    assert_eq!(scene.finding(Rule::MotorOnManual), None);
    scene.records.insert(MOTOR, motor.clone());
    assert_eq!(scene.effect(Rule::MotorOnManual), Some(Effect::NotReady));
    // One that only somebody unknown says is here sends people to look.
    let mut doubted = motor;
    let side = scene.untrusted(doubted.place.0[0].value.clone());
    doubted.place = Sides(vec![side]);
    scene.records.insert(MOTOR, doubted);
    assert_eq!(scene.effect(Rule::MotorOnManual), Some(Effect::Unproven));
    let mut powered = Scene::inflatable();
    assert_eq!(powered.finding(Rule::MotorOnManual), None);
    powered.record(MOTOR);
}

/// Rolled gives minutes and air, never just ready.
#[test]
fn a_rolled_raft_is_rigged_first() {
    let mut scene = Scene::of("raft-13");
    scene.craft().stowage = scene.clone().said(Stowage::Rolled);
    let judged = scene.judged();
    assert_eq!(judged.readiness, Readiness::ReadyWithLimits);
    assert_eq!(judged.limits, [Limit::Rig(25)]);
    assert_eq!(judged.minutes_to_ready, Some(25));
    scene.count("pump", 0);
    assert_eq!(scene.effect(Rule::Rolled), Some(Effect::NotReady));
}
