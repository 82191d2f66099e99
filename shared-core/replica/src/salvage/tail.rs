//! Whether the device may go on writing with its key.
//!
//! A chain whose last events are lost must not be continued: the same place would be written
//! twice. So a doubt is enough, and the device takes a new key.

use sponson_log::ids::Key;

use super::{Refill, Salvaged};
use crate::Replica;

/// Where a fresh store was filled from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Filled {
    /// Also from the county, which said all that it holds.
    WithCounty,
    /// From the old store and files alone.
    Alone,
}

/// Whether the device's own chain is held again up to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OwnTail {
    /// It is.
    Whole,
    /// It may be not: the device needs a new key.
    InDoubt(TailDoubt),
}

/// Why the end of the own chain is in doubt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TailDoubt {
    /// The store does not say what it held.
    NotSaid,
    /// Entries that may be own ones, after the last own one that was read, could not be read.
    NotRead {
        /// How many.
        entries: u64,
    },
    /// The last own one was read, but what it stands on is lost.
    NotKeptAgain {
        /// Its place in the chain.
        seq: u64,
    },
    /// Somebody else held newer own ones than the old store gave.
    KnownElsewhere {
        /// Place of the last one that was read.
        read: u64,
        /// Place of the newest that is held now.
        known: u64,
    },
}

impl Salvaged {
    /// Judges the end of a key's own chain, once a fresh store was filled.
    #[must_use]
    pub fn own_tail(&self, key: &Key, fresh: &Replica, filled: Filled) -> OwnTail {
        self.doubt(key, fresh, filled)
            .map_or(OwnTail::Whole, OwnTail::InDoubt)
    }

    fn doubt(&self, key: &Key, fresh: &Replica, filled: Filled) -> Option<TailDoubt> {
        if self.whose.is_none() || self.kept.is_none() {
            return Some(TailDoubt::NotSaid);
        }
        let own = |number: &u64| {
            let event = self.events.get(number)?;
            (event.header().key == *key).then_some(*number)
        };
        let last_number = self.events.keys().rev().find_map(own);
        // What came from the county is there again, when the county was met.
        let may_be_own =
            |number: &u64| filled == Filled::Alone || !self.from_county.contains(number);
        let entries = self
            .missing_numbers()
            .filter(|number| last_number.is_none_or(|last| *number > last))
            .filter(may_be_own)
            .count() as u64;
        if entries > 0 {
            return Some(TailDoubt::NotRead { entries });
        }
        let mine = self
            .in_order(Refill::All)
            .filter(|event| event.header().key == *key);
        let last = mine.max_by_key(|event| event.header().seq);
        let read = last.map_or(0, |event| event.header().seq);
        if let Some(event) = last.filter(|event| !fresh.holds(&event.id())) {
            let seq = event.header().seq;
            return Some(TailDoubt::NotKeptAgain { seq });
        }
        let heads = fresh.chains().get(key).into_iter();
        let known = heads
            .flat_map(|chain| chain.heads().values())
            .copied()
            .max();
        let known = known.unwrap_or(0);
        (known > read).then_some(TailDoubt::KnownElsewhere { read, known })
    }
}
