//! Where the rows lie: in the engine's folder, or on a disk that is simulated. Nothing else in the
//! store knows which.

use std::path::{Path, PathBuf};

use super::at_start;
use super::engine::Engine;
use super::folder::{self, Wanted};
use super::mark::Mark;
use super::rows::damaged;
use super::simulated::SimulatedDisk;
use super::write::{Row, WriteFailed};
use crate::errors::{OpenError, RowError};

/// Rows in order, as they are.
pub(crate) type Rows = Box<dyn Iterator<Item = Result<(sled::IVec, sled::IVec), RowError>>>;

/// Where the rows lie.
#[derive(Debug)]
pub(super) enum Place {
    /// In a folder.
    Folder {
        /// The engine.
        engine: Engine,
        /// The folder.
        folder: PathBuf,
        /// How many events were acknowledged.
        mark: Mark,
    },
    /// In memory, for tests.
    Simulated(SimulatedDisk),
}

impl Place {
    /// Locks and opens a folder.
    pub(super) fn open(folder: &Path, wanted: Wanted) -> Result<Self, OpenError> {
        let engine = folder::open(folder, wanted)?;
        let mark = Mark::open(folder).map_err(|error| OpenError::Folder {
            folder: folder.display().to_string(),
            what: "opening the mark",
            detail: error.to_string(),
        })?;
        Ok(Self::Folder {
            engine,
            folder: folder.to_owned(),
            mark,
        })
    }

    /// See [`super::Store::sizes`].
    pub(super) fn sizes(&self) -> Option<(u64, u64)> {
        match self {
            Self::Folder { folder, .. } => {
                let disk = at_start::size(&folder.join("store")).ok()?;
                Some((disk, fs2::available_space(folder).ok()?))
            }
            Self::Simulated(_) => None,
        }
    }

    /// See [`super::Store::copy_for_check`].
    pub(super) fn copy_for_check(&self) -> Option<PathBuf> {
        match self {
            Self::Folder { engine, folder, .. } => {
                engine.flush().ok()?;
                let copied = at_start::for_check(folder);
                copied
                    .inspect_err(|error| tracing::warn!("no copy for a check: {error}"))
                    .ok()?
            }
            Self::Simulated(_) => None,
        }
    }

    /// See [`super::Store::acknowledged`].
    pub(super) fn acknowledged(&self) -> Option<u64> {
        match self {
            Self::Folder { mark, .. } => mark.events(),
            Self::Simulated(disk) => disk.mark(),
        }
    }

    /// See [`super::Store::note_acknowledged`].
    pub(super) fn note_acknowledged(&mut self, events: u64) -> std::io::Result<()> {
        match self {
            Self::Folder { mark, .. } => mark.note(events),
            Self::Simulated(disk) => {
                disk.note(events);
                Ok(())
            }
        }
    }

    /// One row.
    pub(super) fn get(&self, key: &[u8]) -> Result<Option<sled::IVec>, sled::Error> {
        match self {
            Self::Folder { engine, .. } => engine.reading()?.get(key),
            Self::Simulated(disk) => Ok(disk.get(key)),
        }
    }

    /// All rows whose keys begin so.
    pub(super) fn scan(&self, prefix: &[u8]) -> Rows {
        match self {
            Self::Folder { engine, .. } => {
                let prefix = prefix.to_vec();
                match engine.reading() {
                    Ok(db) => {
                        let rows = db.scan_prefix(&prefix);
                        Box::new(rows.map(move |row| row.map_err(|error| damaged(&prefix, error))))
                    }
                    Err(error) => Box::new(std::iter::once(Err(damaged(&prefix, error)))),
                }
            }
            Self::Simulated(disk) => Box::new(disk.scan(prefix).into_iter().map(Ok)),
        }
    }

    /// Hands a batch over, all of it or nothing. It may still be lost when the power goes.
    pub(super) fn write(&self, batch: Vec<Row>) -> Result<(), WriteFailed> {
        match self {
            Self::Folder { engine, .. } => engine.write(batch),
            Self::Simulated(disk) => disk.write(batch).map_err(WriteFailed::Refused),
        }
    }

    /// Makes what was written survive a power cut.
    pub(super) fn make_durable(&self) -> Result<(), WriteFailed> {
        match self {
            Self::Folder { engine, .. } => engine.sync(),
            Self::Simulated(disk) => disk.make_durable().map_err(WriteFailed::Refused),
        }
    }
}
