//! Checkpoints: the county's signed statement of how far its log reaches.
//!
//! A [`Checkpoint`] is right in form and its signature was verified. Whether its key is a working
//! key of the county, and whether it fits an older checkpoint, is decided elsewhere.

#[cfg(test)]
mod tests;

use bytes::Bytes;
use prost::Message as _;
use sponson_proto::county::v1 as wire;
use sponson_proto::event::v1::SignatureAlgorithm;

use crate::event::CheckpointHeld;
use crate::ids::{CountyId, Digest, Key, LogId, WrongLength};
use crate::sign::{self, DeviceKey, SignatureError, Signed};

/// Greatest length of a body: its fields need 128 bytes with their tags, the rest is for fields
/// of later versions.
pub const BODY_BYTES_MAX: usize = 1024;

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
    /// A body that is too long.
    #[error("checkpoint body has {length} bytes; at most {BODY_BYTES_MAX} are allowed")]
    BodyTooLong {
        /// Its length.
        length: usize,
    },
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
    pub fn open(signed: wire::SignedCheckpoint) -> Result<Self, CheckpointError> {
        if signed.body.len() > BODY_BYTES_MAX {
            return Err(CheckpointError::BodyTooLong {
                length: signed.body.len(),
            });
        }
        let body = wire::Checkpoint::decode(signed.body.clone())
            .map_err(|error| CheckpointError::Unreadable(error.to_string()))?;
        let key = Key::parse("checkpoint key", &body.key)?;
        // No algorithm has so great a number, so that which of them it was is of no use.
        let algorithm = i32::try_from(signed.algorithm).unwrap_or(i32::MAX);
        sign::verify(
            &key,
            Signed::Checkpoint,
            &signed.body,
            algorithm,
            &signed.signature,
        )?;
        Ok(Self {
            county: CountyId::parse("checkpoint county_id", &body.county_id)?,
            key,
            log: LogId::parse("checkpoint log_id", &body.log_id)?,
            size: body.size,
            root: Digest::parse("checkpoint root", &body.root)?,
            unix_ms: body.unix_ms,
            signed,
        })
    }

    /// Signs one; `tree` is size and root.
    #[must_use]
    pub fn sign(
        key: &DeviceKey,
        county: CountyId,
        log: LogId,
        tree: (u64, Digest),
        unix_ms: i64,
    ) -> Self {
        let (size, root) = tree;
        let body = wire::Checkpoint {
            county_id: county.to_bytes(),
            key: key.key().to_bytes(),
            log_id: log.to_bytes(),
            size,
            root: root.to_bytes(),
            unix_ms,
        }
        .encode_to_vec();
        let signature = key.sign(Signed::Checkpoint, &body);
        Self {
            county,
            key: key.key(),
            log,
            size,
            root,
            unix_ms,
            signed: wire::SignedCheckpoint {
                body: body.into(),
                algorithm: (SignatureAlgorithm::Ed25519 as i32).unsigned_abs(),
                signature: Bytes::copy_from_slice(&signature),
            },
        }
    }

    /// As it is kept and sent: the same bytes that were opened.
    #[must_use]
    pub const fn to_wire(&self) -> &wire::SignedCheckpoint {
        &self.signed
    }

    /// Size and root, as proofs take them.
    #[must_use]
    pub const fn tree(&self) -> (u64, Digest) {
        (self.size, self.root)
    }

    /// Its name in the header of an event.
    #[must_use]
    pub const fn held(&self) -> CheckpointHeld {
        CheckpointHeld {
            log: self.log,
            size: self.size,
            unix_ms: self.unix_ms,
        }
    }

    /// Whether both state different contents for the same size of the same log: one of them is of
    /// a log that was changed.
    #[must_use]
    pub fn contradicts(&self, other: &Self) -> bool {
        self.log == other.log && self.size == other.size && self.root != other.root
    }
}
