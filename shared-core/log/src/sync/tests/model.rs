//! The shells in memory: what a county and a station keep, and a link between them that is cut.

use std::collections::{BTreeMap, BTreeSet};

use prost::Message as _;
use sponson_proto::county::v1::InclusionProof;
use sponson_proto::event::v1::{Event as WireEvent, KeyAdmitted, Kind, Role};
use sponson_proto::sync::v1::{
    ChainTail, CountyEntry, ExchangeReply, ExchangeRequest, Refusal, county_entry::What,
};

use crate::begun::{BegunReason, LogBegun, Voucher};
use crate::chains::tests::Writer;
use crate::chains::{Chain, Chains, Unfit};
use crate::checkpoint::Checkpoint;
use crate::event::{Clock, SignedEvent};
use crate::ids::{CountyId, EventId, Key, LogId};
use crate::registry::Registry;
use crate::sign::DeviceKey;
use crate::sync::county::{ReplyParts, Request, held_tails, proof_sizes, reply, tail};
use crate::sync::program::Program;
use crate::sync::station::{
    EntryEvent, KeepRun, Last, PlacedEvent, StationHas, StationSync, Step, Summary, SyncError,
};
use crate::tree::{Edge, Tree, leaf_hash};

/// Milliseconds by which the county's clock is ahead.
pub(super) const AHEAD_MS: i64 = 5_000;

/// A county.
#[derive(Clone, Debug)]
pub(super) struct County {
    pub(super) root: Writer,
    pub(super) working: Writer,
    pub(super) log: LogId,
    pub(super) events: Vec<(SignedEvent, i64)>,
    pub(super) ids: BTreeSet<EventId>,
    chains: Chains,
    tree: Tree,
    pub(super) now: i64,
    /// Logs that it begins once the station stands in the one before.
    pub(super) begins: Vec<LogId>,
}

impl County {
    /// A county that has admitted its working key.
    pub(super) fn new() -> Self {
        let root = Writer::root(1);
        let mut county = Self {
            working: Writer::new(2, root.county),
            root,
            log: LogId::from_bytes([1; 16]),
            events: Vec::new(),
            ids: BTreeSet::new(),
            chains: Chains::default(),
            tree: Tree::default(),
            now: 1_000_000,
            begins: Vec::new(),
        };
        county.admit_working();
        county
    }

    /// The root admits the working key.
    pub(super) fn admit_working(&mut self) {
        let payload = KeyAdmitted {
            key: self.working.key().to_bytes(),
            roles: vec![Role::County as i32],
            ..KeyAdmitted::default()
        };
        let event = self.root.write(Kind::KeyAdmitted, &payload);
        self.keep(event).expect("admission fits");
    }

    /// The same county put back to its first entries, under a log id.
    pub(super) fn restored(&self, entries: usize, log: LogId) -> Self {
        let mut restored = Self {
            log,
            events: Vec::new(),
            ids: BTreeSet::new(),
            chains: Chains::default(),
            tree: Tree::default(),
            ..self.clone()
        };
        if log != self.log {
            restored.enter_unchecked(self.beginning(entries, log));
        }
        for (event, received) in self.events.iter().take(entries) {
            restored
                .keep_at(event.clone(), *received)
                .expect("it was kept before");
        }
        restored
    }

    /// The first leaf of a log that follows this one.
    fn beginning(&self, entries: usize, log: LogId) -> SignedEvent {
        let old = u64::try_from(entries.min(self.events.len())).expect("it is small");
        let begun = LogBegun {
            log,
            old_log: self.log,
            old_tree: (old, self.tree.root_at(old).expect("it is that long")),
            reason: BegunReason::Restored,
            vouched_by: None,
        };
        let clock = Clock {
            unix_ms: self.now,
            utc_offset_min: 0,
            boot_id: [1; 16],
            monotonic_ms: 1,
        };
        let writer = DeviceKey::from_seed([200 + log.as_bytes()[0]; 32]);
        let voucher = Voucher::Working(&self.working.device);
        let event = begun.sign(self.root.county, &writer, voucher, clock);
        event.expect("it keeps the limits")
    }

    pub(super) fn keep(&mut self, event: SignedEvent) -> Result<(), Unfit> {
        if self.ids.contains(&event.id()) {
            return Ok(());
        }
        self.now += 1;
        self.keep_at(event, self.now)
    }

    fn keep_at(&mut self, event: SignedEvent, received: i64) -> Result<(), Unfit> {
        let held = |id: &EventId| self.ids.contains(id);
        self.chains.fits(self.root.county, &event, held)?;
        self.chains.add(&event);
        self.tree.append(leaf_hash(&event.id(), received));
        self.ids.insert(event.id());
        self.events.push((event, received));
        Ok(())
    }

    /// When an event was stored.
    pub(super) fn received(&self, id: &EventId) -> Option<i64> {
        let entry = self.events.iter().find(|(event, _)| event.id() == *id);
        entry.map(|(_, received)| *received)
    }

    /// Puts an event into the log that does not belong there.
    pub(super) fn enter_unchecked(&mut self, event: SignedEvent) {
        self.tree.append(leaf_hash(&event.id(), self.now));
        self.chains.add(&event);
        self.ids.insert(event.id());
        self.events.push((event, self.now));
    }

    pub(super) fn write_note(&mut self, bytes: usize) {
        let note = self.working.note(bytes);
        self.keep(note).expect("own event fits");
    }

    pub(super) fn root_hash(&self) -> crate::ids::Digest {
        self.tree.edge().root()
    }

    pub(super) fn exchange(&mut self, request: ExchangeRequest) -> ExchangeReply {
        if request.log_id == self.log.to_bytes()
            && let Some(log) = self.begins.pop()
        {
            *self = self.restored(self.events.len(), log);
        }
        let received_unix_ms = self.now + AHEAD_MS;
        let request = Request::open(self.root.county, request).expect("request is right in form");
        let mut refusals = request.refusals();
        for event in request.events.clone() {
            let id = event.id();
            let stored = request.stored_before.get(&id).copied();
            let stored = stored.filter(|_| !self.ids.contains(&id));
            let kept = match stored {
                Some(received) => self.keep_at(event, received),
                None => self.keep(event),
            };
            if let Err(unfit) = kept {
                refusals.push(Refusal {
                    event_id: id.to_bytes(),
                    reason: "DOES_NOT_FIT".to_owned(),
                    detail: unfit.to_string(),
                    missing: Vec::new(),
                });
            }
        }
        let first = request.first(self.log);
        let entries = self.entries(&request, first);
        let tree = (self.tree.size(), self.root_hash());
        let device = &self.working.device;
        let checkpoint = Checkpoint::sign(device, self.root.county, self.log, tree, self.now);
        let sizes = proof_sizes(first, entries.len(), checkpoint.size);
        let path = sizes.and_then(|(old, new)| self.tree.consistency(old, new));
        let parts = ReplyParts {
            checkpoint: &checkpoint,
            entries,
            path: path.unwrap_or_default(),
            held: held_tails(&request, &self.chains),
            refusals,
            root_events: Vec::new(),
            received_unix_ms,
            sent_unix_ms: received_unix_ms,
        };
        reply(&request, parts)
    }

    fn entries(&self, request: &Request, first: u64) -> Vec<CountyEntry> {
        let first = usize::try_from(first).expect("it is small");
        let mut bytes = 0;
        let mut entries = Vec::new();
        for (event, received_unix_ms) in self.events.iter().skip(first) {
            if bytes >= request.entries_bytes_max {
                break;
            }
            let begins = event.header().kind == Kind::LogBegun as i32;
            let what = if !begins && request.holds(event, &self.chains) {
                What::HeldEventId(event.id().to_bytes())
            } else {
                What::Event(event.to_wire())
            };
            let entry = CountyEntry {
                received_unix_ms: *received_unix_ms,
                what: Some(what),
            };
            bytes += entry.encoded_len();
            entries.push(entry);
        }
        entries
    }
}

/// A station.
#[derive(Clone, Debug)]
pub(super) struct Station {
    pub(super) writer: Writer,
    county: CountyId,
    pub(super) events: Vec<SignedEvent>,
    ids: BTreeSet<EventId>,
    chains: Chains,
    registry: Registry,
    pub(super) log: Option<LogId>,
    pub(super) places: BTreeSet<EventId>,
    /// The places in order, with their times.
    order: Vec<(EventId, i64)>,
    proved: Option<Checkpoint>,
    pub(super) left: BTreeSet<LogId>,
    pub(super) edge: Edge,
    pub(super) checkpoint: Option<Checkpoint>,
    /// Whether all places are proved by a checkpoint that was kept.
    pub(super) provisional: usize,
}

impl Station {
    pub(super) fn new(seed: u8, county: CountyId) -> Self {
        Self {
            writer: Writer::new(seed, county),
            county,
            events: Vec::new(),
            ids: BTreeSet::new(),
            chains: Chains::default(),
            registry: Registry::new(county),
            log: None,
            places: BTreeSet::new(),
            order: Vec::new(),
            proved: None,
            left: BTreeSet::new(),
            edge: Edge::default(),
            checkpoint: None,
            provisional: 0,
        }
    }

    pub(super) fn write_note(&mut self, bytes: usize) -> EventId {
        let note = self.writer.note(bytes);
        let id = note.id();
        self.keep(note).expect("own event fits");
        id
    }

    pub(super) fn keep(&mut self, event: SignedEvent) -> Result<(), Unfit> {
        if self.ids.contains(&event.id()) {
            return Ok(());
        }
        let held = |id: &EventId| self.ids.contains(id);
        self.chains.fits(self.county, &event, held)?;
        self.chains.add(&event);
        self.registry.apply(&event, &self.chains);
        self.ids.insert(event.id());
        self.events.push(event);
        Ok(())
    }

    fn unproven(&self) -> impl Iterator<Item = &SignedEvent> {
        let events = self.events.iter();
        events.filter(|event| !self.places.contains(&event.id()))
    }

    pub(super) fn has(&self) -> StationHas {
        let heads = |(key, chain): (&Key, &Chain)| -> Vec<(EventId, ChainTail)> {
            let heads = chain.heads().iter();
            heads.map(|(id, seq)| (*id, tail(key, *seq, id))).collect()
        };
        let heads: BTreeMap<EventId, ChainTail> = self.chains.iter().flat_map(heads).collect();
        let tails = heads.iter().filter(|(id, _)| !self.places.contains(id));
        StationHas {
            county: self.county,
            log: self.log,
            edge: self.edge.clone(),
            checkpoint: self.checkpoint.clone(),
            proved: self.proved.clone(),
            left: self.left.clone(),
            root_events: Vec::new(),
            tails: tails.map(|(_, tail)| tail.clone()).collect(),
            heads: heads.values().cloned().collect(),
            working_keys: self.registry.working_keys().collect(),
            unproven: u64::try_from(self.unproven().count()).expect("it is small"),
            program: Program::default(),
        }
    }

    fn load(&self, from: u64, bytes_max: usize) -> (Vec<(EventId, WireEvent)>, Last) {
        let from = usize::try_from(from).expect("it is small");
        let mut rest = self.unproven().skip(from).peekable();
        let mut bytes = 0;
        let mut events = Vec::new();
        while let Some(event) = rest.next_if(|_| bytes < bytes_max) {
            let wire = event.to_wire();
            bytes += wire.encoded_len();
            events.push((event.id(), wire));
        }
        let last = if rest.peek().is_none() {
            Last::Yes
        } else {
            Last::No
        };
        (events, last)
    }

    /// Events of the log as held, from an index on, each with its place.
    fn load_placed(&self, from: u64, bytes_max: usize) -> (Vec<PlacedEvent>, Last) {
        let mut tree = Tree::default();
        for (id, received) in &self.order {
            tree.append(leaf_hash(id, *received));
        }
        let size = self.proved.as_ref().map_or(0, |proved| proved.size);
        let mut events = Vec::new();
        let mut bytes = 0;
        for index in from..tree.size() {
            if bytes >= bytes_max {
                return (events, Last::No);
            }
            let (id, received) = self.order[usize::try_from(index).expect("it is small")];
            let event = self.events.iter().find(|event| event.id() == id);
            let event = event.expect("what has a place is held").to_wire();
            bytes += event.encoded_len();
            let path = (index < size)
                .then(|| tree.inclusion(index, size))
                .flatten();
            let place = path.map(|path| {
                let path = path.iter().map(|hash| hash.to_bytes()).collect();
                (received, InclusionProof { index, size, path })
            });
            events.push(PlacedEvent { id, event, place });
        }
        (events, Last::Yes)
    }

    fn keep_run(&mut self, run: &KeepRun) {
        if self.log != Some(run.log) {
            self.left.extend(self.log);
            self.order.clear();
            self.proved = None;
            self.log = Some(run.log);
            self.places.clear();
            self.edge = Edge::default();
            self.checkpoint = None;
        }
        assert_eq!(run.first, self.edge.size(), "runs follow one another");
        for entry in &run.entries {
            let id = match &entry.event {
                EntryEvent::Held(id) => *id,
                EntryEvent::New(event) => {
                    self.keep((**event).clone()).expect("entry fits");
                    event.id()
                }
            };
            assert!(self.ids.contains(&id), "only what is held is named by id");
            assert!(self.places.insert(id), "no event is listed twice");
            self.edge.append(leaf_hash(&id, entry.received_unix_ms));
            self.order.push((id, entry.received_unix_ms));
        }
        let mut reached = run.checkpoint.iter();
        self.proved = reached
            .find(|it| it.size == self.edge.size())
            .cloned()
            .or(self.proved.take());
        match &run.checkpoint {
            Some(checkpoint) => {
                self.provisional = 0;
                self.checkpoint = Some(checkpoint.clone());
            }
            None => self.provisional += run.entries.len(),
        }
    }
}

/// Where a sync is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cut {
    /// The request does not arrive.
    Request,
    /// The county keeps, and its reply does not arrive.
    Reply,
    /// The station keeps the run, and stops before it knows that it is durable.
    AfterKeep,
}

/// How a sync ended.
#[derive(Debug)]
pub(super) struct Ended {
    pub(super) rounds: u64,
    /// Runs that were kept.
    pub(super) runs: u64,
    /// None when it was cut.
    pub(super) summary: Option<Summary>,
    /// Bytes of events that went up.
    pub(super) up: usize,
    /// Bytes of entries that came down.
    pub(super) down: usize,
}

/// The link: how slow, where cut, and what happens to replies on it.
pub(super) struct Link<'a> {
    /// Milliseconds for each KiB.
    pub(super) ms_per_kib: u64,
    pub(super) cut: Option<(u64, Cut)>,
    pub(super) change: &'a mut dyn FnMut(&mut ExchangeReply),
}

/// A link that is fast, whole and honest.
pub(super) fn sync(station: &mut Station, county: &mut County) -> Result<Ended, SyncError> {
    sync_over(station, county, 0, None)
}

pub(super) fn sync_over(
    station: &mut Station,
    county: &mut County,
    ms_per_kib: u64,
    cut: Option<(u64, Cut)>,
) -> Result<Ended, SyncError> {
    let link = Link {
        ms_per_kib,
        cut,
        change: &mut |_| (),
    };
    run(station, county, link)
}

pub(super) fn run(
    station: &mut Station,
    county: &mut County,
    link: Link<'_>,
) -> Result<Ended, SyncError> {
    let mut core = StationSync::begin(station.has());
    let mut now = county.now;
    let mut ended = Ended {
        rounds: 0,
        runs: 0,
        summary: None,
        up: 0,
        down: 0,
    };
    let cut_here = |rounds: u64, cut: Cut| link.cut == Some((rounds, cut));
    loop {
        match core.next(now) {
            Step::Load { from, bytes_max } => {
                let (events, last) = station.load(from, bytes_max);
                core.loaded(events, last);
            }
            Step::LoadPlaced { from, bytes_max } => {
                let (events, last) = station.load_placed(from, bytes_max);
                core.loaded_placed(events, last);
            }
            Step::Send(request) => {
                ended.rounds += 1;
                assert!(ended.rounds < 10_000, "sync does not end");
                if cut_here(ended.rounds, Cut::Request) {
                    return Ok(ended);
                }
                let events = request.events.iter();
                ended.up += events.map(prost::Message::encoded_len).sum::<usize>();
                let bytes = request.encode_to_vec();
                let request = ExchangeRequest::decode(bytes.as_slice()).expect("own bytes");
                let mut reply = county.exchange(request);
                if cut_here(ended.rounds, Cut::Reply) {
                    return Ok(ended);
                }
                (link.change)(&mut reply);
                let entries = reply.entries.iter();
                ended.down += entries.map(prost::Message::encoded_len).sum::<usize>();
                let kib = u64::try_from(bytes.len() + reply.encoded_len()).expect("small") / 1024;
                let elapsed = kib * link.ms_per_kib;
                now += i64::try_from(elapsed).expect("small");
                core.replied(reply, now, elapsed)?;
            }
            Step::Keep(keep) => {
                station.keep_run(&keep);
                ended.runs += 1;
                if cut_here(ended.rounds, Cut::AfterKeep) {
                    return Ok(ended);
                }
                core.kept();
            }
            Step::Done(summary) => {
                ended.summary = Some(summary);
                return Ok(ended);
            }
        }
    }
}
