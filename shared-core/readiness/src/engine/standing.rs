//! What people declared, and how far what is known can be trusted.
//!
//! Status stands beside readiness. Only two declarations change what the engine concludes:
//! condemned, and out of service for a mechanical reason, make a craft not ready. Out of service
//! for personnel or rest says nothing about the craft: it is noted. Assigned is noted too.

use std::collections::BTreeSet;

use super::air;
use super::facts::Facts;
use super::kit::{AirSource, Stores};
use super::place;
use super::sides::{events, is_trusted, trusted};
use crate::answer::{Action, Effect, Finding, Limit, Measure, Rule, Status, Subject};
use crate::event::{OutReason, Severity, Stowage};
use crate::ids::ModelId;
use crate::moment::Moment;
use crate::record::{Origin, Record};

/// What people declared, by trusted statements.
pub(super) fn status(record: &Record) -> Status {
    if record.condemned.iter().any(is_trusted) {
        return Status::Condemned;
    }
    let out = record.out.values().filter(|side| is_trusted(&side.origin));
    if let Some(reason) = out.map(|side| side.value).min() {
        return Status::OutOfService { reason };
    }
    let mut assigned = record.assigned.values();
    match assigned.find(|side| is_trusted(&side.origin)) {
        Some(side) => Status::Assigned {
            incident: side.value.incident.clone(),
        },
        None => Status::Available,
    }
}

/// Condemned, out of service, assigned.
pub(super) fn declared(record: &Record, found: &mut Vec<Finding>) {
    for origin in &record.condemned {
        let finding = Finding::own(
            Rule::Condemned,
            Severity::Disabling,
            Effect::NotReady,
            Subject::Craft,
        );
        found.push(by(finding, origin));
    }
    for side in record.out.values() {
        let (severity, effect) = match side.value {
            OutReason::Mechanical => (Severity::Disabling, Effect::NotReady),
            OutReason::Personnel | OutReason::Rest => (Severity::Major, Effect::Note),
        };
        let finding = Finding::own(Rule::OutOfService, severity, effect, Subject::Craft)
            .measured(Measure::Word(side.value.id().to_owned()))
            .needing(Action::AskStation, None);
        found.push(by(finding, &side.origin));
    }
    for side in record.assigned.values() {
        let finding = Finding::own(
            Rule::Assigned,
            Severity::Minor,
            Effect::Note,
            Subject::Craft,
        )
        .measured(Measure::Word(side.value.incident.clone()));
        found.push(by(finding, &side.origin));
    }
}

/// A registration that nobody trusted made, or that names several models: which sheet the craft
/// has to meet is not sure.
pub(super) fn registration(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let sides = &facts.record.craft;
    let models: BTreeSet<&ModelId> = sides.0.iter().map(|side| &side.value.model).collect();
    if models.len() < 2 && trusted(sides).next().is_some() {
        return;
    }
    let named = models
        .into_iter()
        .map(|model| Measure::Word(model.0.clone()));
    let finding = Finding::own(
        Rule::NoStandard,
        Severity::Restrictive,
        Effect::Unproven,
        Subject::Craft,
    )
    .measured(Measure::Sides(named.collect()))
    .evidence(events(sides))
    .needing(Action::AskLead, None);
    found.push(finding);
}

/// A mission that the standard does not list.
pub(super) fn mission(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let Some(mission) = facts.mission() else {
        return;
    };
    if facts.standard.missions.contains_key(mission) {
        return;
    }
    let finding = Finding::own(
        Rule::MissionNotInStandard,
        Severity::Restrictive,
        Effect::NotReady,
        Subject::Craft,
    )
    .measured(Measure::Word(mission.0.clone()))
    .needing(Action::AskLead, None);
    found.push(finding);
}

/// Events that are not trusted, or not understood here, about the craft or gear on it.
pub(super) fn doubts(record: &Record, subject: &Subject, found: &mut Vec<Finding>) {
    if !record.unconfirmed.is_empty() {
        let finding = Finding::own(
            Rule::Unconfirmed,
            Severity::Major,
            Effect::Unproven,
            subject.clone(),
        )
        .evidence(record.unconfirmed.keys().copied())
        .needing(Action::AskLead, None);
        found.push(finding);
    }
    if !record.not_understood.is_empty() {
        let finding = Finding::own(
            Rule::NeedsUpgrade,
            Severity::Major,
            Effect::Unproven,
            subject.clone(),
        )
        .evidence(record.not_understood.iter().copied())
        .needing(Action::Upgrade, None);
        found.push(finding);
    }
}

/// Its station has not been heard for long: said first, changes nothing.
pub(super) fn silent(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    for id in place::stations(facts.record) {
        let Some(station) = facts.county.stations.get(&id) else {
            continue;
        };
        let policy = facts.county.policy;
        if !is_silent(station.last_heard, facts.now, policy.silent_hours) {
            continue;
        }
        let limit_ms = i64::from(policy.silent_hours) * 3_600_000;
        let subject = Subject::Station(id, station.name.clone());
        let mut finding = Finding::own(Rule::StationSilent, Severity::Minor, Effect::Note, subject)
            .at_most(Measure::SpanMs(limit_ms))
            .needing(Action::AskStation, None);
        if let Some(heard) = station.last_heard {
            finding = finding.measured(Measure::SpanMs(facts.now.since(heard)));
        }
        found.push(finding);
    }
}

/// Whether a station was heard longer ago than the county allows, or never.
pub(super) fn is_silent(last_heard: Option<Moment>, now: Moment, silent_hours: u32) -> bool {
    match last_heard {
        Some(heard) => now.since(heard) > i64::from(silent_hours) * 3_600_000,
        None => true,
    }
}

/// How it is kept: the worst of the trusted sides.
pub(super) fn stowage(record: &Record) -> Option<Stowage> {
    trusted(&record.stowage).map(|side| side.value).max()
}

/// Rolled: rigging comes first, and takes air.
pub(super) fn rolled(facts: &Facts<'_>, stores: &Stores<'_>, found: &mut Vec<Finding>) {
    if stowage(facts.record) != Some(Stowage::Rolled) {
        return;
    }
    // A sheet that does not say how long rigging takes allows no less than a full check.
    let minutes = facts
        .standard
        .rig_minutes
        .unwrap_or(facts.standard.check.minutes);
    let (effect, minutes) = match air_to_rig(facts, stores) {
        AirSource::Aboard => (Effect::Limit(Limit::Rig(minutes)), Some(minutes)),
        AirSource::NotKnown => (Effect::Unproven, None),
        AirSource::None => (Effect::NotReady, None),
    };
    let finding = Finding::own(Rule::Rolled, Severity::Major, effect, Subject::Craft)
        .evidence(trusted(&facts.record.stowage).map(|side| side.origin.event))
        .needing(Action::Rig, minutes);
    found.push(finding);
}

/// The worst over the parts that hold air: each has to be brought to its pressure.
fn air_to_rig(facts: &Facts<'_>, stores: &Stores<'_>) -> AirSource {
    let parts = facts.standard.parts.iter();
    parts
        .filter(|part| part.pressure.is_some())
        .map(|part| air::source_for(facts, stores, part, None))
        .min()
        .unwrap_or(AirSource::Aboard)
}

/// Adds the event, and holds an untrusted one to 'go and look'.
pub(super) fn by(finding: Finding, origin: &Origin) -> Finding {
    finding.evidence([origin.event]).weighed_by(origin)
}
