//! What is signed: events, checkpoints, proofs of the tree.

use prost::Message as _;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::{SignedEvent, event_id};
use sponson_log::ids::Digest;
use sponson_log::tree::{Tree, hash_leaf, verify_consistency, verify_inclusion, verify_several};
use sponson_proto::county::v1::SignedCheckpoint;
use sponson_proto::event::v1::Event;

use crate::county;
use crate::said::refused;

/// Opens an event: as it came, and signed anew.
///
/// # Panics
/// When an opened event is sent on as other bytes, or its id is another.
pub fn event(data: &[u8]) {
    let read = Event::decode(data);
    // A body alone, as a device that was let in would sign it.
    let mut event = read.unwrap_or_else(|_| Event {
        body: data.to_vec().into(),
        ..Event::default()
    });
    if let Err(error) = SignedEvent::open(event.clone()) {
        refused(&error.to_string());
    }
    county::sign_again(&mut event);
    match SignedEvent::open(event.clone()) {
        Ok(opened) => {
            assert_eq!(opened.to_wire(), event, "an event is sent on as it came");
            assert_eq!(opened.id(), event_id(&event.body));
            let again = SignedEvent::reopen(opened.to_wire());
            assert_eq!(again.as_ref(), Ok(&opened));
            for (index, content) in opened.header().beside.iter().enumerate() {
                assert!(content.belongs_to.len() <= event.body.len(), "{index}");
            }
        }
        Err(error) => refused(&error.to_string()),
    }
}

/// Opens a checkpoint: as it came, and signed anew.
///
/// # Panics
/// When an opened checkpoint is sent on as other bytes.
pub fn checkpoint(data: &[u8]) {
    let read = SignedCheckpoint::decode(data);
    let mut signed = read.unwrap_or_else(|_| SignedCheckpoint {
        body: data.to_vec().into(),
        ..SignedCheckpoint::default()
    });
    if let Err(error) = Checkpoint::open(signed.clone()) {
        refused(&error.to_string());
    }
    county::sign_checkpoint(&mut signed);
    match Checkpoint::open(signed.clone()) {
        Ok(opened) => {
            assert_eq!(
                *opened.to_wire(),
                signed,
                "a checkpoint is sent on as it came"
            );
            let _ = county::county().holds_what_it_signed(&opened);
        }
        Err(error) => refused(&error.to_string()),
    }
}

/// Entries of the trees that are proved here.
const LEAVES_MAX: u64 = 70;

/// Proofs of a tree: five numbers, then hashes that replace those of the proofs.
///
/// # Panics
/// When a true proof is refused, or one with another path is accepted.
pub fn tree_proofs(data: &[u8]) {
    let Some((numbers, hashes)) = data.split_first_chunk::<8>() else {
        return;
    };
    let at = |place: usize| u64::from(numbers[place]);
    let size = 1 + at(0) % LEAVES_MAX;
    let mut tree = Tree::default();
    for leaf in 0..size {
        tree.append(hash_leaf(&leaf.to_be_bytes()));
    }
    let new = 1 + at(1) % size;
    let old = 1 + at(2) % new;
    let index = at(3) % new;
    let root = |size: u64| tree.root_at(size).expect("within the tree");
    let leaf = |index: u64| (index, tree.leaf(index).expect("within the tree"));

    let path = tree.inclusion(index, new).expect("within the tree");
    let check = |path: &[Digest]| verify_inclusion(leaf(index).1, index, new, root(new), path);
    held(&path, hashes, check);
    if at(4) > 0 {
        let other = index.wrapping_add(at(4)) % LEAVES_MAX;
        let moved = verify_inclusion(leaf(index).1, other, new, root(new), &path);
        assert!(
            other == index || moved.is_err(),
            "a leaf stands at two places"
        );
    }

    let path = tree.consistency(old, new).expect("within the tree");
    let (from, to) = ((old, root(old)), (new, root(new)));
    held(&path, hashes, |path| verify_consistency(from, to, path));

    let mut several = [at(5) % new, at(6) % new, at(7) % new];
    several.sort_unstable();
    let mut several = several.to_vec();
    several.dedup();
    let path = tree.inclusion_of_several(&several, new);
    let path = path.expect("within the tree");
    let leaves: Vec<(u64, Digest)> = several.iter().map(|index| leaf(*index)).collect();
    held(&path, hashes, |path| {
        verify_several(&leaves, new, root(new), path)
    });
}

/// A true path is accepted, and no other.
fn held<E: std::fmt::Display>(
    path: &[Digest],
    hashes: &[u8],
    check: impl Fn(&[Digest]) -> Result<(), E>,
) {
    assert!(check(path).is_ok(), "a true proof is refused");
    let mut other = path.to_vec();
    match hashes.split_first() {
        None => return,
        Some((0, _)) => other.truncate(path.len().saturating_sub(1)),
        Some((how, rest)) => {
            let mut bytes = [0; Digest::LEN];
            let length = rest.len().min(Digest::LEN);
            bytes[..length].copy_from_slice(&rest[..length]);
            let hash = Digest::from_bytes(bytes);
            match other.get_mut(usize::from(*how) % (path.len() + 1)) {
                Some(place) => *place = hash,
                None => other.push(hash),
            }
        }
    }
    match check(&other) {
        Ok(()) => assert!(other == path, "another path is accepted"),
        Err(error) => refused(&error.to_string()),
    }
}
