//! Rules about people, about what is owed after use, and about reports.

use sponson_readiness::answer::Rule;
use sponson_readiness::engine::table::Makes::{self, Limit, NotReady, Note, Unproven};
use sponson_readiness::event::{DateMark, Extent, Severity, Use, WaterType};
use sponson_readiness::ids::{FaultId, MissionId};
use sponson_readiness::record::{Checked, Sides};
use sponson_readiness::standard::{Reporting, RuleEffect};

use super::Reached;
use crate::scene::{HOUR_MS, NOON, Scene, fault};

const EFFECTS: [(RuleEffect, Makes); 4] = [
    (RuleEffect::Note, Note),
    (RuleEffect::Limit, Limit),
    (RuleEffect::Unproven, Unproven),
    (RuleEffect::NotReady, NotReady),
];

pub(super) fn scenes() -> Vec<Reached> {
    let mut scenes = vec![
        (Rule::CrewNotKnown, Note, with(|it| it.crews().clear())),
        (
            Rule::OperatorNotNamed,
            Note,
            with(|it| it.crews()[0].value.operators.clear()),
        ),
        (Rule::ReportDue, Note, with(reported)),
        (Rule::CasualtyReportDue, Note, with(reported)),
    ];
    for (effect, makes) in EFFECTS {
        scenes.extend([
            (
                Rule::CrewShort,
                makes,
                with(|it| {
                    it.policy.people.crew_short = effect;
                    it.crews()[0].value.crews = 0;
                }),
            ),
            (
                Rule::OperatorLevelShort,
                makes,
                with(|it| {
                    it.policy.people.operator_short = effect;
                    it.level("214", "awareness", None);
                }),
            ),
            (
                Rule::OperatorLevelLapsed,
                makes,
                with(|it| {
                    it.policy.people.operator_short = effect;
                    it.level("214", "technician", last_year());
                }),
            ),
            (
                Rule::OwedAfterUse,
                makes,
                with(|it| {
                    for line in &mut it.standard.after_use {
                        line.owed = effect;
                    }
                    used(it);
                }),
            ),
            (
                Rule::UsedSinceCheck,
                makes,
                with(|it| {
                    it.standard.check.released = effect;
                    used(it);
                }),
            ),
        ]);
    }
    scenes
}

/// Asked about swiftwater, which wants a technician.
fn with(change: impl FnOnce(&mut Scene)) -> Scene {
    let mut scene = Scene::inflatable();
    scene.question.mission = Some(MissionId::from("swiftwater"));
    change(&mut scene);
    scene
}

fn last_year() -> Option<DateMark> {
    Some(DateMark {
        year: 2025,
        month: None,
        day: None,
    })
}

/// In polluted water, and looked at shortly afterwards.
fn used(scene: &mut Scene) {
    let used = Use {
        water: Some(WaterType::Polluted),
        ..Use::default()
    };
    let side = scene.side_at(used, NOON.plus_ms(-2 * HOUR_MS));
    scene.craft().uses.push(side);
    let full = scene.side_at(Checked::default(), NOON.plus_ms(-30 * HOUR_MS));
    let short = scene.said(Checked::default());
    let checks = &mut scene.craft().checks;
    checks.insert(Extent::Full, Sides(vec![full]));
    checks.insert(Extent::Short, short);
}

/// A disabling fault of 50 hours ago, in a county that goes by reporting times.
fn reported(scene: &mut Scene) {
    scene.policy.faults.reporting = Some(Reporting {
        restrictive_s: 3_600,
        casualty_s: 48 * 3_600,
        within_s: 24 * 3_600,
    });
    let side = scene.side_at((), NOON.plus_ms(-50 * HOUR_MS));
    let id = FaultId {
        event: side.origin.event,
        ordinal: 0,
    };
    let found = fault(side, Severity::Disabling, &[]);
    scene.craft().faults.insert(id, found);
}
