//! One signed event: opened from its exact bytes, or drafted and signed.
//!
//! A [`SignedEvent`] is right in form: its fields have their lengths, its id is that of its bytes,
//! and, unless it came from the replica's own store, its signature was verified. Whether it is
//! trusted is another question (see [`crate::trust`]).

mod references;
#[cfg(test)]
mod tests;

use std::collections::BTreeSet;

use bytes::Bytes;
use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_proto::event::v1::{
    self as wire, BesideContent, IfNotUnderstood, SignatureAlgorithm, SubjectType,
};

use crate::ids::{CountyId, Digest, EventId, Key, LogId, SubjectId, WrongLength};
use crate::sign::{self, DeviceKey, SignatureError, Signed, pre_authentication_encoding};

/// Greatest length of a body: 64 KiB holds a check of 400 lines at 160 bytes.
pub const BODY_BYTES_MAX: usize = 64 * 1024;

/// Greatest number of subjects of one event: a craft with 60 numbered things aboard.
pub const SUBJECTS_MAX: usize = 64;

/// Greatest number of seen heads of one subject: as many writers apart at once.
pub const SEEN_MAX: usize = 64;

/// Greatest length of a content beside a body that is carried with its event: 64 KiB of text.
pub const BESIDE_BYTES_MAX: usize = 64 * 1024;

/// Greatest length of all contents that one event carries: four small pictures. With a body it
/// stays below 320 KiB, so that an event fits a chunk of a sync and a record of a carry file.
pub const BESIDE_TOTAL_BYTES_MAX: usize = 4 * BESIDE_BYTES_MAX;

/// Greatest length of a member number.
pub const MEMBER_BYTES_MAX: usize = 32;

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

/// The header, parsed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Header {
    /// The county.
    pub county: CountyId,
    /// The signing key.
    pub key: Key,
    /// Position in the chain, from 1.
    pub seq: u64,
    /// The event before in the chain.
    pub previous: Option<EventId>,
    /// Kind, as a number: it may be one that this version does not know.
    pub kind: i32,
    /// Version of the kind's message.
    pub kind_version: u32,
    /// What to do when it is not known.
    pub if_not_understood: IfNotUnderstood,
    /// The subjects.
    pub subjects: Vec<Subject>,
    /// The device's clocks.
    pub clock: Clock,
    /// The newest county checkpoint that the device held.
    pub checkpoint: Option<CheckpointHeld>,
    /// When it was observed, if entered later: from, to, milliseconds since 1970.
    pub observed: Option<(i64, i64)>,
    /// Member number; empty when not given.
    pub member: String,
    /// Commitments to contents beside the body.
    pub beside: Vec<Beside>,
}

/// A subject of an event.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Subject {
    /// Its id.
    pub id: SubjectId,
    /// Its type; unspecified when this version does not know the number.
    pub kind: SubjectType,
    /// Heads of the subject that the device held.
    pub seen: Vec<EventId>,
}

/// The clocks of a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Clock {
    /// Claimed wall time, milliseconds since 1970.
    pub unix_ms: i64,
    /// Local time's offset from UTC, minutes.
    pub utc_offset_min: i32,
    /// Changes with every start of the device.
    pub boot_id: [u8; 16],
    /// Milliseconds since that start.
    pub monotonic_ms: u64,
}

/// Names a county checkpoint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CheckpointHeld {
    /// The log.
    pub log: LogId,
    /// Its size.
    pub size: u64,
    /// Its time, milliseconds since 1970.
    pub unix_ms: i64,
}

/// Commitment to one content.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beside {
    /// SHA-256 of salt and content.
    pub commitment: Digest,
    /// What sort of content.
    pub kind: wire::BesideType,
    /// Its length.
    pub size: u32,
    /// What it belongs to.
    pub belongs_to: String,
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
        check_contents(&header, &event.beside)?;
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

/// Commitment to a content beside a body: SHA-256 of salt and content.
#[must_use]
pub fn commitment(salt: &[u8; 16], content: &[u8]) -> Digest {
    Digest::from_bytes(
        Sha256::new()
            .chain_update(salt)
            .chain_update(content)
            .finalize()
            .into(),
    )
}

fn check_contents(header: &Header, contents: &[BesideContent]) -> Result<(), EventError> {
    let mut seen = BTreeSet::new();
    let mut total = 0;
    for content in contents {
        check_beside(header, content)?;
        if !seen.insert(content.index) {
            return Err(EventError::Beside {
                index: content.index,
            });
        }
        total += content.content.len();
    }
    if total <= BESIDE_TOTAL_BYTES_MAX {
        return Ok(());
    }
    Err(EventError::Value {
        field: "contents beside the body",
        value: format!("{total} bytes"),
        limit: format!(
            "at most {BESIDE_TOTAL_BYTES_MAX} go with one event: attach the rest with another"
        ),
    })
}

fn check_beside(header: &Header, content: &BesideContent) -> Result<(), EventError> {
    let refused = EventError::Beside {
        index: content.index,
    };
    let position = usize::try_from(content.index).map_err(|_| refused.clone())?;
    let committed = header.beside.get(position).ok_or(refused.clone())?;
    let salt: &[u8; 16] = content
        .salt
        .as_ref()
        .try_into()
        .map_err(|_| refused.clone())?;
    let same = commitment(salt, &content.content) == committed.commitment;
    let signed_size = usize::try_from(committed.size) == Ok(content.content.len());
    if same && signed_size && content.content.len() <= BESIDE_BYTES_MAX {
        Ok(())
    } else {
        Err(refused)
    }
}

fn at_most(field: &'static str, count: usize, limit: usize) -> Result<(), EventError> {
    if count <= limit {
        return Ok(());
    }
    Err(EventError::Value {
        field,
        value: format!("{count} long"),
        limit: format!("at most {limit} are allowed"),
    })
}

impl Header {
    fn parse(header: wire::Header) -> Result<Self, EventError> {
        at_most("subjects", header.subjects.len(), SUBJECTS_MAX)?;
        at_most("member", header.member.len(), MEMBER_BYTES_MAX)?;
        let previous = EventId::parse_optional("previous", &header.previous)?;
        if (header.seq == 1) != previous.is_none() || header.seq == 0 {
            return Err(EventError::Value {
                field: "seq",
                value: header.seq.to_string(),
                limit: "it begins at 1, and only the first event names none before it".to_owned(),
            });
        }
        Ok(Self {
            county: CountyId::parse("county_id", &header.county_id)?,
            key: Key::parse("key", &header.key)?,
            seq: header.seq,
            previous,
            kind: i32::try_from(header.kind).map_err(|_| EventError::Value {
                field: "kind",
                value: header.kind.to_string(),
                limit: format!("at most {} is allowed", i32::MAX),
            })?,
            kind_version: header.kind_version,
            // An unknown wish is read as the careful one.
            if_not_understood: IfNotUnderstood::try_from(header.if_not_understood)
                .unwrap_or(IfNotUnderstood::Hold),
            subjects: header
                .subjects
                .into_iter()
                .map(Subject::parse)
                .collect::<Result<_, _>>()?,
            clock: Clock::parse(header.clock.ok_or(EventError::Missing("clock"))?)?,
            checkpoint: header.checkpoint.map(CheckpointHeld::parse).transpose()?,
            observed: header
                .observed
                .map(|observed| (observed.from_unix_ms, observed.to_unix_ms)),
            member: header.member,
            beside: header
                .beside
                .into_iter()
                .map(Beside::parse)
                .collect::<Result<_, _>>()?,
        })
    }

    fn to_wire(&self) -> wire::Header {
        wire::Header {
            county_id: self.county.to_bytes(),
            key: self.key.to_bytes(),
            seq: self.seq,
            previous: self.previous.map_or_else(Bytes::new, EventId::to_bytes),
            kind: self.kind.unsigned_abs(),
            kind_version: self.kind_version,
            if_not_understood: self.if_not_understood as i32,
            subjects: self.subjects.iter().map(Subject::to_wire).collect(),
            clock: Some(self.clock.to_wire()),
            checkpoint: self.checkpoint.map(|held| wire::CheckpointHeld {
                log_id: held.log.to_bytes(),
                size: held.size,
                unix_ms: held.unix_ms,
            }),
            observed: self.observed.map(|(from, to)| wire::Observed {
                from_unix_ms: from,
                to_unix_ms: to,
            }),
            member: self.member.clone(),
            beside: self.beside.iter().map(Beside::to_wire).collect(),
        }
    }
}

impl Subject {
    fn parse(subject: wire::Subject) -> Result<Self, EventError> {
        at_most("seen", subject.seen.len(), SEEN_MAX)?;
        Ok(Self {
            id: SubjectId::parse("subject id", &subject.id)?,
            kind: SubjectType::try_from(subject.r#type).unwrap_or(SubjectType::Unspecified),
            seen: subject
                .seen
                .iter()
                .map(|id| EventId::parse("seen", id))
                .collect::<Result<_, _>>()?,
        })
    }

    fn to_wire(&self) -> wire::Subject {
        wire::Subject {
            id: self.id.to_bytes(),
            r#type: self.kind as i32,
            seen: self.seen.iter().map(|id| id.to_bytes()).collect(),
        }
    }
}

impl Clock {
    fn parse(clock: wire::Clock) -> Result<Self, EventError> {
        let boot_id = SubjectId::parse("boot_id", &clock.boot_id)?;
        Ok(Self {
            unix_ms: clock.unix_ms,
            utc_offset_min: clock.utc_offset_min,
            boot_id: *boot_id.as_bytes(),
            monotonic_ms: clock.monotonic_ms,
        })
    }

    fn to_wire(self) -> wire::Clock {
        wire::Clock {
            unix_ms: self.unix_ms,
            utc_offset_min: self.utc_offset_min,
            boot_id: Bytes::copy_from_slice(&self.boot_id),
            monotonic_ms: self.monotonic_ms,
        }
    }
}

impl CheckpointHeld {
    fn parse(held: wire::CheckpointHeld) -> Result<Self, EventError> {
        Ok(Self {
            log: LogId::parse("checkpoint log_id", &held.log_id)?,
            size: held.size,
            unix_ms: held.unix_ms,
        })
    }
}

impl Beside {
    fn parse(beside: wire::Beside) -> Result<Self, EventError> {
        Ok(Self {
            commitment: Digest::parse("commitment", &beside.commitment)?,
            kind: wire::BesideType::try_from(beside.r#type)
                .unwrap_or(wire::BesideType::Unspecified),
            size: beside.size,
            belongs_to: beside.belongs_to,
        })
    }

    fn to_wire(&self) -> wire::Beside {
        wire::Beside {
            commitment: self.commitment.to_bytes(),
            r#type: self.kind as i32,
            size: self.size,
            belongs_to: self.belongs_to.clone(),
        }
    }
}
