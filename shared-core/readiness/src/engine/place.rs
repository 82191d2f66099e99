//! Where the craft is, under which number, and whether it was registered twice.

use std::collections::BTreeSet;

use super::facts::Facts;
use super::sides::{events, trusted};
use crate::answer::{Action, Effect, Finding, Measure, Rule, Subject};
use crate::event::{Place, Severity};
use crate::ids::SubjectId;
use crate::record::Record;

/// Place in dispute, number twice, same as another.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    disputed(facts, found);
    number_twice(facts, found);
    same_as(facts, found);
}

/// Stations that the sides name, without repeats; where nobody says, that of the registration.
pub(super) fn stations(record: &Record) -> Vec<SubjectId> {
    let mut named: Vec<SubjectId> = Vec::new();
    let placed = record
        .place
        .0
        .iter()
        .filter_map(|side| match side.value.at {
            Place::Station(id) => Some(id),
            Place::Craft(_) | Place::Shelf(_) => None,
        });
    for id in placed {
        if !named.contains(&id) {
            named.push(id);
        }
    }
    if named.is_empty() {
        let registered = trusted(&record.craft).map(|side| side.value.station);
        named.extend(registered.take(1));
    }
    named
}

/// A craft that stations place differently is offered from neither without saying so: somebody
/// has to look where it is.
fn disputed(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let places: BTreeSet<Place> = facts
        .record
        .place
        .0
        .iter()
        .map(|side| side.value.at)
        .collect();
    if places.len() < 2 {
        return;
    }
    let names = places.iter().map(|at| Measure::Word(facts.place_name(*at)));
    let finding = Finding::own(
        Rule::PlaceDisputed,
        Severity::Restrictive,
        Effect::Unproven,
        Subject::Craft,
    )
    .measured(Measure::Sides(names.collect()))
    .evidence(events(&facts.record.place))
    .needing(Action::SettlePlace(facts.record.subject), None);
    found.push(finding);
}

/// Two craft with one number cannot be told apart from the air or on the radio; each is as ready
/// as before.
fn number_twice(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let twins = facts.index.same_as(facts.record.subject);
    let others = facts.index.others_with(facts.record);
    let live = others.iter().filter(|id| {
        let condemned = facts.county.records.get(*id);
        !twins.contains(*id) && condemned.is_none_or(|record| record.condemned.is_empty())
    });
    for other in live {
        let number = facts.number_of(*other);
        let finding = Finding::own(
            Rule::NumberTwice,
            Severity::Major,
            Effect::Note,
            Subject::Gear(*other, number),
        )
        .evidence(events(&facts.record.number))
        .needing(Action::AskLead, None);
        found.push(finding);
    }
}

/// Registered twice: judged as one craft, and told under its other number.
fn same_as(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let own = facts.number_of(facts.record.subject);
    for other in facts.index.same_as(facts.record.subject) {
        let numbers = facts.record.number.iter().map(|side| &side.value);
        let number = match facts.county.records.get(&other) {
            Some(_) => facts.number_of(other),
            None => numbers
                .filter(|it| **it != own)
                .min()
                .unwrap_or(&own)
                .clone(),
        };
        let finding = Finding::own(
            Rule::SameAs,
            Severity::Minor,
            Effect::Note,
            Subject::Gear(other, number),
        );
        found.push(finding);
    }
}
