//! A store made small: every row copied into fresh files, read back, and only then put in the place
//! of the old ones.
//!
//! The engine writes every change behind what is there and uses old room again only in part; bytes
//! that were removed stay in its file meanwhile. Rows stay as they are, byte for byte: nothing that
//! was signed, proved or noted changes, and no key either. Cut short anywhere, what is in place is
//! whole: [`settle`], at the next opening, puts back or takes away what is left over.

use std::fs::File;
use std::path::Path;

use super::engine::Engine;
use super::folder;
use super::write::{Row, WriteFailed};
use super::{at_start, rows};
use crate::errors::{CompactError, OpenError};

/// Where the fresh files are filled.
const FRESH: &str = "store.fresh";

/// Where the old ones stand between the two renames.
const BEFORE: &str = "store.before";

/// Bytes of rows that are handed over at once, each time to the system: the engine writes a page anew
/// with every few rows and uses the old room again only once what replaces it was handed over. In
/// batches of 512 KiB what came out took nearly twice the room of what went in.
const BATCH_BYTES: usize = 32 * 1024;

/// What was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Compacted {
    /// Bytes of the files before.
    pub before: u64,
    /// Bytes of the files now.
    pub after: u64,
}

/// Copies the store of a folder into fresh files and puts those in its place. It was opened and
/// found whole before.
pub(crate) fn compact(folder: &Path) -> Result<Compacted, CompactError> {
    let _lock = folder::lock(folder)?;
    settle(folder).map_err(failed("tidying up in", folder))?;
    let (old, fresh) = (folder.join("store"), folder.join(FRESH));
    let before = at_start::size(&old).map_err(failed("measuring", &old))?;
    enough_room(folder, before)?;
    let filled = fill(folder, &old, &fresh);
    if filled.is_err() {
        // Nothing was put in place. What is left is taken away at the next opening.
        let _ = at_start::remove(&fresh);
    }
    filled?;
    sync_files(&fresh).map_err(failed("syncing", &fresh))?;
    swap(folder).map_err(failed("putting the fresh files in place in", folder))?;
    let after = at_start::size(&old).map_err(failed("measuring", &old))?;
    Ok(Compacted { before, after })
}

/// Fills the fresh files, closes them, and reads them back beside the old ones.
fn fill(folder: &Path, old: &Path, fresh: &Path) -> Result<(), CompactError> {
    let from = folder::open_engine(folder, old, None)?;
    let into = folder::open_engine(folder, fresh, None)?;
    copy(&from, &into)?;
    drop(into);
    let into = folder::open_engine(folder, fresh, None)?;
    same(&from, &into)
}

fn copy(from: &Engine, into: &Engine) -> Result<(), CompactError> {
    let not_written = |failed| match failed {
        WriteFailed::Refused(detail) | WriteFailed::NoAnswer(detail) => CompactError::Write(detail),
    };
    let mut batch: Vec<Row> = Vec::new();
    let mut bytes = 0;
    for row in from.reading().map_err(not_read)?.iter() {
        let (key, value) = row.map_err(not_read)?;
        bytes += key.len() + value.len();
        batch.push((key.to_vec(), Some(value.to_vec())));
        if bytes > BATCH_BYTES {
            into.write(std::mem::take(&mut batch))
                .map_err(not_written)?;
            into.flush().map_err(not_written)?;
            bytes = 0;
        }
    }
    into.write(batch).map_err(not_written)?;
    into.sync().map_err(not_written)
}

/// Holds that both have the same rows, each with its check sum right.
fn same(one: &Engine, other: &Engine) -> Result<(), CompactError> {
    let mut others = other.reading().map_err(not_read)?.iter();
    for row in one.reading().map_err(not_read)?.iter() {
        let (key, value) = row.map_err(not_read)?;
        rows::unseal(&key, &value).map_err(OpenError::Row)?;
        let copied = others.next().transpose().map_err(not_read)?;
        if copied != Some((key, value)) {
            return Err(CompactError::NotTheSame);
        }
    }
    match others.next() {
        None => Ok(()),
        Some(_) => Err(CompactError::NotTheSame),
    }
}

fn not_read(error: sled::Error) -> CompactError {
    CompactError::Read(error.to_string())
}

/// Both stand there until the fresh ones are in place.
fn enough_room(folder: &Path, bytes: u64) -> Result<(), CompactError> {
    let free = fs2::available_space(folder).map_err(failed("measuring the room of", folder))?;
    let least = bytes.saturating_add(folder::ROOM_LEAST_BYTES);
    if free < least {
        return Err(CompactError::NoRoom { free, least });
    }
    Ok(())
}

/// The engine syncs none of its files but the one that it writes into.
fn sync_files(files: &Path) -> std::io::Result<()> {
    for entry in std::fs::read_dir(files)? {
        let entry = entry?;
        if entry.file_type()?.is_file() {
            File::open(entry.path())?.sync_all()?;
        }
    }
    File::open(files)?.sync_all()
}

fn swap(folder: &Path) -> std::io::Result<()> {
    let (store, before) = (folder.join("store"), folder.join(BEFORE));
    std::fs::rename(&store, &before)?;
    std::fs::rename(folder.join(FRESH), &store)?;
    File::open(folder)?.sync_all()?;
    at_start::remove(&before)?;
    File::open(folder)?.sync_all()
}

/// Whether a store stands in a folder, also one whose files were just being swapped.
pub(super) fn is_there(folder: &Path) -> bool {
    let conf = |name: &str| folder.join(name).join("conf").exists();
    conf("store") || conf(BEFORE)
}

/// Ends what was cut short. Between the two renames the old files go back; in any other moment the
/// files in place are whole, and all others are left over. Needs the lock of the folder.
pub(crate) fn settle(folder: &Path) -> std::io::Result<()> {
    let (store, before) = (folder.join("store"), folder.join(BEFORE));
    if before.exists() && !store.exists() {
        std::fs::rename(&before, &store)?;
        File::open(folder)?.sync_all()?;
    }
    at_start::remove(&folder.join(FRESH))?;
    at_start::remove(&before)
}

fn failed(what: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> CompactError {
    let path = path.display().to_string();
    move |source| CompactError::Files { what, path, source }
}
