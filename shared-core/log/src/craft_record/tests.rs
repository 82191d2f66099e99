//! Records: the file as signed and no other, entries under the county's statement and no others.

use sponson_proto::event::v1::{KeyAdmitted, KeyEnded, Kind, Role};

use super::*;
use crate::chains::tests::Writer;
use crate::event::SignedEvent;
use crate::ids::LogId;
use crate::tree::Tree;

#[test]
fn only_the_file_as_it_was_signed_is_read() {
    let device = Writer::root(1);
    let (file, signed) = write(
        b"{\"craft\":\"Marsh 21\"}".to_vec(),
        device.key(),
        |what, it| device.device.sign(what, it),
    );
    assert_eq!(open(&file), Ok(signed.clone()));
    for byte in 0..file.len() {
        for bit in 0..8 {
            let mut changed = file.clone();
            changed[byte] ^= 1 << bit;
            assert!(open(&changed).is_err(), "bit {bit} of byte {byte}");
        }
        assert!(open(&file[..byte]).is_err(), "cut at {byte}");
    }
}

/// Whoever changes the words and makes the file's sum anew has no signature over them.
#[test]
fn a_file_that_was_sealed_anew_is_refused_too() {
    let device = Writer::root(1);
    let (_, signed) = write(b"{\"number\":1}".to_vec(), device.key(), |what, it| {
        device.device.sign(what, it)
    });
    let sealed = |json: &[u8], by: Key, signature: &Bytes, algorithm: i32| {
        let message = wire::SignedRecord {
            json: Bytes::copy_from_slice(json),
            by: by.to_bytes(),
            algorithm,
            signature: signature.clone(),
        };
        open(&seal(SORT, &message.encode_to_vec()))
    };
    assert!(sealed(&signed.json, signed.by, &signed.signature, 1).is_ok());
    for at in 0..signed.json.len() {
        let mut json = signed.json.to_vec();
        json[at] ^= 1;
        let refused = sealed(&json, signed.by, &signed.signature, 1);
        assert!(
            matches!(refused, Err(RecordFileError::Signature(_))),
            "{at}"
        );
    }
    let other = Writer::root(2).key();
    assert!(sealed(&signed.json, other, &signed.signature, 1).is_err());
    assert!(sealed(&signed.json, signed.by, &signed.signature, 2).is_err());
    // A signature over an answer is none over a record.
    let answer = Bytes::copy_from_slice(&device.device.sign(Signed::Answer, &signed.json));
    assert!(sealed(&signed.json, signed.by, &answer, 1).is_err());
}

/// A county that stored some entries, the root key's and the working key's first.
struct County {
    root: Writer,
    working: Writer,
    stored: Vec<(SignedEvent, i64)>,
    tree: Tree,
}

impl County {
    fn founded() -> Self {
        let root = Writer::root(1);
        let working = Writer::new(2, root.county);
        let mut county = Self {
            root,
            working,
            stored: Vec::new(),
            tree: Tree::default(),
        };
        let admits = KeyAdmitted {
            key: county.working.key().to_bytes(),
            roles: vec![Role::County as i32],
            ..KeyAdmitted::default()
        };
        let event = county.root.write(Kind::KeyAdmitted, &admits);
        county.store(event);
        county
    }

    fn store(&mut self, event: SignedEvent) {
        let received = 1_000 * i64::try_from(self.stored.len()).expect("few");
        self.tree.append(leaf_hash(&event.id(), received));
        self.stored.push((event, received));
    }

    fn leaves(&self, indices: &[u64]) -> Leaves {
        let leaf = |index: &u64| {
            let (event, received) = &self.stored[usize::try_from(*index).expect("few")];
            (*index, (event.id(), *received))
        };
        indices.iter().map(leaf).collect()
    }

    fn proof(&self, indices: &[u64]) -> RecordProof {
        let tree = (self.tree.size(), self.tree.edge().root());
        let log = LogId::from_bytes([0xaa; 16]);
        let signed = Checkpoint::sign(&self.working.device, self.root.county, log, tree, 77_000);
        let path = self.tree.inclusion_of_several(indices, tree.0);
        RecordProof {
            checkpoint: Some(signed.to_wire().clone()),
            path: path.unwrap_or_default(),
            registry: vec![self.stored[0].0.to_wire()],
        }
    }

    fn check(&self, proof: RecordProof, leaves: &Leaves) -> Result<RecordProven, EventProofError> {
        prove(self.root.county, proof, leaves, self.working.key())
    }
}

#[test]
fn entries_are_proven_under_the_countys_statement_and_nothing_else_is() {
    let mut county = County::founded();
    for number in 0..6 {
        let event = county.working.write(Kind::Note, &event_wire::Note {});
        assert_eq!(u64::try_from(county.stored.len()), Ok(number + 1));
        county.store(event);
    }
    let indices = [1, 4, 6];
    let (proof, leaves) = (county.proof(&indices), county.leaves(&indices));
    let proven = county.check(proof.clone(), &leaves).expect("it holds");
    assert_eq!(proven.checkpoint.map(|it| it.size), Some(7));
    assert_eq!(proven.signed_by.roles, [(1, vec![Role::County])]);

    let wrong = |proof: RecordProof, leaves: &Leaves| county.check(proof, leaves).is_err();
    // An entry that was never stored, at another time, at another place; one too few, one too many.
    let mut other = leaves.clone();
    other.insert(4, (county.stored[3].0.id(), 3_000));
    assert!(wrong(proof.clone(), &other));
    other.insert(4, (county.stored[4].0.id(), 4_001));
    assert!(wrong(proof.clone(), &other));
    assert!(wrong(proof.clone(), &county.leaves(&[1, 5, 6])));
    assert!(wrong(proof.clone(), &county.leaves(&[1, 6])));
    assert!(wrong(proof.clone(), &county.leaves(&[1, 2, 4, 6])));
    // Without the statement, without the registry, signed by somebody whom the county did not let in.
    let mut less = proof.clone();
    less.checkpoint = None;
    assert!(wrong(less, &leaves));
    let mut less = proof.clone();
    less.registry.clear();
    assert!(wrong(less, &leaves));
    let stranger = Writer::new(9, county.root.county).key();
    let refused = prove(county.root.county, proof, &leaves, stranger);
    assert_eq!(refused, Err(EventProofError::Stranger(stranger)));
}

#[test]
fn a_record_of_nothing_stored_needs_no_statement_and_a_key_that_was_ended_signs_none() {
    let mut county = County::founded();
    let mut proof = county.proof(&[]);
    proof.checkpoint = None;
    assert!(county.check(proof, &Leaves::new()).is_ok());
    let ended = KeyEnded {
        key: county.working.key().to_bytes(),
        ..KeyEnded::default()
    };
    let event = county.root.write(Kind::KeyEnded, &ended);
    county.store(event.clone());
    let mut proof = county.proof(&[]);
    proof.registry.push(event.to_wire());
    proof.checkpoint = None;
    let key = county.working.key();
    let refused = county.check(proof, &Leaves::new());
    assert_eq!(refused, Err(EventProofError::Stranger(key)));
}
