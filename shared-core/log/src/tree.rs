//! The county log's Merkle tree (RFC 6962, RFC 9162): hashes, the right edge, the whole tree.
//!
//! Proofs are made here and checked in [`proof`]. What a leaf stands for, and whether a root was
//! signed, is decided elsewhere.

pub mod proof;
pub mod several;
#[cfg(test)]
mod tests;

use std::ops::Range;

use sha2::{Digest as _, Sha256};

use crate::ids::{Digest, EventId};
pub use proof::{ProofError, verify_consistency, verify_inclusion};
pub use several::verify_several;

/// Leaf hash of an entry: SHA-256 of 0x00, the event id and the received time, 8 bytes big-endian.
#[must_use]
pub fn leaf_hash(event: &EventId, received_unix_ms: i64) -> Digest {
    let mut leaf = [0; EventId::LEN + 8];
    leaf[..EventId::LEN].copy_from_slice(event.as_bytes());
    leaf[EventId::LEN..].copy_from_slice(&received_unix_ms.to_be_bytes());
    hash_leaf(&leaf)
}

/// Leaf hash of any bytes: SHA-256 of 0x00 and the bytes (RFC 9162, 2.1.1).
#[must_use]
pub fn hash_leaf(data: &[u8]) -> Digest {
    let hasher = Sha256::new().chain_update([0]).chain_update(data);
    Digest::from_bytes(hasher.finalize().into())
}

/// Hash of an inner node: SHA-256 of 0x01 and its two children (RFC 9162, 2.1.1).
fn hash_node(left: &Digest, right: &Digest) -> Digest {
    let hasher = Sha256::new()
        .chain_update([1])
        .chain_update(left.as_bytes())
        .chain_update(right.as_bytes());
    Digest::from_bytes(hasher.finalize().into())
}

/// Root over perfect subtrees, the greatest first; SHA-256 of nothing when there are none.
fn root_of_peaks(peaks: impl DoubleEndedIterator<Item = Digest>) -> Digest {
    peaks
        .rev()
        .reduce(|right, left| hash_node(&left, &right))
        .unwrap_or_else(|| Digest::from_bytes(Sha256::digest([]).into()))
}

/// The right edge of a tree: enough to append leaves and to know the root; at most 64 hashes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Edge {
    size: u64,
    /// Roots of the perfect subtrees, one for each bit of `size`, the greatest first.
    peaks: Vec<Digest>,
}

impl Edge {
    /// Leaves.
    #[must_use]
    pub const fn size(&self) -> u64 {
        self.size
    }

    /// Appends a leaf hash.
    pub fn append(&mut self, leaf: Digest) {
        self.append_and_show(leaf, |_, _| ());
    }

    /// Root; SHA-256 of nothing for the empty tree.
    #[must_use]
    pub fn root(&self) -> Digest {
        root_of_peaks(self.peaks.iter().copied())
    }

    /// Appends a leaf hash and shows every perfect subtree that it completes, the leaf first:
    /// its height and its root.
    fn append_and_show(&mut self, leaf: Digest, mut show: impl FnMut(usize, Digest)) {
        let mut node = leaf;
        show(0, node);
        let mut height = 0;
        for _ in 0..self.size.trailing_ones() {
            // There is a peak for each bit of the size.
            let Some(left) = self.peaks.pop() else { break };
            node = hash_node(&left, &node);
            height += 1;
            show(height, node);
        }
        self.peaks.push(node);
        self.size += 1;
    }
}

/// All leaf hashes and the perfect subtrees over them: what proofs are made from.
///
/// Holds two hashes a leaf, so that a proof reads stored hashes and computes at most one a level.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tree {
    /// By height: roots of the perfect subtrees of that height, from the left. Height 0: leaves.
    levels: Vec<Vec<Digest>>,
    edge: Edge,
}

impl Tree {
    /// Appends a leaf hash.
    pub fn append(&mut self, leaf: Digest) {
        let levels = &mut self.levels;
        self.edge.append_and_show(leaf, |height, root| {
            if height == levels.len() {
                levels.push(Vec::new());
            }
            levels[height].push(root);
        });
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

    /// Hash of one leaf; none when it is not there.
    #[must_use]
    pub fn leaf(&self, index: u64) -> Option<Digest> {
        let index = usize::try_from(index).ok()?;
        self.levels.first()?.get(index).copied()
    }

    /// Root of the first `size` leaves; none when there are fewer.
    #[must_use]
    pub fn root_at(&self, size: u64) -> Option<Digest> {
        Some(self.root_over(0..self.checked(size)?))
    }

    /// Proof that leaf `index` stands in the tree of `size` leaves (RFC 9162, 2.1.3.1).
    ///
    /// None when there are fewer leaves, or the index is not below the size.
    #[must_use]
    pub fn inclusion(&self, index: u64, size: u64) -> Option<Vec<Digest>> {
        let size = self.checked(size)?;
        let index = usize::try_from(index).ok().filter(|index| *index < size)?;
        let mut path = Vec::new();
        let mut range = 0..size;
        while range.len() > 1 {
            let (left, right) = split(range);
            if index < left.end {
                path.push(self.root_over(right));
                range = left;
            } else {
                path.push(self.root_over(left));
                range = right;
            }
        }
        path.reverse();
        Some(path)
    }

    /// Proof that the tree of `old` leaves begins the tree of `new` leaves (RFC 9162, 2.1.4.1).
    ///
    /// Empty when the sizes are equal. None from size 0, of which nothing can be proved, when
    /// `old` is greater than `new`, and when there are fewer leaves.
    #[must_use]
    pub fn consistency(&self, old: u64, new: u64) -> Option<Vec<Digest>> {
        let new = self.checked(new)?;
        let old = self.checked(old).filter(|old| (1..=new).contains(old))?;
        let mut path = Vec::new();
        let mut range = 0..new;
        while range.end != old {
            let (left, right) = split(range);
            if old <= left.end {
                path.push(self.root_over(right));
                range = left;
            } else {
                path.push(self.root_over(left));
                range = right;
            }
        }
        // The verifier knows the whole old root; any other rest it has to be told.
        if range.start != 0 {
            path.push(self.root_over(range));
        }
        path.reverse();
        Some(path)
    }

    /// A size that this tree reaches, for indexing.
    fn checked(&self, size: u64) -> Option<usize> {
        (size <= self.size()).then(|| usize::try_from(size).ok())?
    }

    /// Root over a range that is a subtree of the tree: it begins at a multiple of the power of
    /// two that its length needs.
    fn root_over(&self, range: Range<usize>) -> Digest {
        let mut start = range.start;
        let length = range.len();
        let heights = (0..self.levels.len()).rev();
        let mut peaks = Vec::new();
        for height in heights.filter(|height| length >> height & 1 == 1) {
            peaks.push(self.levels[height][start >> height]);
            start += 1 << height;
        }
        root_of_peaks(peaks.into_iter())
    }
}

/// Splits a range of two leaves or more as the tree does: the left half is the greatest power of
/// two below the length.
fn split(range: Range<usize>) -> (Range<usize>, Range<usize>) {
    let left = 1 << (range.len() - 1).ilog2();
    let middle = range.start + left;
    (range.start..middle, middle..range.end)
}
