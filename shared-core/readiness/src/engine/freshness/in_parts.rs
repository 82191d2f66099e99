//! A check that was done in parts, by several people or on several devices: once every line of it
//! has been looked at, it counts like a check of the moment of the oldest of those looks.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::super::facts::Facts;
use super::super::kit;
use super::super::sides::trusted;
use crate::dates;
use crate::event::{AnswerValue, NotApplicable};
use crate::ids::{EventId, LineId};
use crate::moment::Moment;
use crate::record::Sides;

/// Entries that together make a whole check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::engine) struct InParts {
    /// Since when every line has been looked at, at the earliest.
    pub(in crate::engine) at: Moment,
    /// The entries.
    pub(in crate::engine) entries: BTreeSet<EventId>,
}

/// The newest look at a line, at the earliest; none when nobody trusted looked.
type Look = Option<(Moment, EventId)>;

/// A line that a check asks, from a day on or from the first.
type Line = (Option<NaiveDate>, Look);

/// The full check by its parts, where that is newer than a moment.
pub(super) fn full(facts: &Facts<'_>, after: Option<Moment>) -> Option<InParts> {
    // Most craft were last looked at by one check: then no gauge was read since.
    let old = |(_, look): Line| look.is_none_or(|(at, _)| Some(at) <= after);
    if readings(facts).any(old) {
        return None;
    }
    let counted = kit::looked_at(facts);
    let items = facts.standard.items.iter();
    let items = items.filter(|item| !kit::is_shorter(facts, item));
    let items = items.map(|item| (item.asked_from, counted.get(&item.id).copied()));
    let questions = facts.standard.questions.iter();
    let questions = questions.map(|line| (line.asked_from, answered(facts, &line.id)));
    let lines = readings(facts).chain(questions).chain(items);
    together(facts, lines.collect(), after)
}

/// The short check by its parts, where that is newer than a moment.
pub(super) fn short(facts: &Facts<'_>, after: Option<Moment>) -> Option<InParts> {
    let between = facts.standard.between_runs();
    let counted = kit::looked_at(facts);
    let parts = between.parts.iter();
    let parts = parts.map(|part| {
        let readings = facts.record.readings.get(part);
        (
            None,
            readings.and_then(|of_part| newest(&of_part.standing, facts)),
        )
    });
    let asked = |id: &LineId| between.lines.contains(id);
    let items = facts.standard.items.iter();
    let items = items.filter(|item| asked(&item.id) && !kit::is_shorter(facts, item));
    let items = items.map(|item| (item.asked_from, counted.get(&item.id).copied()));
    let questions = facts.standard.questions.iter();
    let questions = questions.filter(|line| asked(&line.id));
    let questions = questions.map(|line| (line.asked_from, answered(facts, &line.id)));
    let fuel = facts.standard.fuel.iter().map(|_| (None, fuelled(facts)));
    let lines = parts.chain(questions).chain(items).chain(fuel);
    together(facts, lines.collect(), after)
}

fn readings(facts: &Facts<'_>) -> impl Iterator<Item = Line> {
    let parts = facts.standard.parts.iter();
    let parts = parts.filter(|part| part.pressure.is_some());
    parts.map(|part| {
        let readings = facts.record.readings.get(&part.id);
        (
            None,
            readings.and_then(|of_part| newest(&of_part.standing, facts)),
        )
    })
}

fn newest<T>(sides: &Sides<T>, facts: &Facts<'_>) -> Look {
    let looks = trusted(sides);
    let looks = looks.map(|side| (side.origin.interval.earliest(facts.now), side.origin.event));
    looks.max()
}

/// Whoever could not look at a line has not looked at it.
fn answered(facts: &Facts<'_>, line: &LineId) -> Look {
    let looked = |value| value != AnswerValue::NotApplicable(NotApplicable::CouldNotLook);
    let sides = facts.record.answers.get(line).into_iter();
    let looks = sides.flat_map(trusted).filter(|side| looked(side.value));
    let looks = looks.map(|side| (side.origin.interval.earliest(facts.now), side.origin.event));
    looks.max()
}

fn fuelled(facts: &Facts<'_>) -> Look {
    let sides = facts.record.fuel.values();
    sides.filter_map(|sides| newest(sides, facts)).max()
}

/// Every line that was asked at the moment of the oldest look: one asked from a later day on waits
/// for the next check, as after a full one.
fn together(facts: &Facts<'_>, lines: Vec<Line>, after: Option<Moment>) -> Option<InParts> {
    let (later, first): (Vec<Line>, Vec<Line>) =
        lines.into_iter().partition(|(from, _)| from.is_some());
    let mut looks: Vec<(Moment, EventId)> = Vec::new();
    for (_, look) in first {
        looks.push(look.filter(|(at, _)| Some(*at) > after)?);
    }
    let mut at = looks.iter().map(|(at, _)| *at).min()?;
    let offset_min = facts.county.policy.utc_offset_min;
    for (from, look) in later {
        if from.is_some_and(|from| from <= dates::day(at, offset_min)) {
            let look = look.filter(|(at, _)| Some(*at) > after)?;
            at = at.min(look.0);
            looks.push(look);
        }
    }
    Some(InParts {
        at,
        entries: looks.into_iter().map(|(_, event)| event).collect(),
    })
}
