//! What can still be read of a store that is damaged: events that verify, where they stood, and
//! whether the last of the device's own are among them.
//!
//! Reads a copy and never the store itself, since the engine changes files as it opens them. Keeps
//! nothing: that is [`Replica::refill`](crate::Replica::refill).

mod carve;
pub(crate) mod reading;
mod tail;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{CountyId, Key};

pub use tail::{Filled, OwnTail, TailDoubt};

use crate::store::at_start::{self, Copied};
use crate::store::compact;
use crate::store::folder;
use crate::store::mark;

/// What could be read of a store.
#[derive(Debug, Default)]
pub struct Salvaged {
    /// What the store said that it is; none when that row is lost.
    pub whose: Option<Whose>,
    /// How many events were acknowledged in it; none when the file beside it does not say.
    pub kept: Option<u64>,
    /// Rows that could not be read and what the engine said, a line for each.
    pub wrong: Vec<String>,
    /// Events by their numbers.
    pub(crate) events: BTreeMap<u64, SignedEvent>,
    /// Events that were found in the file, though no row leads to them.
    pub(crate) loose: Vec<SignedEvent>,
    /// Numbers of events in chunks that came from the county.
    pub(crate) from_county: BTreeSet<u64>,
    /// Places in the county log: number and received time of each.
    pub(crate) places: Vec<(u64, i64)>,
    /// The newest county checkpoint.
    pub(crate) checkpoint: Option<Checkpoint>,
}

/// What a store is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Whose {
    /// The county.
    pub county: CountyId,
    /// Key of the device.
    pub key: Key,
    /// Whether it is the county's own or a station's.
    pub role: StoreOf,
}

/// Whether a store is the county's own or a station's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StoreOf {
    /// The county's.
    County,
    /// A station's.
    Station,
}

/// What of it is kept again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refill {
    /// What was read in its row.
    Rows,
    /// Also what was found in the file without one.
    All,
}

/// Why a store could not be looked at. What cannot be read in it is no error.
#[derive(Debug, thiserror::Error)]
pub enum SalvageError {
    /// Another process has it.
    #[error("folder {0} is in use by another process: end that one first")]
    InUse(String),
    /// The file system refused.
    #[error("{what} {path} failed: {source}; look at the disk, its room and its permissions")]
    Files {
        /// What was tried.
        what: &'static str,
        /// The file or folder.
        path: String,
        /// The system's words.
        source: std::io::Error,
    },
}

impl Salvaged {
    /// Reads what can be read of the store in a folder. `scratch` is a folder that is not there yet,
    /// with room for a copy; it is gone afterwards.
    ///
    /// # Errors
    /// When another process has the store, or it cannot be copied.
    pub fn read(folder: &Path, scratch: &Path) -> Result<Self, SalvageError> {
        let lock = folder::try_lock(folder).map_err(|source| SalvageError::Files {
            what: "locking",
            path: folder.display().to_string(),
            source,
        })?;
        let Some(_lock) = lock else {
            return Err(SalvageError::InUse(folder.display().to_string()));
        };
        compact::settle(folder).map_err(|source| SalvageError::Files {
            what: "ending what was cut short in",
            path: folder.display().to_string(),
            source,
        })?;
        let kept = mark::peek(folder);
        let mut best = Self::default();
        for files in at_start::EVERY_WAY {
            let Some(read) = copied(folder, scratch, files, kept)? else {
                continue;
            };
            if best.is_empty() || read.events.len() > best.events.len() {
                best = read;
            }
            if best.is_all() {
                return Ok(best);
            }
        }
        best.loose = carve::events(&at_start::data_files(folder), &best.events);
        Ok(best)
    }

    /// The county, as the store or any of its events says.
    #[must_use]
    pub fn county(&self) -> Option<CountyId> {
        let first = self
            .in_order(Refill::All)
            .next()
            .map(|event| event.header().county);
        self.whose.map(|whose| whose.county).or(first)
    }

    /// Events that were read.
    #[must_use]
    pub fn count(&self) -> u64 {
        (self.events.len() + self.loose.len()) as u64
    }

    /// How many of the events that were acknowledged have no readable row.
    #[must_use]
    pub fn missing(&self) -> u64 {
        self.missing_numbers().count() as u64
    }

    pub(crate) fn missing_numbers(&self) -> impl Iterator<Item = u64> + '_ {
        let last = self.events.last_key_value();
        let seen = last.map_or(0, |(number, _)| number + 1);
        (0..seen.max(self.kept.unwrap_or(0))).filter(|number| !self.events.contains_key(number))
    }

    /// All events in an order that fits as far as that is known.
    pub(crate) fn in_order(&self, what: Refill) -> impl Iterator<Item = &SignedEvent> {
        let loose: &[SignedEvent] = match what {
            Refill::Rows => &[],
            Refill::All => &self.loose,
        };
        self.events.values().chain(loose)
    }

    fn is_empty(&self) -> bool {
        self.whose.is_none() && self.events.is_empty()
    }

    fn is_all(&self) -> bool {
        self.whose.is_some() && self.wrong.is_empty() && self.missing() == 0
    }
}

/// Reads a copy in the scratch folder.
fn copied(
    folder: &Path,
    scratch: &Path,
    files: Copied,
    kept: Option<u64>,
) -> Result<Option<Salvaged>, SalvageError> {
    let failed = |what, source| SalvageError::Files {
        what,
        path: scratch.display().to_string(),
        source,
    };
    let copied = at_start::copy(folder, scratch, files);
    if !copied.map_err(|source| failed("copying into", source))? {
        return Ok(None);
    }
    let read =
        reading::read(scratch, kept).map_err(|source| failed("opening the copy in", source))?;
    std::fs::remove_dir_all(scratch).map_err(|source| failed("removing", source))?;
    Ok(Some(read))
}
