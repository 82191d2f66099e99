//! The note that a store is being made: written before the engine's first file, taken away once the
//! row is durable that says whose the store is.
//!
//! A cut in between leaves files that the engine takes for damaged ones. Nothing was ever kept in
//! them: with this note they are known for what they are, and are made anew.

use std::fs::{self, File};
use std::io::{ErrorKind, Result};
use std::path::Path;

/// Name of the note.
const NOTE: &str = "making";

/// Whether a store is being made here, or its making was cut short.
pub(super) fn is_begun(folder: &Path) -> bool {
    folder.join(NOTE).exists()
}

/// Begins to make a store, durably: takes away what a cut left. A store that is there stays.
pub(super) fn begin(folder: &Path) -> Result<()> {
    let store = folder.join("store");
    if is_begun(folder) {
        gone(fs::remove_dir_all(&store))?;
        gone(fs::remove_file(folder.join("kept")))?;
    } else if !store.exists() {
        File::create(folder.join(NOTE))?.sync_all()?;
        File::open(folder)?.sync_all()?;
    }
    Ok(())
}

/// It is made.
pub(super) fn done(folder: &Path) -> Result<()> {
    gone(fs::remove_file(folder.join(NOTE)))?;
    File::open(folder)?.sync_all()
}

fn gone(removed: Result<()>) -> Result<()> {
    match removed {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
        Ok(()) | Err(_) => Ok(()),
    }
}
