//! One sync, step by step: what to load, send and keep, and when it is done.
//!
//! What a reply is worth is decided in [`super::follow`], what goes up in [`super::upload`].

use std::collections::BTreeMap;

use bytes::Bytes;
use prost::Message as _;
use sponson_proto::county::v1::SignedCheckpoint;
use sponson_proto::event::v1::Event as WireEvent;
use sponson_proto::sync::v1::{ChainTail, ExchangeReply, ExchangeRequest};

use super::follow::{Accepted, Follow};
use super::upload::{self, Claims, Upload};
use super::{KeepRun, Last, Moved, PlacedEvent, StationHas, Step, Summary, SyncError, count};
use crate::checkpoint::Checkpoint;
use crate::ids::{CountyId, EventId, LogId, SubjectId};
use crate::sync::chunk::ChunkSize;
use crate::sync::county::HEARD_MAX;
use crate::sync::program::Program;

/// A station's end of one sync.
#[derive(Debug)]
pub struct StationSync {
    county: CountyId,
    follow: Follow,
    upload: Upload,
    heads: Vec<ChainTail>,
    chunk: ChunkSize,
    /// Where it is with giving back the log that the county left.
    giving: Giving,
    /// What places are proved against.
    proved: Option<Checkpoint>,
    root_events: Vec<WireEvent>,
    /// Events that were given back.
    given_back: u64,
    /// A request that was handed out and not yet replied to.
    asked: Option<Asked>,
    /// What a reply brought, until it is durable.
    pending: Option<Pending>,
    /// Entries held when the sync began.
    size_begun: u64,
    unproven: u64,
    program: Program,
    replies: u64,
    /// Replies to requests that were made from the log which is followed now: before the first of
    /// them the county does not know that it has all that is held here.
    replies_here: u64,
    switches: u32,
    /// Replies in a row that brought nothing further.
    idle: u32,
    summary: Summary,
}

/// Where a sync is with giving back what the county lost of the log that is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Giving {
    /// The county stands in that log, as far as is known.
    No,
    /// It stands in another: it is asked how far it holds each chain.
    Asking,
    /// What it lacks goes to it first.
    Now,
    /// It has all of it: the station goes over.
    Done,
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
            giving: Giving::No,
            proved: has.proved.filter(|proved| Some(proved.log) == has.log),
            root_events: has.root_events,
            given_back: 0,
            heads: has.heads,
            chunk: ChunkSize::default(),
            asked: None,
            pending: None,
            unproven: has.unproven,
            program: has.program,
            replies: 0,
            replies_here: 0,
            switches: 0,
            idle: 0,
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
            if self.giving == Giving::Now && self.upload.is_given() {
                self.giving = Giving::Done;
            }
            if self.giving == Giving::Now && self.upload.wants_more() {
                return Step::LoadPlaced {
                    from: self.upload.position(),
                    bytes_max: self.chunk.bytes(),
                };
            }
            if self.giving == Giving::No && self.upload.wants_more() {
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

    /// Hands in events of the log that the county left; `last` when there are no more after them.
    pub fn loaded_placed(&mut self, events: Vec<PlacedEvent>, last: Last) {
        self.upload.loaded_placed(events, last);
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
        let heard = heard(&reply)?;
        self.measure(&reply, now_unix_ms, elapsed_ms);

        let sent = self.upload.replied(&refusals);
        self.summary.sent += sent;
        self.summary.refusals.extend(refusals.iter().cloned());
        self.summary.heard.extend(heard);
        self.summary.county_size = accepted.after.target();
        if accepted.switched && self.giving != Giving::Done {
            self.give_back(sent, &refusals, claims);
            return Ok(());
        }
        if accepted.switched {
            self.go_over(&accepted)?;
            self.replies_here = 0;
        } else {
            self.replies_here += 1;
        }
        if self.replies == 0 || accepted.switched {
            self.upload.claimed(claims);
        }
        self.replies += 1;
        self.count_idle(sent, &accepted)?;
        self.hold(accepted);
        Ok(())
    }

    /// The county stands in another log: what it lacks of this one goes to it first, or went.
    fn give_back(&mut self, sent: u64, refusals: &[(EventId, String)], claims: Claims) {
        match self.giving {
            Giving::Now => self.given_back += sent.saturating_sub(count(refusals.len())),
            Giving::Asking => {
                self.upload.claimed(claims);
                self.giving = if self.follow.edge.size() == 0 {
                    Giving::Done
                } else {
                    Giving::Now
                };
            }
            Giving::No | Giving::Done => {
                self.upload.begin_again(&self.heads);
                self.giving = Giving::Asking;
            }
        }
    }

    /// Goes over to the log in which the county stands.
    fn go_over(&mut self, accepted: &Accepted) -> Result<(), SyncError> {
        let Some((begun, begun_unix_ms)) = accepted.begun.clone() else {
            let why = "it stands in another log, and shows nothing of it".to_owned();
            return Err(SyncError::Inconsistent(why));
        };
        self.giving = Giving::No;
        self.switches += 1;
        self.size_begun = 0;
        self.summary.refusals.clear();
        self.summary.moved = Some(Box::new(Moved {
            begun,
            begun_unix_ms,
            given_back: std::mem::take(&mut self.given_back),
        }));
        self.upload.begin_again(&self.heads);
        Ok(())
    }

    /// Says that the run is durable.
    pub fn kept(&mut self) {
        if let Some(pending) = self.pending.take() {
            self.summary.received += count(pending.run.entries.len());
            self.upload.proven(&pending.run);
            self.follow = pending.after;
            let reached = pending.run.checkpoint;
            let reached = reached.filter(|it| it.size == self.follow.edge.size());
            let held = self.proved.take();
            self.proved = reached.or(held.filter(|held| Some(held.log) == self.follow.log));
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
        self.replies_here > 0 && self.follow.is_whole() && self.upload.is_done()
    }

    fn request(&self, now_unix_ms: i64) -> ExchangeRequest {
        ExchangeRequest {
            county_id: self.county.to_bytes(),
            log_id: self.follow.log.map_or_else(Bytes::new, LogId::to_bytes),
            size: self.follow.edge.size(),
            checkpoint: self.shown(),
            tails: self.upload.tails(),
            events: self.upload.outgoing(),
            entries_bytes_max: match self.giving {
                Giving::Asking | Giving::Now => 0,
                Giving::No | Giving::Done => self.chunk.bytes().try_into().unwrap_or(u32::MAX),
            },
            sent_unix_ms: now_unix_ms,
            engine_version: self.program.engine_version,
            program_version: self.program.version.clone(),
            // Until the county answered: a county that was put back may not know its own key.
            root_events: if self.replies == 0 {
                self.root_events.clone()
            } else {
                Vec::new()
            },
            placed: self.upload.placed(),
        }
    }

    /// The checkpoint that goes with a request: what places are proved against while a log is given
    /// back, else the newest.
    fn shown(&self) -> Option<SignedCheckpoint> {
        let proved = self.proved.as_ref().filter(|_| self.giving == Giving::Now);
        proved.map_or_else(
            || self.follow.proven_by(),
            |proved| Some(proved.to_wire().clone()),
        )
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
            let why = format!(
                "the county began a new log {} times while this sync ran, of {SWITCHES_MAX} that are \
                 followed",
                self.switches
            );
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
        if accepted.entries.is_empty() && !accepted.switched && !(whole && newer) {
            self.follow = accepted.after;
            return;
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

/// When stations were heard. No station was met after the reply was sent: what says so is taken
/// for then.
fn heard(reply: &ExchangeReply) -> Result<BTreeMap<SubjectId, i64>, SyncError> {
    let count = reply.heard.len();
    if count > HEARD_MAX {
        let why =
            format!("it says of {count} stations when they were heard, of {HEARD_MAX} at most");
        return Err(SyncError::Unreadable(why));
    }
    let heard = reply.heard.iter().map(|heard| {
        let station = SubjectId::parse("heard station", &heard.station);
        let station = station.map_err(|error| SyncError::Unreadable(error.to_string()))?;
        Ok((station, heard.unix_ms.min(reply.sent_unix_ms)))
    });
    heard.collect()
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
