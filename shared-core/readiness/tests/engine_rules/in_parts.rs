//! A check done in parts counts from the oldest of its newest looks, whoever made them.

use proptest::prelude::*;
use sponson_readiness::answer::{Effect, Readiness, Rule};
use sponson_readiness::event::{AnswerValue, Extent, NotApplicable, Use};
use sponson_readiness::ids::{LineId, PartId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::{Checked, Origin, Sides};

use super::scene::{DAY_MS, HOUR_MS, NOON, Scene};

/// The scene with its full check, and every line, so many days ago.
fn all_at(days_ago: i64) -> Scene {
    let mut scene = Scene::inflatable();
    scene.count("oar", 0);
    let at = NOON.plus_ms(-days_ago * DAY_MS);
    each_look(&mut scene, |_, origin| put(origin, at));
    for sides in scene.craft().checks.values_mut() {
        put(&mut sides.0[0].origin, at);
    }
    scene
}

/// A check of long ago, and every line looked at since.
pub(crate) fn scene() -> Scene {
    let mut scene = all_at(30);
    each_look(&mut scene, |_, origin| put(origin, NOON.plus_ms(-HOUR_MS)));
    scene
}

fn put(origin: &mut Origin, at: Moment) {
    let interval = &mut origin.interval;
    (interval.early, interval.late, interval.claimed) = (Some(at), Some(at), at);
}

/// Every line that the full check asks, one after another.
fn each_look(scene: &mut Scene, change: impl Fn(usize, &mut Origin)) {
    let record = scene.craft();
    let readings = record.readings.values_mut();
    let readings = readings.flat_map(|of_part| &mut of_part.standing.0);
    let readings = readings.map(|side| &mut side.origin);
    let counts = record.counts.values_mut().flat_map(|sides| &mut sides.0);
    let counts = counts.map(|side| &mut side.origin);
    let answers = record.answers.values_mut().flat_map(|sides| &mut sides.0);
    let answers = answers.map(|side| &mut side.origin);
    for (line, origin) in readings.chain(counts).chain(answers).enumerate() {
        change(line, origin);
    }
}

#[test]
fn every_line_looked_at_by_two_people_is_a_full_check_of_the_older_look() {
    let mut scene = all_at(30);
    assert_eq!(scene.effect(Rule::CheckStale), Some(Effect::Unproven));
    let [three, one] = [3, 1].map(|hours| NOON.plus_ms(-hours * HOUR_MS));
    each_look(&mut scene, |line, origin| {
        put(origin, if line % 2 == 0 { three } else { one });
    });
    assert_eq!(scene.finding(Rule::CheckStale), None);
    assert_eq!(scene.judged().checked_at, Some(three));
    assert_eq!(scene.readiness(), Readiness::Ready);
    let parts = scene.finding(Rule::CheckedInParts).expect("said");
    assert_eq!(parts.effect, Effect::Note);
    assert!(parts.evidence.len() > 60, "one entry a line in this scene");
    scene.craft().checks.clear();
    assert_eq!(scene.finding(Rule::NeverChecked), None);
}

#[test]
fn one_line_that_nobody_looked_at_keeps_it_from_being_a_check() {
    let changes: [fn(&mut Scene); 4] = [
        |scene| drop(scene.craft().answers.remove(&LineId::from("clean-dry"))),
        |scene| drop(scene.craft().readings.remove(&PartId::from("floor"))),
        |scene| {
            let could_not = AnswerValue::NotApplicable(NotApplicable::CouldNotLook);
            scene.answered("clean-dry", could_not);
        },
        |scene| {
            for side in &mut scene
                .craft()
                .answers
                .get_mut(&LineId::from("hull"))
                .expect("answered")
                .0
            {
                side.origin.trust = sponson_readiness::event::Trust::Unconfirmed(
                    sponson_readiness::event::Unconfirmed::NotAdmitted,
                );
            }
        },
    ];
    assert_eq!(scene().finding(Rule::CheckStale), None);
    for change in changes {
        let mut scene = scene();
        change(&mut scene);
        assert!(scene.finding(Rule::CheckStale).is_some());
        assert_eq!(scene.finding(Rule::CheckedInParts), None);
    }
}

#[test]
fn a_line_of_a_later_day_waits_for_the_next_check() {
    let mut scene = all_at(30);
    each_look(&mut scene, |_, origin| {
        put(origin, NOON.plus_ms(-30 * HOUR_MS))
    });
    scene.craft().answers.remove(&LineId::from("hull"));
    let hull = |scene: &mut Scene, from: &str| {
        let mut lines = scene.standard.questions.iter_mut();
        let line = lines.find(|line| line.id.as_str() == "hull");
        line.expect("a line").asked_from = Some(from.parse().expect("a day"));
    };
    hull(&mut scene, "2026-03-01");
    assert_eq!(scene.finding(Rule::CheckStale), None);
    assert_eq!(scene.effect(Rule::LineNotAnswered), Some(Effect::Note));
    hull(&mut scene, "2026-01-01");
    assert!(scene.finding(Rule::CheckStale).is_some());
}

#[test]
fn the_marked_lines_looked_at_after_a_use_keep_it_going() {
    let mut scene = all_at(1);
    let used = scene.side_at(Use::default(), NOON.plus_ms(-6 * HOUR_MS));
    scene.craft().uses.push(used);
    assert_eq!(scene.effect(Rule::UsedSinceCheck), Some(Effect::Unproven));
    let between = scene.standard.between_runs();
    let at = NOON.plus_ms(-HOUR_MS);
    let record = scene.craft();
    for part in &between.parts {
        put(
            &mut record.readings.get_mut(part).expect("read").standing.0[0].origin,
            at,
        );
    }
    for ((item, _), sides) in &mut record.counts {
        if between.lines.contains(item) {
            put(&mut sides.0[0].origin, at);
        }
    }
    for (line, sides) in &mut record.answers {
        if between.lines.contains(line) {
            put(&mut sides.0[0].origin, at);
        }
    }
    // Fuel belongs to it where the sheet asks for fuel, and nobody recorded any.
    assert_eq!(scene.effect(Rule::UsedSinceCheck), Some(Effect::Unproven));
    let fuel = sponson_readiness::event::Fuel {
        tank: None,
        amount_ml: 30_000,
        filled: None,
        mix: None,
    };
    let fuel = scene.said(fuel);
    scene.craft().fuel.insert(None, fuel);
    assert_ne!(scene.effect(Rule::UsedSinceCheck), Some(Effect::Unproven));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// It counts from the oldest of the newest looks, and is never readier than one check of then.
    #[test]
    fn in_parts_is_never_readier_than_a_check_of_the_oldest_look(
        hours in prop::collection::vec(1_i64..300, 1..8),
    ) {
        let mut scene = all_at(30);
        each_look(&mut scene, |line, origin| {
            put(origin, NOON.plus_ms(-hours[line % hours.len()] * HOUR_MS));
        });
        let oldest = hours.iter().copied().max().unwrap_or(0);
        let mut whole = scene.clone();
        let check = whole.side_at(Checked::default(), NOON.plus_ms(-oldest * HOUR_MS));
        whole.craft().checks.insert(Extent::Full, Sides(vec![check]));
        prop_assert!(scene.readiness() >= whole.readiness());
        prop_assert_eq!(scene.judged().checked_at, whole.judged().checked_at);
    }
}
