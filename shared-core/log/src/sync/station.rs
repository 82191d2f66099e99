//! A station's end of a sync with the county.
//!
//! The shell loops over [`StationSync::next`]: loads events when asked, sends the request and hands
//! in the reply, keeps what it is told to keep and says when that is durable. A sync that is cut
//! anywhere is simply begun again: an event is its id.

use std::collections::BTreeSet;

use bytes::Bytes;
use sponson_proto::event::v1::Event as WireEvent;
use sponson_proto::sync::v1::{ChainTail, ExchangeReply, ExchangeRequest};

use crate::checkpoint::Checkpoint;
use crate::event::SignedEvent;
use crate::ids::{CountyId, EventId, Key, LogId};
use crate::tree::Edge;

/// What the station holds when a sync begins.
#[derive(Clone, Debug)]
pub struct StationHas {
    /// The county.
    pub county: CountyId,
    /// The county log that it follows; none before the first sync.
    pub log: Option<LogId>,
    /// Right edge of that log as held.
    pub edge: Edge,
    /// The newest checkpoint held.
    pub checkpoint: Option<Checkpoint>,
    /// Chains with events that the county log, as held, does not prove: their last such event.
    pub tails: Vec<ChainTail>,
    /// Heads of all chains held, for starting again when the county stands in another log.
    pub heads: Vec<ChainTail>,
    /// The county's working keys, as the registry held knows them.
    pub working_keys: BTreeSet<Key>,
    /// How many events there are that the county log does not prove.
    pub unproven: u64,
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
    /// The checkpoint, when the entries reach it and its root was found right.
    pub checkpoint: Option<Checkpoint>,
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
    /// The checkpoint is not signed by a working key of this county.
    #[error("the checkpoint is not this county's: {0}")]
    NotThisCounty(String),
}

/// A station's end of one sync.
#[derive(Debug)]
pub struct StationSync {
    _has: StationHas,
}

impl StationSync {
    /// Begins a sync.
    #[must_use]
    pub fn begin(_has: StationHas) -> Self {
        todo!()
    }

    /// What to do next. `now` is the device's clock, milliseconds since 1970.
    pub fn next(&mut self, _now_unix_ms: i64) -> Step {
        todo!()
    }

    /// Hands in the events asked for; `last` when there are no more after them.
    pub fn loaded(&mut self, _events: Vec<(EventId, WireEvent)>, _last: Last) {
        todo!()
    }

    /// Hands in a reply, and how long it took.
    ///
    /// # Errors
    /// When the reply is not right; nothing of it is to be kept.
    pub fn replied(
        &mut self,
        _reply: ExchangeReply,
        _now_unix_ms: i64,
        _elapsed_ms: u64,
    ) -> Result<(), SyncError> {
        todo!()
    }

    /// Says that the run is durable.
    pub fn kept(&mut self) {
        todo!()
    }

    /// How far it is: sent, to send, received, to receive.
    #[must_use]
    pub fn progress(&self) -> (u64, u64, u64, u64) {
        todo!()
    }
}

/// Whether more events follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Last {
    /// These are the last.
    Yes,
    /// There are more.
    No,
}

/// Unused until the body is written.
#[doc(hidden)]
pub type Unused = Bytes;
