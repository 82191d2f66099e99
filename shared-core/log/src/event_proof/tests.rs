//! Proof files: what they prove, what they refuse, and that no change makes them prove more.

use sponson_proto::event::v1::{KeyAdmitted, KeyEndReason, KeyEnded, RoleGiven, StationRegistered};

use super::*;
use crate::chains::tests::Writer;
use crate::event::{Beside, Draft, Subject, commitment};
use crate::ids::LogId;
use crate::tree::Tree;

/// A county that stores what it is given, and a device of its one station.
struct County {
    root: Writer,
    working: Writer,
    device: Writer,
    stored: Vec<(SignedEvent, i64)>,
    tree: Tree,
}

const STATION: SubjectId = SubjectId::from_bytes([0x11; 16]);

fn admitted(key: &Key, role: Role) -> KeyAdmitted {
    KeyAdmitted {
        key: key.to_bytes(),
        station: if role == Role::County {
            bytes::Bytes::new()
        } else {
            STATION.to_bytes()
        },
        roles: vec![role as i32],
        device: "bay tablet".to_owned(),
        epoch: 1,
        ..KeyAdmitted::default()
    }
}

fn ended(key: &Key, last_good: Option<&SignedEvent>) -> KeyEnded {
    KeyEnded {
        key: key.to_bytes(),
        last_good: last_good.map_or_else(bytes::Bytes::new, |event| event.id().to_bytes()),
        last_good_seq: last_good.map_or(0, |event| event.header().seq),
        reason: KeyEndReason::Lost as i32,
    }
}

impl County {
    fn founded() -> Self {
        let root = Writer::root(1);
        let mut county = Self {
            working: Writer::new(2, root.county),
            device: Writer::new(3, root.county),
            root,
            stored: Vec::new(),
            tree: Tree::default(),
        };
        let working = admitted(&county.working.key(), Role::County);
        let event = county.root.write(Kind::KeyAdmitted, &working);
        county.store(event);
        let station = StationRegistered {
            name: "North Ford".to_owned(),
            ..StationRegistered::default()
        };
        let subject = Subject {
            id: STATION,
            kind: event_wire::SubjectType::Station,
            seen: Vec::new(),
        };
        let event = county.working.write_about(
            Kind::StationRegistered as i32,
            vec![subject],
            station.encode_to_vec(),
        );
        county.store(event);
        let device = admitted(&county.device.key(), Role::Crew);
        county.writes(Kind::KeyAdmitted, &device);
        county
    }

    fn writes(&mut self, kind: Kind, payload: &impl prost::Message) -> SignedEvent {
        let event = self.working.write(kind, payload);
        self.store(event)
    }

    fn store(&mut self, event: SignedEvent) -> SignedEvent {
        let received = 1_000 * i64::try_from(self.stored.len()).expect("few");
        self.tree.append(leaf_hash(&event.id(), received));
        self.stored.push((event.clone(), received));
        event
    }

    fn checkpoint(&self) -> Checkpoint {
        let tree = (self.tree.size(), self.tree.edge().root());
        let (key, log) = (&self.working.device, LogId::from_bytes([0xaa; 16]));
        Checkpoint::sign(key, self.root.county, log, tree, 77_000)
    }

    /// The parts of a proof of a stored event.
    fn proof(&self, event: &SignedEvent) -> wire::EventProof {
        let checkpoint = self.checkpoint();
        let index = self.stored.iter().position(|(it, _)| it == event);
        let index = index.expect("it is stored");
        let received_unix_ms = self.stored[index].1;
        let index = u64::try_from(index).expect("few");
        let path = self.tree.inclusion(index, checkpoint.size).expect("a leaf");
        let keys = [event.header().key, self.working.key()];
        let registry = self.stored.iter().map(|(it, _)| it);
        let ours = |it: &&SignedEvent| it.header().key == event.header().key && *it != event;
        let chain = registry.clone().filter(ours);
        wire::EventProof {
            event: Some(event.to_wire()),
            received_unix_ms,
            inclusion: Some(inclusion(index, checkpoint.size, &path)),
            checkpoint: Some(checkpoint.to_wire().clone()),
            registry: registry
                .filter(|it| needs(it, &self.root.key(), &keys, Some(STATION)))
                .map(SignedEvent::to_wire)
                .collect(),
            chain: chain.map(SignedEvent::to_wire).collect(),
            ..wire::EventProof::default()
        }
    }

    /// The file, for which the working key vouches.
    fn file(&self, proof: &wire::EventProof) -> Vec<u8> {
        let device = &self.working.device;
        write(proof.clone(), device.key(), |what, body| {
            device.sign(what, body)
        })
    }

    fn check(&self, proof: &wire::EventProof) -> Result<Proven, EventProofError> {
        check(&self.file(proof), Some(self.root.county))
    }
}

/// A note with a text beside it.
fn note(writer: &mut Writer) -> SignedEvent {
    let plain = writer.note(4);
    let (salt, text) = ([9; 16], b"tube 2 patched at the ramp");
    let mut header = plain.header().clone();
    header.beside.push(Beside {
        belongs_to: String::new(),
        commitment: commitment(&salt, text),
        size: u32::try_from(text.len()).expect("short"),
        kind: event_wire::BesideType::Text,
    });
    let draft = Draft {
        header,
        payload: plain.payload().clone(),
        beside: vec![event_wire::BesideContent {
            index: 0,
            salt: bytes::Bytes::copy_from_slice(&salt),
            content: bytes::Bytes::from_static(text),
        }],
    };
    let event = SignedEvent::sign(draft, &writer.device).expect("within the limits");
    writer.head = Some((event.header().seq, event.id()));
    event
}

#[test]
fn what_the_county_stored_is_proved_without_it() {
    let mut county = County::founded();
    let event = note(&mut county.device);
    let event = county.store(event);
    let proof = county.proof(&event);
    let proven = county.check(&proof).expect("it holds");
    assert_eq!(proven.event, event);
    assert_eq!(proven.event.beside().len(), 1);
    assert_eq!((proven.index, proven.received_unix_ms), (3, 3_000));
    assert_eq!(proven.checkpoint.size, 4);
    assert_eq!(proven.roles, [Role::Crew]);
    assert_eq!(proven.trust, Trust::Trusted);
    assert_eq!(proven.station, Some((STATION, "North Ford".to_owned())));
    assert_eq!(check(&county.file(&proof), None), Ok(proven));
    let wanted = CountyId::from_bytes([7; 16]);
    let found = county.root.county;
    let other = EventProofError::OtherCounty { found, wanted };
    assert_eq!(check(&county.file(&proof), Some(wanted)), Err(other));
    // Without what stands beside it, it is the same event.
    let mut without = proof;
    if let Some(event) = &mut without.event {
        event.beside.clear();
    }
    let proven = county.check(&without).expect("it holds");
    assert_eq!(proven.event.id(), event.id());
    assert!(proven.event.beside().is_empty());
}

#[test]
fn what_the_registry_said_since_is_said_with_it() {
    use crate::trust::Unconfirmed;
    let mut county = County::founded();
    let first = note(&mut county.device);
    let first = county.store(first);
    let second = note(&mut county.device);
    let second = county.store(second);
    let trust = |county: &County, event: &SignedEvent| {
        let proven = county.check(&county.proof(event)).expect("it holds");
        (proven.trust, proven.roles)
    };
    let lead = RoleGiven {
        key: county.device.key().to_bytes(),
        roles: vec![Role::Reader as i32],
        from_seq: 2,
        after: first.id().to_bytes(),
    };
    county.writes(Kind::RoleGiven, &lead);
    assert_eq!(trust(&county, &first), (Trust::Trusted, vec![Role::Crew]));
    let no_role = Trust::Unconfirmed(Unconfirmed::NoRole);
    assert_eq!(trust(&county, &second), (no_role, vec![Role::Reader]));
    let end = ended(&county.device.key(), Some(&first));
    county.writes(Kind::KeyEnded, &end);
    assert_eq!(trust(&county, &first).0, Trust::Trusted);
    let after = Trust::Unconfirmed(Unconfirmed::AfterEnd);
    assert_eq!(trust(&county, &second).0, after);
    // A stranger's event is proved to be stored, and nothing more.
    let mut stranger = Writer::new(9, county.root.county);
    let event = note(&mut stranger);
    let event = county.store(event);
    let strange = Trust::Unconfirmed(Unconfirmed::NotAdmitted);
    assert_eq!(trust(&county, &event), (strange, Vec::new()));
}

#[test]
fn a_chain_that_parts_is_shown_to() {
    use crate::trust::Unconfirmed;
    let mut county = County::founded();
    let mut copy = county.device.clone();
    let event = note(&mut county.device);
    let event = county.store(event);
    let other = copy.note(9);
    let mut proof = county.proof(&event);
    proof.chain = vec![event.to_wire(), other.to_wire()];
    let proven = county.check(&proof).expect("it holds");
    assert_eq!(proven.trust, Trust::Unconfirmed(Unconfirmed::Parted));
    proof.chain = vec![county.working.note(1).to_wire()];
    let refused = county.check(&proof).map(|_| ());
    let detail = "it is of another chain than the event".to_owned();
    assert_eq!(refused, Err(EventProofError::Chain { entry: 1, detail }));
}

type Change<'a> = &'a dyn Fn(&mut wire::EventProof);

#[test]
fn a_proof_that_is_put_together_from_others_is_refused() {
    let mut county = County::founded();
    let event = note(&mut county.device);
    let event = county.store(event);
    let good = county.proof(&event);
    let changes: [(&str, Change<'_>); 8] = [
        ("no event", &|it| it.event = None),
        ("no place", &|it| it.inclusion = None),
        ("no checkpoint", &|it| it.checkpoint = None),
        ("no registry", &|it| it.registry.clear()),
        ("no root", &|it| drop(it.registry.remove(0))),
        ("another time", &|it| it.received_unix_ms += 1),
        ("no event of the registry", &|it| {
            it.registry.extend(it.event.clone());
        }),
        ("a checkpoint by the device", &|it| {
            let tree = (county.tree.size(), county.tree.edge().root());
            let log = LogId::from_bytes([0xaa; 16]);
            let (key, of) = (&county.device.device, county.root.county);
            let signed = Checkpoint::sign(key, of, log, tree, 1);
            it.checkpoint = Some(signed.to_wire().clone());
        }),
    ];
    assert!(county.check(&good).is_ok());
    for (name, change) in changes {
        let mut changed = good.clone();
        change(&mut changed);
        assert!(county.check(&changed).is_err(), "{name}");
    }
}

#[test]
fn nobody_vouches_whom_the_county_did_not_let_in() {
    let mut county = County::founded();
    let event = note(&mut county.device);
    let event = county.store(event);
    let by = |county: &County, writer: &Writer| {
        let proof = county.proof(&event);
        let file = write(proof, writer.key(), |what, body| {
            writer.device.sign(what, body)
        });
        check(&file, None).map(|proven| proven.vouched_by.0)
    };
    let device = county.device.key();
    assert_eq!(by(&county, &county.device), Ok(device));
    let stranger = Writer::new(9, county.root.county);
    let refused = Err(EventProofError::Stranger(stranger.key()));
    assert_eq!(by(&county, &stranger), refused);
    let end = ended(&device, Some(&event));
    county.writes(Kind::KeyEnded, &end);
    let refused = Err(EventProofError::Stranger(device));
    assert_eq!(by(&county, &county.device), refused);
}

/// Every bit of the file, as it lies and with its digest made again: refused, never believed.
#[test]
fn no_changed_bit_is_believed() {
    let mut county = County::founded();
    let event = note(&mut county.device);
    let event = county.store(event);
    let end = ended(&county.device.key(), None);
    county.writes(Kind::KeyEnded, &end);
    let proof = county.proof(&event);
    let proven = county.check(&proof).expect("it holds");
    assert!(proven.trust != Trust::Trusted, "the end counts");
    let file = county.file(&proof);
    let message = unseal(SORT, &file).expect("it is whole").to_vec();
    for byte in 0..file.len() {
        let mut changed = file.clone();
        changed[byte] ^= 0x10;
        assert!(check(&changed, None).is_err(), "byte {byte} of the file");
    }
    for byte in 0..message.len() {
        for bit in 0..8 {
            let mut changed = message.clone();
            changed[byte] ^= 1 << bit;
            let said = check(&seal(SORT, &changed), None);
            assert!(said.is_err(), "bit {bit} of byte {byte}: {said:?}");
        }
    }
    for end in 0..message.len() {
        assert!(check(&seal(SORT, &message[..end]), None).is_err());
    }
}
