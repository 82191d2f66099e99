//! What a craft has of each line beyond what it needs itself for the asked mission.
//!
//! Whoever takes no more than that of every line at once leaves the craft as it was: what stands in
//! for another line stays, and so do one of what another item is worth nothing without, one of what
//! adds air, and whole sets of signals. What was counted too long ago is not known to be there.

use std::collections::BTreeMap;

use super::worth::Worth;
use super::{Store, Stores, is_stale, signals};
use crate::engine::facts::Facts;
use crate::ids::LineId;
use crate::standard::Item;

/// What is left over, by line; none where what is aboard is of no use to the craft for the mission,
/// so that nothing of it is kept for that.
pub(in crate::engine) fn left_over(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
) -> BTreeMap<LineId, Option<u32>> {
    let mut left: Vec<u32> = stores
        .lines
        .iter()
        .map(|store| kept(stores, store))
        .collect();
    signals::keep_sets(facts, stores, &mut left);
    let lines = stores.lines.iter().zip(left);
    lines
        .map(|(store, left)| {
            let stale = is_stale(facts, store.item, &store.aboard);
            let left = match (stale, is_of_no_use(store)) {
                (true, _) => Some(0),
                (false, true) => None,
                (false, false) => Some(left),
            };
            (store.item.id.clone(), left)
        })
        .collect()
}

fn kept(stores: &Stores<'_>, store: &Store<'_>) -> u32 {
    let beyond_one = have(store).saturating_sub(1);
    let needed = store.item.adds_air || stores.lines.iter().any(|it| needs(it, &store.item.id));
    if needed {
        store.left.min(beyond_one)
    } else {
        store.left
    }
}

/// What surely counts.
fn have(store: &Store<'_>) -> u32 {
    store.aboard.have.min(store.aboard.have_at_worst)
}

fn needs(store: &Store<'_>, id: &LineId) -> bool {
    let Item { needs, signal, .. } = store.item;
    let launcher = signal.as_ref().and_then(|signal| signal.launcher.as_ref());
    store.aboard.carried > 0 && needs.iter().chain(launcher).any(|needed| needed == id)
}

fn is_of_no_use(store: &Store<'_>) -> bool {
    store.worth.iter().any(|worth| match worth {
        Worth::DoesNotFit(_) | Worth::NotForMission => true,
        Worth::FitNotKnown | Worth::Without(..) => false,
    })
}
