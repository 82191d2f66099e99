//! The proof file: that the county stored one event, shown to anybody without the log.
//!
//! Checks what a file holds from the root key down: the root admits the working key that signed
//! the checkpoint, the event's leaf leads to its root, the working key admits the event's key.
//! Registry events that a file leaves out it cannot know: for that somebody vouches whom the county
//! let in.

#[cfg(test)]
mod tests;

use bytes::Bytes;
use prost::Message as _;
use sponson_proto::county::v1::{InclusionProof, SignedCheckpoint};
use sponson_proto::event::v1 as event_wire;
use sponson_proto::event::v1::{Kind, Role, SignatureAlgorithm};
use sponson_proto::proof::v1 as wire;

use crate::chains::Chains;
use crate::checkpoint::{Checkpoint, CheckpointError};
use crate::event::{EventError, SignedEvent};
use crate::ids::{CountyId, Digest, Key, SubjectId, WrongLength};
use crate::registry::{AdmittedKey, Applied, Registry, is_registry_kind};
use crate::sealed::{SealError, Sort, seal, unseal};
use crate::sign::{self, SignatureError, Signed};
use crate::tree::{ProofError, leaf_hash, verify_inclusion};
use crate::trust::{Trust, trust};

/// The sort of file. An event has at most 320 KiB, an entry of the registry about 300 bytes: 2 MiB
/// holds some 5,000 of them, and is half of what one message of a service carries.
pub const SORT: Sort = Sort {
    magic: b"sponson-proof-1\n",
    name: "proof file",
    bytes_max: 2 * 1024 * 1024,
};

/// What a file proves.
#[derive(Clone, Debug, PartialEq)]
pub struct Proven {
    /// The county, by the hash of its root key.
    pub county: CountyId,
    /// The event, signed by its key.
    pub event: SignedEvent,
    /// What the registry says of its key; none when the file does not show that it was admitted,
    /// and for the root key.
    pub admitted: Option<AdmittedKey>,
    /// Whether its key is the county's root key.
    pub by_root: bool,
    /// Name of the key's station, as the county registered it.
    pub station: Option<(SubjectId, String)>,
    /// Roles of the key for this event.
    pub roles: Vec<Role>,
    /// Whether the event counts, by what the file shows.
    pub trust: Trust,
    /// When the county stored it, milliseconds since 1970.
    pub received_unix_ms: i64,
    /// Its place in the county log, from 0.
    pub index: u64,
    /// The county's statement under which it stands.
    pub checkpoint: Checkpoint,
    /// The key that wrote the file, and what the registry says of it: it vouches that the county
    /// had said no more of these keys.
    pub vouched_by: (Key, AdmittedKey),
}

/// Why a file proves nothing.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EventProofError {
    /// The file is not as it was written.
    #[error(transparent)]
    File(#[from] SealError),
    /// No message, or not in its one encoding.
    #[error("proof cannot be read: {0}")]
    Unreadable(String),
    /// Something is not there.
    #[error("proof lacks {0}")]
    Lacks(&'static str),
    /// A field of the wrong length.
    #[error(transparent)]
    Length(#[from] WrongLength),
    /// The event is none, or its signature is not right.
    #[error("event: {0}")]
    Event(EventError),
    /// The checkpoint is none, or its signature is not right.
    #[error(transparent)]
    Checkpoint(#[from] CheckpointError),
    /// Another county than the one that was meant.
    #[error("proof is of county {found}, not of county {wanted}")]
    OtherCounty {
        /// The county of the proof.
        found: CountyId,
        /// The one that was meant.
        wanted: CountyId,
    },
    /// A part of another county than the event's.
    #[error("{part} is of another county than the event")]
    Mixed {
        /// Which part.
        part: &'static str,
    },
    /// An event of the registry that is not right, or has no place here.
    #[error("entry {entry} of the registry: {detail}")]
    Registry {
        /// Which, from 1.
        entry: usize,
        /// Why.
        detail: String,
    },
    /// An event of the key's chain that is not right, or has no place here.
    #[error("entry {entry} of the device's chain: {detail}")]
    Chain {
        /// Which, from 1.
        entry: usize,
        /// Why.
        detail: String,
    },
    /// The checkpoint's key is no working key of the county.
    #[error("key {0} that signed the checkpoint is not shown to be a working key of the county")]
    NotTheCounty(Key),
    /// Nobody whom the county let in vouches for the file.
    #[error("key {0} that wrote the file is not shown to be admitted, or was ended")]
    Stranger(Key),
    /// The signature of whoever wrote the file is not right.
    #[error("file: {0}")]
    Signature(SignatureError),
    /// The leaf does not lead to the checkpoint's root.
    #[error("the event is not in the county log that was signed: {0}")]
    Inclusion(ProofError),
}

/// Makes a file, for which a key vouches.
#[must_use]
pub fn write(
    mut proof: wire::EventProof,
    by: Key,
    sign: impl FnOnce(Signed, &[u8]) -> [u8; 64],
) -> Vec<u8> {
    proof.by = by.to_bytes();
    proof.signature.clear();
    let signature = sign(Signed::Proof, &proof.encode_to_vec());
    proof.signature = Bytes::copy_from_slice(&signature);
    seal(SORT, &proof.encode_to_vec())
}

/// Checks a file; `county` is the one that is meant, when that is known.
///
/// # Errors
/// When the file does not hold.
pub fn check(file: &[u8], county: Option<CountyId>) -> Result<Proven, EventProofError> {
    let message = unseal(SORT, file)?;
    let proof = wire::EventProof::decode(message)
        .map_err(|error| EventProofError::Unreadable(error.to_string()))?;
    // What a reader does not know it must not pass over: it may be the end of a key.
    if proof.encode_to_vec() != message {
        let detail = "it is not in its one encoding, or written by a later version";
        return Err(EventProofError::Unreadable(detail.to_owned()));
    }
    let event = proof.event.ok_or(EventProofError::Lacks("the event"))?;
    let event = SignedEvent::open(event).map_err(EventProofError::Event)?;
    let found = event.header().county;
    if let Some(wanted) = county.filter(|wanted| *wanted != found) {
        return Err(EventProofError::OtherCounty { found, wanted });
    }
    let mut chains = Chains::default();
    let beside = read_chain(&event, &proof.chain, &mut chains)?;
    let mut registry = read_registry(found, &proof.registry, &mut chains)?;
    // One that ends a key ends it wherever it stands.
    for other in &beside {
        registry.apply(other, &chains);
    }
    let checkpoint = proof
        .checkpoint
        .ok_or(EventProofError::Lacks("the checkpoint"))?;
    let checkpoint = read_checkpoint(checkpoint, &registry)?;
    let inclusion = proof.inclusion.unwrap_or_default();
    let leaf = leaf_hash(&event.id(), proof.received_unix_ms);
    let index = included(leaf, &inclusion, &checkpoint)?;
    let vouched_by = vouched(proof.by, proof.signature, message, &registry)?;
    let key = event.header().key;
    let admitted = registry.key(&key).cloned();
    let station = admitted.as_ref().and_then(|admitted| admitted.station);
    let roles = registry.roles_at(&key, event.header().seq).unwrap_or(&[]);
    Ok(Proven {
        county: found,
        by_root: registry.is_root(&key),
        station: station.map(|id| {
            let facts = registry.stations().get(&id);
            (
                id,
                facts.map_or_else(String::new, |facts| facts.name.clone()),
            )
        }),
        roles: roles.to_vec(),
        trust: trust(&registry, &chains, &event),
        received_unix_ms: proof.received_unix_ms,
        admitted,
        vouched_by,
        event,
        index,
        checkpoint,
    })
}

/// Whoever vouches for the file, as the registry says. `message` is the file's message.
fn vouched(
    by: Bytes,
    signature: Bytes,
    message: &[u8],
    registry: &Registry,
) -> Result<(Key, AdmittedKey), EventProofError> {
    let key = Key::parse("by", &by)?;
    // The signature is the last field of the one encoding: its tag, its length and itself.
    let signed = message.len().saturating_sub(2 + signature.len());
    let signed = message.get(..signed).unwrap_or_default();
    let algorithm = SignatureAlgorithm::Ed25519.into();
    sign::verify(&key, Signed::Proof, signed, algorithm, &signature)
        .map_err(EventProofError::Signature)?;
    let admitted = registry.key(&key).filter(|it| it.ended.is_none());
    let admitted = admitted.ok_or(EventProofError::Stranger(key))?;
    Ok((key, admitted.clone()))
}

/// Folds the registry events; every one of them must be right, and say something here.
pub(crate) fn read_registry(
    county: CountyId,
    events: &[event_wire::Event],
    chains: &mut Chains,
) -> Result<Registry, EventProofError> {
    let mut registry = Registry::new(county);
    for (entry, event) in (1..).zip(events) {
        let refused = |detail: String| EventProofError::Registry { entry, detail };
        let event = SignedEvent::open(event.clone()).map_err(|error| refused(error.to_string()))?;
        if event.header().county != county {
            return Err(EventProofError::Mixed {
                part: "an entry of the registry",
            });
        }
        if !is_registry_kind(event.header().kind) {
            return Err(refused("it is none of the registry".to_owned()));
        }
        chains.add(&event);
        let applied = registry.apply(&event, chains);
        let writer = event.header().key;
        let may_write = registry.is_root(&writer) || registry.key(&writer).is_some();
        match applied {
            Applied::Changed | Applied::Unchanged => {}
            // It went beyond what it may say, and the fold leaves it out.
            Applied::NotEntitled if may_write => {}
            Applied::NotEntitled | Applied::NotForRegistry => {
                return Err(refused("its key may not write the registry".to_owned()));
            }
            Applied::NotUnderstood => {
                return Err(refused(
                    "this version does not know it: upgrade this program".to_owned(),
                ));
            }
        }
    }
    if registry.root().is_none() {
        return Err(EventProofError::Lacks("an entry of the root key"));
    }
    Ok(registry)
}

pub(crate) fn read_checkpoint(
    signed: SignedCheckpoint,
    registry: &Registry,
) -> Result<Checkpoint, EventProofError> {
    let checkpoint = Checkpoint::open(signed)?;
    if checkpoint.county != registry.county() {
        return Err(EventProofError::Mixed {
            part: "the checkpoint",
        });
    }
    if registry.is_working_key(&checkpoint.key) {
        Ok(checkpoint)
    } else {
        Err(EventProofError::NotTheCounty(checkpoint.key))
    }
}

/// The place at which a leaf stands under a checkpoint.
fn included(
    leaf: Digest,
    inclusion: &InclusionProof,
    checkpoint: &Checkpoint,
) -> Result<u64, EventProofError> {
    let path = inclusion.path.iter();
    let path = path
        .map(|hash| Digest::parse("inclusion path", hash))
        .collect::<Result<Vec<_>, _>>()?;
    if inclusion.size != checkpoint.size {
        return Err(EventProofError::Inclusion(ProofError::Shape));
    }
    verify_inclusion(
        leaf,
        inclusion.index,
        checkpoint.size,
        checkpoint.root,
        &path,
    )
    .map_err(EventProofError::Inclusion)?;
    Ok(inclusion.index)
}

/// Reads what is shown of the chain of the event's key.
fn read_chain(
    event: &SignedEvent,
    shown: &[event_wire::Event],
    chains: &mut Chains,
) -> Result<Vec<SignedEvent>, EventProofError> {
    let header = event.header();
    let mut events = vec![event.clone()];
    for (entry, other) in (1..).zip(shown) {
        let refused = |detail: String| EventProofError::Chain { entry, detail };
        let other = SignedEvent::open(other.clone()).map_err(|error| refused(error.to_string()))?;
        let of = (other.header().county, other.header().key);
        if of != (header.county, header.key) {
            return Err(refused("it is of another chain than the event".to_owned()));
        }
        events.push(other);
    }
    events.sort_by_key(|event| event.header().seq);
    for event in &events {
        chains.add(event);
    }
    Ok(events)
}

/// Whether a proof needs a registry event: one of the root key, or one about one of the keys or
/// the station.
#[must_use]
pub fn needs(event: &SignedEvent, root: &Key, keys: &[Key], station: Option<SubjectId>) -> bool {
    let header = event.header();
    let subject = header.subjects.first().map(|subject| subject.id);
    let names_station = header.kind == Kind::StationRegistered as i32;
    is_registry_kind(header.kind)
        && (header.key == *root
            || about(event).is_some_and(|key| keys.contains(&key))
            || (names_station && station.is_some() && subject == station))
}

/// The key that an event of the registry is about.
fn about(event: &SignedEvent) -> Option<Key> {
    let (kind, payload) = (event.header().kind, event.payload().clone());
    let key = if kind == Kind::KeyAdmitted as i32 {
        event_wire::KeyAdmitted::decode(payload).ok()?.key
    } else if kind == Kind::KeyEnded as i32 {
        event_wire::KeyEnded::decode(payload).ok()?.key
    } else if kind == Kind::RoleGiven as i32 {
        event_wire::RoleGiven::decode(payload).ok()?.key
    } else {
        return None;
    };
    Key::parse("key", &key).ok()
}

/// An event's place as a proof names it.
#[must_use]
pub fn inclusion(index: u64, size: u64, path: &[Digest]) -> InclusionProof {
    InclusionProof {
        index,
        size,
        path: path.iter().map(|hash| hash.to_bytes()).collect(),
    }
}
