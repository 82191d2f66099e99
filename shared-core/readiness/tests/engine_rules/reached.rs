//! The readiness table, line by line: every effect that it gives a rule is reached by a scene, and
//! every rule by which unconfirmed events mean 'go and look' is reached by one of them alone.
//!
//! What an effect makes of the craft is in `declared.rs` and the laws; what decides among the
//! effects of one rule is in the file of that rule.

use std::collections::BTreeSet;

use sponson_readiness::answer::Rule;
use sponson_readiness::engine::table::{Makes, Unconfirmed, line};

use super::scene::Scene;

#[path = "reached/air.rs"]
mod air;
#[path = "reached/by_engine.rs"]
mod by_engine;
#[path = "reached/by_people.rs"]
mod by_people;
#[path = "reached/by_sheet.rs"]
mod by_sheet;
#[path = "reached/carried.rs"]
mod carried;
#[path = "reached/unconfirmed.rs"]
mod unconfirmed;
#[path = "reached/weather.rs"]
mod weather;

/// A scene that reaches one effect of one rule.
pub(crate) type Reached = (Rule, Makes, Scene);

pub(crate) fn all() -> Vec<Reached> {
    [
        air::scenes(),
        by_engine::scenes(),
        by_people::scenes(),
        by_sheet::scenes(),
        carried::scenes(),
        carried::unconfirmed(),
        unconfirmed::scenes(),
        weather::scenes(),
    ]
    .concat()
}

fn has(scene: &Scene, rule: Rule, makes: Makes) -> bool {
    let why = scene.judged().why;
    why.iter()
        .any(|one| one.rule == rule && Makes::of(&one.effect) == makes)
}

#[test]
fn every_scene_reaches_what_it_says() {
    for (rule, makes, scene) in all() {
        let why = scene.judged().why;
        assert!(
            has(&scene, rule, makes),
            "{rule:?} {makes:?} is not reached: {why:#?}"
        );
    }
}

#[test]
fn every_line_of_the_table_is_reached() {
    let reached: BTreeSet<(Rule, Makes)> = all()
        .into_iter()
        .map(|(rule, makes, _)| (rule, makes))
        .collect();
    let rules = Rule::ALL.iter().copied();
    let wanted = rules.flat_map(|rule| line(rule).effects.iter().map(move |one| (rule, *one)));
    let missing: Vec<(Rule, Makes)> = wanted.filter(|pair| !reached.contains(pair)).collect();
    assert_eq!(missing, [], "no scene reaches these");
}

#[test]
fn every_rule_that_unconfirmed_events_alone_can_reach_is_reached_so() {
    let reached = [unconfirmed::scenes(), carried::unconfirmed()].concat();
    let reached: BTreeSet<Rule> = reached.into_iter().map(|one| one.0).collect();
    let wanted: BTreeSet<Rule> = Rule::ALL
        .iter()
        .copied()
        .filter(|rule| line(*rule).unconfirmed == Unconfirmed::GoAndLook)
        .collect();
    assert_eq!(reached, wanted);
}
