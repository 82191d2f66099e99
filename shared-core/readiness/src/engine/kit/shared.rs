//! Items that stand in for others, each unit for one unit and only once.

use std::collections::BTreeMap;

use crate::ids::LineId;
use crate::standard::Item;

/// What is aboard of one line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lendable {
    /// What counts for the line itself.
    pub(super) have: u32,
    /// Whether it was counted recently enough to stand in for other lines.
    pub(super) lends: bool,
}

/// What comes of sharing, in the order of the items.
pub(super) struct Sharing {
    /// What each line lacks, after the surplus of its alternatives has stood in.
    pub(super) short: Vec<u32>,
    /// What each line has left, after its own need and what it lends: whoever takes no more than
    /// that of every line leaves nothing shorter than it was.
    pub(super) left: Vec<u32>,
}

/// Shares what is aboard among the lines.
///
/// A line keeps what it needs itself; only what it has beyond that stands in for others, first
/// come first served in the order of the sheet. What stands in for a line may itself be stood in
/// for: nearer alternatives go first.
pub(super) fn share(items: &[Item], needs: &[Option<u32>], aboard: &[Lendable]) -> Sharing {
    let lines = || items.iter().zip(needs).zip(aboard);
    let mut surplus: BTreeMap<&LineId, u32> = lines()
        .filter(|(_, aboard)| aboard.lends)
        .map(|((item, need), aboard)| (&item.id, aboard.have.saturating_sub(need.unwrap_or(0))))
        .collect();
    let short = lines()
        .map(|((item, need), aboard)| {
            let mut short = need.unwrap_or(0).saturating_sub(aboard.have);
            for other in chain(items, item) {
                if let Some(left) = surplus.get_mut(other) {
                    let taken = short.min(*left);
                    *left -= taken;
                    short -= taken;
                }
            }
            short
        })
        .collect();
    let left = items.iter().map(|item| surplus.get(&item.id).copied());
    Sharing {
        short,
        left: left.map(Option::unwrap_or_default).collect(),
    }
}

/// The alternatives of a line, their alternatives, and so on: each once, the nearer first.
pub(super) fn chain<'a>(items: &'a [Item], of: &'a Item) -> Vec<&'a LineId> {
    let mut chain: Vec<&LineId> = Vec::new();
    let mut next: Vec<&LineId> = of.alternatives.iter().collect();
    while !next.is_empty() {
        next.retain(|id| **id != of.id && !chain.contains(id));
        chain.extend(&next);
        let further = items.iter().filter(|item| next.contains(&&item.id));
        next = further.flat_map(|item| &item.alternatives).collect();
    }
    chain
}
