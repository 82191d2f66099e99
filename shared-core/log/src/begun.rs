//! How a county log begins that follows another one: its first leaf, and whose word that is.
//!
//! A county that was put back to an older state does not know how far its working key signed, and
//! an event at a place that was used would part the registry's chain. So the first leaf of a new
//! log is the first event of a key that signed nothing before. Either the root admits that key as
//! the working key, or a working key vouches for it beside its chain.
//!
//! Knows neither what is held nor what was shown: [`LogBegun`] is what the event says.

use bytes::Bytes;
use prost::Message as _;
use sponson_proto::event::v1::{
    self as wire, IfNotUnderstood, Kind, LogBegunReason, SignatureAlgorithm,
};

use crate::checkpoint::Checkpoint;
use crate::event::{Clock, Draft, EventError, Header, SignedEvent};
use crate::ids::{CountyId, Digest, Key, LogId, WrongLength};
use crate::sign::{self, DeviceKey, Signed};

/// What the first leaf of a log says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LogBegun {
    /// The log that begins.
    pub log: LogId,
    /// The log before.
    pub old_log: LogId,
    /// Its size and root, as far as the county held it.
    pub old_tree: (u64, Digest),
    /// Why.
    pub reason: BegunReason,
    /// The working key that vouches for the event's key; none when that is one itself.
    pub vouched_by: Option<Key>,
}

/// Why a log was begun.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BegunReason {
    /// The county was restored from a backup.
    Restored,
    /// Somebody showed a checkpoint that the county had signed and did not hold.
    Shown {
        /// Its log.
        log: LogId,
        /// Its size.
        size: u64,
        /// Its root.
        root: Digest,
        /// The working key that signed it.
        key: Key,
    },
    /// One that this version does not know.
    NotKnown,
}

impl BegunReason {
    /// The reason that a checkpoint gives.
    #[must_use]
    pub const fn shown(checkpoint: &Checkpoint) -> Self {
        Self::Shown {
            log: checkpoint.log,
            size: checkpoint.size,
            root: checkpoint.root,
            key: checkpoint.key,
        }
    }
}

/// Whose word a beginning is.
#[derive(Clone, Copy, Debug)]
pub enum Voucher<'a> {
    /// The event's key is a working key, or will be once the root admits it.
    Itself,
    /// This working key vouches for it.
    Working(&'a DeviceKey),
}

/// Why an event does not begin a log.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BegunError {
    /// Of another kind.
    #[error("its kind is {0}, not the beginning of a log")]
    Kind(i32),
    /// Not the first event of its key.
    #[error("its seq is {0}; a log begins with the first event of a key")]
    Seq(u64),
    /// Its payload is not right.
    #[error("its payload cannot be read: {0}")]
    Unreadable(String),
    /// A field of the wrong length.
    #[error(transparent)]
    Length(#[from] WrongLength),
    /// Nobody with the right to do so vouches for it.
    #[error("no working key of the county vouches for it")]
    NotVouched,
}

impl LogBegun {
    /// Reads what an event says; whether its word counts is asked with [`Self::check_word`].
    ///
    /// # Errors
    /// When it is not the beginning of a log.
    pub fn read(event: &SignedEvent) -> Result<Self, BegunError> {
        let header = event.header();
        if header.kind != Kind::LogBegun as i32 || header.kind_version != 1 {
            return Err(BegunError::Kind(header.kind));
        }
        if header.seq != 1 {
            return Err(BegunError::Seq(header.seq));
        }
        let begun = wire::LogBegun::decode(event.payload().clone())
            .map_err(|error| BegunError::Unreadable(error.to_string()))?;
        Ok(Self {
            log: LogId::parse("log_id", &begun.log_id)?,
            old_log: LogId::parse("old_log_id", &begun.old_log_id)?,
            old_tree: (begun.old_size, Digest::parse("old_root", &begun.old_root)?),
            reason: read_reason(&begun)?,
            vouched_by: Key::parse_optional("working_key", &begun.working_key)?,
        })
    }

    /// Reads the first leaf of a log, and checks that a working key stands behind it.
    ///
    /// # Errors
    /// When it does not begin this log, or nobody vouches for it.
    pub fn check(
        event: &SignedEvent,
        log: LogId,
        is_working: impl Fn(&Key) -> bool,
    ) -> Result<Self, BegunError> {
        let begun = Self::read(event)?;
        if begun.log != log {
            return Err(BegunError::Unreadable(format!(
                "it begins log {}, not {log}",
                begun.log
            )));
        }
        begun.check_word(event, is_working)?;
        Ok(begun)
    }

    /// Checks that the event's key is a working key, or that one vouches for it.
    ///
    /// # Errors
    /// When neither is so.
    pub fn check_word(
        &self,
        event: &SignedEvent,
        is_working: impl Fn(&Key) -> bool,
    ) -> Result<(), BegunError> {
        let header = event.header();
        let Some(working) = self.vouched_by else {
            return is_working(&header.key)
                .then_some(())
                .ok_or(BegunError::NotVouched);
        };
        if !is_working(&working) {
            return Err(BegunError::NotVouched);
        }
        let begun = wire::LogBegun::decode(event.payload().clone())
            .map_err(|error| BegunError::Unreadable(error.to_string()))?;
        let word = word(header.county, self.log, &header.key);
        let ed25519 = SignatureAlgorithm::Ed25519 as i32;
        sign::verify(&working, Signed::LogBegun, &word, ed25519, &begun.vouched)
            .map_err(|_| BegunError::NotVouched)
    }

    /// Signs a beginning with a key that signed nothing before; `vouched_by` is filled in.
    ///
    /// # Errors
    /// When the event breaks a limit, which none of this form does.
    pub fn sign(
        &self,
        county: CountyId,
        writer: &DeviceKey,
        voucher: Voucher<'_>,
        clock: Clock,
    ) -> Result<SignedEvent, EventError> {
        let (working_key, vouched) = match voucher {
            Voucher::Itself => (Bytes::new(), Bytes::new()),
            Voucher::Working(working) => {
                let word = word(county, self.log, &writer.key());
                let vouched = working.sign(Signed::LogBegun, &word);
                (working.key().to_bytes(), Bytes::copy_from_slice(&vouched))
            }
        };
        let mut payload = wire::LogBegun {
            log_id: self.log.to_bytes(),
            old_log_id: self.old_log.to_bytes(),
            old_size: self.old_tree.0,
            old_root: self.old_tree.1.to_bytes(),
            working_key,
            vouched,
            ..wire::LogBegun::default()
        };
        match &self.reason {
            BegunReason::NotKnown => {}
            BegunReason::Restored => payload.set_reason(LogBegunReason::Restored),
            BegunReason::Shown {
                log,
                size,
                root,
                key,
            } => {
                payload.set_reason(LogBegunReason::Shown);
                payload.shown_log_id = log.to_bytes();
                payload.shown_size = *size;
                payload.shown_root = root.to_bytes();
                payload.shown_key = key.to_bytes();
            }
        }
        let header = Header {
            county,
            key: writer.key(),
            seq: 1,
            previous: None,
            kind: Kind::LogBegun as i32,
            kind_version: 1,
            // It says nothing about any craft.
            if_not_understood: IfNotUnderstood::Ignore,
            subjects: Vec::new(),
            clock,
            checkpoint: None,
            observed: None,
            member: String::new(),
            beside: Vec::new(),
        };
        let draft = Draft {
            header,
            payload: payload.encode_to_vec().into(),
            beside: Vec::new(),
        };
        SignedEvent::sign(draft, writer)
    }
}

fn read_reason(begun: &wire::LogBegun) -> Result<BegunReason, WrongLength> {
    Ok(match begun.reason() {
        LogBegunReason::Unspecified => BegunReason::NotKnown,
        LogBegunReason::Restored => BegunReason::Restored,
        LogBegunReason::Shown => BegunReason::Shown {
            log: LogId::parse("shown_log_id", &begun.shown_log_id)?,
            size: begun.shown_size,
            root: Digest::parse("shown_root", &begun.shown_root)?,
            key: Key::parse("shown_key", &begun.shown_key)?,
        },
    })
}

/// What a working key signs for the key that begins a log: a fixed encoding, no message.
fn word(county: CountyId, log: LogId, writer: &Key) -> Vec<u8> {
    [
        county.as_bytes().as_slice(),
        log.as_bytes(),
        writer.as_bytes(),
    ]
    .concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(seed: u8) -> DeviceKey {
        DeviceKey::from_seed([seed; 32])
    }

    fn begun() -> LogBegun {
        LogBegun {
            log: LogId::from_bytes([2; 16]),
            old_log: LogId::from_bytes([1; 16]),
            old_tree: (7, Digest::from_bytes([3; 32])),
            reason: BegunReason::Shown {
                log: LogId::from_bytes([1; 16]),
                size: 9,
                root: Digest::from_bytes([4; 32]),
                key: key(2).key(),
            },
            vouched_by: None,
        }
    }

    fn signed(voucher: Voucher<'_>) -> SignedEvent {
        let clock = Clock {
            unix_ms: 1,
            utc_offset_min: 0,
            boot_id: [0; 16],
            monotonic_ms: 1,
        };
        let county = CountyId::of_root(&key(1).key());
        let event = begun().sign(county, &key(9), voucher, clock);
        event.expect("it keeps the limits")
    }

    #[test]
    fn a_beginning_reads_as_it_was_written() {
        let working = key(2);
        let event = signed(Voucher::Working(&working));
        let read = LogBegun::read(&event).expect("a beginning");
        let written = LogBegun {
            vouched_by: Some(working.key()),
            ..begun()
        };
        assert_eq!(read, written);
    }

    #[test]
    fn only_a_working_key_begins_a_log() {
        let (working, other) = (key(2), key(3));
        let log = begun().log;
        let check = |event: &SignedEvent, known: &Key| {
            LogBegun::check(event, log, |asked| asked == known).map(|_| ())
        };
        let vouched = signed(Voucher::Working(&working));
        assert_eq!(check(&vouched, &working.key()), Ok(()));
        assert_eq!(check(&vouched, &other.key()), Err(BegunError::NotVouched));
        let itself = signed(Voucher::Itself);
        assert_eq!(check(&itself, &key(9).key()), Ok(()));
        assert_eq!(check(&itself, &working.key()), Err(BegunError::NotVouched));
        let elsewhere = LogBegun::check(&vouched, LogId::from_bytes([5; 16]), |_| true);
        assert!(elsewhere.is_err(), "{elsewhere:?}");
    }

    #[test]
    fn a_word_for_one_log_or_key_is_none_for_another() {
        let working = key(2);
        let county = CountyId::of_root(&key(1).key());
        let right = word(county, begun().log, &key(9).key());
        for wrong in [
            word(county, LogId::from_bytes([8; 16]), &key(9).key()),
            word(county, begun().log, &key(8).key()),
            word(CountyId::of_root(&key(4).key()), begun().log, &key(9).key()),
        ] {
            let signature = working.sign(Signed::LogBegun, &wrong);
            let ed25519 = SignatureAlgorithm::Ed25519 as i32;
            let verified = sign::verify(
                &working.key(),
                Signed::LogBegun,
                &right,
                ed25519,
                &signature,
            );
            assert!(verified.is_err());
        }
    }
}
