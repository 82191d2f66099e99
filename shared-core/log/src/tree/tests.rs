//! Holds the tree against published hashes and proofs, and against the definition itself.
//!
//! Values: `tests/reference/signature-and-tree-vectors.json`. Leaves and roots are the reference
//! set of transparency-dev/merkle (testonly/constants.go); proofs were made again with hashlib by
//! the definitions of RFC 6962, 2.1 and RFC 9162, 2.1.

use proptest::prelude::*;
use serde_json::Value;

use super::*;

const VECTORS: &str = include_str!("../../../../tests/reference/signature-and-tree-vectors.json");

fn merkle() -> Value {
    let mut all: Value = serde_json::from_str(VECTORS).expect("vectors are JSON");
    all["merkle"].take()
}

fn list<'a>(value: &'a Value, field: &str) -> &'a Vec<Value> {
    value[field].as_array().expect(field)
}

fn number(value: &Value, field: &str) -> u64 {
    value[field].as_u64().expect(field)
}

fn hex(value: &Value) -> Vec<u8> {
    let text = value.as_str().expect("hexadecimal");
    data_encoding::HEXLOWER
        .decode(text.as_bytes())
        .expect("hexadecimal")
}

fn digest(value: &Value) -> Digest {
    Digest::parse("digest", &hex(value)).expect("32 bytes")
}

fn path(value: &Value) -> Vec<Digest> {
    list(value, "proof").iter().map(digest).collect()
}

fn tree_of(leaves: impl IntoIterator<Item = Digest>) -> Tree {
    let mut tree = Tree::default();
    for leaf in leaves {
        tree.append(leaf);
    }
    tree
}

fn reference_tree() -> Tree {
    tree_of(
        list(&merkle(), "leaves_hex")
            .iter()
            .map(|it| hash_leaf(&hex(it))),
    )
}

fn event_leaves(count: u64) -> Vec<Digest> {
    (0..count)
        .map(|i| hash_leaf(format!("event-{i}").as_bytes()))
        .collect()
}

fn check_inclusion(case: &Value) -> Result<(), ProofError> {
    verify_inclusion(
        digest(&case["leaf_hash"]),
        number(case, "leaf_index"),
        number(case, "tree_size"),
        digest(&case["root"]),
        &path(case),
    )
}

fn check_consistency(case: &Value) -> Result<(), ProofError> {
    verify_consistency(
        (number(case, "size1"), digest(&case["root1"])),
        (number(case, "size2"), digest(&case["root2"])),
        &path(case),
    )
}

#[test]
fn hashes_of_leaves_and_roots_are_the_published_ones() {
    let merkle = merkle();
    let tree = reference_tree();
    for (index, hash) in (0..).zip(list(&merkle, "leaf_hashes")) {
        assert_eq!(tree.leaf(index), Some(digest(hash)));
    }
    for (size, root) in (0..).zip(list(&merkle, "roots_by_size")) {
        assert_eq!(tree.root_at(size), Some(digest(root)), "size {size}");
    }
    assert_eq!(tree.root_at(tree.size() + 1), None);
    assert_eq!(tree.leaf(tree.size()), None);
}

#[test]
fn inclusion_proofs_are_the_published_ones() {
    let merkle = merkle();
    let tree = reference_tree();
    for case in list(&merkle, "inclusion") {
        let made = tree.inclusion(number(case, "leaf_index"), number(case, "tree_size"));
        assert_eq!(made, Some(path(case)), "{case}");
        assert_eq!(check_inclusion(case), Ok(()), "{case}");
    }
}

#[test]
fn consistency_proofs_are_the_published_ones() {
    let merkle = merkle();
    let tree = reference_tree();
    for case in list(&merkle, "consistency") {
        let made = tree.consistency(number(case, "size1"), number(case, "size2"));
        assert_eq!(made, Some(path(case)), "{case}");
        assert_eq!(check_consistency(case), Ok(()), "{case}");
    }
}

#[test]
fn proofs_of_seven_leaves_are_those_of_the_rfc() {
    // RFC 6962, 2.1.3 and RFC 9162, 2.1.5: the nodes go by letters there.
    let example = &merkle()["rfc6962_seven_leaf_example"];
    let tree = reference_tree();
    let nodes = |names: &Value| -> Vec<Digest> {
        let names = names.as_array().expect("names of nodes");
        names
            .iter()
            .map(|name| digest(&example["nodes"][name.as_str().expect("a letter")]))
            .collect()
    };
    let cases = |field: &str| example[field].as_object().expect("cases").clone();
    for (index, names) in cases("inclusion") {
        let index = index.parse().expect("an index");
        assert_eq!(tree.inclusion(index, 7), Some(nodes(&names)));
    }
    for (size, names) in cases("consistency") {
        let size = size.parse().expect("a size");
        assert_eq!(tree.consistency(size, 7), Some(nodes(&names)));
    }
}

#[test]
fn roots_of_larger_trees_agree_with_the_recursive_definition() {
    let merkle = merkle();
    let tree = tree_of(event_leaves(1000));
    for case in list(&merkle["larger_trees"], "cases") {
        let root = tree.root_at(number(case, "tree_size"));
        assert_eq!(root, Some(digest(&case["root"])), "{case}");
    }
}

#[test]
fn changed_proofs_are_refused() {
    let merkle = merkle();
    for case in list(&merkle["negative"], "cases") {
        let checked = match case["kind"].as_str() {
            Some("inclusion") => check_inclusion(case),
            Some("consistency") => check_consistency(case),
            other => panic!("unknown kind of case {other:?}"),
        };
        assert!(checked.is_err(), "{case}");
    }
}

#[test]
fn places_and_sizes_that_cannot_be_are_refused() {
    // RFC 9162, 2.1.4.1 wants 0 < m < n; as at transparency-dev, size 0 proves nothing.
    let tree = reference_tree();
    let root = tree.edge().root();
    let leaf = tree.leaf(7).expect("eight leaves");
    assert_eq!(tree.inclusion(8, 8), None);
    assert_eq!(tree.inclusion(0, 9), None);
    assert_eq!(tree.inclusion(0, 0), None);
    assert_eq!(tree.consistency(0, 8), None);
    assert_eq!(tree.consistency(8, 7), None);
    assert_eq!(tree.consistency(8, 9), None);
    let shape = Err(ProofError::Shape);
    assert_eq!(verify_inclusion(leaf, 8, 8, root, &[]), shape);
    assert_eq!(verify_inclusion(leaf, 0, 0, root, &[]), shape);
    assert_eq!(verify_inclusion(leaf, u64::MAX, u64::MAX, root, &[]), shape);
    let empty = Tree::default().edge().root();
    assert_eq!(verify_consistency((0, empty), (8, root), &[]), shape);
    assert_eq!(verify_consistency((0, empty), (0, empty), &[]), shape);
    assert_eq!(verify_consistency((8, root), (8, root), &[leaf]), shape);
    assert_eq!(
        verify_consistency((8, root), (8, leaf), &[]),
        Err(ProofError::Root)
    );
    // The greatest sizes: no shift past the width of a number.
    let greatest = (u64::MAX, root);
    assert!(verify_consistency((u64::MAX - 1, root), greatest, &[leaf; 64]).is_err());
    assert!(verify_consistency((1 << 63, root), greatest, &[leaf; 63]).is_err());
    assert!(verify_inclusion(leaf, u64::MAX - 1, u64::MAX, root, &[leaf; 64]).is_err());
}

#[test]
fn leaf_of_an_entry_is_id_and_time() {
    let id = EventId::from_bytes([7; 32]);
    let mut bytes = vec![7; 32];
    bytes.extend([0, 0, 1, 0x8f, 0x35, 0x2a, 0x1b, 0x0c]);
    assert_eq!(leaf_hash(&id, 0x018f_352a_1b0c), hash_leaf(&bytes));
    assert_ne!(leaf_hash(&id, -1), leaf_hash(&id, 1));
}

#[test]
fn proofs_of_a_large_tree_are_short_and_right() {
    const SIZE: u64 = 100_000;
    let tree = tree_of((0..SIZE).map(|i| hash_leaf(&i.to_be_bytes())));
    let root = tree.edge().root();
    for index in [0, 1, 65_535, 65_536, SIZE - 1] {
        let path = tree.inclusion(index, SIZE).expect("a leaf");
        assert!(path.len() <= 17, "17 levels hold 131,072 leaves");
        let leaf = tree.leaf(index).expect("a leaf");
        assert_eq!(verify_inclusion(leaf, index, SIZE, root, &path), Ok(()));
    }
    // Every node is kept once: fewer than two hashes a leaf.
    let kept: usize = tree.levels.iter().map(Vec::len).sum();
    assert!(kept < 200_000);
}

/// The definitions of RFC 9162, 2.1, as they are written there; every hash is kept once made.
struct Naive<'a> {
    leaves: &'a [Digest],
    made: std::collections::BTreeMap<(usize, usize), Digest>,
}

impl<'a> Naive<'a> {
    fn over(leaves: &'a [Digest]) -> Self {
        let made = std::collections::BTreeMap::new();
        Self { leaves, made }
    }

    /// MTH of RFC 9162, 2.1.1.
    fn root(&mut self, leaves: Range<usize>) -> Digest {
        let at = (leaves.start, leaves.end);
        if let Some(made) = self.made.get(&at) {
            return *made;
        }
        let root = match leaves.len() {
            0 => Digest::from_bytes(Sha256::digest([]).into()),
            1 => self.leaves[leaves.start],
            length => {
                let middle = leaves.start + length.next_power_of_two() / 2;
                let left = self.root(leaves.start..middle);
                hash_node(&left, &self.root(middle..leaves.end))
            }
        };
        self.made.insert(at, root);
        root
    }

    /// PATH of RFC 9162, 2.1.3.1.
    fn path(&mut self, index: usize, leaves: Range<usize>) -> Vec<Digest> {
        if leaves.len() == 1 {
            return Vec::new();
        }
        let middle = leaves.start + leaves.len().next_power_of_two() / 2;
        let (left, right) = (leaves.start..middle, middle..leaves.end);
        let (mut path, other) = if index < middle {
            (self.path(index, left), right)
        } else {
            (self.path(index, right), left)
        };
        path.push(self.root(other));
        path
    }

    /// SUBPROOF of RFC 9162, 2.1.4.1: of the first `old` leaves of all, in `leaves`.
    fn subproof(&mut self, old: usize, leaves: Range<usize>, whole: Whole) -> Vec<Digest> {
        if old == leaves.end {
            return match whole {
                Whole::Known => Vec::new(),
                Whole::Part => vec![self.root(leaves)],
            };
        }
        let middle = leaves.start + leaves.len().next_power_of_two() / 2;
        let (mut path, other) = if old <= middle {
            let path = self.subproof(old, leaves.start..middle, whole);
            (path, middle..leaves.end)
        } else {
            let path = self.subproof(old, middle..leaves.end, Whole::Part);
            (path, leaves.start..middle)
        };
        path.push(self.root(other));
        path
    }
}

/// The RFC's `b`: whether the verifier knows the root of what is left.
#[derive(Clone, Copy)]
enum Whole {
    Known,
    Part,
}

/// Holds every root and proof between two sizes against the definitions.
fn check_pair(tree: &Tree, naive: &mut Naive<'_>, old: usize, new: usize) {
    let [small, large] = [old, new].map(|size| u64::try_from(size).expect("small"));
    let roots = [naive.root(0..old), naive.root(0..new)];
    assert_eq!(tree.root_at(small), Some(roots[0]));
    assert_eq!(tree.root_at(large), Some(roots[1]));
    let [before, after] = [(small, roots[0]), (large, roots[1])];
    let consistency = tree.consistency(small, large);
    if old == 0 {
        assert_eq!(consistency, None, "nothing is proved from no leaf");
    } else {
        let path = naive.subproof(old, 0..new, Whole::Known);
        assert_eq!(consistency.as_ref(), Some(&path), "{old} to {new}");
        assert_eq!(verify_consistency(before, after, &path), Ok(()));
        if old < new {
            // Backwards, and of the same root at another size, it proves nothing.
            assert!(verify_consistency(after, before, &path).is_err());
            assert!(verify_consistency((small, roots[1]), after, &path).is_err());
        }
    }
    // Leaf `old` is the first that the smaller tree lacks.
    let inclusion = tree.inclusion(small, large);
    if old < new {
        let path = naive.path(old, 0..new);
        let leaf = naive.leaves[old];
        assert_eq!(inclusion.as_ref(), Some(&path), "{old} in {new}");
        assert_eq!(
            verify_inclusion(leaf, small, large, roots[1], &path),
            Ok(())
        );
        let elsewhere = if small == 0 { 1 } else { small - 1 };
        assert!(verify_inclusion(leaf, elsewhere, large, roots[1], &path).is_err());
    } else {
        assert_eq!(inclusion, None);
    }
}

#[test]
fn every_pair_of_sizes_up_to_300_agrees_with_the_definition() {
    let leaves = event_leaves(300);
    let tree = tree_of(leaves.iter().copied());
    let mut naive = Naive::over(&leaves);
    for new in 0..=leaves.len() {
        for old in 0..=new {
            check_pair(&tree, &mut naive, old, new);
        }
    }
}

/// Two sizes of which the first is at least 1 and the second at least the first.
fn sizes() -> impl Strategy<Value = (u64, u64)> {
    (1_u64..300).prop_flat_map(|new| (1..=new, Just(new)))
}

fn flipped(digest: Digest, bit: usize) -> Digest {
    let mut bytes = *digest.as_bytes();
    bytes[bit / 8] ^= 1 << (bit % 8);
    Digest::from_bytes(bytes)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn trees_of_any_size_agree_with_the_definition(size in 0_u64..300) {
        let leaves = event_leaves(size);
        let tree = tree_of(leaves.iter().copied());
        let mut edge = Edge::default();
        leaves.iter().for_each(|leaf| edge.append(*leaf));
        prop_assert_eq!(&edge, tree.edge());
        let whole = 0..leaves.len();
        prop_assert_eq!(edge.root(), Naive::over(&leaves).root(whole));
        prop_assert_eq!(tree.root_at(size), Some(edge.root()));
    }

    #[test]
    fn proofs_of_any_size_agree_and_verify((old, new) in sizes(), bit in 0_usize..256) {
        let leaves = event_leaves(320);
        let tree = tree_of(leaves.iter().copied());
        let (index, count) = (old - 1, usize::try_from(new).expect("small"));
        let at = usize::try_from(index).expect("small");
        let roots = |size| (size, tree.root_at(size).expect("the tree is larger"));
        let (old_root, new_root) = (roots(old), roots(new));
        let inclusion = tree.inclusion(index, new).expect("a leaf");
        prop_assert_eq!(&inclusion, &Naive::over(&leaves).path(at, 0..count));
        prop_assert_eq!(verify_inclusion(leaves[at], index, new, new_root.1, &inclusion), Ok(()));
        let consistency = tree.consistency(old, new).expect("sizes in order");
        prop_assert_eq!(verify_consistency(old_root, new_root, &consistency), Ok(()));
        for changed in 0..inclusion.len() {
            let mut path = inclusion.clone();
            path[changed] = flipped(path[changed], bit);
            prop_assert!(verify_inclusion(leaves[at], index, new, new_root.1, &path).is_err());
        }
        for changed in 0..consistency.len() {
            let mut path = consistency.clone();
            path[changed] = flipped(path[changed], bit);
            prop_assert!(verify_consistency(old_root, new_root, &path).is_err());
        }
        let other = flipped(old_root.1, bit);
        prop_assert!(verify_consistency((old, other), new_root, &consistency).is_err());
    }

    #[test]
    fn pairs_of_sizes_up_to_5000_agree_with_the_definition(
        pairs in prop::collection::vec((0_usize..=5_000, 0_usize..=5_000), 8),
    ) {
        let (leaves, tree) = large();
        let mut naive = Naive::over(leaves);
        for (one, other) in pairs {
            check_pair(tree, &mut naive, one.min(other), one.max(other));
        }
    }
}

/// 5,000 leaves and their tree, made once.
fn large() -> &'static (Vec<Digest>, Tree) {
    static LARGE: std::sync::OnceLock<(Vec<Digest>, Tree)> = std::sync::OnceLock::new();
    LARGE.get_or_init(|| {
        let leaves = event_leaves(5_000);
        let tree = tree_of(leaves.iter().copied());
        (leaves, tree)
    })
}
