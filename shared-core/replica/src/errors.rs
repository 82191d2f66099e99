//! What can go wrong, an enum per operation. Each says what to do.

use sponson_log::carry::CarryError;
use sponson_log::event::EventError;
use sponson_log::ids::{CountyId, EventId, Key};

use crate::parse::ParseError;

/// What to do about a store that is damaged.
pub const REMEDY: &str = "at a station run 'sponson salvage', which builds a fresh store and sets \
                          this one aside; at the county bring its backup back into a new folder";

/// Why a store could not be opened or made.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// There is none.
    #[error("folder {0} holds no store: join or found a county first; if there was one, {REMEDY}")]
    NoStore(String),
    /// There is one already.
    #[error("folder {0} holds a store already: open it, or choose an empty folder")]
    AlreadyThere(String),
    /// Another process has it.
    #[error("folder {0} is in use by another process: end that one, or ask it instead")]
    InUse(String),
    /// The file system refused.
    #[error(
        "{what} in folder {folder} failed: {detail}; look at the disk and its permissions; \
         if it stays so, {REMEDY}"
    )]
    Folder {
        /// The folder.
        folder: String,
        /// What was tried.
        what: &'static str,
        /// The system's words.
        detail: String,
    },
    /// The disk has no room even to open it.
    #[error(
        "disk of folder {folder} has {free} bytes left, and opening the store takes {least}: make \
         room and start again; nothing that was recorded is lost"
    )]
    NoRoom {
        /// The folder.
        folder: String,
        /// Bytes left.
        free: u64,
        /// Bytes that are needed.
        least: u64,
    },
    /// The system starts no thread.
    #[error(
        "the system starts no thread for the store in folder {folder}: {detail}; end other programs, \
         or raise the limit of processes (ulimit -u), and give the command again: what is kept is \
         whole"
    )]
    NoThread {
        /// The folder.
        folder: String,
        /// The system's words.
        detail: String,
    },
    /// The store engine could not open it.
    #[error("store in folder {folder} is damaged and does not open: {detail}; {REMEDY}")]
    Damaged {
        /// The folder.
        folder: String,
        /// The engine's words.
        detail: String,
    },
    /// The store holds less than was acknowledged.
    #[error(
        "store in folder {folder} holds {held} events, but {kept} were kept in it: it was damaged; \
         {REMEDY}"
    )]
    Lost {
        /// The folder.
        folder: String,
        /// Events that it holds.
        held: u64,
        /// Events that were kept.
        kept: u64,
    },
    /// A row is not what was written.
    #[error(transparent)]
    Row(#[from] RowError),
    /// Rows of another version.
    #[error(
        "store has version {found} and needs a newer version of this program, which knows {known}"
    )]
    Version {
        /// Version found.
        found: u32,
        /// Version known.
        known: u32,
    },
    /// The store belongs to another key.
    #[error(
        "store belongs to key {stored}, but the key given is {given}: use the folder's own key"
    )]
    OtherKey {
        /// Key of the store.
        stored: Key,
        /// Key given.
        given: Key,
    },
    /// The root key does not belong to the county.
    #[error("root key {root} does not give county {county}: check both")]
    OtherRoot {
        /// The root key.
        root: Key,
        /// The county.
        county: CountyId,
    },
    /// Writing the first rows failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Why a store was not made small. It is as it was.
#[derive(Debug, thiserror::Error)]
pub enum CompactError {
    /// It does not open, or a row of it is damaged.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// A row could not be read.
    #[error("the store could not be read to its end: {0}; nothing was changed; {REMEDY}")]
    Read(String),
    /// The fresh files could not be written.
    #[error("the fresh store could not be written: {0}; nothing was changed: look at the disk")]
    Write(String),
    /// What was read back is not what is in place.
    #[error(
        "the fresh store does not hold what the old one holds; nothing was changed: try again, and \
         look at the disk if it stays so"
    )]
    NotTheSame,
    /// Both stores do not fit on the disk.
    #[error(
        "the disk has {free} bytes left, and a second store beside the old one takes up to {least}: \
         make room; nothing was changed"
    )]
    NoRoom {
        /// Bytes left.
        free: u64,
        /// Bytes that are needed.
        least: u64,
    },
    /// The file system refused.
    #[error(
        "{what} {path} failed: {source}; look at the disk and its permissions, and give the command \
         again: what is kept is whole"
    )]
    Files {
        /// What was tried.
        what: &'static str,
        /// The file or folder.
        path: String,
        /// The system's words.
        source: std::io::Error,
    },
}

/// A row that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("row {row} of the store is damaged: {detail}; {REMEDY}")]
pub struct RowError {
    /// The row, as letter and numbers.
    pub row: String,
    /// What is wrong.
    pub detail: String,
}

/// Why an event was not recorded.
#[derive(Debug, thiserror::Error)]
pub enum AppendError {
    /// Its payload is not right.
    #[error(transparent)]
    Parse(#[from] ParseError),
    /// It breaks a limit of every event.
    #[error(transparent)]
    Event(#[from] EventError),
    /// A field of the draft breaks a limit.
    #[error("{field} is {value}; {limit}")]
    Value {
        /// The field.
        field: String,
        /// Its value.
        value: String,
        /// What is allowed.
        limit: String,
    },
    /// The county's key does not know how far it signed.
    #[error(
        "this county was put back to an older state and does not know how far its key signed: \
         another event of it could contradict one that a station holds; bring the root key and type \
         sponson-county renew-key --root-key FILE; what stations record is taken in meanwhile"
    )]
    Paused,
    /// It names events that are not held here.
    #[error("it names event {0}, which is not held here: sync first, or name another")]
    NotHeld(EventId),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// The store failed, or was given what cannot be kept.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Writing failed.
    #[error("store cannot be written: {0}; nothing was kept, look at the disk and start again")]
    Write(String),
    /// Writing did not come to an end.
    #[error(
        "store cannot be written: {0}; whether this was kept is not known: look at the disk, start \
         again, and see whether it is there before you record it once more"
    )]
    NoAnswer(String),
    /// An earlier write failed.
    #[error("store failed earlier and keeps nothing more: look at the disk and start again")]
    Poisoned,
    /// A row is not what was written.
    #[error(transparent)]
    Row(#[from] RowError),
    /// Only a station follows the county log, and only the county writes it.
    #[error(
        "this replica writes the county log itself: entries of it are not taken from elsewhere"
    )]
    NotAStation,
    /// Only the county begins a log.
    #[error("this replica is not the county's: only the county begins a log or changes its key")]
    NotTheCounty,
    /// The first leaf of a log, or the admission of a key, does not fit.
    #[error("what the county was about to write does not fit its log: {0}; verify the store")]
    Beginning(String),
    /// A run that does not begin where the own one ends.
    #[error("run of the county log begins at {first}, but {size} entries are held: sync again")]
    RunPlace {
        /// First index of the run.
        first: u64,
        /// Entries held.
        size: u64,
    },
    /// An entry that cannot stand where the run says.
    #[error(
        "entry {index} of the county log cannot be kept: {detail}; sync again, then tell the lead"
    )]
    RunEntry {
        /// Index in the county log.
        index: u64,
        /// Why.
        detail: String,
    },
    /// The run does not lead to the root that the county signed.
    #[error(
        "the county log of {size} entries has another root than the county signed: tell the lead"
    )]
    RunRoot {
        /// Entries.
        size: u64,
    },
}

/// Why a carry file was not taken in.
#[derive(Debug, thiserror::Error)]
pub enum CarryInError {
    /// The file is not as it was written; nothing of it was kept.
    #[error(transparent)]
    File(#[from] CarryError),
    /// Another county's; nothing of it was kept.
    #[error("file is of county {theirs}, not of {ours}: choose another")]
    OtherCounty {
        /// This county.
        ours: CountyId,
        /// The file's.
        theirs: CountyId,
    },
    /// A record that is not right; nothing of the file was kept.
    #[error("record {record} was refused: {detail}; have the file written again")]
    Record {
        /// Record, from 0.
        record: u64,
        /// Why.
        detail: String,
    },
    /// The store failed; what was kept before it stays.
    #[error(transparent)]
    Store(#[from] StoreError),
}
