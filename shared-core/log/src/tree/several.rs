//! One proof for several leaves of a tree: each hash beside the ways up from them, once.
//!
//! The hashes stand in the order in which the tree is walked from its left. A proof of every leaf
//! has no hash; one of a single leaf has those of its inclusion proof, in another order.

use std::ops::Range;

use super::{Tree, hash_node, split};
use crate::ids::Digest;
use crate::tree::ProofError;

impl Tree {
    /// Proof that the leaves at these indices, ascending, stand in the tree of `size` leaves.
    ///
    /// None when there are fewer leaves, no index, an index not below the size, or one that does
    /// not ascend.
    #[must_use]
    pub fn inclusion_of_several(&self, indices: &[u64], size: u64) -> Option<Vec<Digest>> {
        let size = self.checked(size)?;
        let ascending = indices.is_sorted_by(|one, next| one < next);
        let indices: Vec<usize> = indices
            .iter()
            .map(|index| usize::try_from(*index).ok().filter(|index| *index < size))
            .collect::<Option<_>>()?;
        if indices.is_empty() || !ascending {
            return None;
        }
        let mut path = Vec::new();
        self.walk(0..size, &indices, &mut path);
        Some(path)
    }

    fn walk(&self, range: Range<usize>, indices: &[usize], path: &mut Vec<Digest>) {
        if indices.is_empty() {
            path.push(self.root_over(range));
        } else if range.len() > 1 {
            let (left, right) = split(range);
            let (in_left, in_right) =
                indices.split_at(indices.partition_point(|at| *at < left.end));
            self.walk(left, in_left, path);
            self.walk(right, in_right, path);
        }
    }
}

/// Checks a proof of several leaves: index and hash of each, ascending.
///
/// # Errors
/// When it does not lead from all of the leaves to the root.
pub fn verify_several(
    leaves: &[(u64, Digest)],
    size: u64,
    root: Digest,
    path: &[Digest],
) -> Result<(), ProofError> {
    let size = usize::try_from(size).map_err(|_| ProofError::Shape)?;
    let below = |(index, _): &(u64, Digest)| usize::try_from(*index).is_ok_and(|it| it < size);
    let ascending = leaves.is_sorted_by(|one, next| one.0 < next.0);
    if leaves.is_empty() || !ascending || !leaves.iter().all(below) {
        return Err(ProofError::Shape);
    }
    let mut path = path.iter();
    let reached = climb(0..size, leaves, &mut path)?;
    if path.next().is_some() {
        return Err(ProofError::Shape);
    }
    if reached == root {
        Ok(())
    } else {
        Err(ProofError::Root)
    }
}

/// The root over a range, from the leaves in it and the hashes of the proof.
fn climb<'a>(
    range: Range<usize>,
    leaves: &[(u64, Digest)],
    path: &mut impl Iterator<Item = &'a Digest>,
) -> Result<Digest, ProofError> {
    match leaves {
        [] => path.next().copied().ok_or(ProofError::Shape),
        [(_, leaf)] if range.len() == 1 => Ok(*leaf),
        _ => {
            let (left, right) = split(range);
            let in_left =
                |leaf: &(u64, Digest)| usize::try_from(leaf.0).is_ok_and(|it| it < left.end);
            let (of_left, of_right) = leaves.split_at(leaves.partition_point(in_left));
            let left = climb(left, of_left, path)?;
            let right = climb(right, of_right, path)?;
            Ok(hash_node(&left, &right))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tree::{hash_leaf, verify_inclusion};

    fn tree(size: u64) -> Tree {
        let mut tree = Tree::default();
        for leaf in 0..size {
            tree.append(hash_leaf(&leaf.to_be_bytes()));
        }
        tree
    }

    fn leaves(indices: &[u64]) -> Vec<(u64, Digest)> {
        let leaf = |index: &u64| (*index, hash_leaf(&index.to_be_bytes()));
        indices.iter().map(leaf).collect()
    }

    /// Every set of leaves of every tree of up to nine leaves.
    #[test]
    fn every_set_of_leaves_is_proven_and_no_other() {
        for size in 1..=9_u64 {
            let tree = tree(size);
            let root = tree.root_at(size).expect("root");
            for set in 1..(1_u32 << size) {
                let indices: Vec<u64> = (0..size).filter(|at| set >> at & 1 == 1).collect();
                let path = tree.inclusion_of_several(&indices, size).expect("proof");
                let held = leaves(&indices);
                assert_eq!(verify_several(&held, size, root, &path), Ok(()));
                // A leaf that is another, a hash that is another, one more, one less.
                for at in 0..held.len() {
                    let mut other = held.clone();
                    other[at].1 = hash_leaf(b"another");
                    assert!(verify_several(&other, size, root, &path).is_err());
                }
                for at in 0..path.len() {
                    let mut other = path.clone();
                    other[at] = hash_leaf(b"another");
                    assert!(verify_several(&held, size, root, &other).is_err());
                    other.remove(at);
                    assert!(verify_several(&held, size, root, &other).is_err());
                }
                let longer = [path.as_slice(), &[root]].concat();
                assert!(verify_several(&held, size, root, &longer).is_err());
            }
        }
    }

    #[test]
    fn one_leaf_needs_the_hashes_of_its_own_proof() {
        let tree = tree(13);
        let root = tree.root_at(13).expect("root");
        for index in 0..13 {
            let mut several = tree.inclusion_of_several(&[index], 13).expect("proof");
            let mut single = tree.inclusion(index, 13).expect("proof");
            let leaf = hash_leaf(&index.to_be_bytes());
            assert_eq!(verify_inclusion(leaf, index, 13, root, &single), Ok(()));
            several.sort();
            single.sort();
            assert_eq!(several, single);
        }
    }

    #[test]
    fn what_cannot_be_asked_has_no_proof() {
        let tree = tree(5);
        for indices in [&[][..], &[5], &[1, 1], &[3, 2]] {
            assert_eq!(tree.inclusion_of_several(indices, 5), None, "{indices:?}");
            let held = leaves(indices);
            let root = tree.root_at(5).expect("root");
            assert_eq!(
                verify_several(&held, 5, root, &[root]),
                Err(ProofError::Shape)
            );
        }
        assert_eq!(tree.inclusion_of_several(&[0], 6), None);
    }
}
