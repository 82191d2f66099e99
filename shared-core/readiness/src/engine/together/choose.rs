//! The largest set of things that can be had at once, each of which takes from pools that others
//! take from as well.
//!
//! Every way is tried, the earlier things first, and only a larger set takes the place of one found
//! before: so of sets of one size the one with the earliest things stands. Things that share no
//! pool are tried apart. Knows nothing of craft.

use std::collections::{BTreeMap, BTreeSet};

/// What was chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Chosen {
    /// Places of the things, ascending.
    pub(super) picked: Vec<usize>,
    /// Whether every way was tried.
    pub(super) exact: bool,
}

/// Chooses. `room` says how much of each pool there is; a pool without a line there has no end. At
/// most `steps_max` choices are tried for each group of things that share pools.
pub(super) fn choose<P: Ord + Clone>(
    room: &BTreeMap<P, u32>,
    wants: &[BTreeMap<P, u32>],
    steps_max: u32,
) -> Chosen {
    let mut chosen = Chosen {
        picked: Vec::new(),
        exact: true,
    };
    for group in groups(room, wants) {
        let mut search = Search {
            wants,
            group: &group,
            room: room.clone(),
            taken: Vec::new(),
            best: Vec::new(),
            steps_left: steps_max,
        };
        search.from(0);
        chosen.exact &= search.steps_left > 0;
        chosen.picked.extend(search.best);
    }
    chosen.picked.sort_unstable();
    chosen
}

/// Things that share pools with an end, directly or by others between them.
fn groups<P: Ord>(room: &BTreeMap<P, u32>, wants: &[BTreeMap<P, u32>]) -> Vec<Vec<usize>> {
    let mut groups: Vec<(BTreeSet<&P>, Vec<usize>)> = Vec::new();
    for (index, needs) in wants.iter().enumerate() {
        let mut pools: BTreeSet<&P> = needs
            .keys()
            .filter(|pool| room.contains_key(*pool))
            .collect();
        let mut members = vec![index];
        let (joined, apart): (Vec<_>, Vec<_>) = groups
            .into_iter()
            .partition(|(other, _)| !other.is_disjoint(&pools));
        for (other, others) in joined {
            pools.extend(other);
            members.extend(others);
        }
        members.sort_unstable();
        groups = apart;
        groups.push((pools, members));
    }
    groups.into_iter().map(|(_, members)| members).collect()
}

struct Search<'a, P> {
    wants: &'a [BTreeMap<P, u32>],
    group: &'a [usize],
    /// What is left.
    room: BTreeMap<P, u32>,
    taken: Vec<usize>,
    best: Vec<usize>,
    steps_left: u32,
}

impl<P: Ord + Clone> Search<'_, P> {
    fn from(&mut self, at: usize) {
        if self.taken.len() > self.best.len() {
            self.best.clone_from(&self.taken);
        }
        if self.taken.len() + self.at_most(at) <= self.best.len() || self.steps_left == 0 {
            return;
        }
        self.steps_left -= 1;
        let Some(index) = self.group.get(at).copied() else {
            return;
        };
        if self.fits(index) {
            self.take(index);
            self.from(at + 1);
            self.give_back(index);
        }
        self.from(at + 1);
    }

    /// No more than so many of those from a place on can still be taken.
    fn at_most(&self, at: usize) -> usize {
        let rest = self.group.get(at..).unwrap_or_default();
        let open: Vec<usize> = rest.iter().copied().filter(|it| self.fits(*it)).collect();
        let by_pool = self.room.iter().filter_map(|(pool, left)| {
            let needs = open.iter().map(|it| self.need(*it, pool));
            let least = needs.min().filter(|least| *least > 0)?;
            usize::try_from(left / least).ok()
        });
        by_pool.min().unwrap_or(open.len()).min(open.len())
    }

    fn need(&self, index: usize, pool: &P) -> u32 {
        let needs = self.wants.get(index);
        needs
            .and_then(|needs| needs.get(pool))
            .copied()
            .unwrap_or(0)
    }

    fn fits(&self, index: usize) -> bool {
        let mut room = self.room.iter();
        room.all(|(pool, left)| self.need(index, pool) <= *left)
    }

    fn take(&mut self, index: usize) {
        self.taken.push(index);
        for (pool, need) in self.wants.get(index).into_iter().flatten() {
            if let Some(left) = self.room.get_mut(pool) {
                *left = left.saturating_sub(*need);
            }
        }
    }

    fn give_back(&mut self, index: usize) {
        self.taken.pop();
        for (pool, need) in self.wants.get(index).into_iter().flatten() {
            if let Some(left) = self.room.get_mut(pool) {
                *left = left.saturating_add(*need);
            }
        }
    }
}

#[cfg(test)]
mod tests;
