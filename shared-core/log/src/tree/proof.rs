//! Checks proofs of the county log's tree, from hashes alone: the tree itself is not needed.

use super::hash_node;
use crate::ids::Digest;

/// Why a proof was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ProofError {
    /// Sizes, index and number of hashes do not fit together.
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
    leaf: Digest,
    index: u64,
    size: u64,
    root: Digest,
    path: &[Digest],
) -> Result<(), ProofError> {
    if index >= size {
        return Err(ProofError::Shape);
    }
    let mut climb = Climb::new(index, size - 1);
    let mut reached = leaf;
    for sibling in path {
        reached = match climb.step()? {
            Sibling::Left => hash_node(sibling, &reached),
            Sibling::Right => hash_node(&reached, sibling),
        };
    }
    climb.at_top()?;
    same(reached, root)
}

/// Checks a consistency proof (RFC 9162, 2.1.4.2); `old` and `new` are size and root.
///
/// Two equal sizes need equal roots and no hashes. Nothing is consistent with size 0.
///
/// # Errors
/// When it does not lead to both roots.
pub fn verify_consistency(
    old: (u64, Digest),
    new: (u64, Digest),
    path: &[Digest],
) -> Result<(), ProofError> {
    let ((old_size, old_root), (new_size, new_root)) = (old, new);
    if old_size == 0 || old_size > new_size || (old_size == new_size) != path.is_empty() {
        return Err(ProofError::Shape);
    }
    if old_size == new_size {
        return same(old_root, new_root);
    }
    // A perfect old tree is a node of the new one, so that the proof leaves its root out.
    let (start, path) = if old_size.is_power_of_two() {
        (old_root, path)
    } else {
        let (first, rest) = path.split_first().ok_or(ProofError::Shape)?;
        (*first, rest)
    };
    let mut climb = Climb::new(old_size - 1, new_size - 1);
    climb.skip_right_turns();
    let (mut old_reached, mut new_reached) = (start, start);
    for sibling in path {
        match climb.step()? {
            Sibling::Left => {
                old_reached = hash_node(sibling, &old_reached);
                new_reached = hash_node(sibling, &new_reached);
            }
            Sibling::Right => new_reached = hash_node(&new_reached, sibling),
        }
    }
    climb.at_top()?;
    same(old_reached, old_root)?;
    same(new_reached, new_root)
}

fn same(reached: Digest, root: Digest) -> Result<(), ProofError> {
    if reached == root {
        Ok(())
    } else {
        Err(ProofError::Root)
    }
}

/// On which side of the node the next hash of a proof stands.
enum Sibling {
    Left,
    Right,
}

/// The way from a leaf up to the root: the RFC's `fn` and `sn`.
struct Climb {
    node: u64,
    last: u64,
}

impl Climb {
    const fn new(node: u64, last: u64) -> Self {
        Self { node, last }
    }

    /// Goes up while the node is a right child: there the old tree and the new one are the same.
    const fn skip_right_turns(&mut self) {
        let turns = self.node.trailing_ones();
        self.up(turns);
    }

    /// Goes up past one hash of the proof.
    fn step(&mut self) -> Result<Sibling, ProofError> {
        if self.last == 0 {
            return Err(ProofError::Shape);
        }
        if self.node & 1 == 0 && self.node != self.last {
            self.up(1);
            return Ok(Sibling::Right);
        }
        // A last node without a right sibling is carried up until it is one.
        if self.node & 1 == 0 {
            self.up(self.node.trailing_zeros());
        }
        self.up(1);
        Ok(Sibling::Left)
    }

    const fn at_top(&self) -> Result<(), ProofError> {
        if self.last == 0 {
            Ok(())
        } else {
            Err(ProofError::Shape)
        }
    }

    /// Goes up; past the top there is nothing left of either.
    const fn up(&mut self, levels: u32) {
        self.node = shifted(self.node, levels);
        self.last = shifted(self.last, levels);
    }
}

const fn shifted(value: u64, levels: u32) -> u64 {
    match value.checked_shr(levels) {
        Some(value) => value,
        None => 0,
    }
}
