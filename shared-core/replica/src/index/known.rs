//! What is known of every event without reading it, close together: a county keeps 100,000 a year, and
//! each start reads all of them.
//!
//! A row takes 80 bytes. Keys and starts of devices are many fewer than events, and are kept once.

use std::collections::BTreeMap;

use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, Key};
use sponson_log::registry::is_registry_kind;

use super::numbers::Numbers;
use crate::parse::{TimeParts, Times};

/// What is known of one event without reading it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Known {
    /// Its id.
    pub(crate) id: EventId,
    /// Its key.
    pub(crate) key: Key,
    /// Its place in its chain.
    pub(crate) seq: u64,
    /// Its kind.
    pub(crate) kind: i32,
    /// Its times.
    pub(crate) times: Times,
}

impl Known {
    /// Whether the registry reads it, and no record does.
    pub(crate) fn is_registry(&self) -> bool {
        is_registry_kind(self.kind)
    }
}

/// All events, by their number.
#[derive(Clone, Debug, Default)]
pub(super) struct KnownEvents {
    rows: Vec<Row>,
    numbers: Numbers,
    keys: Listed<Key>,
    starts: Listed<[u8; 16]>,
    /// When it was observed, of those that were entered later: few.
    observed: BTreeMap<u64, (i64, i64)>,
    /// Those that the registry reads.
    registry: Vec<u64>,
}

#[derive(Clone, Copy, Debug)]
struct Row {
    id: EventId,
    seq: u64,
    clock_ms: i64,
    count_ms: u64,
    checkpoint_ms: i64,
    has_checkpoint: bool,
    kind: i32,
    key: u32,
    start: u32,
}

/// Values that come again and again, each once.
#[derive(Clone, Debug)]
struct Listed<T> {
    values: Vec<T>,
    places: BTreeMap<T, u32>,
}

impl<T> Default for Listed<T> {
    fn default() -> Self {
        Self {
            values: Vec::new(),
            places: BTreeMap::new(),
        }
    }
}

impl<T: Copy + Ord> Listed<T> {
    /// Where a value stands. There are fewer than 2^32: each event brings one at most, and a store of
    /// as many would take a terabyte.
    fn place(&mut self, value: T) -> u32 {
        let next = u32::try_from(self.values.len()).unwrap_or(u32::MAX);
        *self.places.entry(value).or_insert_with(|| {
            self.values.push(value);
            next
        })
    }

    fn get(&self, place: u32) -> Option<T> {
        self.values.get(usize::try_from(place).ok()?).copied()
    }
}

impl KnownEvents {
    /// How many there are; the number of the next one.
    pub(super) fn size(&self) -> u64 {
        self.rows.len() as u64
    }

    /// Adds one as the next number.
    pub(super) fn push(&mut self, event: &SignedEvent) {
        let number = self.size();
        let header = event.header();
        let parts = Times::of(header).parts();
        let (boot_id, count_ms) = parts.start;
        let id = event.id();
        self.rows.push(Row {
            id,
            seq: header.seq,
            clock_ms: parts.clock,
            count_ms,
            checkpoint_ms: parts.checkpoint.unwrap_or_default(),
            has_checkpoint: parts.checkpoint.is_some(),
            kind: header.kind,
            key: self.keys.place(header.key),
            start: self.starts.place(boot_id),
        });
        if let Some(observed) = parts.observed {
            self.observed.insert(number, observed);
        }
        if is_registry_kind(header.kind) {
            self.registry.push(number);
        }
        self.numbers.add(&id, number);
    }

    /// What is known of the event of a number.
    pub(super) fn at(&self, number: u64) -> Option<Known> {
        let row = self.row(number)?;
        Some(Known {
            id: row.id,
            key: self.keys.get(row.key)?,
            seq: row.seq,
            kind: row.kind,
            times: Times::from_parts(TimeParts {
                checkpoint: row.has_checkpoint.then_some(row.checkpoint_ms),
                clock: row.clock_ms,
                observed: self.observed.get(&number).copied(),
                start: (self.starts.get(row.start)?, row.count_ms),
            }),
        })
    }

    /// The number of an event.
    pub(super) fn number(&self, id: &EventId) -> Option<u64> {
        let is = |number| self.row(number).is_some_and(|row| row.id == *id);
        self.numbers.of(id, is)
    }

    /// All ids, in the order of keeping.
    pub(super) fn ids(&self) -> impl Iterator<Item = EventId> + '_ {
        self.rows.iter().map(|row| row.id)
    }

    /// Numbers of those that the registry reads.
    pub(super) fn registry(&self) -> &[u64] {
        &self.registry
    }

    fn row(&self, number: u64) -> Option<&Row> {
        self.rows.get(usize::try_from(number).ok()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_takes_80_bytes() {
        assert_eq!(size_of::<Row>(), 80);
    }
}
