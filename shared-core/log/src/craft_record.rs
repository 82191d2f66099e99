//! The file of a craft's record: its JSON as somebody signed it, and what proves the entries in it.
//!
//! Finds out whether the bytes are those that were signed, and whether entries stand in the county
//! log that was signed. What the JSON says, and whether an entry is missing in it, is found out
//! elsewhere.

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use bytes::Bytes;
use prost::Message as _;
use sponson_proto::county::v1::SignedCheckpoint;
use sponson_proto::event::v1::{self as event_wire, SignatureAlgorithm};
use sponson_proto::proof::v1 as wire;

use crate::chains::Chains;
use crate::checkpoint::Checkpoint;
use crate::event_proof::{EventProofError, read_checkpoint, read_registry};
use crate::ids::{CountyId, Digest, EventId, Key, WrongLength};
use crate::registry::{AdmittedKey, Registry};
use crate::sealed::{SealError, Sort, seal, unseal};
use crate::sign::{self, SignatureError, Signed};
use crate::tree::{leaf_hash, verify_several};

/// The sort of file. An entry with a full check has about 9 KiB of JSON: 48 MiB hold 4,000 of them,
/// and the registry and the proof beside.
pub const SORT: Sort = Sort {
    magic: b"sponson-record-1\n",
    name: "signed record",
    bytes_max: 48 * 1024 * 1024,
};

/// A record whose signature was verified.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignedJson {
    /// Its JSON, as it was signed.
    pub json: Bytes,
    /// The key that signed it.
    pub by: Key,
    /// The signature.
    pub signature: Bytes,
}

/// Why a file is no signed record.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RecordFileError {
    /// The file is not as it was written.
    #[error(transparent)]
    File(#[from] SealError),
    /// No message, or not in its one encoding.
    #[error("signed record cannot be read: {0}")]
    Unreadable(String),
    /// A field of the wrong length.
    #[error(transparent)]
    Length(#[from] WrongLength),
    /// Not signed by the key that it names.
    #[error("record: {0}")]
    Signature(#[from] SignatureError),
}

/// Makes a file of a record's JSON.
#[must_use]
pub fn write(
    json: Vec<u8>,
    by: Key,
    sign: impl FnOnce(Signed, &[u8]) -> [u8; 64],
) -> (Vec<u8>, SignedJson) {
    let signature = Bytes::copy_from_slice(&sign(Signed::Record, &json));
    let json = Bytes::from(json);
    let message = wire::SignedRecord {
        json: json.clone(),
        by: by.to_bytes(),
        algorithm: SignatureAlgorithm::Ed25519.into(),
        signature: signature.clone(),
    };
    let signed = SignedJson {
        json,
        by,
        signature,
    };
    (seal(SORT, &message.encode_to_vec()), signed)
}

/// Opens a file and verifies its signature. Whether the county let the key in is found out by
/// [`prove`].
///
/// # Errors
/// When the file is not one that the key signed.
pub fn open(file: &[u8]) -> Result<SignedJson, RecordFileError> {
    let message = unseal(SORT, file)?;
    let unreadable = |detail: String| RecordFileError::Unreadable(detail);
    let read =
        wire::SignedRecord::decode(message).map_err(|error| unreadable(error.to_string()))?;
    if read.encode_to_vec() != message {
        let detail = "it is not in its one encoding, or written by a later version";
        return Err(unreadable(detail.to_owned()));
    }
    let by = Key::parse("by", &read.by)?;
    sign::verify(
        &by,
        Signed::Record,
        &read.json,
        read.algorithm,
        &read.signature,
    )?;
    Ok(SignedJson {
        json: read.json,
        by,
        signature: read.signature,
    })
}

/// What shows that the entries of a record stand in a county log.
#[derive(Clone, Debug, PartialEq)]
pub struct RecordProof {
    /// The county's signed statement; none where nothing of its log is held.
    pub checkpoint: Option<SignedCheckpoint>,
    /// From the entries' leaves to its root, as [`verify_several`] takes it.
    pub path: Vec<Digest>,
    /// What the registry says of the keys in the record, the root key's entries first.
    pub registry: Vec<event_wire::Event>,
}

/// Entries by their places in the county log, from 0: each its id and when the county stored it.
pub type Leaves = BTreeMap<u64, (EventId, i64)>;

/// What a proof shows.
#[derive(Clone, Debug, PartialEq)]
pub struct RecordProven {
    /// The county's statement; none where the record has no entry that the county stored.
    pub checkpoint: Option<Checkpoint>,
    /// The registry as far as it is shown.
    pub registry: Registry,
    /// What the registry says of whoever signed the record.
    pub signed_by: AdmittedKey,
}

/// Checks that entries stand in the county log, and that the county let in whoever signed.
///
/// # Errors
/// When the proof does not hold.
pub fn prove(
    county: CountyId,
    proof: RecordProof,
    leaves: &Leaves,
    by: Key,
) -> Result<RecordProven, EventProofError> {
    let registry = read_registry(county, &proof.registry, &mut Chains::default())?;
    let checkpoint = proof.checkpoint;
    let checkpoint = checkpoint.map(|signed| read_checkpoint(signed, &registry));
    let checkpoint = checkpoint.transpose()?;
    if !leaves.is_empty() {
        let signed = checkpoint.as_ref();
        let signed = signed.ok_or(EventProofError::Lacks("the checkpoint"))?;
        let leaf =
            |(index, (id, received)): (&u64, &(EventId, i64))| (*index, leaf_hash(id, *received));
        let leaves: Vec<(u64, Digest)> = leaves.iter().map(leaf).collect();
        verify_several(&leaves, signed.size, signed.root, &proof.path)
            .map_err(EventProofError::Inclusion)?;
    }
    let admitted = registry.key(&by).filter(|it| it.ended.is_none());
    let signed_by = admitted.cloned().ok_or(EventProofError::Stranger(by))?;
    Ok(RecordProven {
        checkpoint,
        registry,
        signed_by,
    })
}
