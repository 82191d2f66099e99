//! The readiness table: what each effect makes of a craft, and what a sheet's effect means for the
//! asked mission.
//!
//! | worst effect among the findings | readiness |
//! |---|---|
//! | none, or only notes | ready |
//! | a limit | ready with limits |
//! | unproven | unproven: go and look |
//! | not ready | not ready |
//!
//! | effect in a sheet | effect on the craft |
//! |---|---|
//! | `note` | a note |
//! | `limit` | limit: do this soon |
//! | `no-power` | limit: no power |
//! | `daylight-only` | not ready when lights are needed during the job, in the dark or in restricted visibility; else, also when that is not known, a limit: by daylight only |
//! | `crew-only` | limit: nobody beyond the crew |
//! | `not-for-mission` | not ready for an asked mission of the line; a limit when none was asked |
//! | `unproven` | unproven |
//! | `not-ready` | not ready |

use std::collections::BTreeSet;

use crate::answer::{Effect, Finding, Limit, Readiness};
use crate::conditions::Lights;
use crate::ids::{LineId, MissionId};
use crate::standard::RuleEffect;

/// What the findings add up to.
pub(super) fn readiness(findings: &[Finding]) -> Readiness {
    match findings.iter().map(|finding| &finding.effect).max() {
        None | Some(Effect::Note) => Readiness::Ready,
        Some(Effect::Limit(_)) => Readiness::ReadyWithLimits,
        Some(Effect::Unproven) => Readiness::Unproven,
        Some(Effect::NotReady) => Readiness::NotReady,
    }
}

/// A line of a sheet whose effect is wanted.
pub(super) struct Line<'a> {
    /// Id, for 'do this soon'.
    pub(super) id: &'a LineId,
    /// Missions that the line is for; empty for all.
    pub(super) missions: &'a BTreeSet<MissionId>,
    /// The mission that was asked for.
    pub(super) asked: Option<&'a MissionId>,
    /// Whether lights are needed during the job.
    pub(super) lights: Lights,
}

/// What a sheet's effect does to the craft for the asked mission.
pub(super) fn of_rule(effect: RuleEffect, line: &Line<'_>) -> Effect {
    match effect {
        RuleEffect::Note => Effect::Note,
        RuleEffect::Limit => Effect::Limit(Limit::DoSoon(line.id.clone())),
        RuleEffect::NoPower => Effect::Limit(Limit::NoPower),
        RuleEffect::DaylightOnly => match line.lights {
            Lights::NeededFrom(_) => Effect::NotReady,
            Lights::NotNeeded | Lights::NotKnown => Effect::Limit(Limit::DaylightOnly),
        },
        RuleEffect::CrewOnly => Effect::Limit(Limit::CrewOnly),
        RuleEffect::NotForMission => match line.asked {
            Some(_) => Effect::NotReady,
            None => Effect::Limit(Limit::NotFor(line.missions.clone())),
        },
        RuleEffect::Unproven => Effect::Unproven,
        RuleEffect::NotReady => Effect::NotReady,
    }
}

/// Something not known is never worse than 'go and look', and no worse than the thing itself.
pub(super) fn not_known(effect: Effect) -> Effect {
    effect.min(Effect::Unproven)
}

/// Whether a line is asked for the mission.
///
/// When no mission is asked, a line of some missions is asked only if its effect names them: so
/// the general answer says 'not for flood' and nothing worse.
pub(super) fn is_asked(
    missions: &BTreeSet<MissionId>,
    effect: RuleEffect,
    asked: Option<&MissionId>,
) -> bool {
    match asked {
        Some(mission) => missions.is_empty() || missions.contains(mission),
        None => missions.is_empty() || effect == RuleEffect::NotForMission,
    }
}

/// The limits of all findings.
pub(super) fn limits(findings: &[Finding]) -> Vec<Limit> {
    let limits: BTreeSet<Limit> = findings
        .iter()
        .filter_map(|finding| match &finding.effect {
            Effect::Limit(limit) => Some(limit.clone()),
            Effect::Note | Effect::Unproven | Effect::NotReady => None,
        })
        .collect();
    limits.into_iter().collect()
}
