//! What would have to be brought so that no line of kit stands against going for the asked mission,
//! and what may be brought for it.

use std::collections::{BTreeMap, BTreeSet};

use super::shared::chain;
use super::worth::{self, Worth};
use super::{Store, Stores, check};
use crate::answer::{Action, Effect, Finding, Rule};
use crate::engine::facts::Facts;
use crate::ids::LineId;
use crate::standard::Item;

/// What a craft lacks, by line of its sheet.
pub(in crate::engine) type Wanted = BTreeMap<LineId, u32>;

/// What must be brought; none when bringing kit alone does not do it: something was never counted or
/// too long ago, only unconfirmed counts show it, or nothing that could be brought would count.
///
/// Afterwards the facts suppose that it was brought.
pub(in crate::engine) fn wanted(facts: &mut Facts<'_>) -> Option<Wanted> {
    let mut wanted = Wanted::new();
    // Each line is asked for at most once for itself and once because another needs it.
    for _ in 0..=2 * facts.standard.items.len() {
        let stores = Stores::new(facts);
        let lacking = lacking(facts, &stores)?;
        if lacking.is_empty() {
            return Some(wanted);
        }
        for (line, units) in lacking {
            let by = fills(facts, &line).into_iter().next()?;
            let brought = facts.brought.entry(by).or_default();
            *brought = brought.saturating_add(units);
            let lacks = wanted.entry(line).or_default();
            *lacks = lacks.saturating_add(units);
        }
    }
    None
}

/// What lacks next: before the item itself what it is worth nothing without.
fn lacking(facts: &Facts<'_>, stores: &Stores<'_>) -> Option<Wanted> {
    let (mut found, mut overdue) = (Vec::new(), Vec::new());
    check(facts, stores, &mut found, &mut overdue);
    found.retain(|finding| finding.effect >= Effect::Unproven);
    let (mut first, mut then) = (Wanted::new(), Wanted::new());
    for finding in &found {
        let (line, units) = brings(finding)?;
        let store = stores.lines.iter().find(|store| store.item.id == *line)?;
        if finding.rule == Rule::KitShort {
            match without(store) {
                // Only unconfirmed counts say that it is short: go and look.
                _ if store.short == 0 => return None,
                Some((_, false)) => return None,
                Some((needed, true)) => most(&mut first, needed, 1),
                None => most(&mut then, line, units),
            }
        } else if finding.rule == Rule::KitWithout && store.aboard.counted {
            most(&mut first, line, units);
        } else if is_of_signals(finding) {
            most(&mut then, line, units);
        } else {
            return None;
        }
    }
    Some(if first.is_empty() { then } else { first })
}

fn is_of_signals(finding: &Finding) -> bool {
    matches!(
        finding.rule,
        Rule::SignalsShortByDay | Rule::SignalsShortByNight
    )
}

fn most(wanted: &mut Wanted, line: &LineId, units: u32) {
    let most = wanted.entry(line.clone()).or_default();
    *most = units.max(*most);
}

fn brings(finding: &Finding) -> Option<(&LineId, u32)> {
    finding.to_do.iter().find_map(|one| {
        let Action::Bring(line, units) = &one.action else {
            return None;
        };
        Some((line, *units))
    })
}

/// What an item that is aboard is worth nothing without, and whether that was ever counted.
fn without<'s>(store: &'s Store<'_>) -> Option<(&'s LineId, bool)> {
    let worth = store.worth.iter().filter(|_| store.aboard.carried > 0);
    worth.into_iter().find_map(|worth| match worth {
        Worth::Without(id, counted) => Some((id, *counted)),
        Worth::DoesNotFit(_) | Worth::FitNotKnown | Worth::NotForMission => None,
    })
}

/// Lines of which each unit brought makes one lacking unit of a line good, the line itself first.
///
/// Only what is known to fit. An alternative counts only where no other line draws on it and its own
/// need is met, so that however many come, and with whatever else, they stand in for this line.
pub(in crate::engine) fn fills(facts: &Facts<'_>, line: &LineId) -> Vec<LineId> {
    let items = &facts.standard.items;
    let Some(item) = items.iter().find(|item| item.id == *line) else {
        return Vec::new();
    };
    let stores = Stores::new(facts);
    let drawn = drawn_on(&stores, line);
    let stands_in = |other: &&Item| {
        let store = stores.lines.iter().find(|store| store.item.id == other.id);
        let own_need_met = store.is_some_and(|store| lacks(store) == 0);
        own_need_met && !drawn.contains(&other.id) && same_signal(item, other)
    };
    let others = chain(items, item);
    let others = others
        .into_iter()
        .filter_map(|id| items.iter().find(|other| other.id == *id))
        .filter(stands_in);
    let fits = |item: &&Item| worth::on_its_own(facts, item).is_empty();
    let all = std::iter::once(item).chain(others).filter(fits);
    all.map(|item| item.id.clone()).collect()
}

/// What a line lacks by itself, before others stand in.
fn lacks(store: &Store<'_>) -> u32 {
    let have = store.aboard.have.min(store.aboard.have_at_worst);
    store.need.unwrap_or(0).saturating_sub(have)
}

/// Lines that others than this one draw on.
fn drawn_on<'a>(stores: &Stores<'a>, line: &LineId) -> BTreeSet<&'a LineId> {
    let drawing = stores.lines.iter().filter(|store| lacks(store) > 0);
    let others = drawing.filter(|store| store.item.id != *line);
    let items = || stores.lines.iter().map(|store| store.item);
    let every: BTreeMap<&LineId, &'a Item> = items().map(|item| (&item.id, item)).collect();
    let mut drawn = BTreeSet::new();
    let mut next: Vec<&'a LineId> = others.flat_map(|it| &it.item.alternatives).collect();
    while let Some(id) = next.pop() {
        if drawn.insert(id) {
            next.extend(every.get(id).into_iter().flat_map(|it| &it.alternatives));
        }
    }
    drawn
}

/// Signals of another kind make up a set in another measure.
fn same_signal(one: &Item, other: &Item) -> bool {
    let measure = |item: &Item| item.signal.as_ref().map(|it| (it.by, it.units));
    measure(one) == measure(other)
}
