//! A station's end of a sync with the county.
//!
//! The shell loops over [`StationSync::next`]: loads events when asked, sends the request and hands
//! in the reply, keeps what it is told to keep and says when that is durable. A sync that is cut
//! anywhere is simply begun again: an event is its id.
//!
//! The shell must: keep each run whole or not at all; from then on count its events out of the
//! unproven ones; refuse a run that names a held event that it does not hold, or that does not
//! begin where the log held ends; and, when a run is of another log, forget the places held so far
//! (the events stay) and count as unproven all that the new log does not list. A run may be without
//! entries: it brings a checkpoint, or a new log.
//!
//! After [`SyncError::Inconsistent`] or [`SyncError::NotThisCounty`] with provisional places (see
//! [`KeepRun::checkpoint`]) the shell forgets all places, and the next sync begins at the first
//! entry.

mod follow;
mod session;
mod upload;

use std::collections::{BTreeMap, BTreeSet};

use sponson_proto::county::v1::InclusionProof;
use sponson_proto::event::v1::Event as WireEvent;
use sponson_proto::sync::v1::{ChainTail, ExchangeRequest};

use crate::begun::LogBegun;
use crate::checkpoint::Checkpoint;
use crate::event::SignedEvent;
use crate::ids::{CountyId, EventId, Key, LogId, SubjectId};
use crate::sync::program::Program;
use crate::tree::Edge;
pub use session::StationSync;

/// What the station holds when a sync begins.
#[derive(Clone, Debug)]
pub struct StationHas {
    /// The county.
    pub county: CountyId,
    /// The county log that it follows; none before the first sync.
    pub log: Option<LogId>,
    /// Right edge of that log as held.
    pub edge: Edge,
    /// The newest checkpoint held; it may reach further than the places do.
    pub checkpoint: Option<Checkpoint>,
    /// The newest checkpoint whose entries are all held: what places are proved against.
    pub proved: Option<Checkpoint>,
    /// County logs that were left.
    pub left: BTreeSet<LogId>,
    /// Events of the root key after its first, as signed.
    pub root_events: Vec<WireEvent>,
    /// Chains with events that the county log, as held, does not prove: their last such event.
    pub tails: Vec<ChainTail>,
    /// Heads of all chains held, for starting again when the county stands in another log.
    pub heads: Vec<ChainTail>,
    /// The county's working keys, as the registry held knows them.
    pub working_keys: BTreeSet<Key>,
    /// How many events there are that the county log does not prove.
    pub unproven: u64,
    /// The program, which the county is told.
    pub program: Program,
}

/// What the shell does next.
#[derive(Clone, Debug)]
pub enum Step {
    /// Load events that the county log does not prove, in the station's order of keeping, from
    /// this position among them (0 = the first), about this many bytes; then call
    /// [`StationSync::loaded`].
    Load {
        /// Position among the unproven events.
        from: u64,
        /// About so many bytes.
        bytes_max: usize,
    },
    /// Load the events that the county log as held lists, in its order, from this index on, about
    /// this many bytes, each with its place proved in [`StationHas::proved`] or the newer one that
    /// was kept since; then call [`StationSync::loaded_placed`]. The county began another log, and
    /// gets back what it lost of this one before the station leaves it.
    LoadPlaced {
        /// Index in the county log.
        from: u64,
        /// About so many bytes.
        bytes_max: usize,
    },
    /// Send; then call [`StationSync::replied`].
    Send(Box<ExchangeRequest>),
    /// Keep these entries of the county log, durably, as one batch; then call
    /// [`StationSync::kept`].
    Keep(Box<KeepRun>),
    /// Done.
    Done(Summary),
}

/// Consecutive entries of the county log, verified against a checkpoint as far as they reach.
#[derive(Clone, Debug)]
pub struct KeepRun {
    /// The log; when it is not the one held, the places held in the old one no longer count.
    pub log: LogId,
    /// Index of the first entry.
    pub first: u64,
    /// The entries.
    pub entries: Vec<RunEntry>,
    /// The county's newest checkpoint, which proves this run and all before it; it may reach
    /// further than what is held. None while its key is not known as a working key of the county:
    /// its admission then stands in entries yet to come, and the places of this run are provisional
    /// until a run with a checkpoint was kept.
    pub checkpoint: Option<Checkpoint>,
}

/// An event that the county log lists, on its way back to the county.
#[derive(Clone, Debug)]
pub struct PlacedEvent {
    /// Its id.
    pub id: EventId,
    /// The event.
    pub event: WireEvent,
    /// When the county stored it, and the proof; none for a place that no checkpoint proves yet.
    pub place: Option<(i64, InclusionProof)>,
}

/// One entry.
#[derive(Clone, Debug)]
pub struct RunEntry {
    /// When the county stored it, milliseconds since 1970.
    pub received_unix_ms: i64,
    /// The event, or the id of one that is held.
    pub event: EntryEvent,
}

/// The event of an entry.
#[derive(Clone, Debug)]
pub enum EntryEvent {
    /// New here (or held already: keeping it again changes nothing).
    New(Box<SignedEvent>),
    /// Held already.
    Held(EventId),
}

/// What a sync did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Events sent.
    pub sent: u64,
    /// Entries received.
    pub received: u64,
    /// Events that the county refused, and why.
    pub refusals: Vec<(EventId, String)>,
    /// County's clock less the device's, milliseconds, and the round trip that it was measured in.
    pub offset_ms: Option<(i64, i64)>,
    /// Size of the county log now.
    pub county_size: u64,
    /// The county began another log, and this station went over to it.
    pub moved: Option<Box<Moved>>,
    /// When the county last met each station directly, by its own clock, milliseconds since 1970.
    pub heard: BTreeMap<SubjectId, i64>,
}

/// A station that went over to another log of the county.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    /// What the new log's first leaf says.
    pub begun: LogBegun,
    /// When the county said so, milliseconds since 1970.
    pub begun_unix_ms: i64,
    /// Events that the old log listed, the county had lost, and this station gave back.
    pub given_back: u64,
}

/// Why a sync cannot go on.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SyncError {
    /// The county's message is not right in form.
    #[error("the county's message cannot be read: {0}")]
    Unreadable(String),
    /// An event in it is not right.
    #[error("entry {index} of the county log was refused: {why}")]
    BadEntry {
        /// Place in the county log.
        index: u64,
        /// Why.
        why: String,
    },
    /// The county log is not the one that its checkpoint says, or not a continuation.
    #[error(
        "the county log does not lead from what this station holds to what the county signed: {0}; tell the lead"
    )]
    Inconsistent(String),
    /// The county stands in a log that this station left.
    #[error(
        "the county stands in log {0} again, which it had given up: an old copy of the county is running; tell the lead"
    )]
    WentBack(LogId),
    /// The checkpoint is not signed by a working key of this county.
    #[error("the checkpoint is not this county's: {0}")]
    NotThisCounty(String),
}

/// Whether more events follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Last {
    /// These are the last.
    Yes,
    /// There are more.
    No,
}

fn count(events: usize) -> u64 {
    u64::try_from(events).unwrap_or(u64::MAX)
}
