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
mod upload;

use std::collections::BTreeSet;

use bytes::Bytes;
use follow::{Accepted, Follow};
use prost::Message as _;
use sponson_proto::event::v1::Event as WireEvent;
use sponson_proto::sync::v1::{ChainTail, ExchangeReply, ExchangeRequest};

use crate::checkpoint::Checkpoint;
use crate::event::SignedEvent;
use crate::ids::{CountyId, EventId, Key, LogId};
use crate::sync::chunk::ChunkSize;
use crate::tree::Edge;
use upload::Upload;

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
    /// The county's newest checkpoint, which proves this run and all before it; it may reach
    /// further than what is held. None while its key is not known as a working key of the county:
    /// its admission then stands in entries yet to come, and the places of this run are provisional
    /// until a run with a checkpoint was kept.
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
    county: CountyId,
    follow: Follow,
    upload: Upload,
    heads: Vec<ChainTail>,
    chunk: ChunkSize,
    /// A request that was handed out and not yet replied to.
    asked: Option<Asked>,
    /// What a reply brought, until it is durable.
    pending: Option<Pending>,
    /// Entries held when the sync began.
    size_begun: u64,
    unproven: u64,
    replies: u64,
    switches: u32,
    /// Replies in a row that brought nothing further.
    idle: u32,
    /// Whether the newest checkpoint was handed out to be kept.
    receipt: Receipt,
    summary: Summary,
}

/// A request as it was sent.
#[derive(Clone, Copy, Debug)]
struct Asked {
    bytes: usize,
    unix_ms: i64,
}

#[derive(Debug)]
struct Pending {
    run: KeepRun,
    after: Follow,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Receipt {
    Open,
    Kept,
}

/// Replies in a row without anything new after which a sync gives up: each was a whole round trip.
const IDLE_MAX: u32 = 8;

/// Times that the county may stand in another log within one sync: it is put back once, and once
/// more while this sync runs.
const SWITCHES_MAX: u32 = 2;

impl StationSync {
    /// Begins a sync.
    #[must_use]
    pub fn begin(has: StationHas) -> Self {
        let follow = Follow::begin(&has);
        Self {
            county: has.county,
            size_begun: follow.edge.size(),
            follow,
            upload: Upload::begin(&has.tails),
            heads: has.heads,
            chunk: ChunkSize::default(),
            asked: None,
            pending: None,
            unproven: has.unproven,
            replies: 0,
            switches: 0,
            idle: 0,
            receipt: Receipt::Open,
            summary: Summary::default(),
        }
    }

    /// What to do next; the same again until the answer to it was handed in. `now` is the device's
    /// clock, milliseconds since 1970.
    pub fn next(&mut self, now_unix_ms: i64) -> Step {
        if let Some(pending) = &self.pending {
            return Step::Keep(Box::new(pending.run.clone()));
        }
        if self.asked.is_none() {
            if self.upload.wants_more() {
                return Step::Load {
                    from: self.upload.position(),
                    bytes_max: self.chunk.bytes(),
                };
            }
            if self.is_done() {
                return Step::Done(self.summary.clone());
            }
        }
        let request = self.request(now_unix_ms);
        self.asked = Some(Asked {
            bytes: request.encoded_len(),
            unix_ms: now_unix_ms,
        });
        Step::Send(Box::new(request))
    }

    /// Hands in the events asked for; `last` when there are no more after them.
    pub fn loaded(&mut self, events: Vec<(EventId, WireEvent)>, last: Last) {
        self.upload.loaded(events, last);
    }

    /// Hands in a reply, and how long it took. After an error the sync is over.
    ///
    /// # Errors
    /// When the reply is not right; nothing of it is to be kept.
    pub fn replied(
        &mut self,
        reply: ExchangeReply,
        now_unix_ms: i64,
        elapsed_ms: u64,
    ) -> Result<(), SyncError> {
        let accepted = self.follow.accept(&reply)?;
        let refusals = upload::refusals(&reply.refusals)?;
        let claims = upload::claims(&reply.held)?;
        self.measure(&reply, now_unix_ms, elapsed_ms);

        let sent = self.upload.replied(&refusals);
        self.summary.sent += sent;
        self.summary.refusals.extend(refusals);
        self.summary.county_size = accepted.after.target();
        if accepted.switched {
            self.switches += 1;
            self.size_begun = 0;
            self.receipt = Receipt::Open;
            self.upload.begin_again(&self.heads);
        }
        if self.replies == 0 || accepted.switched {
            self.upload.claimed(claims);
        }
        self.replies += 1;
        self.count_idle(sent, &accepted)?;
        self.hold(accepted);
        Ok(())
    }

    /// Says that the run is durable.
    pub fn kept(&mut self) {
        if let Some(pending) = self.pending.take() {
            self.summary.received += count(pending.run.entries.len());
            self.upload.proven(&pending.run);
            self.follow = pending.after;
        }
    }

    /// How far it is: sent, to send, received, to receive.
    #[must_use]
    pub fn progress(&self) -> (u64, u64, u64, u64) {
        let to_receive = self.follow.target().saturating_sub(self.size_begun);
        let received = self.follow.edge.size().saturating_sub(self.size_begun);
        let to_send = self.unproven.max(self.summary.sent);
        (self.summary.sent, to_send, received, to_receive)
    }

    fn is_done(&self) -> bool {
        self.replies > 0 && self.follow.is_whole() && self.upload.is_done()
    }

    fn request(&self, now_unix_ms: i64) -> ExchangeRequest {
        ExchangeRequest {
            county_id: self.county.to_bytes(),
            log_id: self.follow.log.map_or_else(Bytes::new, LogId::to_bytes),
            size: self.follow.edge.size(),
            checkpoint: self.follow.proven_by(),
            tails: self.upload.tails(),
            events: self.upload.outgoing(),
            entries_bytes_max: u32::try_from(self.chunk.bytes()).unwrap_or(u32::MAX),
            sent_unix_ms: now_unix_ms,
            engine_version: 0,
        }
    }

    /// Learns the link's rate and the county's clock from a round.
    fn measure(&mut self, reply: &ExchangeReply, now_unix_ms: i64, elapsed_ms: u64) {
        let Some(asked) = self.asked.take() else {
            return;
        };
        let down = reply.encoded_len();
        self.chunk = self.chunk.after(asked.bytes, down, elapsed_ms);
        let measured = clock_offset(
            (asked.unix_ms, reply.received_unix_ms),
            (reply.sent_unix_ms, now_unix_ms),
        );
        let best = self.summary.offset_ms.map_or(i64::MAX, |(_, trip)| trip);
        if let Some((offset, trip)) = measured.filter(|(_, trip)| *trip < best) {
            self.summary.offset_ms = Some((offset, trip));
        }
    }

    fn count_idle(&mut self, sent: u64, accepted: &Accepted) -> Result<(), SyncError> {
        if self.switches > SWITCHES_MAX {
            let why = "the county began a new log again and again".to_owned();
            return Err(SyncError::Inconsistent(why));
        }
        if sent > 0 || accepted.switched || !accepted.entries.is_empty() {
            self.idle = 0;
            return Ok(());
        }
        self.idle += 1;
        if self.idle < IDLE_MAX {
            return Ok(());
        }
        Err(SyncError::Inconsistent(format!(
            "{IDLE_MAX} replies in a row brought nothing, with {} of {} entries held and {} events \
             that the county does not list",
            self.follow.edge.size(),
            self.follow.target(),
            self.upload.unlisted(),
        )))
    }

    /// Hands what was accepted to the shell, if there is anything to keep.
    fn hold(&mut self, accepted: Accepted) {
        let whole = accepted.after.is_whole();
        let newer = accepted.checkpoint.is_some() && accepted.checkpoint != self.follow.newest;
        let receipt = whole && newer && self.receipt == Receipt::Open;
        if accepted.entries.is_empty() && !accepted.switched && !receipt {
            self.follow = accepted.after;
            return;
        }
        if whole {
            self.receipt = Receipt::Kept;
        }
        self.pending = Some(Pending {
            run: KeepRun {
                log: accepted.log,
                first: accepted.first,
                entries: accepted.entries,
                checkpoint: accepted.checkpoint,
            },
            after: accepted.after,
        });
    }
}

/// Offset of the county's clock and round trip, milliseconds, from the four stamps: (sent here,
/// received there), (sent there, received here). Offset = ((t1 - t0) + (t2 - t3)) / 2, round trip =
/// (t3 - t0) - (t2 - t1) (RFC 5905, section 8). None for stamps that cannot be.
fn clock_offset(there: (i64, i64), back: (i64, i64)) -> Option<(i64, i64)> {
    let (t0, t1) = (i128::from(there.0), i128::from(there.1));
    let (t2, t3) = (i128::from(back.0), i128::from(back.1));
    let offset = i64::try_from(((t1 - t0) + (t2 - t3)) / 2).ok()?;
    let trip = i64::try_from((t3 - t0) - (t2 - t1)).ok()?;
    (trip >= 0 && t2 >= t1).then_some((offset, trip))
}

fn count(entries: usize) -> u64 {
    u64::try_from(entries).unwrap_or(u64::MAX)
}

/// Whether more events follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Last {
    /// These are the last.
    Yes,
    /// There are more.
    No,
}
