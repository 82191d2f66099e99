//! County-wide holds: a model, a maker's batch or a part is held everywhere, until the hold is
//! lifted by name.
//!
//! | hold | effect on a craft that it fits, or that carries gear that it fits |
//! |---|---|
//! | names no mission | not ready |
//! | names the asked mission | not ready |
//! | names others, or no mission was asked | limit: not for those |
//!
//! An untrusted one sends somebody to look, and nothing worse. Where sides of a registration
//! differ, one that fits is enough.

use std::collections::BTreeSet;

use super::County;
use super::facts::Facts;
use super::standing::by;
use crate::answer::{Action, Effect, Finding, Limit, Measure, Rule, Subject};
use crate::event::{CountyHold, Severity, SubjectKind};
use crate::ids::{EventId, ModelId, PartId};
use crate::record::{Record, Side};

/// Holds that fit the craft or gear on it.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    for side in in_force(facts.county) {
        for subject in fits(facts, &side.value) {
            found.push(one(facts, side, subject));
        }
    }
}

/// Entries about the whole county, or about nothing that is known here, that this version does not
/// know, and whose writer asked to hold: one may be a hold, or end a key.
pub(super) fn not_understood(county: &County<'_>, found: &mut Vec<Finding>) {
    let unknown: BTreeSet<EventId> = of_county(county)
        .flat_map(|record| &record.not_understood)
        .chain(&county.not_understood.entries)
        .copied()
        .collect();
    if unknown.is_empty() {
        return;
    }
    found.push(needs_upgrade(unknown));
}

/// The boat standard of a model, when it is one that this version cannot read.
pub(super) fn sheet_not_understood(county: &County<'_>, model: &ModelId) -> Option<Finding> {
    let sheet = county.not_understood.sheets.get(model)?;
    Some(needs_upgrade([*sheet]))
}

fn needs_upgrade(unknown: impl IntoIterator<Item = EventId>) -> Finding {
    Finding::own(
        Rule::NeedsUpgrade,
        Severity::Major,
        Effect::Unproven,
        Subject::Craft,
    )
    .evidence(unknown)
    .needing(Action::Upgrade, None)
}

fn of_county<'a>(county: &County<'a>) -> impl Iterator<Item = &'a Record> {
    let records = county.records.values();
    records.filter(|record| record.kind == SubjectKind::County)
}

fn in_force<'a>(county: &County<'a>) -> impl Iterator<Item = &'a Side<CountyHold>> {
    of_county(county).flat_map(|record| record.county_holds.values())
}

/// What of the craft a hold is about: the craft, a part of it, or gear that is or may be on it.
fn fits(facts: &Facts<'_>, hold: &CountyHold) -> Vec<Subject> {
    let mut about = Vec::new();
    for body in facts.bodies() {
        if body.kind == SubjectKind::Gear {
            if gear_fits(facts, body, hold) {
                let number = facts.number_of(body.subject);
                about.push(Subject::Gear(body.subject, number));
            }
        } else if let Some(subject) = craft_fits(facts, body, hold)
            && !about.contains(&subject)
        {
            about.push(subject);
        }
    }
    about
}

fn craft_fits(facts: &Facts<'_>, craft: &Record, hold: &CountyHold) -> Option<Subject> {
    let registered = craft.craft.iter().any(|side| {
        same(&hold.model, side.value.model.as_str()) && same(&hold.batch, &side.value.batch)
    });
    if !registered {
        return None;
    }
    if hold.part.is_empty() {
        return Some(Subject::Craft);
    }
    let mut parts = facts.standard.parts.iter();
    let held = parts.find(|part| same(&hold.part, part.id.as_str()))?;
    Some(facts.part(&held.id))
}

/// Gear is held by its own model or batch; a part named as well is the one that it serves as.
fn gear_fits(facts: &Facts<'_>, gear: &Record, hold: &CountyHold) -> bool {
    if hold.model.is_empty() && hold.batch.is_empty() {
        return false;
    }
    let registered = gear
        .gear
        .iter()
        .any(|side| same(&hold.model, &side.value.model) && same(&hold.batch, &side.value.batch));
    registered && (hold.part.is_empty() || serves_as(facts, gear, &hold.part))
}

fn serves_as(facts: &Facts<'_>, gear: &Record, part: &str) -> bool {
    let kept = facts.index.gear_at(facts.record.subject).iter();
    let mut served = kept.filter(|kept| kept.record.subject == gear.subject);
    served.any(|kept| {
        kept.part
            .map(PartId::as_str)
            .is_none_or(|at| same(part, at))
    })
}

/// Whether a word of a hold fits: an empty one fits anything. People write models and batches with
/// and without capitals.
fn same(held: &str, value: &str) -> bool {
    held.is_empty() || held.trim().eq_ignore_ascii_case(value.trim())
}

fn one(facts: &Facts<'_>, side: &Side<CountyHold>, subject: Subject) -> Finding {
    let hold = &side.value;
    let ruled_out = |mission| hold.missions.contains(mission);
    let effect = if hold.missions.is_empty() || facts.mission().is_some_and(ruled_out) {
        Effect::NotReady
    } else {
        Effect::Limit(Limit::NotFor(hold.missions.iter().cloned().collect()))
    };
    let words = [&hold.model, &hold.batch, &hold.part];
    let words = words.into_iter().filter(|word| !word.is_empty());
    let words = words.map(|word| Measure::Word(word.clone())).collect();
    let finding = Finding::own(Rule::HeldCountyWide, Severity::Disabling, effect, subject)
        .measured(Measure::Sides(words))
        .needing(Action::AskLead, None);
    by(finding, &side.origin)
}
