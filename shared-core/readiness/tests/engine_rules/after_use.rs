//! What is owed after use, by the water; a short check between runs keeps a craft going.

use sponson_readiness::answer::{Effect, Limit, Measure, Readiness, Rule, Subject};
use sponson_readiness::event::{Extent, Use, WaterType};
use sponson_readiness::ids::{LineId, MissionId};
use sponson_readiness::record::{Assignment, Checked, Inspection, Sides};
use sponson_readiness::standard::RuleEffect;

use super::scene::{HOUR_MS, NOON, Scene};

/// Used two hours ago in such water; a short check an hour ago.
fn used(water: Option<WaterType>) -> Scene {
    let mut scene = Scene::inflatable();
    let used = Use {
        water,
        ..Use::default()
    };
    let side = scene.side_at(used, NOON.plus_ms(-2 * HOUR_MS));
    scene.craft().uses.push(side);
    let full = scene.side_at(Checked::default(), NOON.plus_ms(-30 * HOUR_MS));
    let short = scene.said(Checked::default());
    let checks = &mut scene.craft().checks;
    checks.insert(Extent::Full, Sides(vec![full]));
    checks.insert(Extent::Short, short);
    scene
}

fn assign(scene: &mut Scene) {
    let side = scene.side(Assignment {
        incident: "26-0117".to_owned(),
        mission: MissionId::from("lake"),
    });
    scene.craft().assigned.insert(side.origin.event, side);
}

fn owed(scene: &Scene) -> Vec<(String, Effect)> {
    let why = scene.judged().why.into_iter();
    let owed = why.filter(|one| one.rule == Rule::OwedAfterUse);
    owed.filter_map(|one| {
        if let Subject::Line(id, _) = one.subject {
            Some((id.to_string(), one.effect))
        } else {
            None
        }
    })
    .collect()
}

fn soon(line: &str) -> (String, Effect) {
    let limit = Limit::DoSoon(LineId::from(line));
    (line.to_owned(), Effect::Limit(limit))
}

fn note(line: &str) -> (String, Effect) {
    (line.to_owned(), Effect::Note)
}

/// Source of the flush: Mercury 100 EFI manual p. 36. The others: common practice.
#[test]
fn what_is_owed_goes_by_the_water() {
    let cases = [
        (Some(WaterType::Fresh), vec![note("dry-after-use")]),
        (
            Some(WaterType::Salt),
            vec![soon("motor-flush"), soon("rinse"), note("dry-after-use")],
        ),
        (
            Some(WaterType::Polluted),
            vec![
                soon("decontamination"),
                soon("motor-flush"),
                note("dry-after-use"),
            ],
        ),
        (
            None,
            vec![
                note("decontamination"),
                note("dry-after-use"),
                note("motor-flush"),
                note("rinse"),
            ],
        ),
    ];
    for (water, mut wanted) in cases {
        let mut found = owed(&used(water));
        found.sort();
        wanted.sort();
        assert_eq!(found, wanted, "{water:?}");
    }
    let scene = used(Some(WaterType::Salt));
    let finding = scene.finding(Rule::OwedAfterUse).expect("owed");
    assert_eq!(finding.measured, Some(Measure::Word("salt".to_owned())));
}

#[test]
fn it_is_over_once_it_is_recorded_after_the_use() {
    for (hours_ago, is_owed) in [(1, false), (3, true)] {
        let mut scene = used(Some(WaterType::Salt));
        let done = Inspection {
            passed: true,
            engine_s: None,
            run_s: None,
            holds: Vec::new(),
        };
        let side = scene.side_at(done, NOON.plus_ms(-hours_ago * HOUR_MS));
        let line = LineId::from("motor-flush");
        scene.craft().inspections.insert(line, Sides(vec![side]));
        let still = owed(&scene).contains(&soon("motor-flush"));
        assert_eq!(still, is_owed, "{hours_ago} h ago");
    }
}

#[test]
fn it_is_owed_on_release_and_only_noted_between_runs() {
    let mut scene = used(Some(WaterType::Polluted));
    scene.standard.check.released = RuleEffect::Unproven;
    assert_eq!(scene.effect(Rule::UsedSinceCheck), Some(Effect::Unproven));
    assign(&mut scene);
    assert!(
        owed(&scene)
            .iter()
            .all(|(_, effect)| *effect == Effect::Note)
    );
    assert_eq!(scene.effect(Rule::UsedSinceCheck), Some(Effect::Note));
    assert_eq!(scene.readiness(), Readiness::Ready);
    // Without the short check nothing keeps it going.
    scene.craft().checks.remove(&Extent::Short);
    assert_eq!(scene.effect(Rule::UsedSinceCheck), Some(Effect::Unproven));
}

#[test]
fn what_a_full_check_does_that_is_owed_the_sheet_says() {
    for (setting, wanted) in [
        (RuleEffect::Note, Effect::Note),
        (
            RuleEffect::Limit,
            Effect::Limit(Limit::DoSoon(LineId::from("full-check"))),
        ),
        (RuleEffect::NotReady, Effect::NotReady),
    ] {
        let mut scene = used(Some(WaterType::Fresh));
        scene.standard.check.released = setting;
        assert_eq!(scene.effect(Rule::UsedSinceCheck), Some(wanted));
    }
}
