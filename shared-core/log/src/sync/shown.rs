//! What a station shows of logs that the county signed: a checkpoint that the county does not hold,
//! and when events were stored that the county lost.
//!
//! Believes nothing but what a working key signed: a station that makes things up changes nothing
//! here.

use std::collections::{BTreeMap, BTreeSet};

use sponson_proto::sync::v1::PlacedBefore;

use crate::checkpoint::Checkpoint;
use crate::event::SignedEvent;
use crate::ids::{Digest, EventId, Key, LogId};
use crate::tree::{Tree, leaf_hash, verify_inclusion};

/// What the county knows of its own logs.
#[derive(Clone, Copy, Debug)]
pub struct OwnLogs<'a> {
    /// The log that it writes.
    pub log: LogId,
    /// Its tree.
    pub tree: &'a Tree,
    /// Logs that it left on the way to it, as the beginnings of its logs say.
    pub left: &'a BTreeSet<LogId>,
}

impl OwnLogs<'_> {
    /// Whether the county holds what a checkpoint says: else it was put back to an older state and
    /// must begin a new log. A checkpoint that no working key signed says nothing.
    #[must_use]
    pub fn hold(&self, checkpoint: &Checkpoint, is_working: impl Fn(&Key) -> bool) -> bool {
        if !is_working(&checkpoint.key) {
            return true;
        }
        if checkpoint.log == self.log {
            return self.tree.root_at(checkpoint.size) == Some(checkpoint.root);
        }
        self.left.contains(&checkpoint.log)
    }
}

/// Received times of a request's events that are proved against the checkpoint shown with them. A
/// proof that is not right proves nothing; its event is then stored as of now.
#[must_use]
pub fn proved_times(
    checkpoint: &Checkpoint,
    events: &[SignedEvent],
    placed: &[PlacedBefore],
) -> BTreeMap<EventId, i64> {
    let proved = placed.iter().filter_map(|placed| {
        let position = usize::try_from(placed.position).ok()?;
        let id = events.get(position)?.id();
        let proof = placed.proof.as_ref()?;
        let path = proof.path.iter();
        let path: Vec<Digest> = path
            .map(|hash| Digest::parse("inclusion path", hash).ok())
            .collect::<Option<_>>()?;
        let leaf = leaf_hash(&id, placed.received_unix_ms);
        let (size, root) = checkpoint.tree();
        (proof.size == size).then_some(())?;
        verify_inclusion(leaf, proof.index, size, root, &path).ok()?;
        Some((id, placed.received_unix_ms))
    });
    proved.collect()
}
