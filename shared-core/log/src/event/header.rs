//! The header of an event: the same for every kind, parsed at the door.

use bytes::Bytes;
use sponson_proto::event::v1::{self as wire, IfNotUnderstood, SubjectType};

use super::EventError;
use crate::ids::{CountyId, Digest, EventId, Key, LogId, SubjectId};

/// Greatest number of subjects of one event: a craft with 60 numbered things aboard.
pub const SUBJECTS_MAX: usize = 64;

/// Greatest number of seen heads of one subject: as many writers apart at once.
pub const SEEN_MAX: usize = 64;

/// Greatest length of a member number.
pub const MEMBER_BYTES_MAX: usize = 32;

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

fn at_most(field: &'static str, count: usize, limit: usize) -> Result<(), EventError> {
    if count <= limit {
        return Ok(());
    }
    Err(EventError::Value {
        field,
        value: format!("{count} entries long"),
        limit: format!("at most {limit} are allowed"),
    })
}

fn short_enough(member: &str) -> Result<(), EventError> {
    if member.len() <= MEMBER_BYTES_MAX {
        return Ok(());
    }
    Err(EventError::Value {
        field: "member",
        value: format!("{} bytes long", member.len()),
        limit: format!("at most {MEMBER_BYTES_MAX} are allowed"),
    })
}

impl Header {
    pub(super) fn parse(header: wire::Header) -> Result<Self, EventError> {
        at_most("subjects", header.subjects.len(), SUBJECTS_MAX)?;
        short_enough(&header.member)?;
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

    pub(super) fn to_wire(&self) -> wire::Header {
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
