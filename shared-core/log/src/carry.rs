//! The carry file: frames of records with their digests (see `carry.proto`).

use sponson_proto::carry::v1::CarryRecord;

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

/// One frame of a record, digest and length before it.
#[must_use]
pub fn frame(_record: &CarryRecord) -> Vec<u8> {
    todo!()
}

/// Reads a whole file: start first, end last, every digest right.
///
/// # Errors
/// When anything of it is not as it was written; names the record and the byte.
pub fn read(_file: &[u8]) -> Result<Vec<CarryRecord>, CarryError> {
    todo!()
}
