//! The county log's Merkle tree (RFC 6962, RFC 9162): hashes, roots, proofs.

use crate::ids::{Digest, EventId};

/// Leaf hash of an entry: SHA-256 of 0x00, the event id and the received time, 8 bytes big-endian.
#[must_use]
pub fn leaf_hash(_event: &EventId, _received_unix_ms: i64) -> Digest {
    todo!()
}

/// The right edge of a tree: enough to append leaves and to know the root; at most 64 hashes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Edge {
    size: u64,
    peaks: Vec<Digest>,
}

impl Edge {
    /// Leaves.
    #[must_use]
    pub const fn size(&self) -> u64 {
        self.size
    }

    /// Appends a leaf hash.
    pub fn append(&mut self, _leaf: Digest) {
        todo!()
    }

    /// Root; SHA-256 of nothing for the empty tree.
    #[must_use]
    pub fn root(&self) -> Digest {
        todo!()
    }
}

/// All leaf hashes: what proofs are made from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tree {
    leaves: Vec<Digest>,
    edge: Edge,
}

impl Tree {
    /// Appends a leaf hash.
    pub fn append(&mut self, _leaf: Digest) {
        todo!()
    }

    /// Leaves.
    #[must_use]
    pub const fn size(&self) -> u64 {
        self.edge.size
    }

    /// The right edge.
    #[must_use]
    pub const fn edge(&self) -> &Edge {
        &self.edge
    }

    /// Root of the first `size` leaves; none when there are fewer.
    #[must_use]
    pub fn root_at(&self, _size: u64) -> Option<Digest> {
        todo!()
    }

    /// Proof that leaf `index` stands in the tree of `size` leaves.
    #[must_use]
    pub fn inclusion(&self, _index: u64, _size: u64) -> Option<Vec<Digest>> {
        todo!()
    }

    /// Proof that the tree of `old` leaves begins the tree of `new` leaves.
    #[must_use]
    pub fn consistency(&self, _old: u64, _new: u64) -> Option<Vec<Digest>> {
        todo!()
    }
}

/// Why a proof was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ProofError {
    /// Sizes or index do not fit together.
    #[error("proof is for a place or size that cannot be")]
    Shape,
    /// The hashes lead to another root.
    #[error("proof leads to another root: the log was changed")]
    Root,
}

/// Checks an inclusion proof (RFC 9162, 2.1.3.2).
///
/// # Errors
/// When it does not lead from the leaf to the root.
pub fn verify_inclusion(
    _leaf: Digest,
    _index: u64,
    _size: u64,
    _root: Digest,
    _path: &[Digest],
) -> Result<(), ProofError> {
    todo!()
}

/// Checks a consistency proof (RFC 9162, 2.1.4.2).
///
/// # Errors
/// When it does not lead to both roots.
pub fn verify_consistency(
    _old: (u64, Digest),
    _new: (u64, Digest),
    _path: &[Digest],
) -> Result<(), ProofError> {
    todo!()
}
