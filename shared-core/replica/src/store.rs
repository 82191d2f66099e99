//! The store on sled: rows that survive a power cut once a write was acknowledged.
//!
//! The rules behind every line here: one tree, one batch a chunk; `apply_batch`, `flush`, then our
//! own sync of the engine's file, since its `flush` is no sync; after a failed write nothing is
//! acknowledged again. Knows rows, not what they mean.

pub(crate) mod at_start;
pub(crate) mod compact;
pub(crate) mod engine;
pub(crate) mod folder;
mod making;
pub(crate) mod mark;
pub(crate) mod migrations;
mod place;
pub(crate) mod read;
pub(crate) mod rows;
pub(crate) mod simulated;
#[cfg(test)]
mod tests;
pub(crate) mod write;

use std::path::{Path, PathBuf};
use std::time::Duration;

use folder::Wanted;
use place::{Place, Rows};
use simulated::SimulatedDisk;
use write::{Row, WriteFailed};

use crate::errors::{OpenError, RowError, StoreError};
use rows::{RowKey, damaged, decode};

/// An open store.
#[derive(Debug)]
pub(crate) struct Store {
    place: Place,
    state: State,
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
        Ok(Self::at(Place::open(folder, wanted)?))
    }

    /// A store on a disk that is simulated, for tests.
    pub(crate) fn simulated(disk: &SimulatedDisk) -> Self {
        Self::at(Place::Simulated(disk.clone()))
    }

    const fn at(place: Place) -> Self {
        let state = State::Good;
        Self { place, state }
    }

    /// Events that were acknowledged, as far as is known beside the engine.
    pub(crate) fn acknowledged(&self) -> Option<u64> {
        self.place.acknowledged()
    }

    /// Notes how many events are durable. Not to know it later is no reason to stop now.
    pub(crate) fn note_acknowledged(&mut self, events: u64) {
        if let Err(error) = self.place.note_acknowledged(events) {
            tracing::warn!(
                store.events = events,
                "mark beside the store cannot be written: {error}"
            );
        }
    }

    /// The store of a folder holds what was kept in it: what guarded against the opposite can go.
    pub(crate) fn is_good(folder: &Path) {
        at_start::forget(folder);
    }

    /// A store is about to be made in a folder; what a cut left of making one goes.
    pub(crate) fn begin(folder: &Path) -> Result<(), OpenError> {
        folder::begin(folder)
    }

    /// A new store says durably whose it is: from now on it is one.
    pub(crate) fn is_made(folder: &Path) -> Result<(), OpenError> {
        making::done(folder).map_err(|error| OpenError::Folder {
            folder: folder.display().to_string(),
            what: "making the store",
            detail: error.to_string(),
        })
    }

    /// Whether a copy stands beside the store from before it was opened.
    pub(crate) fn has_copy(folder: &Path) -> bool {
        at_start::is_kept(folder)
    }

    /// Puts the files back as they were before an opening that failed; says whether they are.
    pub(crate) fn put_back(folder: &Path) -> bool {
        at_start::put_back(folder)
            .inspect_err(|error| tracing::warn!("the files were not put back: {error}"))
            .unwrap_or(false)
    }

    /// The store of a folder is not for this program or this key: its files are put back as they were
    /// before it was opened, and the copy of them goes.
    pub(crate) fn leave_as_it_was(folder: &Path) {
        if Self::has_copy(folder) && Self::put_back(folder) {
            at_start::forget(folder);
        }
    }

    /// A copy of its files as they are on the disk now; none when it cannot be had.
    pub(crate) fn copy_for_check(&self) -> Option<PathBuf> {
        self.place.copy_for_check()
    }

    /// How long reading all of it may take.
    pub(crate) fn reads_within(&self) -> Duration {
        // One that is simulated has nothing to wait for.
        let simulated = Duration::from_secs(60 * 60);
        self.sizes().map_or(simulated, |(disk, _)| {
            engine::limit_for(disk.saturating_mul(2))
        })
    }

    /// Bytes of its files, and bytes left on their disk; none on one that is simulated.
    pub(crate) fn sizes(&self) -> Option<(u64, u64)> {
        self.place.sizes()
    }

    /// Reads one row.
    pub(crate) fn get<M: prost::Message + Default>(
        &self,
        key: RowKey<'_>,
    ) -> Result<Option<M>, RowError> {
        let key = key.bytes();
        let row = self.bytes(&key)?;
        row.map(|row| decode(&key, &row)).transpose()
    }

    /// The bytes of one row.
    fn bytes(&self, key: &[u8]) -> Result<Option<sled::IVec>, RowError> {
        self.place.get(key).map_err(|error| damaged(key, error))
    }

    /// All rows of one letter, in order, as they are.
    pub(crate) fn rows(&self, letter: u8) -> Rows {
        self.place.scan(&[letter])
    }

    /// All rows whatever their letter.
    pub(crate) fn all_rows(&self) -> Rows {
        self.place.scan(b"")
    }

    /// Writes a batch so that it survives a power cut. After an error nothing is written again.
    fn commit(&mut self, batch: Vec<Row>) -> Result<(), StoreError> {
        if self.state == State::Poisoned {
            return Err(StoreError::Poisoned);
        }
        self.write_through(batch).map_err(|failed| {
            self.state = State::Poisoned;
            let error = match failed {
                WriteFailed::Refused(detail) => StoreError::Write(detail),
                WriteFailed::NoAnswer(detail) => StoreError::NoAnswer(detail),
            };
            tracing::error!(store.detail = %error, "it keeps nothing more");
            error
        })
    }

    fn write_through(&self, batch: Vec<Row>) -> Result<(), WriteFailed> {
        #[cfg(test)]
        if self.state == State::FailNext {
            return Err(WriteFailed::Refused("made to fail".to_owned()));
        }
        self.place.write(batch)?;
        self.place.make_durable()
    }

    /// Lets the next write fail, as a full or broken disk would.
    #[cfg(test)]
    pub(crate) fn fail_next(&mut self) {
        self.state = State::FailNext;
    }
}
