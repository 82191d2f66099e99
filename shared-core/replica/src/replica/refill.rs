//! Filling a fresh store from what was read of a damaged one, and giving it a new key.

use sponson_log::event::SignedEvent;
use sponson_log::sign::DeviceKey;
use sponson_log::sync::station::{EntryEvent, KeepRun, RunEntry};
use sponson_log::tree::{Edge, leaf_hash};
use sponson_proto::store::v1::ChunkSource;

use super::carry_in::KEEP_EVENTS;
use super::{Replica, store_meta};
use crate::errors::StoreError;
use crate::salvage::{Refill, Salvaged};
use crate::store::write::Chunk;

impl Replica {
    /// Keeps again what was read of a damaged store, as far as it fits after all that is held: what
    /// the county proved with its place, the rest in an order that fits. Says how many events are
    /// new here. Called again once other events have come, it takes what fits then. What was
    /// found without a row comes without the texts beside it, so it is taken last.
    ///
    /// # Errors
    /// When the store fails.
    pub fn refill(
        &mut self,
        salvaged: &Salvaged,
        what: Refill,
        now_unix_ms: i64,
    ) -> Result<u64, StoreError> {
        let mut new = 0;
        if !self.is_county() && self.log_id().is_none() {
            new += self.refill_places(salvaged, now_unix_ms)?;
        }
        let mut left: Vec<SignedEvent> = salvaged
            .in_order(what)
            .filter(|event| !self.holds(&event.id()))
            .cloned()
            .collect();
        loop {
            let mut kept = 0;
            for events in left.chunks(KEEP_EVENTS) {
                // As own: among them are own ones that nobody else holds.
                let batch = self.keep(events.to_vec(), ChunkSource::Own, now_unix_ms)?;
                kept += batch.new.len() as u64;
            }
            if kept == 0 {
                return Ok(new);
            }
            new += kept;
            left.retain(|event| !self.holds(&event.id()));
        }
    }

    /// Keeps the county log as far as the checkpoint that was read proves it.
    fn refill_places(&mut self, salvaged: &Salvaged, now: i64) -> Result<u64, StoreError> {
        let Some(checkpoint) = salvaged.checkpoint.clone() else {
            return Ok(0);
        };
        let Some(mut entries) = proven(salvaged, &checkpoint) else {
            return Ok(0);
        };
        let mut new = 0;
        while !entries.is_empty() {
            let rest = entries.split_off(entries.len().min(KEEP_EVENTS));
            let run = KeepRun {
                log: checkpoint.log,
                first: self.index.places.size(),
                entries,
                checkpoint: rest.is_empty().then(|| checkpoint.clone()),
            };
            new += self.keep_run(&run, now)?.new.len() as u64;
            entries = rest;
        }
        Ok(new)
    }

    /// Events that were read and do not fit: what they refer to is lost.
    #[must_use]
    pub fn not_refilled(&self, salvaged: &Salvaged) -> u64 {
        let missing = salvaged
            .in_order(Refill::All)
            .filter(|event| !self.holds(&event.id()));
        missing.count() as u64
    }

    /// Writes on with another key from here. The old key's chain stays as it is.
    ///
    /// # Errors
    /// When the store fails.
    pub fn take_key(&mut self, key: DeviceKey) -> Result<(), StoreError> {
        let mut chunk = Chunk::default();
        chunk.meta(b"store", store_meta(self.county, key.key(), self.standing));
        self.store.write(chunk)?;
        self.key = key;
        Ok(())
    }
}

/// All entries up to a checkpoint, when every event was read and they lead to its root.
fn proven(
    salvaged: &Salvaged,
    checkpoint: &sponson_log::checkpoint::Checkpoint,
) -> Option<Vec<RunEntry>> {
    let size = usize::try_from(checkpoint.size).ok()?;
    let mut edge = Edge::default();
    let mut entries = Vec::new();
    for (number, received_unix_ms) in salvaged.places.get(..size)? {
        let event = salvaged.events.get(number)?;
        edge.append(leaf_hash(&event.id(), *received_unix_ms));
        entries.push(RunEntry {
            received_unix_ms: *received_unix_ms,
            event: EntryEvent::New(Box::new(event.clone())),
        });
    }
    (edge.root() == checkpoint.root).then_some(entries)
}
