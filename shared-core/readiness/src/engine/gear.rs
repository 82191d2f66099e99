//! Gear that the standard wants fitted, and things that are said to be in two places.

use std::collections::BTreeSet;

use super::facts::{Facts, MOTOR, TRAILER, number};
use super::index::{Kept, Whereabouts};
use super::sides::{events, is_trusted};
use super::standing;
use crate::answer::{Action, Effect, Finding, Measure, Rule, Subject};
use crate::event::{GearKind, OutReason, Place, Severity};
use crate::ids::LineId;
use crate::record::Record;
use crate::standard::{Part, RuleEffect};

/// Gear missing, gear and bags in two places.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    for part in &facts.standard.parts {
        if let Some(rule) = &part.gear {
            missing(facts, part, rule.effect, found);
        }
    }
    let craft = facts.record.subject;
    let here = facts.index.gear_at(craft).iter();
    for kept in here.filter(|kept| kept.whereabouts.may_be_here()) {
        declared(kept, found);
    }
    let kept = facts.index.gear_at(craft).iter();
    for kept in kept.chain(facts.index.bags_at(craft)) {
        // Trusted sides that differ make it count in neither place, and what lacks because of
        // that is said by the line that lacks it. An untrusted side alone means go and look.
        match kept.whereabouts {
            Whereabouts::Here => {}
            Whereabouts::Disputed => in_two_places(facts, *kept, Effect::Note, found),
            Whereabouts::Doubted | Whereabouts::Elsewhere | Whereabouts::Unknown => {
                in_two_places(facts, *kept, Effect::Unproven, found);
            }
        }
    }
}

/// Whether nothing trusted says that it is condemned or out of service for a mechanical reason.
pub(super) fn is_usable(record: &Record) -> bool {
    let out = record.out.values().filter(|side| is_trusted(&side.origin));
    let mut reasons = out.map(|side| side.value);
    !record.condemned.iter().any(is_trusted)
        && !reasons.any(|reason| reason == OutReason::Mechanical)
}

/// What was declared of gear here is noted: a part that lacks it because of that says so itself.
fn declared(kept: &Kept<'_>, found: &mut Vec<Finding>) {
    let record = kept.record;
    let mut of_gear = Vec::new();
    standing::declared(record, &mut of_gear);
    for mut finding in of_gear {
        finding.effect = Effect::Note;
        finding.subject = Subject::Gear(record.subject, number(Some(record), record.subject));
        found.push(finding);
    }
}

/// Whether a fitted thing serves as a part. A motor or a trailer put to a craft without saying as
/// what serves as its motor or its trailer.
pub(super) fn serves(kept: &Kept<'_>, part: &Part) -> bool {
    match kept.part {
        Some(id) => *id == part.id,
        None => {
            let wanted = match part.id.as_str() {
                MOTOR => GearKind::Motor,
                TRAILER => GearKind::Trailer,
                _ => return false,
            };
            let mut sides = kept.record.gear.iter();
            sides.any(|side| side.value.kind == wanted)
        }
    }
}

fn missing(facts: &Facts<'_>, part: &Part, rule: RuleEffect, found: &mut Vec<Finding>) {
    if facts.fitted(part).is_some() {
        return;
    }
    let id = LineId::from(part.id.as_str());
    let effect = facts.effect(rule, &id, &BTreeSet::new());
    let finding = Finding::cited(
        Rule::GearMissing,
        Severity::Restrictive,
        effect,
        Subject::Part(part.id.clone(), part.label.clone()),
        &part.cited,
    )
    .measured(Measure::Count(0))
    .at_least(Measure::Count(1))
    .needing(Action::AskStation, None);
    found.push(finding);
}

fn in_two_places(facts: &Facts<'_>, kept: Kept<'_>, effect: Effect, found: &mut Vec<Finding>) {
    let record = kept.record;
    let places: BTreeSet<Place> = record.place.0.iter().map(|side| side.value.at).collect();
    let names = places.iter().map(|at| Measure::Word(facts.place_name(*at)));
    let finding = Finding::own(
        Rule::GearInTwoPlaces,
        Severity::Major,
        effect,
        Subject::Gear(record.subject, number(Some(record), record.subject)),
    )
    .measured(Measure::Sides(names.collect()))
    .evidence(events(&record.place))
    .needing(Action::SettlePlace(record.subject), None);
    found.push(finding);
}
