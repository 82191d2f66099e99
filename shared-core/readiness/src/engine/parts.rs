//! Pressure of each part at the launch, against its own range.
//!
//! Every side is judged and the worse counts. A reading that is not settled is taken at the worse
//! end of what its temperature can have been; that is noted. Colder of air and water decides too
//! soft, the warmer too hard. Chambers read with the valves between them open show one pressure:
//! that proves one of them. A rolled craft holds no air: rigging comes first and begins with a
//! gauge.

mod course;
mod hard;
mod judged;
mod leak;
mod reading;
mod shown;
mod soft;

use std::cmp::Reverse;

pub(super) use course::launch_ambient_pa;
use judged::{Judged, judge};
pub(super) use reading::gauge_sides;
use reading::{Standing, Taken, untrusted_readings, what_stands};

use super::facts::Facts;
use super::freshness::proof_ms;
use super::kit::Stores;
use super::standing;
use crate::answer::{Action, Effect, Finding, Measure, PartPressure, Rule};
use crate::event::{Severity, Stowage};
use crate::ids::{EventId, PartId};
use crate::standard::{Part, PressureRule};

/// A part that holds air, and its rule.
#[derive(Clone, Copy)]
pub(super) struct Held<'a> {
    part: &'a Part,
    rule: &'a PressureRule,
}

/// Pressure of every part that holds air.
pub(super) fn check(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    found: &mut Vec<Finding>,
) -> Vec<PartPressure> {
    if standing::stowage(facts.record) == Some(Stowage::Rolled) {
        return Vec::new();
    }
    let held = facts.standard.parts.iter().filter_map(|part| {
        let rule = part.pressure.as_ref()?;
        Some(Held { part, rule })
    });
    let mut joined = None;
    held.filter_map(|held| {
        let stands = what_stands(facts, held.part);
        found.extend(joined_before(facts, held, &stands.taken, &mut joined));
        one(facts, held, &stands, stores, found)
    })
    .collect()
}

/// Chambers read with the valves between them open show one pressure: the first of them, in the
/// order of the sheet, is proven by it, the others are not.
fn joined_before<'a>(
    facts: &Facts<'_>,
    held: Held<'a>,
    taken: &[Taken<'_>],
    joined: &mut Option<&'a PartId>,
) -> Option<Finding> {
    let open: Vec<&Taken<'_>> = taken.iter().filter(|taken| taken.is_joined()).collect();
    if open.is_empty() {
        return None;
    }
    let first = *joined.get_or_insert(&held.part.id);
    if *first == held.part.id {
        return None;
    }
    let finding = about(facts, held, Rule::PressureJoined, Effect::Unproven)
        .evidence(open.iter().map(|taken| taken.origin.event));
    Some(read_gauge(finding, held))
}

fn one(
    facts: &Facts<'_>,
    held: Held<'_>,
    stands: &Standing<'_>,
    stores: &Stores<'_>,
    found: &mut Vec<Finding>,
) -> Option<PartPressure> {
    if stands.unread_air {
        found.push(after_air(facts, held));
    } else if stands.taken.is_empty() {
        found.extend(not_read(facts, held));
    } else {
        found.extend(aged(facts, held, &stands.taken));
    }
    let judged: Vec<Judged> = stands
        .taken
        .iter()
        .map(|taken| judge(facts, held, taken, stores))
        .collect();
    let worst = worst(&judged);
    let reached = worst.iter().map(|finding| finding.effect.clone()).max();
    found.extend(worst);
    for taken in untrusted_readings(facts.record, &held.part.id) {
        let doubts = judge(facts, held, &taken, stores).findings.into_iter();
        found.extend(
            // What is owed back in the bay is no matter of going and looking before the launch.
            doubts
                .filter(|finding| finding.rule != Rule::PressureHighAtHome)
                .map(|finding| finding.weighed_by(taken.origin))
                .filter(|finding| Some(&finding.effect) > reached.as_ref().or(Some(&Effect::Note))),
        );
    }
    shown::shown(held, &judged)
}

/// Of the trusted sides of a part's pressure the one that is judged worst, by gauge value and
/// event: by what it does to the craft, then by the lowest pressure at the launch.
pub(super) fn worst_side(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    part: &PartId,
) -> Option<(i64, EventId)> {
    let part = facts.standard.parts.iter().find(|it| it.id == *part)?;
    let held = Held {
        part,
        rule: part.pressure.as_ref()?,
    };
    let taken = what_stands(facts, part).taken;
    let ranked = taken.iter().map(|taken| {
        let judged = judge(facts, held, taken, stores);
        let effect = judged.findings.into_iter().map(|finding| finding.effect);
        (effect.max(), Reverse(judged.predicted.low_pa), taken)
    });
    let worst = ranked.max_by(|one, other| (&one.0, one.1).cmp(&(&other.0, other.1)))?;
    Some((worst.2.gauge_pa, worst.2.origin.event))
}

/// The findings of the worst side, and of every other kind that another side adds.
fn worst(judged: &[Judged]) -> Vec<Finding> {
    let mut kept: Vec<Finding> = Vec::new();
    for finding in judged.iter().flat_map(|judged| &judged.findings) {
        match kept.iter_mut().find(|other| other.rule == finding.rule) {
            Some(other) if other.effect < finding.effect => *other = finding.clone(),
            Some(_) => {}
            None => kept.push(finding.clone()),
        }
    }
    kept
}

fn not_read(facts: &Facts<'_>, held: Held<'_>) -> Option<Finding> {
    // Nothing is known of the craft at all: the missing check says it once.
    if facts.freshness.says_it_all() && facts.record.readings.is_empty() {
        return None;
    }
    let finding = about(facts, held, Rule::PressureNotRead, Effect::Unproven);
    Some(read_gauge(finding, held))
}

/// A reading proves no longer than a check does.
fn aged(facts: &Facts<'_>, held: Held<'_>, taken: &[Taken<'_>]) -> Option<Finding> {
    let proof_ms = proof_ms(&facts.standard.check);
    let age_ms = taken.iter().map(|taken| facts.age_ms(taken.origin)).max()?;
    if age_ms <= proof_ms || facts.freshness.says_it_all() {
        return None;
    }
    let finding = about(facts, held, Rule::PressureNotRead, Effect::Unproven)
        .aged(age_ms)
        .at_most(Measure::SpanMs(proof_ms))
        .evidence(taken.iter().map(|taken| taken.origin.event));
    Some(read_gauge(finding, held))
}

fn after_air(facts: &Facts<'_>, held: Held<'_>) -> Finding {
    let readings = facts.record.readings.get(&held.part.id);
    let events = readings
        .iter()
        .flat_map(|readings| &readings.air_since)
        .map(|side| side.origin.event);
    let finding = about(facts, held, Rule::PressureAfterAir, Effect::Unproven).evidence(events);
    read_gauge(finding, held)
}

fn about(facts: &Facts<'_>, held: Held<'_>, rule: Rule, effect: Effect) -> Finding {
    let severity = match effect {
        Effect::NotReady => Severity::Restrictive,
        Effect::Limit(_) | Effect::Unproven => Severity::Major,
        Effect::Note => Severity::Minor,
    };
    let subject = facts.part(&held.part.id);
    Finding::cited(rule, severity, effect, subject, &held.part.cited)
}

fn read_gauge(finding: Finding, held: Held<'_>) -> Finding {
    finding.needing(
        Action::ReadGauge(held.part.id.clone()),
        Some(held.rule.read_minutes),
    )
}
