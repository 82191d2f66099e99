//! Chains: what each key signed, in order, and where a chain parts in two.
//!
//! A chain that parts is kept with all its branches; which branch is good is for the registry and
//! [`crate::trust`] to say.

mod branches;
mod by_seq;
#[cfg(test)]
pub(crate) mod tests;

use std::collections::{BTreeMap, BTreeSet};

use branches::Branches;
use by_seq::BySeq;

use crate::event::SignedEvent;
use crate::ids::{CountyId, EventId, Key};

/// The chains of all keys, as far as held.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chains {
    by_key: BTreeMap<Key, Chain>,
}

/// What one key signed: usually one event at each seq, more after it parted.
#[derive(Clone, Debug, Default)]
pub struct Chain {
    at: BySeq,
    heads: BTreeMap<EventId, u64>,
    parted_at: Option<u64>,
    branches: Branches,
}

/// Equal when the same events are held: each names by its hash the one before. How the branches were
/// numbered depends on the order of arrival.
impl PartialEq for Chain {
    fn eq(&self, other: &Self) -> bool {
        self.at == other.at
    }
}

impl Eq for Chain {}

/// Why an event does not fit where it would stand.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    /// Another county's.
    #[error("event belongs to county {0}, not to this one")]
    OtherCounty(CountyId),
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

/// What adding an event did to its chain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grown {
    /// It was there already.
    Held,
    /// The chain is one event longer.
    Longer,
    /// Another event stands at the same seq: the chain parts there.
    Parted {
        /// The lowest seq at which two events stand.
        at: u64,
    },
}

impl Chains {
    /// Checks that an event of this county continues a chain that is held (or begins one). `held`
    /// says whether an event id is held at all.
    ///
    /// # Errors
    /// When it is another county's, refers to what is missing, or does not continue its chain.
    pub fn fits(
        &self,
        county: CountyId,
        event: &SignedEvent,
        held: impl Fn(&EventId) -> bool,
    ) -> Result<(), Unfit> {
        let header = event.header();
        if header.county != county {
            return Err(Unfit::OtherCounty(header.county));
        }
        let missing: BTreeSet<EventId> = references(event).filter(|id| !held(id)).collect();
        if !missing.is_empty() {
            return Err(Unfit::Missing(missing.into_iter().collect()));
        }
        let Some(previous) = header.previous else {
            return Ok(());
        };
        let stands = header.seq.checked_sub(1).is_some_and(|seq| {
            self.get(&header.key)
                .is_some_and(|chain| chain.contains(seq, &previous))
        });
        if stands {
            Ok(())
        } else {
            Err(Unfit::NotNext { seq: header.seq })
        }
    }

    /// Adds an event that fits.
    pub fn add(&mut self, event: &SignedEvent) -> Grown {
        let header = event.header();
        self.by_key.entry(header.key).or_default().add(
            header.seq,
            event.id(),
            header.previous.as_ref(),
        )
    }

    /// The chains of only those events for which `counts` says yes: as they would stand had no
    /// other been added. It must say yes for the event before each of them too.
    #[must_use]
    pub fn only(&self, counts: impl Fn(&EventId) -> bool) -> Self {
        let mut only = Self::default();
        for (key, chain) in &self.by_key {
            for (seq, id) in chain.events().filter(|(_, id)| counts(id)) {
                let before = seq.checked_sub(1).and_then(|seq| chain.before(id, seq));
                let kept = only.by_key.entry(*key).or_default();
                kept.add(seq, *id, before.as_ref());
            }
        }
        only
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

/// All events that an event refers to.
fn references(event: &SignedEvent) -> impl Iterator<Item = EventId> + '_ {
    event.header_references().chain(event.payload_references())
}

impl Chain {
    /// Newest events: one, or more after it parted; each with its seq.
    #[must_use]
    pub const fn heads(&self) -> &BTreeMap<EventId, u64> {
        &self.heads
    }

    /// Lowest seq at which two events stand; none for an ordinary chain.
    #[must_use]
    pub const fn parted_at(&self) -> Option<u64> {
        self.parted_at
    }

    /// Events at a seq, ascending by id.
    #[must_use]
    pub fn at(&self, seq: u64) -> Option<&[EventId]> {
        self.at.at(seq)
    }

    /// All events with their seqs, ascending.
    pub fn events(&self) -> impl Iterator<Item = (u64, &EventId)> {
        self.at.all()
    }

    /// Whether an event stands at a seq.
    #[must_use]
    pub fn contains(&self, seq: u64, id: &EventId) -> bool {
        self.at(seq)
            .is_some_and(|events| events.binary_search(id).is_ok())
    }

    /// Whether event `id` at `seq` is `head` (which stands at `head_seq`) or comes before it on the
    /// same branch. No for what is not held. One look-up for a chain that did not part, else a few
    /// for every time that the number of its partings doubles.
    #[must_use]
    pub fn on_branch(&self, seq: u64, id: &EventId, head_seq: u64, head: &EventId) -> bool {
        if seq > head_seq || !self.contains(seq, id) || !self.contains(head_seq, head) {
            return false;
        }
        if self.parted_at.is_none_or(|parted| seq < parted) {
            return true;
        }
        self.branches.leads_to(seq, id, head)
    }

    /// The event before `id`, which stands at `seq`.
    fn before(&self, id: &EventId, seq: u64) -> Option<EventId> {
        self.branches.before(id, self.at(seq)?)
    }

    fn add(&mut self, seq: u64, id: EventId, previous: Option<&EventId>) -> Grown {
        if self.contains(seq, &id) {
            return Grown::Held;
        }
        let before = seq.checked_sub(1);
        let previous = previous.filter(|id| before.is_some_and(|seq| self.contains(seq, id)));
        if let Some(previous) = previous {
            self.heads.remove(previous);
        }
        self.branches.add(seq, id, previous);
        self.heads.insert(id, seq);
        if self.at.add(seq, id) == 1 {
            return Grown::Longer;
        }
        let at = self.parted_at.map_or(seq, |parted| parted.min(seq));
        self.parted_at = Some(at);
        Grown::Parted { at }
    }
}
