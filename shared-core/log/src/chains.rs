//! Chains: what each key signed, in order, and where a chain parts in two.

use std::collections::{BTreeMap, BTreeSet};

use crate::event::SignedEvent;
use crate::ids::{EventId, Key};

/// The chains of all keys, as far as held.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chains {
    by_key: BTreeMap<Key, Chain>,
}

/// What one key signed: usually one event at each seq, more after it parted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chain {
    at: BTreeMap<u64, BTreeSet<EventId>>,
    heads: BTreeMap<EventId, u64>,
}

/// Why an event does not fit where it would stand.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    /// Another county's.
    #[error("event belongs to county {0}, not to this one")]
    OtherCounty(crate::ids::CountyId),
    /// Events that it refers to are not held.
    #[error("{} events that it refers to are missing here: sync from somebody who holds them", .0.len())]
    Missing(Vec<EventId>),
    /// The event before it has another seq or another key.
    #[error("seq is {seq}, but the event before it does not stand at {} in the same chain", .seq - 1)]
    NotNext {
        /// Seq of the event.
        seq: u64,
    },
}

impl Chains {
    /// Checks that an event continues a chain that is held (or begins one). `held` says whether an
    /// event id is held at all.
    ///
    /// # Errors
    /// When it refers to what is missing, or does not continue its chain.
    pub fn fits(
        &self,
        _event: &SignedEvent,
        _held: impl Fn(&EventId) -> bool,
    ) -> Result<(), Unfit> {
        todo!()
    }

    /// Adds an event that fits.
    pub fn add(&mut self, _event: &SignedEvent) {
        todo!()
    }

    /// The chain of a key.
    #[must_use]
    pub fn get(&self, key: &Key) -> Option<&Chain> {
        self.by_key.get(key)
    }

    /// All chains.
    pub fn iter(&self) -> impl Iterator<Item = (&Key, &Chain)> {
        self.by_key.iter()
    }
}

impl Chain {
    /// Newest events: one, or more after it parted; each with its seq.
    #[must_use]
    pub const fn heads(&self) -> &BTreeMap<EventId, u64> {
        &self.heads
    }

    /// Lowest seq at which two events stand; none for an ordinary chain.
    #[must_use]
    pub fn parted_at(&self) -> Option<u64> {
        todo!()
    }

    /// Events at a seq.
    #[must_use]
    pub fn at(&self, seq: u64) -> Option<&BTreeSet<EventId>> {
        self.at.get(&seq)
    }
}
