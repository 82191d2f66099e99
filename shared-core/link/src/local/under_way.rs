//! Checks under way: begun at this device and not recorded yet.
//!
//! Each stands in a file of its own in the folder `under-way` beside the store, line after line;
//! what was entered is on disk before the reply. Nothing here is signed, leaves the device, or is
//! part of a backup: a check counts once it is recorded. What a field means is not known here.

mod calls;
mod check;
mod file;
mod line;
mod recording;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::{Mutex as AsyncMutex, watch};

pub(super) use calls::{begin, changes, drop_it, enter, list};
use check::Check;
use file::CheckFile;
use line::{Begun, Line};
pub(super) use recording::{go_on, record};

/// Name of the folder beside the store.
pub const UNDER_WAY_FOLDER: &str = "under-way";

/// Open checks at a time: a station of 20 craft with two checks each, and some craft that are
/// fitted out.
pub const OPEN_MAX: usize = 64;

/// How long one that ended is listed.
const ENDED_KEPT_MS: i64 = 24 * 60 * 60 * 1_000;

/// The checks under way of one device; cheap to copy. Whoever opens it holds the device's store,
/// so nobody else has the folder open.
#[derive(Clone, Debug)]
pub struct UnderWay {
    held: Arc<Mutex<Option<Held>>>,
    changes: Arc<watch::Sender<u64>>,
    /// One is recorded at a time.
    recording: Arc<AsyncMutex<()>>,
}

/// Why checks under way could not be opened.
#[derive(Debug, thiserror::Error)]
#[error("checks under way in {} cannot be opened: {source}; look at the disk", folder.display())]
pub struct UnderWayError {
    folder: PathBuf,
    source: io::Error,
}

/// What is open.
#[derive(Debug)]
pub(super) struct Held {
    folder: PathBuf,
    checks: BTreeMap<String, (Check, CheckFile)>,
}

impl UnderWay {
    /// Opens the checks under way of a device's folder; makes the folder for them when there is
    /// none.
    ///
    /// # Errors
    /// When the folder cannot be made or read.
    pub fn open(device: &Path) -> Result<Self, UnderWayError> {
        let folder = device.join(UNDER_WAY_FOLDER);
        let held = Held::open(device, &folder).map_err(|source| UnderWayError {
            folder: folder.clone(),
            source,
        })?;
        Ok(Self {
            held: Arc::new(Mutex::new(Some(held))),
            changes: Arc::new(watch::Sender::new(0)),
            recording: Arc::default(),
        })
    }

    /// Counts every change.
    #[must_use]
    pub fn changes(&self) -> watch::Receiver<u64> {
        self.changes.subscribe()
    }

    /// Closes the files. Whoever still holds a copy is told that the log is closed.
    pub fn close(&self) {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        *held = None;
    }

    fn changed(&self) {
        self.changes.send_modify(|count| *count += 1);
    }
}

impl Held {
    fn open(device: &Path, folder: &Path) -> io::Result<Self> {
        match std::fs::create_dir(folder) {
            Ok(()) => file::sync_folder(device)?,
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
        let mut checks = BTreeMap::new();
        for entry in std::fs::read_dir(folder)? {
            let path = entry?.path();
            let Some(id) = file::id_of(&path) else {
                continue;
            };
            match CheckFile::replay(&path)? {
                Some((file, check)) if check.id() == id => {
                    checks.insert(id, (check, file));
                }
                Some(_) => set_aside(&path, "of another check than its name says")?,
                None => {}
            }
        }
        Ok(Self {
            folder: folder.to_owned(),
            checks,
        })
    }

    /// Writes the first line of a check.
    fn begin(&mut self, begun: Begun) -> io::Result<&Check> {
        let id = begun.id.clone();
        let line = Line::Begun(begun);
        let file = CheckFile::create(&self.folder, &id, &line)?;
        let check = Check::of(line).ok_or_else(|| io::Error::other("not a beginning"))?;
        let (check, _) = self.checks.entry(id).insert_entry((check, file)).into_mut();
        Ok(check)
    }

    /// Writes a line, and takes it in once it is durable.
    fn write(&mut self, id: &str, line: Line) -> io::Result<Option<&Check>> {
        let Some((check, file)) = self.checks.get_mut(id) else {
            return Ok(None);
        };
        file.append(&line)?;
        check.take(line);
        Ok(Some(check))
    }

    /// Takes away what ended more than a day ago; a clock that was set back keeps nothing for ever.
    fn prune(&mut self, now_unix_ms: i64) {
        let old = |check: &Check| {
            let ended = check.ended_unix_ms();
            ended.is_some_and(|at| now_unix_ms.abs_diff(at) > ENDED_KEPT_MS.unsigned_abs())
        };
        let gone: Vec<String> = self
            .checks
            .iter()
            .filter(|(_, (check, _))| old(check))
            .map(|(id, _)| id.clone())
            .collect();
        for id in gone {
            let Some((_, file)) = self.checks.remove(&id) else {
                continue;
            };
            // What stays is listed again after a start, and tried again.
            if let Err(error) = file.remove(&self.folder) {
                tracing::warn!(%error, check = id, "a check that ended was left over");
            }
        }
    }

    fn open_checks(&self) -> usize {
        let checks = self.checks.values();
        checks.filter(|(check, _)| check.is_going_on()).count()
    }
}

/// A file that cannot be a check's is kept for whoever wants to look, and not listed.
fn set_aside(path: &Path, why: &str) -> io::Result<()> {
    tracing::error!(file = %path.display(), "a check under way is {why}: set aside");
    std::fs::rename(path, path.with_extension("damaged"))
}
