//! What is aboard and of no use: what does not fit this craft or its motor, what is not meant for
//! the mission, what is worth nothing without something else.
//!
//! What is not known stands in nobody's way: where the fabric or the motor is not recorded the item
//! counts, and the why says so.

use super::aboard::Aboard;
use crate::engine::facts::Facts;
use crate::engine::sides::trusted;
use crate::ids::LineId;
use crate::standard::Item;

/// Why units that are aboard are of no use, or may be of none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Worth {
    /// Made for another fabric, connector or motor than this one.
    DoesNotFit(String),
    /// What it must fit is not recorded.
    FitNotKnown,
    /// Not for the asked mission.
    NotForMission,
    /// One that it needs is not aboard; whether that one was ever counted.
    Without(LineId, bool),
}

/// Takes away what is of no use, and says why, in the order of the items.
pub(super) fn weigh(facts: &Facts<'_>, aboard: &mut [Aboard]) -> Vec<Vec<Worth>> {
    let items = &facts.standard.items;
    let mut worth: Vec<Vec<Worth>> = Vec::new();
    for (item, have) in items.iter().zip(aboard.iter_mut()) {
        let found = on_its_own(facts, item);
        if found.iter().any(|one| *one != Worth::FitNotKnown) {
            have.worth_nothing();
        }
        worth.push(found);
    }
    while without(items, aboard, &mut worth) {}
    worth
}

pub(super) fn on_its_own(facts: &Facts<'_>, item: &Item) -> Vec<Worth> {
    let mut found = Vec::new();
    if facts
        .mission()
        .is_some_and(|asked| item.not_for.contains(asked))
    {
        found.push(Worth::NotForMission);
    }
    let craft = trusted(&facts.record.craft).map(|side| side.value.fabric.as_str());
    found.extend(one_of(&item.fits.fabric, craft));
    let motor = || facts.motor().into_iter().flat_map(|it| trusted(&it.gear));
    let connectors = motor().map(|side| side.value.connector.as_str());
    found.extend(one_of(&item.fits.connector, connectors));
    let models = motor().map(|side| side.value.model.as_str());
    found.extend(one_of(&item.fits.motor, models));
    found
}

/// Each side of a registration must be among the words: the worse of them counts.
fn one_of<'a>(words: &[String], registered: impl Iterator<Item = &'a str>) -> Option<Worth> {
    if words.is_empty() {
        return None;
    }
    let said: Vec<&str> = registered.filter(|it| !it.trim().is_empty()).collect();
    let other = said
        .iter()
        .find(|it| !words.iter().any(|word| same(word, it)));
    match other {
        Some(other) => Some(Worth::DoesNotFit((*other).to_owned())),
        None => said.is_empty().then_some(Worth::FitNotKnown),
    }
}

/// People write fabrics, connectors and models with and without capitals.
pub(in crate::engine) fn same(one: &str, other: &str) -> bool {
    one.trim().eq_ignore_ascii_case(other.trim())
}

/// Whether anything more came to be worth nothing: each round takes at least one item away.
fn without(items: &[Item], aboard: &mut [Aboard], worth: &mut [Vec<Worth>]) -> bool {
    let mut changed = false;
    for at in 0..items.len() {
        let (Some(item), Some(known)) = (items.get(at), worth.get(at)) else {
            continue;
        };
        let missing: Vec<Worth> = needed(item)
            .filter_map(|id| lacking(items, aboard, id))
            .filter(|lack| !known.iter().any(|one| same_need(one, lack)))
            .collect();
        if missing.is_empty() {
            continue;
        }
        changed = true;
        let launcher = item.signal.as_ref().and_then(|it| it.launcher.as_ref());
        let worthless = missing.iter().any(|lack| match lack {
            Worth::Without(id, _) => item.without.is_none() || Some(id) == launcher,
            Worth::DoesNotFit(_) | Worth::FitNotKnown | Worth::NotForMission => false,
        });
        if let Some(have) = aboard.get_mut(at).filter(|_| worthless) {
            have.worth_nothing();
        }
        if let Some(known) = worth.get_mut(at) {
            known.extend(missing);
        }
    }
    changed
}

fn same_need(one: &Worth, other: &Worth) -> bool {
    match (one, other) {
        (Worth::Without(one, _), Worth::Without(other, _)) => one == other,
        (one, other) => one == other,
    }
}

/// What an item is worth nothing without: its needs, and what launches it.
fn needed(item: &Item) -> impl Iterator<Item = &LineId> {
    let launcher = item.signal.as_ref().and_then(|it| it.launcher.as_ref());
    item.needs.iter().chain(launcher)
}

fn lacking(items: &[Item], aboard: &[Aboard], id: &LineId) -> Option<Worth> {
    let mut lines = items.iter().zip(aboard);
    let (_, have) = lines.find(|(item, _)| item.id == *id)?;
    (have.have == 0).then(|| Worth::Without(id.clone(), have.counted))
}
