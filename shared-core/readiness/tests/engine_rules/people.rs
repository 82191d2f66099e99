//! Crews, operators and their levels: silence is not known, and the worse of two statements counts.

use sponson_readiness::answer::{Effect, Limit, Measure, Readiness, Rule};
use sponson_readiness::engine::crews_at;
use sponson_readiness::event::{DateMark, Trust, Unconfirmed};
use sponson_readiness::standard::RuleEffect;

use super::scene::{HOUR_MS, NOON, STATION, Scene};

/// Swiftwater wants three crew and a technician.
fn scene() -> Scene {
    let mut scene = Scene::inflatable();
    scene.mission("swiftwater");
    scene
}

fn day(year: i32, month: u32, day: u32) -> Option<DateMark> {
    Some(DateMark {
        year,
        month: Some(month),
        day: Some(day),
    })
}

#[test]
fn silence_is_crew_not_known_and_only_noted() {
    let mut scene = scene();
    assert_eq!(scene.effect(Rule::CrewNotKnown), None);
    assert!(scene.judged().crews.is_some());
    scene.crews().clear();
    assert_eq!(scene.effect(Rule::CrewNotKnown), Some(Effect::Note));
    assert_eq!(scene.judged().crews, None);
    assert_eq!(scene.readiness(), Readiness::Ready);
}

#[test]
fn what_is_said_counts_from_its_beginning_until_its_end() {
    let mut scene = scene();
    let (from, until) = (NOON.plus_ms(-6 * HOUR_MS), NOON.plus_ms(12 * HOUR_MS));
    let record = scene.record(STATION).clone();
    let known = |at| crews_at(&record, at).map(|crews| (crews.crews, crews.until));
    assert_eq!(known(from.plus_ms(-1)), None);
    assert_eq!(known(from), Some((2, until)));
    assert_eq!(known(until.plus_ms(-1)), Some((2, until)));
    assert_eq!(known(until), None);
    scene.question.as_of = until;
    scene.question.now = until;
    assert_eq!(scene.effect(Rule::CrewNotKnown), Some(Effect::Note));
}

#[test]
fn fewer_than_the_least_crew_does_what_the_policy_says() {
    let cases = [
        (RuleEffect::Note, Effect::Note),
        (RuleEffect::Limit, Effect::Limit(Limit::Crew(3))),
        (RuleEffect::Unproven, Effect::Unproven),
        (RuleEffect::NotReady, Effect::NotReady),
    ];
    for (setting, expected) in cases {
        let mut scene = scene();
        scene.policy.people.crew_short = setting;
        for (crews, persons, wanted) in [
            (1, Some(3), None),
            (1, Some(2), Some(Measure::Persons(2))),
            (2, None, None),
            (0, None, Some(Measure::Persons(0))),
        ] {
            let said = &mut scene.crews()[0].value;
            (said.crews, said.persons) = (crews, persons);
            let finding = scene.finding(Rule::CrewShort);
            let measured = finding.as_ref().and_then(|it| it.measured.clone());
            assert_eq!(measured, wanted, "{crews} {persons:?}");
            let effect = finding.map(|finding| finding.effect);
            assert_eq!(effect, wanted.map(|_| expected.clone()));
        }
    }
}

#[test]
fn the_least_of_two_statements_that_did_not_know_of_each_other_counts() {
    let mut scene = scene();
    let mut other = scene.crews()[0].clone();
    (other.value.crews, other.value.persons) = (1, Some(2));
    other.value.until = NOON.plus_ms(HOUR_MS);
    scene.crews().push(other);
    let crews = crews_at(scene.record(STATION), NOON).expect("known");
    assert_eq!((crews.crews, crews.persons), (1, Some(2)));
    assert_eq!(crews.until, NOON.plus_ms(HOUR_MS));
    assert!(scene.finding(Rule::CrewShort).is_some());
}

#[test]
fn nobody_unconfirmed_makes_a_crew_known_or_hides_a_short_one() {
    let mut scene = scene();
    let mut said = scene.crews()[0].clone();
    said.origin.trust = Trust::Unconfirmed(Unconfirmed::NotAdmitted);
    *scene.crews() = vec![said.clone()];
    assert_eq!(crews_at(scene.record(STATION), NOON), None);
    // A forked one counts against the craft, and names nobody: the lapsed operator stays.
    let mut scene = self::scene();
    scene.level("214", "technician", day(2026, 2, 28));
    said.origin.trust = Trust::Unconfirmed(Unconfirmed::Forked);
    said.value.operators.clear();
    scene.crews().push(said);
    let limit = Effect::Limit(Limit::Operator("technician".to_owned()));
    assert_eq!(scene.effect(Rule::OperatorLevelLapsed), Some(limit));
}

#[test]
fn a_level_is_current_through_its_last_day() {
    let limit = Effect::Limit(Limit::Operator("technician".to_owned()));
    for (until, expected) in [
        (None, None),
        (day(2026, 3, 1), None),
        (day(2026, 2, 28), Some(limit)),
    ] {
        let mut scene = scene();
        scene.level("214", "technician", until);
        assert_eq!(
            scene.effect(Rule::OperatorLevelLapsed),
            expected,
            "{until:?}"
        );
    }
    // A second operator whose level is current leaves it a note.
    let mut scene = scene();
    scene.level("214", "technician", day(2026, 2, 28));
    let current = scene.said(sponson_readiness::event::MemberLevel {
        member: "311".to_owned(),
        level: "Technician".to_owned(),
        until: None,
    });
    let member = scene.record(super::scene::MEMBER);
    member.levels.insert("Technician".to_owned(), current);
    scene.crews()[0].value.operators.push("311".to_owned());
    assert_eq!(scene.effect(Rule::OperatorLevelLapsed), Some(Effect::Note));
    assert_eq!(scene.readiness(), Readiness::Ready);
}

/// Source: NFPA 1670 and 2500, awareness, operations, technician, as the agency decides.
#[test]
fn one_operator_must_reach_the_level_that_the_mission_wants() {
    let limit = Some(Effect::Limit(Limit::Operator("technician".to_owned())));
    for (level, expected) in [
        ("technician", None),
        ("operations", limit.clone()),
        ("swiftwater-technician", limit),
    ] {
        let mut scene = scene();
        scene.level("214", level, None);
        assert_eq!(scene.effect(Rule::OperatorLevelShort), expected, "{level}");
    }
    let mut scene = scene();
    scene.crews()[0].value.operators = vec!["999".to_owned()];
    assert!(scene.finding(Rule::OperatorLevelShort).is_some());
    scene.crews()[0].value.operators.clear();
    assert_eq!(scene.effect(Rule::OperatorNotNamed), Some(Effect::Note));
    // Nothing is wanted on a lake.
    scene.mission("lake");
    assert_eq!(scene.effect(Rule::OperatorNotNamed), None);
}

#[test]
fn a_crew_that_the_asker_names_is_judged_instead() {
    let mut scene = scene();
    scene.crews().clear();
    scene.question.crew.count = Some(3);
    assert_eq!(scene.judged().why, []);
    scene.question.crew.count = Some(2);
    let limit = Effect::Limit(Limit::Crew(3));
    assert_eq!(scene.effect(Rule::CrewShort), Some(limit));
}

#[test]
fn a_policy_of_before_these_settings_means_the_defaults() {
    let text = sponson_readiness::standard::Policy::default_text();
    let (before, after) = text.split_once("[people]").expect("the heading");
    let (_, after) = after.split_once("\n[").unwrap_or(("", ""));
    let older = format!("{before}[{after}").trim_end_matches('[').to_owned();
    let old = sponson_readiness::standard::Policy::parse(&older).expect("an older policy");
    assert_eq!(old.people, scene().policy.people);
}
