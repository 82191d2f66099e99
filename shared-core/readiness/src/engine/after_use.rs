//! What is owed after use: drying, flushing, decontamination, by the water that the craft was in.
//!
//! | the craft | effect of what is owed |
//! |---|---|
//! | is assigned | a note: owed on release |
//! | is released | as the line of the sheet says |
//! | was in water that nobody named, and the line is for some waters | a note |
//!
//! It is over once it is recorded as done, later than the use.

use super::facts::Facts;
use super::sides::{counts_against, is_trusted, trusted};
use crate::answer::{Action, Effect, Finding, Measure, Rule, Subject};
use crate::event::{Use, WaterType};
use crate::moment::Moment;
use crate::record::{Origin, Side};
use crate::standard::AfterUse;

/// Every line of the sheet about what is owed after use.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    for line in &facts.standard.after_use {
        found.extend(one(facts, line));
    }
}

/// Whether somebody assigned the craft and nobody has released it.
pub(super) fn is_assigned(facts: &Facts<'_>) -> bool {
    let mut assigned = facts.record.assigned.values();
    assigned.any(|side| is_trusted(&side.origin))
}

fn one(facts: &Facts<'_>, line: &AfterUse) -> Option<Finding> {
    let done = done_at(facts, line);
    let since = |side: &&Side<Use>| Some(side.origin.interval.latest(facts.now)) >= done;
    let asks = |water: Option<WaterType>| match water {
        Some(water) => line.water.is_empty() || line.water.contains(&water),
        None => true,
    };
    let owing: Vec<&Side<Use>> = facts
        .record
        .uses
        .iter()
        .filter(|side| counts_against(&side.origin))
        .filter(since)
        .filter(|side| asks(side.value.water))
        .collect();
    let newest = owing.last()?;
    let sure = |side: &&&Side<Use>| line.water.is_empty() || side.value.water.is_some();
    let known = owing.iter().rfind(sure);
    let effect = if is_assigned(facts) || known.is_none() {
        Effect::Note
    } else {
        facts.effect(line.owed, &line.id, &std::collections::BTreeSet::new())
    };
    let subject = Subject::Line(line.id.clone(), line.label.clone());
    let evidence = |side: &&Side<Use>| -> Origin { side.origin.clone() };
    let shown = known.unwrap_or(newest);
    let mut finding = Finding::cited(
        Rule::OwedAfterUse,
        line.severity,
        effect,
        subject,
        &line.cited,
    )
    .evidence([evidence(shown).event])
    .needing(Action::Inspect(line.id.clone()), line.minutes);
    if let Some(water) = shown.value.water {
        finding = finding.measured(Measure::Word(water.id().to_owned()));
    }
    Some(finding)
}

/// When it was last done, at the earliest.
fn done_at(facts: &Facts<'_>, line: &AfterUse) -> Option<Moment> {
    let sides = facts.record.inspections.get(&line.id)?;
    trusted(sides)
        .filter(|side| side.value.passed)
        .map(|side| side.origin.interval.earliest(facts.now))
        .max()
}
