//! Where the rows lie: in the engine's folder, or on a disk that is simulated. Nothing else in the
//! store knows which.

use std::fs::File;
use std::path::{Path, PathBuf};

use super::at_start;
use super::folder::{self, Opened, Wanted};
use super::mark::Mark;
use super::rows::damaged;
use super::simulated::SimulatedDisk;
use super::write::Row;
use crate::errors::{OpenError, RowError};

/// Rows in order, as they are.
pub(crate) type Rows = Box<dyn Iterator<Item = Result<(sled::IVec, sled::IVec), RowError>>>;

/// Where the rows lie.
#[derive(Debug)]
pub(super) enum Place {
    /// In a folder.
    Folder {
        /// The engine.
        db: sled::Db,
        /// Its file, for syncing.
        file: File,
        /// The folder.
        folder: PathBuf,
        /// How many events were acknowledged.
        mark: Mark,
        /// Last: released after the engine is closed.
        _lock: File,
    },
    /// In memory, for tests.
    Simulated(SimulatedDisk),
}

impl Place {
    /// Locks and opens a folder.
    pub(super) fn open(folder: &Path, wanted: Wanted) -> Result<Self, OpenError> {
        let Opened { db, file, lock } = folder::open(folder, wanted)?;
        let mark = Mark::open(folder).map_err(|error| OpenError::Folder {
            folder: folder.display().to_string(),
            what: "opening the mark",
            detail: error.to_string(),
        })?;
        Ok(Self::Folder {
            db,
            file,
            folder: folder.to_owned(),
            mark,
            _lock: lock,
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
            Self::Folder { db, folder, .. } => {
                db.flush().ok()?;
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
            Self::Folder { db, .. } => db.get(key),
            Self::Simulated(disk) => Ok(disk.get(key)),
        }
    }

    /// All rows whose keys begin so.
    pub(super) fn scan(&self, prefix: &[u8]) -> Rows {
        match self {
            Self::Folder { db, .. } => {
                let prefix = prefix.to_vec();
                let rows = db.scan_prefix(&prefix);
                Box::new(rows.map(move |row| row.map_err(|error| damaged(&prefix, error))))
            }
            Self::Simulated(disk) => Box::new(disk.scan(prefix).into_iter().map(Ok)),
        }
    }

    /// Hands a batch over, all of it or nothing. It may still be lost when the power goes.
    pub(super) fn write(&self, batch: Vec<Row>) -> Result<(), String> {
        match self {
            Self::Folder { db, .. } => {
                let mut whole = sled::Batch::default();
                for (key, value) in batch {
                    match value {
                        Some(value) => whole.insert(key, value),
                        None => whole.remove(key),
                    }
                }
                db.apply_batch(whole).map_err(|error| error.to_string())
            }
            Self::Simulated(disk) => disk.write(batch),
        }
    }

    /// Makes what was written survive a power cut.
    pub(super) fn make_durable(&self) -> Result<(), String> {
        match self {
            Self::Folder { db, file, .. } => {
                // In this order: the engine's flush only hands the bytes to the system.
                db.flush().map_err(|error| error.to_string())?;
                file.sync_data().map_err(|error| error.to_string())
            }
            Self::Simulated(disk) => disk.make_durable(),
        }
    }
}
