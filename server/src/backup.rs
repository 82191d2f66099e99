//! The form of a backup file: what is written is read back, or refused whole.
//!
//! Knows records and their check sum; what a county is made of is decided elsewhere.

use std::io::{self, Write};

use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_log::ids::CountyId;
use sponson_proto::store::v1::backup_record::What;
use sponson_proto::store::v1::{BackupEnd, BackupFile, BackupRecord, BackupStart};

/// First line of a backup file.
pub const MAGIC: &[u8] = b"sponson backup 1\n";

/// Greatest record: a piece of the log is at most a message of the local service, 4 MiB, and a
/// file at most 1,000 codes of about 300 bytes.
const RECORD_BYTES_MAX: usize = 8 * 1024 * 1024;

/// Why a file is no backup.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BackupError {
    /// Another sort of file.
    #[error("it is no backup of a county: choose another file")]
    NotABackup,
    /// It ends too early, or goes on after its end.
    #[error("it is not whole at byte {0}: take another copy of it")]
    Cut(usize),
    /// Its check sum is another.
    #[error("it was changed since it was written: take another copy of it")]
    Changed,
    /// A record that cannot be read.
    #[error("record at byte {offset}: {detail}: take another copy of it")]
    Record {
        /// Where it begins.
        offset: usize,
        /// What is wrong.
        detail: String,
    },
}

/// What a backup holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Backup {
    /// The county.
    pub county: CountyId,
    /// When it was made, milliseconds since 1970.
    pub unix_ms: i64,
    /// The county log, as a carry file.
    pub log: Vec<u8>,
    /// Files of the county's folder.
    pub files: Vec<(String, Vec<u8>)>,
}

impl Backup {
    /// A file by its name.
    #[must_use]
    pub fn file(&self, name: &str) -> Option<&[u8]> {
        let found = self.files.iter().find(|(known, _)| known == name);
        found.map(|(_, content)| content.as_slice())
    }

    /// Reads a whole file.
    ///
    /// # Errors
    /// When one byte of it is not as it was written.
    pub fn read(file: &[u8]) -> Result<Self, BackupError> {
        let mut rest = file.strip_prefix(MAGIC).ok_or(BackupError::NotABackup)?;
        let mut start = None;
        let (mut log, mut files) = (Vec::new(), Vec::new());
        loop {
            let offset = file.len() - rest.len();
            let refused = |detail: &str| BackupError::Record {
                offset,
                detail: detail.to_owned(),
            };
            let (record, after) = split(rest, offset)?;
            match (record.what, &start) {
                (Some(What::Start(begun)), None) => start = Some(begun),
                (Some(What::Log(piece)), Some(_)) => log.extend_from_slice(&piece),
                (Some(What::File(one)), Some(_)) => files.push((one.name, one.content.to_vec())),
                (Some(What::End(end)), Some(begun)) => {
                    let sum = Sha256::digest(file.get(..offset).unwrap_or_default());
                    if end.sha256.as_ref() != sum.as_slice() {
                        return Err(BackupError::Changed);
                    }
                    if !after.is_empty() {
                        return Err(BackupError::Cut(file.len() - after.len()));
                    }
                    let county = CountyId::parse("county_id", &begun.county_id)
                        .map_err(|error| refused(&error.to_string()))?;
                    let unix_ms = begun.unix_ms;
                    return Ok(Self {
                        county,
                        unix_ms,
                        log,
                        files,
                    });
                }
                (Some(_) | None, _) => return Err(refused("it is out of place")),
            }
            rest = after;
        }
    }
}

/// The record that `rest` begins with, exactly as it is written, and what follows.
fn split(rest: &[u8], offset: usize) -> Result<(BackupRecord, &[u8]), BackupError> {
    let cut = BackupError::Cut(offset);
    let (length, rest) = rest.split_first_chunk::<4>().ok_or(cut.clone())?;
    let length = usize::try_from(u32::from_be_bytes(*length)).unwrap_or(usize::MAX);
    if length > RECORD_BYTES_MAX {
        return Err(BackupError::Record {
            offset,
            detail: format!("it has {length} bytes; at most {RECORD_BYTES_MAX} are allowed"),
        });
    }
    let (record, after) = rest.split_at_checked(length).ok_or(cut)?;
    let read = BackupRecord::decode(record).map_err(|error| BackupError::Record {
        offset,
        detail: error.to_string(),
    })?;
    // The end is under no check sum itself: it must be the very bytes.
    if read.encode_to_vec() != record {
        return Err(BackupError::Changed);
    }
    Ok((read, after))
}

/// Writes a backup, record by record.
#[derive(Debug)]
pub struct Writer<W> {
    to: W,
    sum: Sha256,
}

impl<W: Write> Writer<W> {
    /// Begins a file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn begin(to: W, county: CountyId, unix_ms: i64) -> io::Result<Self> {
        let mut writer = Self {
            to,
            sum: Sha256::new(),
        };
        writer.put(MAGIC)?;
        writer.record(What::Start(BackupStart {
            county_id: county.to_bytes(),
            unix_ms,
        }))?;
        Ok(writer)
    }

    /// The next piece of the log.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn log(&mut self, piece: bytes::Bytes) -> io::Result<()> {
        self.record(What::Log(piece))
    }

    /// A file of the folder.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn file(&mut self, name: &str, content: Vec<u8>) -> io::Result<()> {
        self.record(What::File(BackupFile {
            name: name.to_owned(),
            content: content.into(),
        }))
    }

    /// Ends the file; gives back where it was written to.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn end(mut self) -> io::Result<W> {
        let sum = self.sum.clone().finalize();
        self.record(What::End(BackupEnd {
            sha256: bytes::Bytes::copy_from_slice(&sum),
        }))?;
        self.to.flush()?;
        Ok(self.to)
    }

    fn record(&mut self, what: What) -> io::Result<()> {
        let record = BackupRecord { what: Some(what) }.encode_to_vec();
        let length = u32::try_from(record.len())
            .ok()
            .filter(|_| record.len() <= RECORD_BYTES_MAX)
            .ok_or_else(|| io::Error::other("a record of the backup is too long"))?;
        self.put(&length.to_be_bytes())?;
        self.put(&record)
    }

    fn put(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.sum.update(bytes);
        self.to.write_all(bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written() -> Vec<u8> {
        let county = CountyId::from_bytes([7; 16]);
        let mut writer = Writer::begin(Vec::new(), county, 12).expect("memory");
        writer.log(b"some of ".as_slice().into()).expect("memory");
        writer.log(b"the log".as_slice().into()).expect("memory");
        writer.file("log.key", vec![1; 32]).expect("memory");
        writer.end().expect("memory")
    }

    #[test]
    fn a_backup_reads_as_it_was_written() {
        let read = Backup::read(&written()).expect("a backup");
        assert_eq!(
            (read.county, read.unix_ms),
            (CountyId::from_bytes([7; 16]), 12)
        );
        assert_eq!(read.log, b"some of the log");
        assert_eq!(read.file("log.key"), Some([1; 32].as_slice()));
        assert_eq!(read.file("root.key"), None);
    }

    #[test]
    fn every_changed_byte_and_every_cut_is_found() {
        let whole = written();
        for at in 0..whole.len() {
            for bit in 0..8 {
                let mut changed = whole.clone();
                changed[at] ^= 1 << bit;
                assert!(Backup::read(&changed).is_err(), "byte {at}, bit {bit}");
            }
            assert!(Backup::read(&whole[..at]).is_err(), "{at} bytes");
        }
        let longer = [whole.as_slice(), b"x"].concat();
        assert!(Backup::read(&longer).is_err());
    }
}
