//! The carry file: frames of records with their digests (see `carry.proto`).
//!
//! Finds a file that was cut or changed on its way. Whether the events in it are signed, and by
//! whom, is found out when they are opened.

#[cfg(test)]
mod tests;

use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_proto::carry::v1::CarryRecord;
use sponson_proto::carry::v1::carry_record::What;

use crate::ids::Digest;

/// First bytes of every carry file.
pub const MAGIC: &[u8; 16] = b"sponson-carry-1\n";

/// Greatest record: 1 MiB, two chunks of the greatest sync.
pub const RECORD_BYTES_MAX: usize = 1024 * 1024;

/// Why a carry file was refused; nothing of it is kept.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CarryError {
    /// Not a carry file.
    #[error("file does not begin as a carry file: choose another")]
    NotACarryFile,
    /// Cut short.
    #[error("file ends inside record {record} at byte {offset}: copy it again")]
    Cut {
        /// Record, from 0.
        record: u64,
        /// Byte at which the record begins.
        offset: u64,
    },
    /// A record longer than allowed.
    #[error(
        "record {record} at byte {offset} has {length} bytes; at most {RECORD_BYTES_MAX} are allowed"
    )]
    TooLong {
        /// Record, from 0.
        record: u64,
        /// Byte at which it begins.
        offset: u64,
        /// Its length.
        length: u64,
    },
    /// Bytes that were changed.
    #[error("record {record} at byte {offset} was changed: copy the file again")]
    Changed {
        /// Record, from 0.
        record: u64,
        /// Byte at which it begins.
        offset: u64,
    },
    /// A record that cannot be read, or stands in the wrong place.
    #[error("record {record} at byte {offset} cannot be read: {detail}")]
    Unreadable {
        /// Record, from 0.
        record: u64,
        /// Byte at which it begins.
        offset: u64,
        /// Why.
        detail: String,
    },
}

/// Bytes of a frame before its record: length and digest.
const FRAME_HEAD_BYTES: usize = 4 + Digest::LEN;

/// One frame of a record, length and digest before it.
///
/// A record above [`RECORD_BYTES_MAX`] makes a file that [`read`] refuses: the writer splits its
/// runs. A single event always fits.
#[must_use]
pub fn frame(record: &CarryRecord) -> Vec<u8> {
    let record = record.encode_to_vec();
    let length = u32::try_from(record.len()).unwrap_or(u32::MAX);
    let mut frame = Vec::with_capacity(FRAME_HEAD_BYTES + record.len());
    frame.extend_from_slice(&length.to_be_bytes());
    frame.extend_from_slice(&Sha256::digest(&record));
    frame.extend_from_slice(&record);
    frame
}

/// Reads a whole file: start first, end last, every digest right.
///
/// # Errors
/// When anything of it is not as it was written; names the record and the byte.
pub fn read(file: &[u8]) -> Result<Vec<CarryRecord>, CarryError> {
    let mut rest = file.strip_prefix(MAGIC).ok_or(CarryError::NotACarryFile)?;
    let mut at = Place {
        record: 0,
        offset: bytes(MAGIC.len()),
    };
    let mut records = Vec::new();
    loop {
        let (record, after) = at.read_frame(rest)?;
        let role = at.check_order(&record)?;
        records.push(record);
        at.offset += bytes(rest.len() - after.len());
        at.record += 1;
        rest = after;
        if role == Role::Last {
            break;
        }
    }
    if rest.is_empty() {
        Ok(records)
    } else {
        Err(at.unreadable("the file goes on after its end"))
    }
}

const fn bytes(length: usize) -> u64 {
    // Widening: no platform has a greater usize.
    length as u64
}

/// Whether another record has to follow.
#[derive(PartialEq, Eq)]
enum Role {
    More,
    Last,
}

/// Where the reader stands: what every refusal names.
struct Place {
    record: u64,
    offset: u64,
}

impl Place {
    /// The record of the frame that `rest` begins with, and what follows the frame.
    ///
    /// A length is believed only as far as the file goes, so that none can ask for memory.
    fn read_frame<'a>(&self, rest: &'a [u8]) -> Result<(CarryRecord, &'a [u8]), CarryError> {
        let (length, rest) = rest.split_first_chunk::<4>().ok_or(self.cut())?;
        let length = u32::from_be_bytes(*length);
        let record_bytes = usize::try_from(length)
            .ok()
            .filter(|length| *length <= RECORD_BYTES_MAX)
            .ok_or(CarryError::TooLong {
                record: self.record,
                offset: self.offset,
                length: length.into(),
            })?;
        let (digest, rest) = rest
            .split_first_chunk::<{ Digest::LEN }>()
            .ok_or(self.cut())?;
        let (record, rest) = rest.split_at_checked(record_bytes).ok_or(self.cut())?;
        if Sha256::digest(record).as_slice() != digest {
            return Err(CarryError::Changed {
                record: self.record,
                offset: self.offset,
            });
        }
        let record =
            CarryRecord::decode(record).map_err(|error| self.unreadable(&error.to_string()))?;
        Ok((record, rest))
    }

    fn check_order(&self, record: &CarryRecord) -> Result<Role, CarryError> {
        let first = self.record == 0;
        match &record.what {
            Some(What::Start(_)) if first => Ok(Role::More),
            Some(What::Start(_)) => Err(self.unreadable("a start stands after the first record")),
            Some(_) if first => Err(self.unreadable("the first record is not a start")),
            Some(What::CountyRun(_) | What::EventRun(_)) => Ok(Role::More),
            Some(What::End(_)) => Ok(Role::Last),
            None => {
                Err(self
                    .unreadable("it is of no sort that this version knows: upgrade this device"))
            }
        }
    }

    const fn cut(&self) -> CarryError {
        CarryError::Cut {
            record: self.record,
            offset: self.offset,
        }
    }

    fn unreadable(&self, detail: &str) -> CarryError {
        CarryError::Unreadable {
            record: self.record,
            offset: self.offset,
            detail: detail.to_owned(),
        }
    }
}
