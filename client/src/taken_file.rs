//! Files that are named on the command line: read no further than they may be long, and refused in
//! the words of commands.

use std::path::Path;

use sponson_link::taken_file::{self, TakenFileError};

use crate::error::CommandError;

/// Reads a text of at most so many bytes. `remedy` is what to do when it is longer.
///
/// # Errors
/// When it cannot be read, is no UTF-8, or is longer.
pub fn text(
    field: &str,
    file: &Path,
    bytes_max: u64,
    remedy: &str,
) -> Result<String, CommandError> {
    taken_file::text(file, bytes_max)
        .map_err(|error| refused(field, file, bytes_max, remedy, error))
}

/// Reads a file of at most so many bytes. `remedy` is what to do when it is longer.
///
/// # Errors
/// When it cannot be read or is longer.
pub fn bytes(
    field: &str,
    file: &Path,
    bytes_max: u64,
    remedy: &str,
) -> Result<Vec<u8>, CommandError> {
    taken_file::bytes(file, bytes_max)
        .map_err(|error| refused(field, file, bytes_max, remedy, error))
}

/// The same for a file of a sort that begins with a head of its own: what begins otherwise is read no
/// further than that head, so that a wrong file costs nothing.
///
/// # Errors
/// As for [`bytes()`].
pub fn headed(
    field: &str,
    file: &Path,
    head: &[u8],
    bytes_max: u64,
    remedy: &str,
) -> Result<Vec<u8>, CommandError> {
    taken_file::headed(file, head, bytes_max)
        .map_err(|error| refused(field, file, bytes_max, remedy, error))
}

fn refused(
    field: &str,
    file: &Path,
    bytes_max: u64,
    remedy: &str,
    error: TakenFileError,
) -> CommandError {
    match error {
        TakenFileError::Unreadable(source) => CommandError::Read {
            file: file.to_owned(),
            source,
        },
        TakenFileError::TooLong(bytes) => CommandError::Refused {
            field: field.to_owned(),
            value: format!("{bytes} bytes long"),
            limit: format!("at most {bytes_max} bytes are read: {remedy}"),
        },
    }
}
