//! Dates of kit aboard, and on the tags of sealed bags.

use std::collections::{BTreeMap, BTreeSet};

use super::{Looked, Span};
use crate::ahead::{By, CountedFrom, DueItem, On, Planned, Standing, What, WhyNoVisit};
use crate::answer::Basis;
use crate::dates::Day;
use crate::engine::facts::{Facts, number};
use crate::engine::kit::{self, DatedLot};
use crate::ids::{EventId, LineId, SubjectId};
use crate::standard::{Item, Material};

/// Every date of kit that some mission needs, and every tag.
pub(super) fn gather(looked: &Looked<'_>, facts: &Facts<'_>, due: &mut Vec<DueItem>) {
    let needed = needed(looked, facts);
    let mut lots: BTreeMap<(LineId, Option<SubjectId>, Day), DatedLot<'_>> = BTreeMap::new();
    for lot in kit::dated_lots(facts) {
        let known = lots.entry((lot.item.id.clone(), lot.bag, lot.out));
        let known = known.or_insert_with(|| lot.clone());
        known.count = known.count.max(lot.count);
    }
    for lot in lots.into_values() {
        let is_past = facts.day > lot.out;
        // What no mission needs is told while it is good: it may stand in for what one does. Once
        // it is past it counts nothing and nobody wants it replaced.
        let is_told = needed.contains(&lot.item.id) || !is_past && lends(facts, lot.item);
        if is_told && lot.out <= looked.span.until {
            let is_wanted = needed.contains(&lot.item.id);
            due.push(item(looked, facts, (&lot, is_wanted)));
        }
    }
    due.extend(tags(looked, facts));
}

/// Lines that the general question or any mission of the sheet needs.
fn needed(looked: &Looked<'_>, facts: &Facts<'_>) -> BTreeSet<LineId> {
    let missions = looked.missions_of(facts.standard).into_iter();
    let asked = missions.filter_map(|mission| looked.facts(mission));
    let lines = asked.flat_map(|facts| {
        let items = facts.standard.items.iter();
        let needed = items.filter(|item| kit::is_needed(&facts, item));
        needed.map(|item| item.id.clone()).collect::<Vec<LineId>>()
    });
    lines.collect()
}

/// Whether an item may stand in for another or make up signals.
fn lends(facts: &Facts<'_>, item: &Item) -> bool {
    let mut items = facts.standard.items.iter();
    item.signal.is_some() || items.any(|other| other.alternatives.contains(&item.id))
}

fn item(
    looked: &Looked<'_>,
    facts: &Facts<'_>,
    (lot, is_wanted): (&DatedLot<'_>, bool),
) -> DueItem {
    let span = looked.span;
    let on = match lot.bag {
        None => On::Craft(looked.record.subject),
        Some(bag) => On::Bag(bag, number(facts.county.records.get(&bag), bag)),
    };
    DueItem {
        what: What::KitDate {
            item: lot.item.id.clone(),
            count: lot.count,
            mark: lot.mark,
        },
        label: lot.item.label.clone(),
        uses: match is_wanted {
            false => Vec::new(),
            true => vec![Material {
                item: lot.item.id.clone(),
                label: lot.item.label.clone(),
                count: lot.count,
            }],
        },
        minutes: lot.item.count_minutes,
        basis: lot.item.cited.basis,
        source: lot.item.cited.source.clone(),
        ..marked(looked, on, (span, lot.out), lot.event)
    }
}

/// An item by a date that is printed on it: good through that day.
fn marked(looked: &Looked<'_>, on: On, (span, out): (Span, Day), event: EventId) -> DueItem {
    DueItem {
        what: What::SealTag,
        craft: Some(looked.record.subject),
        on,
        number: looked.number.clone(),
        station: looked.station,
        label: String::new(),
        due: out.max(span.today),
        between: None,
        by: if span.today > out {
            By::Now
        } else {
            By::Calendar
        },
        standing: past(span.today, out),
        grace_days: 0,
        counted_from: CountedFrom::Marked,
        round: 1,
        engine: None,
        used_hard: false,
        minutes: None,
        uses: Vec::new(),
        basis: Basis::Trade,
        source: "common practice, no source".to_owned(),
        evidence: vec![event],
        planned: Planned::Not(WhyNoVisit::StationNotKnown),
    }
}

/// How a thing that is good through a day stands.
pub(super) fn past(today: Day, last: Day) -> Standing {
    match today > last {
        true => Standing::Overdue {
            since: Some(last),
            days: Some(today.signed_duration_since(last).num_days()),
            engine_s: None,
        },
        false => Standing::InTime,
    }
}

/// Tags of sealed bags that are here, the earliest of each.
fn tags(looked: &Looked<'_>, facts: &Facts<'_>) -> Vec<DueItem> {
    let marks = facts.county.policy.marks;
    let bags = kit::bags_here(facts).into_iter();
    let dated = bags.filter_map(|bag| {
        let record = facts.county.records.get(&bag)?;
        let (out, event) = kit::earliest_tag(record, marks)?;
        (out <= looked.span.until).then(|| {
            let name = number(Some(record), bag);
            DueItem {
                label: name.clone(),
                minutes: Some(kit::count_minutes(facts, record)),
                ..marked(looked, On::Bag(bag, name), (looked.span, out), event)
            }
        })
    });
    dated.collect()
}
