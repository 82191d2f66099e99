//! The county's end of a sync: one request in, what to keep and then the reply out.
//!
//! Order of the shell: [`Request::open`]; keep `events` durably; then read checkpoint, entries and
//! proof of one and the same state of the log; then [`reply`]. Nothing is said to be held before it
//! is durable.

use std::collections::{BTreeMap, BTreeSet};

use bytes::Bytes;
use sponson_proto::county::v1::ConsistencyProof;
use sponson_proto::event::v1::Event as WireEvent;
use sponson_proto::sync::v1::{
    ChainTail, CountyEntry, ExchangeReply, ExchangeRequest, PlacedBefore, Refusal, StationHeard,
};

use super::chunk;
use super::program::Program;
use super::shown::proved_times;
use crate::chains::{Chain, Chains};
use crate::checkpoint::Checkpoint;
use crate::event::{SignedEvent, event_id};
use crate::ids::{CountyId, Digest, EventId, Key, LogId, SubjectId};

/// Greatest number of events of one request: 512 KiB of the shortest events, about 250 bytes each,
/// are 2,100; five times that leaves room.
pub const EVENTS_MAX: usize = 10_000;

/// Greatest number of tails of one request: about 75 KiB; a station carries a few chains.
pub const TAILS_MAX: usize = 1_024;

/// Greatest number of events of the root key in one request: as many changes of working keys.
pub const ROOT_EVENTS_MAX: usize = 64;

/// Greatest number of stations of which a reply says when they were heard: four times as many as
/// any county has, about 110 KiB.
pub const HEARD_MAX: usize = 4_096;

/// A request that was read and found right in form.
#[derive(Clone, Debug)]
pub struct Request {
    /// The station's log; none before its first sync.
    pub log: Option<LogId>,
    /// Entries that it holds.
    pub size: u64,
    /// The newest checkpoint that it holds.
    pub checkpoint: Option<Checkpoint>,
    /// Its tails: key, seq, head.
    pub tails: Vec<(Key, u64, EventId)>,
    /// Events for the county that are right in form and signed.
    pub events: Vec<SignedEvent>,
    /// Events that were not, and why.
    pub refused: Vec<(EventId, String)>,
    /// About how many bytes of entries it wants.
    pub entries_bytes_max: usize,
    /// Its clock.
    pub sent_unix_ms: i64,
    /// Its program, as it says.
    pub program: Program,
    /// Events of the root key, which lead to working keys.
    pub root_events: Vec<SignedEvent>,
    /// When the county had stored events of this request, proved against `checkpoint`.
    pub stored_before: BTreeMap<EventId, i64>,
    /// Ids of `events`.
    sent: BTreeSet<EventId>,
}

/// Why a request was refused whole.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RequestError {
    /// Another county's.
    #[error("this is county {ours}; the request is for {theirs}: sync with that county")]
    OtherCounty {
        /// This county.
        ours: CountyId,
        /// The one asked for.
        theirs: String,
    },
    /// Not right in form.
    #[error("{field} cannot be read: {detail}")]
    Unreadable {
        /// The field.
        field: &'static str,
        /// Why.
        detail: String,
    },
    /// More than one request may carry.
    #[error("{field} has {count} entries; at most {limit} are allowed: send fewer at a time")]
    TooMany {
        /// The field.
        field: &'static str,
        /// How many there are.
        count: usize,
        /// How many there may be.
        limit: usize,
    },
}

impl Request {
    /// Reads and verifies a request. An event that is not right is refused by itself.
    ///
    /// # Errors
    /// When it is another county's, not right in form or too long.
    pub fn open(county: CountyId, request: ExchangeRequest) -> Result<Self, RequestError> {
        if request.county_id.as_ref() != county.as_bytes() {
            return Err(RequestError::OtherCounty {
                ours: county,
                theirs: CountyId::parse("county_id", &request.county_id)
                    .map_or_else(|wrong| wrong.to_string(), |theirs| theirs.to_string()),
            });
        }
        at_most("events", request.events.len(), EVENTS_MAX)?;
        at_most("tails", request.tails.len(), TAILS_MAX)?;
        at_most("root_events", request.root_events.len(), ROOT_EVENTS_MAX)?;
        at_most("placed", request.placed.len(), EVENTS_MAX)?;
        let log = LogId::parse_optional("log_id", &request.log_id);
        let checkpoint = request.checkpoint.map(Checkpoint::open).transpose();
        let tails = request.tails.iter().map(open_tail);
        let checkpoint = checkpoint.map_err(|error| unreadable("checkpoint", error))?;
        let (events, refused, placed) = open_placed(request.events, request.placed);
        let stored_before = checkpoint
            .as_ref()
            .map(|shown| proved_times(shown, &events, &placed));
        let (root_events, _) = open_events(request.root_events);
        let bytes_max = usize::try_from(request.entries_bytes_max).unwrap_or(chunk::MOST);
        Ok(Self {
            log: log.map_err(|error| unreadable("log_id", error))?,
            size: request.size,
            checkpoint,
            tails: tails.collect::<Result<_, _>>()?,
            sent: events.iter().map(SignedEvent::id).collect(),
            events,
            refused,
            entries_bytes_max: bytes_max.min(chunk::MOST),
            sent_unix_ms: request.sent_unix_ms,
            program: Program::said(request.engine_version, &request.program_version),
            root_events: root_events
                .into_iter()
                .filter(|event| CountyId::of_root(&event.header().key) == county)
                .collect(),
            stored_before: stored_before.unwrap_or_default(),
        })
    }

    /// Whether the station said that it holds an event, so that its entry need name the id only:
    /// it is in this request, or stands in a chain at or below one of the tails, on its branch.
    /// `chains` are the county's, with this request's events in them.
    #[must_use]
    pub fn holds(&self, event: &SignedEvent, chains: &Chains) -> bool {
        if self.sent.contains(&event.id()) {
            return true;
        }
        let header = event.header();
        let Some(chain) = chains.get(&header.key) else {
            return false;
        };
        self.tails.iter().any(|(key, seq, head)| {
            *key == header.key && chain.on_branch(header.seq, &event.id(), *seq, head)
        })
    }

    /// Takes every event out of the request, of a station that may bring none; gives their ids.
    #[must_use]
    pub fn turn_away(&mut self) -> Vec<EventId> {
        self.sent.clear();
        let events = std::mem::take(&mut self.events);
        events.iter().map(SignedEvent::id).collect()
    }

    /// Whether the county holds all that the station has, once this request's events are in its
    /// chains: what its log, the same, does not prove stands below the tails. Before that the
    /// station is not heard up to now: what is still to come may be the fault that makes a craft
    /// unfit.
    #[must_use]
    pub fn is_all_held(&self, log: LogId, chains: &Chains) -> bool {
        let same_log = self.log.is_none_or(|held| held == log);
        same_log
            && self.tails.iter().all(|(key, seq, head)| {
                let chain = chains.get(key);
                chain.is_some_and(|chain| chain.contains(*seq, head))
            })
    }

    /// Index of the first entry to send: after those that the station holds, or the very first when
    /// it stands in another log.
    #[must_use]
    pub fn first(&self, log: LogId) -> u64 {
        if self.log == Some(log) { self.size } else { 0 }
    }

    /// Whether the station says that it holds more of this log than there is, without a checkpoint
    /// that proves it: then nothing can be sent that it would take.
    #[must_use]
    pub fn is_beyond(&self, log: LogId, size: u64) -> bool {
        self.log == Some(log) && self.size > size
    }

    /// The refusals of events that were not right in form.
    #[must_use]
    pub fn refusals(&self) -> Vec<Refusal> {
        let refused = self.refused.iter().map(|(id, detail)| Refusal {
            event_id: id.to_bytes(),
            reason: "NOT_AN_EVENT".to_owned(),
            detail: detail.clone(),
            missing: Vec::new(),
        });
        refused.collect()
    }
}

fn at_most(field: &'static str, count: usize, limit: usize) -> Result<(), RequestError> {
    if count <= limit {
        return Ok(());
    }
    Err(RequestError::TooMany {
        field,
        count,
        limit,
    })
}

fn unreadable(field: &'static str, error: impl std::error::Error) -> RequestError {
    RequestError::Unreadable {
        field,
        detail: error.to_string(),
    }
}

fn open_tail(tail: &ChainTail) -> Result<(Key, u64, EventId), RequestError> {
    let key = Key::parse("tail key", &tail.key).map_err(|error| unreadable("tails", error))?;
    let head =
        EventId::parse("tail head", &tail.head).map_err(|error| unreadable("tails", error))?;
    Ok((key, tail.seq, head))
}

/// Opens events whose places may be told; one that is not right has none, and those after it move
/// up.
fn open_placed(
    events: Vec<WireEvent>,
    placed: Vec<PlacedBefore>,
) -> (Vec<SignedEvent>, Vec<(EventId, String)>, Vec<PlacedBefore>) {
    let mut places: BTreeMap<u32, PlacedBefore> = placed
        .into_iter()
        .map(|placed| (placed.position, placed))
        .collect();
    let mut kept = Vec::new();
    let mut opened = Vec::new();
    let mut refused = Vec::new();
    for (position, event) in (0_u32..).zip(events) {
        let (right, wrong) = open_events(vec![event]);
        refused.extend(wrong);
        let place = places.remove(&position);
        for event in right {
            if let Some(mut place) = place.clone() {
                place.position = u32::try_from(opened.len()).unwrap_or(u32::MAX);
                kept.push(place);
            }
            opened.push(event);
        }
    }
    (opened, refused, kept)
}

fn open_events(events: Vec<WireEvent>) -> (Vec<SignedEvent>, Vec<(EventId, String)>) {
    let mut opened = Vec::with_capacity(events.len());
    let mut refused = Vec::new();
    for event in events {
        let body = event.body.clone();
        match SignedEvent::open(event) {
            Ok(event) => opened.push(event),
            Err(error) => refused.push((event_id(&body), error.to_string())),
        }
    }
    (opened, refused)
}

/// How far the county holds each chain of the request's tails, once its events are durable.
///
/// The highest tail as it was named, if its head is held. Else the head of the chain; of one that
/// parted the highest tail that is held, or every head. Nothing for a chain that is not held.
#[must_use]
pub fn held_tails(request: &Request, chains: &Chains) -> Vec<ChainTail> {
    let mut named: BTreeMap<Key, BTreeSet<(u64, EventId)>> = BTreeMap::new();
    for (key, seq, head) in &request.tails {
        named.entry(*key).or_default().insert((*seq, *head));
    }
    let held = named.iter().filter_map(|(key, tails)| {
        let places = held_places(chains.get(key)?, tails);
        Some(places.into_iter().map(|(seq, head)| tail(key, seq, &head)))
    });
    held.flatten().collect()
}

fn held_places(chain: &Chain, named: &BTreeSet<(u64, EventId)>) -> Vec<(u64, EventId)> {
    let is_held = |(seq, head): &&(u64, EventId)| chain.contains(*seq, head);
    let parted = chain.parted_at().is_some();
    let highest = named.last().filter(is_held);
    let highest = highest.or_else(|| named.iter().rev().filter(|_| parted).find(is_held));
    match highest {
        Some(place) => vec![*place],
        None => chain
            .heads()
            .iter()
            .map(|(head, seq)| (*seq, *head))
            .collect(),
    }
}

/// A tail as it is sent.
#[must_use]
pub fn tail(key: &Key, seq: u64, head: &EventId) -> ChainTail {
    ChainTail {
        key: key.to_bytes(),
        seq,
        head: head.to_bytes(),
    }
}

/// Sizes between which the consistency proof of a reply leads: from the end of its entries to the
/// checkpoint. None when there is nothing to prove, or the entries reach the checkpoint.
#[must_use]
pub fn proof_sizes(first: u64, entries: usize, checkpoint_size: u64) -> Option<(u64, u64)> {
    let end = first.saturating_add(u64::try_from(entries).unwrap_or(u64::MAX));
    (end > 0 && end < checkpoint_size).then_some((end, checkpoint_size))
}

/// What a reply is made from, all of one state of the log.
#[derive(Clone, Debug)]
pub struct ReplyParts<'a> {
    /// The newest checkpoint.
    pub checkpoint: &'a Checkpoint,
    /// Entries from [`Request::first`] on.
    pub entries: Vec<CountyEntry>,
    /// Consistency proof between [`proof_sizes`]; empty when there are none.
    pub path: Vec<Digest>,
    /// See [`held_tails`].
    pub held: Vec<ChainTail>,
    /// [`Request::refusals`], and those of events that did not fit.
    pub refusals: Vec<Refusal>,
    /// Events of the root key after its first.
    pub root_events: Vec<WireEvent>,
    /// The county's clock when the request came, milliseconds since 1970.
    pub received_unix_ms: i64,
    /// The county's clock when the reply goes, milliseconds since 1970.
    pub sent_unix_ms: i64,
}

/// When stations were heard, as a reply says it.
#[must_use]
pub fn heard(heard: &BTreeMap<SubjectId, i64>) -> Vec<StationHeard> {
    let heard = heard.iter().take(HEARD_MAX);
    heard
        .map(|(station, unix_ms)| StationHeard {
            station: station.to_bytes(),
            unix_ms: *unix_ms,
        })
        .collect()
}

/// Makes the reply.
#[must_use]
pub fn reply(request: &Request, parts: ReplyParts<'_>) -> ExchangeReply {
    let log = parts.checkpoint.log;
    let first = request.first(log);
    let sizes = proof_sizes(first, parts.entries.len(), parts.checkpoint.size);
    ExchangeReply {
        checkpoint: Some(parts.checkpoint.to_wire().clone()),
        consistency: sizes.map(|(old_size, new_size)| ConsistencyProof {
            old_size,
            new_size,
            path: parts
                .path
                .iter()
                .map(|hash| hash.to_bytes())
                .collect::<Vec<Bytes>>(),
        }),
        entries: parts.entries,
        held: parts.held,
        refusals: parts.refusals,
        received_unix_ms: parts.received_unix_ms,
        sent_unix_ms: parts.sent_unix_ms,
        other_log: request.log.is_some_and(|theirs| theirs != log),
        root_events: if request.log == Some(log) {
            Vec::new()
        } else {
            parts.root_events
        },
        heard: Vec::new(),
    }
}
