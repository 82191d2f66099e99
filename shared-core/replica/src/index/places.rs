//! Places in the county log: which event stands where, when the county stored it, the tree over
//! them, and which events have no place yet.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::ids::EventId;
use sponson_log::tree::{Tree, leaf_hash};

/// Places in the county log, as far as held.
#[derive(Debug, Default)]
pub(crate) struct Places {
    in_order: Vec<(u64, i64)>,
    by_number: BTreeMap<u64, u64>,
    oldest: Option<i64>,
    newest: Option<i64>,
    /// The tree over them.
    pub(crate) tree: Tree,
    /// Numbers of events without a place, in the order of keeping.
    pub(crate) unproven: BTreeSet<u64>,
}

impl Places {
    /// Entries.
    pub(crate) const fn size(&self) -> u64 {
        self.tree.size()
    }

    /// Gives an event the next place.
    pub(crate) fn push(&mut self, number: u64, id: EventId, received: i64) {
        self.by_number.insert(number, self.size());
        self.in_order.push((number, received));
        self.oldest = Some(self.oldest.map_or(received, |oldest| oldest.min(received)));
        self.newest = self.newest.max(Some(received));
        self.tree.append(leaf_hash(&id, received));
        self.unproven.remove(&number);
    }

    /// Number and received time at an index.
    pub(crate) fn at(&self, index: u64) -> Option<(u64, i64)> {
        self.in_order.get(usize::try_from(index).ok()?).copied()
    }

    /// Index of an event.
    pub(crate) fn index(&self, number: u64) -> Option<u64> {
        self.by_number.get(&number).copied()
    }

    /// When the county stored an event.
    pub(crate) fn received(&self, number: u64) -> Option<i64> {
        self.at(self.index(number)?).map(|place| place.1)
    }

    /// The newest received time. What came back after it was lost keeps its time, so that the last
    /// entry need not have it.
    pub(crate) const fn last_received(&self) -> Option<i64> {
        self.newest
    }

    /// The oldest received time.
    pub(crate) const fn first_received(&self) -> Option<i64> {
        self.oldest
    }

    /// All places: number and received time of each.
    pub(crate) fn all(&self) -> &[(u64, i64)] {
        &self.in_order
    }

    /// Forgets all places: another log begins.
    pub(crate) fn clear(&mut self, events: u64) {
        *self = Self {
            unproven: (0..events).collect(),
            ..Self::default()
        };
    }
}
