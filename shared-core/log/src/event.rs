//! One signed event: opened from its exact bytes, or drafted and signed.
//!
//! A [`SignedEvent`] is right in form: its fields have their lengths, its id is that of its bytes,
//! and, unless it came from the replica's own store, its signature was verified. Whether it is
//! trusted is another question (see [`crate::trust`]).

mod contents;
mod header;
mod references;
#[cfg(test)]
mod tests;

use bytes::Bytes;
use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_proto::event::v1::{self as wire, BesideContent, SignatureAlgorithm};

use crate::ids::{EventId, WrongLength};
use crate::sign::{self, DeviceKey, SignatureError, Signed, pre_authentication_encoding};

pub use contents::{BESIDE_BYTES_MAX, BESIDE_TOTAL_BYTES_MAX, PICTURE_BYTES_MAX, commitment};
pub use header::{
    Beside, CheckpointHeld, Clock, Header, MEMBER_BYTES_MAX, SEEN_MAX, SUBJECTS_MAX, Subject,
};

/// Greatest length of a body: 64 KiB holds a check of 400 lines at 160 bytes.
pub const BODY_BYTES_MAX: usize = 64 * 1024;

/// A signed event, right in form.
#[derive(Clone, Debug, PartialEq)]
pub struct SignedEvent {
    id: EventId,
    body: Bytes,
    algorithm: i32,
    signature: Bytes,
    beside: Vec<BesideContent>,
    header: Header,
    payload: Bytes,
}

/// Why bytes are no event.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EventError {
    /// A body that is too long.
    #[error("body has {length} bytes; at most {BODY_BYTES_MAX} are allowed")]
    BodyTooLong {
        /// Its length.
        length: usize,
    },
    /// Bytes that are no protobuf message of the type.
    #[error("{what} cannot be read: {detail}")]
    Unreadable {
        /// Which message.
        what: &'static str,
        /// The decoder's words.
        detail: String,
    },
    /// A field that must be there is not.
    #[error("{0} is missing")]
    Missing(&'static str),
    /// A field of the wrong length.
    #[error(transparent)]
    Length(#[from] WrongLength),
    /// A field with a value that cannot be.
    #[error("{field} is {value}; {limit}")]
    Value {
        /// The field.
        field: &'static str,
        /// Its value.
        value: String,
        /// What is allowed.
        limit: String,
    },
    /// The signature is not right.
    #[error(transparent)]
    Signature(#[from] SignatureError),
    /// A content beside the body is not what was committed to.
    #[error("content {index} beside the body is not what was signed: it was changed")]
    Beside {
        /// Position in the header.
        index: u32,
    },
}

impl SignedEvent {
    /// Opens an event that came from elsewhere: parses, for the key stands in the body, and
    /// verifies the signature over the exact bytes.
    ///
    /// # Errors
    /// When the bytes are not a well-formed event signed by the key that they name.
    pub fn open(event: wire::Event) -> Result<Self, EventError> {
        let opened = Self::reopen(event)?;
        opened.verify()?;
        Ok(opened)
    }

    /// Opens an event of the replica's own store, whose signature was verified before it was kept.
    ///
    /// # Errors
    /// When the bytes are not a well-formed event.
    pub fn reopen(event: wire::Event) -> Result<Self, EventError> {
        if event.body.len() > BODY_BYTES_MAX {
            return Err(EventError::BodyTooLong {
                length: event.body.len(),
            });
        }
        let body =
            wire::Body::decode(event.body.clone()).map_err(|error| EventError::Unreadable {
                what: "body",
                detail: error.to_string(),
            })?;
        let header = Header::parse(body.header.ok_or(EventError::Missing("header"))?)?;
        contents::check_contents(&header, &event.beside)?;
        Ok(Self {
            id: event_id(&event.body),
            body: event.body,
            algorithm: event.algorithm,
            signature: event.signature,
            beside: event.beside,
            header,
            payload: body.payload,
        })
    }

    /// Verifies the signature again.
    ///
    /// # Errors
    /// When it does not belong to the key and the bytes.
    pub fn verify(&self) -> Result<(), SignatureError> {
        sign::verify(
            &self.header.key,
            Signed::Event,
            &self.body,
            self.algorithm,
            &self.signature,
        )
    }

    /// Signs a draft.
    ///
    /// # Errors
    /// When the draft breaks a limit.
    pub fn sign(draft: Draft, key: &DeviceKey) -> Result<Self, EventError> {
        let body = wire::Body {
            header: Some(draft.header.to_wire()),
            payload: draft.payload,
        }
        .encode_to_vec();
        let signature = key.sign(Signed::Event, &body);
        Self::reopen(wire::Event {
            body: body.into(),
            algorithm: SignatureAlgorithm::Ed25519 as i32,
            signature: Bytes::copy_from_slice(&signature),
            beside: draft.beside,
        })
    }

    /// Its id.
    #[must_use]
    pub const fn id(&self) -> EventId {
        self.id
    }

    /// Its header.
    #[must_use]
    pub const fn header(&self) -> &Header {
        &self.header
    }

    /// Encoded message of its kind.
    #[must_use]
    pub const fn payload(&self) -> &Bytes {
        &self.payload
    }

    /// Contents beside the body.
    #[must_use]
    pub fn beside(&self) -> &[BesideContent] {
        &self.beside
    }

    /// The event as it is kept and sent: the same bytes that were opened.
    #[must_use]
    pub fn to_wire(&self) -> wire::Event {
        wire::Event {
            body: self.body.clone(),
            algorithm: self.algorithm,
            signature: self.signature.clone(),
            beside: self.beside.clone(),
        }
    }

    /// Events that it refers to in its header: the one before, and all that were seen.
    pub fn header_references(&self) -> impl Iterator<Item = EventId> + '_ {
        let seen = self.header.subjects.iter().flat_map(|s| s.seen.iter());
        self.header.previous.iter().chain(seen).copied()
    }
}

/// What a device is about to sign.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// The header.
    pub header: Header,
    /// Encoded message of the kind.
    pub payload: Bytes,
    /// Contents beside the body, each committed to in the header.
    pub beside: Vec<BesideContent>,
}

/// Id of an event: SHA-256 of the pre-authentication encoding of its body.
#[must_use]
pub fn event_id(body: &[u8]) -> EventId {
    let encoded = pre_authentication_encoding(Signed::Event, body);
    EventId::from_bytes(Sha256::digest(encoded).into())
}
