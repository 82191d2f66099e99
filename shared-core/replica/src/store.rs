//! The store on sled: rows that survive a power cut once a write was acknowledged.
//!
//! The rules behind every line here: one tree, one batch a chunk; `apply_batch`, `flush`, then our
//! own sync of the engine's file, since its `flush` is no sync; after a failed write nothing is
//! acknowledged again. Knows rows, not what they mean.

pub(crate) mod folder;
mod mark;
pub(crate) mod read;
pub(crate) mod rows;
#[cfg(test)]
mod tests;
pub(crate) mod write;

use std::fs::File;
use std::path::Path;

use folder::{Opened, Wanted};
use mark::Mark;

use crate::errors::{OpenError, RowError, StoreError};
use rows::{RowKey, damaged, decode};

/// An open store.
#[derive(Debug)]
pub(crate) struct Store {
    db: sled::Db,
    file: File,
    mark: Mark,
    state: State,
    // Last: released after the engine is closed.
    _lock: File,
}

/// Whether the store still keeps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    Good,
    /// A write failed: what is on the disk is not known.
    Poisoned,
    /// The next sync fails.
    #[cfg(test)]
    FailNext,
}

impl Store {
    /// Locks and opens the store of a folder.
    pub(crate) fn open(folder: &Path, wanted: Wanted) -> Result<Self, OpenError> {
        let Opened { db, file, lock } = folder::open(folder, wanted)?;
        let mark = Mark::open(folder).map_err(|error| OpenError::Folder {
            folder: folder.display().to_string(),
            what: "opening the mark",
            detail: error.to_string(),
        })?;
        Ok(Self {
            db,
            file,
            mark,
            state: State::Good,
            _lock: lock,
        })
    }

    /// Events that were acknowledged, as far as is known beside the engine.
    pub(crate) const fn acknowledged(&self) -> Option<u64> {
        self.mark.events()
    }

    /// Notes how many events are durable. Not to know it later is no reason to stop now.
    pub(crate) fn note_acknowledged(&mut self, events: u64) {
        if let Err(error) = self.mark.note(events) {
            tracing::warn!(
                store.events = events,
                "mark beside the store cannot be written: {error}"
            );
        }
    }

    /// Reads one row.
    pub(crate) fn get<M: prost::Message + Default>(
        &self,
        key: RowKey<'_>,
    ) -> Result<Option<M>, RowError> {
        let key = key.bytes();
        let row = self.db.get(&key).map_err(|error| damaged(&key, error))?;
        row.map(|row| decode(&key, &row)).transpose()
    }

    /// All rows of one letter, in order, as they are.
    pub(crate) fn rows(
        &self,
        letter: u8,
    ) -> impl Iterator<Item = Result<(sled::IVec, sled::IVec), RowError>> + use<> {
        self.db
            .scan_prefix([letter])
            .map(move |row| row.map_err(|error| damaged(&[letter], error)))
    }

    /// All rows whatever their letter.
    pub(crate) fn all_rows(
        &self,
    ) -> impl Iterator<Item = Result<(sled::IVec, sled::IVec), RowError>> + use<> {
        self.db
            .iter()
            .map(|row| row.map_err(|error| damaged(b"", error)))
    }

    /// Writes a batch so that it survives a power cut. After an error nothing is written again.
    fn commit(&mut self, batch: sled::Batch) -> Result<(), StoreError> {
        if self.state == State::Poisoned {
            return Err(StoreError::Poisoned);
        }
        self.write_through(batch).map_err(|detail| {
            self.state = State::Poisoned;
            tracing::error!(store.detail = %detail, "store cannot be written; it keeps nothing more");
            StoreError::Write(detail)
        })
    }

    fn write_through(&self, batch: sled::Batch) -> Result<(), String> {
        #[cfg(test)]
        if self.state == State::FailNext {
            return Err("made to fail".to_owned());
        }
        let text = |error: sled::Error| error.to_string();
        self.db.apply_batch(batch).map_err(text)?;
        self.db.flush().map_err(text)?;
        // In this order: the engine's flush only hands the bytes to the system.
        self.file.sync_data().map_err(|error| error.to_string())
    }

    /// Lets the next write fail, as a full or broken disk would.
    #[cfg(test)]
    pub(crate) fn fail_next(&mut self) {
        self.state = State::FailNext;
    }
}
