//! A file that somebody names is read no further than it may be long, whatever it turns out to be: a
//! device or a pipe tells no length, and goes on for ever.

use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;

/// Why a file was not taken.
#[derive(Debug, thiserror::Error)]
pub enum TakenFileError {
    /// It cannot be read.
    #[error(transparent)]
    Unreadable(#[from] io::Error),
    /// It is too long: so many bytes at least.
    #[error("it has {0} bytes or more")]
    TooLong(u64),
}

/// Reads a file of at most so many bytes.
///
/// # Errors
/// When it cannot be read or is longer.
pub fn bytes(file: &Path, bytes_max: u64) -> Result<Vec<u8>, TakenFileError> {
    headed(file, &[], bytes_max)
}

/// Reads a file of at most so many bytes; of one that begins otherwise than with the head, so much
/// as shows that.
///
/// # Errors
/// When it cannot be read or is longer.
pub fn headed(file: &Path, head: &[u8], bytes_max: u64) -> Result<Vec<u8>, TakenFileError> {
    let mut opened = File::open(file)?;
    let mut bytes = Vec::new();
    let of_head = u64::try_from(head.len()).unwrap_or(u64::MAX);
    opened.by_ref().take(of_head).read_to_end(&mut bytes)?;
    if bytes != head {
        return Ok(bytes);
    }
    let told = opened.metadata()?.len();
    if told > bytes_max {
        return Err(TakenFileError::TooLong(told));
    }
    let left = bytes_max.saturating_add(1).saturating_sub(of_head);
    opened.take(left).read_to_end(&mut bytes)?;
    match u64::try_from(bytes.len()) {
        Ok(read) if read <= bytes_max => Ok(bytes),
        Ok(_) | Err(_) => Err(TakenFileError::TooLong(bytes_max.saturating_add(1))),
    }
}

/// Reads a text of at most so many bytes.
///
/// # Errors
/// As for [`bytes()`]; when it is no UTF-8.
pub fn text(file: &Path, bytes_max: u64) -> Result<String, TakenFileError> {
    let bytes = bytes(file, bytes_max)?;
    let text = String::from_utf8(bytes);
    Ok(text.map_err(|_| io::Error::new(io::ErrorKind::InvalidData, "it is not text in UTF-8"))?)
}
