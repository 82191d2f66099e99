//! What an event had seen of its subject. Only this decides what replaces what; no clock does.

use std::collections::BTreeMap;

use super::Origin;
use crate::ids::{EventId, FaultId};

/// The events of the subject that one event had seen, directly or through others.
#[derive(Clone, Copy, Debug)]
pub enum Past<'a> {
    /// Everything that the record holds.
    All,
    /// Nothing: what an event that may only add is given.
    Nothing,
    /// Some of it.
    Some(Seen<'a>),
}

/// Part of a history, by place in its order.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a> {
    pub(super) places: &'a BTreeMap<EventId, usize>,
    /// Places of the corrections by which something that can be ended is what it is.
    pub(super) restated: &'a BTreeMap<FaultId, usize>,
    pub(super) ancestors: &'a Ancestors,
}

impl Past<'_> {
    /// Whether the event is in this past.
    #[must_use]
    pub fn saw(&self, event: &EventId) -> bool {
        match self {
            Self::All => true,
            Self::Nothing => false,
            Self::Some(seen) => seen
                .places
                .get(event)
                .is_some_and(|&place| seen.ancestors.contains(place)),
        }
    }

    /// Whether a fault, or the first thing that an event states, is in this past as it stands: with
    /// the correction that made it another.
    #[must_use]
    pub fn saw_as_it_stands(&self, fault: &FaultId) -> bool {
        let with_correction = match self {
            Self::All => true,
            Self::Nothing => false,
            Self::Some(seen) => seen
                .restated
                .get(fault)
                .is_none_or(|&place| seen.ancestors.contains(place)),
        };
        with_correction && self.saw(&fault.event)
    }
}

impl Origin {
    /// Whether this statement comes after the other one: what one event says twice stands twice.
    pub(super) fn follows(&self, other: &Self, past: &Past<'_>) -> bool {
        self.event != other.event && past.saw(&other.event)
    }
}

/// Bits of one word.
const WORD: usize = 64;

/// A set of places in an order.
///
/// Nearly every event has seen nearly all that comes before it, so the words that are full are
/// only counted: in a history of 100,000 events that one writer wrote, a set takes one word
/// instead of 12 KiB.
#[derive(Clone, Debug, Default)]
pub(super) struct Ancestors {
    full: usize,
    words: Vec<u64>,
}

impl Ancestors {
    /// What an event at a place has seen, whose parents stand at `parents`; `before` holds the
    /// sets of all places before it.
    pub(super) fn through(parents: &[usize], before: &[Self]) -> Self {
        let mut nearest_first = parents.to_vec();
        nearest_first.sort_unstable_by(|a, b| b.cmp(a));
        let mut set = Self::default();
        for parent in nearest_first {
            // The sets are closed: what holds the parent holds all that the parent had seen.
            if set.contains(parent) {
                continue;
            }
            if let Some(seen) = before.get(parent) {
                set.unite(seen);
                set.insert(parent);
            }
        }
        set.count_full();
        set
    }

    pub(super) fn contains(&self, place: usize) -> bool {
        match (place / WORD).checked_sub(self.full) {
            None => true,
            Some(at) => self
                .words
                .get(at)
                .is_some_and(|word| word >> (place % WORD) & 1 == 1),
        }
    }

    fn unite(&mut self, other: &Self) {
        if other.full > self.full {
            let covered = (other.full - self.full).min(self.words.len());
            self.words.drain(..covered);
            self.full = other.full;
        }
        let covered = (self.full - other.full).min(other.words.len());
        let rest = &other.words[covered..];
        if rest.len() > self.words.len() {
            self.words.resize(rest.len(), 0);
        }
        for (word, more) in self.words.iter_mut().zip(rest) {
            *word |= more;
        }
    }

    fn insert(&mut self, place: usize) {
        if let Some(at) = (place / WORD).checked_sub(self.full) {
            if at >= self.words.len() {
                self.words.resize(at + 1, 0);
            }
            self.words[at] |= 1 << (place % WORD);
        }
    }

    fn count_full(&mut self) {
        let full = self
            .words
            .iter()
            .take_while(|word| **word == u64::MAX)
            .count();
        self.words.drain(..full);
        self.full += full;
        self.words.shrink_to_fit();
    }
}

#[cfg(test)]
mod tests {
    use super::Ancestors;

    /// Sets of a history given by the parents of each place, checked against plain walking.
    fn check(parents: &[Vec<usize>]) {
        let mut sets: Vec<Ancestors> = Vec::new();
        let mut plain: Vec<std::collections::BTreeSet<usize>> = Vec::new();
        for of_place in parents {
            sets.push(Ancestors::through(of_place, &sets));
            let mut walked = std::collections::BTreeSet::new();
            for &parent in of_place {
                walked.extend(plain[parent].iter().copied());
                walked.insert(parent);
            }
            plain.push(walked);
        }
        for (at, walked) in plain.iter().enumerate() {
            for place in 0..parents.len() {
                assert_eq!(
                    sets[at].contains(place),
                    walked.contains(&place),
                    "{place} from {at}"
                );
            }
        }
    }

    #[test]
    fn a_chain_sees_all_before_it_in_one_word() {
        let chain: Vec<Vec<usize>> = (0_usize..300)
            .map(|at| at.checked_sub(1).into_iter().collect())
            .collect();
        check(&chain);
    }

    #[test]
    fn two_chains_that_meet_see_each_other_from_there_on() {
        let braid: Vec<Vec<usize>> = (0_usize..400)
            .map(|at| match at {
                0 | 1 => vec![],
                250 => vec![248, 249],
                251 => vec![250],
                _ => vec![at - 2],
            })
            .collect();
        check(&braid);
    }

    #[test]
    fn a_branch_that_left_early_meets_a_long_chain() {
        let late_branch: Vec<Vec<usize>> = (0_usize..400)
            .map(|at| match at {
                0 => vec![],
                300 => vec![0],
                301 => vec![299, 300],
                _ => vec![at - 1],
            })
            .collect();
        check(&late_branch);
    }
}
