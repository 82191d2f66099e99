//! Bags under a seal: what was counted in one stands for as long as its seal is looked at and is the
//! one that was noted; one that was opened, or whose tag's date has passed, owes a full count.
//!
//! A passed date of a tag does not say which item it belongs to, so it makes none short: it ends
//! what the seal vouches for. Common practice, no source.

use std::collections::BTreeSet;

use super::Stores;
use super::aboard::bag_is;
use crate::answer::{Action, Effect, Finding, Measure, Rule, Subject};
use crate::dates;
use crate::engine::facts::{Facts, number};
use crate::engine::index::Whereabouts;
use crate::engine::sides::{counts_against, trusted};
use crate::event::Severity;
use crate::ids::{EventId, LineId, SubjectId};
use crate::moment::Moment;
use crate::record::{Origin, Record, Sealed, Side};
use crate::standard::MarkPolicy;

/// When a count in a bag was last looked at, at the earliest, with the entry: at the newest trusted
/// look at the seal that vouches for it, else when it was made.
pub(super) fn looked_at(
    facts: &Facts<'_>,
    bag: Option<SubjectId>,
    count: &Origin,
) -> (Moment, EventId) {
    let at = |origin: &Origin| (origin.interval.earliest(facts.now), origin.event);
    let record = bag.and_then(|bag| facts.county.records.get(&bag));
    let looks = record
        .into_iter()
        .flat_map(|bag| trusted(&bag.seals.looked));
    let looks = looks.filter(|look| look.value.vouches.contains(&count.event));
    looks.map(|look| at(&look.origin)).fold(at(count), Ord::max)
}

/// Every bag that may be here and owes a full count.
pub(super) fn check(facts: &Facts<'_>, stores: &Stores<'_>, found: &mut Vec<Finding>) {
    for bag in bags_here(facts) {
        if let Some(record) = facts.county.records.get(&bag) {
            found.extend(owed(facts, stores, record));
        }
    }
}

/// Bags that may be here.
pub(in crate::engine) fn bags_here(facts: &Facts<'_>) -> BTreeSet<SubjectId> {
    let kept = facts.index.bags_at(facts.record.subject).iter();
    let kept = kept.map(|kept| kept.record.subject);
    let counted = facts.record.counts.keys().filter_map(|(_, bag)| *bag);
    let known = |bag: &SubjectId| facts.county.records.contains_key(bag);
    let bags = kept.chain(counted).filter(known);
    bags.filter(|bag| match bag_is(facts, *bag) {
        Whereabouts::Here | Whereabouts::Doubted | Whereabouts::Disputed => true,
        Whereabouts::Elsewhere | Whereabouts::Unknown => false,
    })
    .collect()
}

/// The earliest date of a bag's tags, by what counts against the craft, with its entry.
pub(in crate::engine) fn earliest_tag(
    bag: &Record,
    marks: MarkPolicy,
) -> Option<(chrono::NaiveDate, EventId)> {
    let dated = tags(bag, marks);
    let dated = dated.filter(|(_, origin)| counts_against(origin));
    let dated = dated.map(|(last, origin)| (last, origin.event));
    dated.min()
}

fn owed(facts: &Facts<'_>, stores: &Stores<'_>, bag: &Record) -> Option<Finding> {
    let opened = opened(bag);
    let surely = |side: &&&Side<Sealed>| counts_against(&side.origin);
    let sure = opened.iter().find(surely);
    let passed = tags_passed(facts, bag);
    let passed_surely = passed.iter().find(|(_, origin)| counts_against(origin));
    if let Some(side) = sure {
        return Some(not_as_noted(facts, stores, bag, side));
    }
    if let Some(tag) = passed_surely {
        return Some(tag_passed(facts, stores, bag, tag));
    }
    match opened.first() {
        Some(side) => Some(not_as_noted(facts, stores, bag, side)),
        None => passed
            .first()
            .map(|tag| tag_passed(facts, stores, bag, tag)),
    }
}

/// Looks that found another seal than any that stands noted, or none.
fn opened(bag: &Record) -> Vec<&Side<Sealed>> {
    let noted = &bag.seals.noted;
    let is_noted = |side: &Side<Sealed>| {
        let number = &side.value.number;
        number.is_some() && noted.iter().any(|noted| noted.value.number == *number)
    };
    let opened = bag.seals.opened.iter();
    opened.filter(|side| !is_noted(side)).collect()
}

fn not_as_noted(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    bag: &Record,
    side: &Side<Sealed>,
) -> Finding {
    let noted = bag.seals.noted.iter();
    let wanted = noted.clone().find_map(|side| side.value.number.clone());
    let finding = finding(facts, stores, bag)
        .evidence([side.origin.event])
        .evidence(noted.map(|side| side.origin.event))
        .weighed_by(&side.origin);
    let Some(number) = &side.value.number else {
        return finding;
    };
    let finding = finding.measured(Measure::Word(number.clone()));
    match wanted {
        Some(wanted) => finding.at_least(Measure::Word(wanted)),
        None => finding,
    }
}

/// Dates of tags that have passed, the earliest first, with where each comes from.
fn tags_passed<'a>(facts: &Facts<'_>, bag: &'a Record) -> Vec<(chrono::NaiveDate, &'a Origin)> {
    let dated = tags(bag, facts.county.policy.marks);
    let mut passed: Vec<_> = dated.filter(|(last, _)| facts.day > *last).collect();
    passed.sort_by_key(|(last, origin)| (*last, origin.event));
    passed
}

/// The last day of every tag that stands noted or was looked at.
fn tags(bag: &Record, marks: MarkPolicy) -> impl Iterator<Item = (chrono::NaiveDate, &Origin)> {
    let noted = bag.seals.noted.iter();
    let noted = noted.map(|side| (side.value.earliest, &side.origin));
    let looked = bag.seals.looked.iter();
    let looked = looked.map(|side| (side.value.seal.earliest, &side.origin));
    let dated = noted.chain(looked);
    dated.filter_map(move |(mark, origin)| Some((dates::last_day(mark?, marks)?, origin)))
}

fn tag_passed(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    bag: &Record,
    (last, origin): &(chrono::NaiveDate, &Origin),
) -> Finding {
    finding(facts, stores, bag)
        .measured(Measure::Date(*last))
        .evidence([origin.event])
        .weighed_by(origin)
}

/// What the sheet says where the mission needs anything that was counted in the bag, else a note.
fn finding(facts: &Facts<'_>, stores: &Stores<'_>, bag: &Record) -> Finding {
    let lines: BTreeSet<&LineId> = bag.counts.keys().map(|(line, _)| line).collect();
    let rule = &facts.standard.check;
    let effect = match stores.needs_any(&lines) {
        true => facts.effect(
            rule.count_owed,
            &LineId::from("bag-count"),
            &BTreeSet::new(),
        ),
        false => Effect::Note,
    };
    let subject = Subject::Gear(bag.subject, number(Some(bag), bag.subject));
    Finding::own(Rule::CountOwed, Severity::Major, effect, subject).needing(
        Action::CountBag(bag.subject),
        Some(count_minutes(facts, bag)),
    )
}

/// Minutes to count all in a bag.
pub(in crate::engine) fn count_minutes(facts: &Facts<'_>, bag: &Record) -> u32 {
    let lines: BTreeSet<&LineId> = bag.counts.keys().map(|(line, _)| line).collect();
    let items = facts.standard.items.iter();
    let items = items.filter(|item| lines.contains(&item.id));
    let minutes = items.map(|item| item.count_minutes.unwrap_or(1));
    minutes.fold(0, u32::saturating_add)
}
