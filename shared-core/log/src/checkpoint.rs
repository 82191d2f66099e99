//! Checkpoints: the county's signed statement of how far its log reaches.

use sponson_proto::county::v1 as wire;

use crate::ids::{CountyId, Digest, Key, LogId, WrongLength};
use crate::sign::{DeviceKey, SignatureError};

/// A checkpoint whose signature was verified.
#[derive(Clone, Debug, PartialEq)]
pub struct Checkpoint {
    /// The county.
    pub county: CountyId,
    /// The working key that signed it.
    pub key: Key,
    /// The log.
    pub log: LogId,
    /// Entries.
    pub size: u64,
    /// Root over them.
    pub root: Digest,
    /// Time, milliseconds since 1970.
    pub unix_ms: i64,
    signed: wire::SignedCheckpoint,
}

/// Why bytes are no checkpoint.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CheckpointError {
    /// No message of the type.
    #[error("checkpoint cannot be read: {0}")]
    Unreadable(String),
    /// A field of the wrong length.
    #[error(transparent)]
    Length(#[from] WrongLength),
    /// The signature is not right.
    #[error(transparent)]
    Signature(#[from] SignatureError),
}

impl Checkpoint {
    /// Opens and verifies. Whether `key` is a working key of the county is the registry's matter.
    ///
    /// # Errors
    /// When the bytes are not a checkpoint signed by the key that they name.
    pub fn open(_signed: wire::SignedCheckpoint) -> Result<Self, CheckpointError> {
        todo!()
    }

    /// Signs one.
    #[must_use]
    pub fn sign(
        _key: &DeviceKey,
        _county: CountyId,
        _log: LogId,
        _tree: (u64, Digest),
        _unix_ms: i64,
    ) -> Self {
        todo!()
    }

    /// As it is kept and sent.
    #[must_use]
    pub const fn to_wire(&self) -> &wire::SignedCheckpoint {
        &self.signed
    }
}
