//! Open faults by severity, waivers, and holds of repairs.
//!
//! | fault | effect |
//! |---|---|
//! | disabling | not ready, whatever missions it names |
//! | rules out named missions | not ready for those, else not for them |
//! | restrictive | not ready, unless a waiver holds: only for its missions until its end |
//! | major, minor | noted |

use std::collections::BTreeMap;

use super::facts::Facts;
use super::index::{Whereabouts, whereabouts};
use super::sides::{counts_against, is_trusted};
use crate::answer::{Action, Effect, Finding, Limit, Measure, Rule, Subject};
use crate::event::{HoldKind, Severity, SubjectKind};
use crate::ids::{FaultId, PartId};
use crate::record::{FaultState, Record};

/// Faults and holds of the craft and of what is on it.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let bodies = facts.bodies();
    let mut open: BTreeMap<FaultId, &FaultState> = BTreeMap::new();
    for body in &bodies {
        for (id, state) in &body.faults {
            if is_open(facts, state) && !went_with_gear(facts, body, *id, state) {
                open.insert(*id, state);
            }
        }
    }
    found.extend(
        open.iter()
            .map(|(id, state)| one(facts, &bodies, *id, state)),
    );
    found.extend(
        open.iter()
            .filter(|(_, state)| counts_against(&state.origin))
            .flat_map(|(id, state)| reports(facts, *id, state)),
    );
    holds(facts, &bodies, found);
}

/// Reports that are due by the county's reporting times, where it goes by them. They change nothing
/// about the craft.
fn reports(facts: &Facts<'_>, id: FaultId, state: &FaultState) -> Vec<Finding> {
    let Some(times) = facts.county.policy.faults.reporting else {
        return Vec::new();
    };
    let fault = &state.fault;
    let after_s = match fault.severity {
        Severity::Disabling => 0,
        Severity::Restrictive => times.restrictive_s,
        Severity::Major | Severity::Minor => return Vec::new(),
    };
    let age_ms = facts.age_ms(&state.origin);
    let span = |s: u32| Measure::SpanMs(i64::from(s) * 1_000);
    let report = |rule, limit_s: u32| {
        let label = label(facts, &fault.part);
        let subject = Subject::Fault(id, fault.part.clone(), fault.place, label);
        Finding::own(rule, fault.severity, Effect::Note, subject)
            .aged(age_ms)
            .at_most(span(limit_s))
            .evidence([state.origin.event])
            .needing(Action::Report, None)
    };
    let is_due = |after_s: u32| age_ms >= i64::from(after_s) * 1_000;
    let first = is_due(after_s).then(|| report(Rule::ReportDue, after_s));
    let casualty =
        is_due(times.casualty_s).then(|| report(Rule::CasualtyReportDue, times.within_s));
    first.into_iter().chain(casualty).collect()
}

/// By setting, a disabling fault that its own repairer signed off is open still.
fn is_open(facts: &Facts<'_>, state: &FaultState) -> bool {
    !state.is_signed_off(facts.county.policy.faults.repairer_signs_off)
}

/// Whether a fault that a craft's record keeps is on gear that has left, and is kept there.
fn went_with_gear(facts: &Facts<'_>, body: &Record, id: FaultId, state: &FaultState) -> bool {
    if body.kind != SubjectKind::Craft {
        return false;
    }
    let gear = state
        .fault
        .gear
        .and_then(|id| facts.county.records.get(&id));
    gear.is_some_and(|gear| {
        let trusted = gear.place.0.iter().all(|side| is_trusted(&side.origin));
        let left = whereabouts(gear, body.subject) == Whereabouts::Elsewhere;
        trusted && left && gear.faults.contains_key(&id)
    })
}

/// The words of the standard for the part of a fault.
fn label(facts: &Facts<'_>, part: &PartId) -> String {
    if let Subject::Part(_, label) = facts.part(part) {
        label
    } else {
        part.0.clone()
    }
}

fn one(facts: &Facts<'_>, bodies: &[&Record], id: FaultId, state: &FaultState) -> Finding {
    let fault = &state.fault;
    let label = label(facts, &fault.part);
    let finding = Finding::own(
        Rule::FaultOpen,
        fault.severity,
        effect(facts, bodies, id, state),
        Subject::Fault(id, fault.part.clone(), fault.place, label),
    )
    .measured(Measure::Word(fault.class.clone()))
    .evidence([state.origin.event])
    .evidence(state.repairs.iter().map(|repair| repair.event))
    .evidence(state.closed.iter().map(|closed| closed.event))
    .needing(next(id, state), None);
    finding.weighed_by(&state.origin)
}

/// What is left to do: where its own repairer signed it off, another has to.
fn next(id: FaultId, state: &FaultState) -> Action {
    match &state.closed {
        Some(closed) if is_trusted(closed) => Action::SignOffByAnother(id),
        Some(_) | None => Action::RepairAndSignOff(id),
    }
}

fn effect(facts: &Facts<'_>, bodies: &[&Record], id: FaultId, state: &FaultState) -> Effect {
    let ruled_out = &state.fault.missions;
    if state.fault.severity == Severity::Disabling {
        return Effect::NotReady;
    }
    if !ruled_out.is_empty() {
        return match facts.mission() {
            Some(mission) if ruled_out.contains(mission) => {
                waived(facts, bodies, id, state.fault.severity).unwrap_or(Effect::NotReady)
            }
            Some(_) | None => Effect::Limit(Limit::NotFor(ruled_out.iter().cloned().collect())),
        };
    }
    match state.fault.severity {
        Severity::Disabling => Effect::NotReady,
        severity @ Severity::Restrictive => {
            waived(facts, bodies, id, severity).unwrap_or(Effect::NotReady)
        }
        Severity::Major | Severity::Minor => Effect::Note,
    }
}

/// The limit that a waiver leaves: only a trusted one, of a restrictive fault, still running, for
/// the asked mission or any when none is asked. Of several the one that runs longest.
fn waived(
    facts: &Facts<'_>,
    bodies: &[&Record],
    id: FaultId,
    severity: Severity,
) -> Option<Effect> {
    if severity != Severity::Restrictive {
        return None;
    }
    let waivers = bodies.iter().flat_map(|body| body.waivers.values());
    waivers
        .filter(|side| is_trusted(&side.origin))
        .map(|side| &side.value)
        .filter(|waiver| waiver.faults.contains(&id) && waiver.until > facts.asked.as_of)
        .filter(|waiver| match facts.mission() {
            Some(mission) => waiver.missions.contains(mission),
            None => !waiver.missions.is_empty(),
        })
        .max_by_key(|waiver| waiver.until)
        .map(|waiver| Effect::Limit(Limit::OnlyFor(waiver.missions.clone(), waiver.until)))
}

/// A hold runs from the late end of the work.
fn holds(facts: &Facts<'_>, bodies: &[&Record], found: &mut Vec<Finding>) {
    for side in bodies.iter().flat_map(|body| &body.holds) {
        let done = side.origin.interval.latest(facts.now);
        let end = done.plus_ms(i64::from(side.value.duration_s) * 1_000);
        let left_ms = end.since(facts.asked.as_of);
        if left_ms <= 0 {
            continue;
        }
        let kind = match side.value.kind {
            HoldKind::Inflate => "inflate",
            HoldKind::Launch => "launch",
        };
        let finding = Finding::own(
            Rule::HoldRuns,
            Severity::Restrictive,
            Effect::NotReady,
            Subject::Craft,
        )
        .measured(Measure::Word(kind.to_owned()))
        .at_least(Measure::SpanMs(i64::from(side.value.duration_s) * 1_000))
        .evidence([side.origin.event])
        .needing(Action::WaitUntil(end), None);
        found.push(finding.weighed_by(&side.origin));
    }
}
