//! Sending what the county log does not prove yet, in the station's order of keeping.
//!
//! What was loaded and is not yet listed by the county log stands first among the shell's unproven
//! events: their number is the position from which the next are loaded.

use std::collections::{BTreeMap, BTreeSet};

use sponson_proto::county::v1::InclusionProof;
use sponson_proto::event::v1::Event as WireEvent;
use sponson_proto::sync::v1::{ChainTail, PlacedBefore, Refusal};

use super::{EntryEvent, KeepRun, Last, PlacedEvent, SyncError};
use crate::event::{SignedEvent, event_id};
use crate::ids::{EventId, Key};
use crate::sync::county::{TAILS_MAX, tail};

/// How far the county says that it holds a chain.
pub(super) type Claims = BTreeMap<Key, Vec<(u64, EventId)>>;

/// The events on their way up.
#[derive(Debug)]
pub(super) struct Upload {
    /// Tails as they were when the sync began.
    tails: Vec<ChainTail>,
    /// By chain: the newest event that was sent. Of the tails only these may be held by the county
    /// while a long chain is on its way.
    sent_tails: BTreeMap<Key, (u64, EventId)>,
    /// Where the county says that it holds a chain, for chains of one branch.
    claims: BTreeMap<Key, (u64, EventId)>,
    /// Loaded, and not yet listed by the county log.
    scanned: BTreeSet<EventId>,
    /// Sent, or about to be.
    sent: BTreeSet<EventId>,
    refused: BTreeSet<EventId>,
    outgoing: Vec<WireEvent>,
    /// Places of `outgoing`, while a log is given back.
    placed: Vec<PlacedBefore>,
    last: Last,
}

impl Upload {
    pub(super) fn begin(tails: &[ChainTail]) -> Self {
        Self {
            tails: tails.to_vec(),
            sent_tails: BTreeMap::new(),
            claims: BTreeMap::new(),
            scanned: BTreeSet::new(),
            sent: BTreeSet::new(),
            refused: BTreeSet::new(),
            outgoing: Vec::new(),
            placed: Vec::new(),
            last: Last::No,
        }
    }

    /// Begins again for another log, in which nothing is listed yet. What was sent stays sent; what
    /// was refused may fit once all that is held here is sent before it.
    pub(super) fn begin_again(&mut self, heads: &[ChainTail]) {
        self.tails = heads.to_vec();
        for refused in std::mem::take(&mut self.refused) {
            self.sent.remove(&refused);
        }
        self.scan_again();
    }

    fn scan_again(&mut self) {
        self.claims.clear();
        self.scanned.clear();
        self.last = Last::No;
    }

    pub(super) fn wants_more(&self) -> bool {
        self.last == Last::No && self.outgoing.is_empty()
    }

    pub(super) fn position(&self) -> u64 {
        super::count(self.scanned.len())
    }

    /// Whether all was sent, and all that was not refused is listed.
    pub(super) fn is_done(&self) -> bool {
        self.last == Last::Yes && self.outgoing.is_empty() && self.unlisted() == 0
    }

    /// Whether everything of a log that is given back was sent.
    pub(super) fn is_given(&self) -> bool {
        self.last == Last::Yes && self.outgoing.is_empty()
    }

    /// Events that the county has, and its log as held does not list.
    pub(super) fn unlisted(&self) -> usize {
        self.scanned.difference(&self.refused).count()
    }

    pub(super) fn tails(&self) -> Vec<ChainTail> {
        let sent = self.sent_tails.iter();
        let sent = sent
            .map(|(key, (seq, head))| tail(key, *seq, head))
            .filter(|sent| !self.tails.contains(sent));
        let begun = self.tails.iter().cloned();
        sent.chain(begun).take(TAILS_MAX).collect()
    }

    pub(super) fn outgoing(&self) -> Vec<WireEvent> {
        self.outgoing.clone()
    }

    pub(super) fn placed(&self) -> Vec<PlacedBefore> {
        self.placed.clone()
    }

    /// Takes events of a log that is given back; those that the county lacks go up with the places
    /// that they had.
    pub(super) fn loaded_placed(&mut self, events: Vec<PlacedEvent>, last: Last) {
        let mut places: BTreeMap<EventId, (i64, InclusionProof)> = BTreeMap::new();
        let mut plain = Vec::with_capacity(events.len());
        for placed in events {
            places.extend(placed.place.map(|place| (placed.id, place)));
            plain.push((placed.id, placed.event));
        }
        self.loaded(plain, last);
        let sent = (0_u32..).zip(&self.outgoing);
        let placed = sent.filter_map(|(position, event)| {
            let (received_unix_ms, proof) = places.remove(&event_id(&event.body))?;
            Some(PlacedBefore {
                position,
                received_unix_ms,
                proof: Some(proof),
            })
        });
        self.placed.extend(placed);
    }

    pub(super) fn loaded(&mut self, events: Vec<(EventId, WireEvent)>, last: Last) {
        // A load without anything further can only be the last one.
        let further = events.iter().any(|(id, _)| !self.scanned.contains(id));
        self.last = if further { last } else { Last::Yes };
        for (id, event) in events {
            self.scanned.insert(id);
            // One that cannot be read here is sent as it is: the county says what is wrong with it.
            let place = SignedEvent::reopen(event.clone());
            let place = place
                .ok()
                .map(|event| (event.header().key, event.header().seq));
            match place.map_or(Claim::None, |(key, seq)| self.claim(key, seq, id)) {
                Claim::Held => {}
                Claim::OtherBranch(key) => {
                    // What was passed over on the county's word has to be sent after all.
                    self.scan_again_without(key);
                    return;
                }
                Claim::None if self.sent.contains(&id) => {}
                Claim::None => self.push(id, event, place),
            }
        }
    }

    fn claim(&self, key: Key, seq: u64, id: EventId) -> Claim {
        match self.claims.get(&key) {
            Some((held, _)) if seq < *held => Claim::Held,
            Some((held, head)) if seq == *held && id == *head => Claim::Held,
            Some((held, _)) if seq == *held => Claim::OtherBranch(key),
            Some(_) | None => Claim::None,
        }
    }

    fn scan_again_without(&mut self, key: Key) {
        let mut claims = std::mem::take(&mut self.claims);
        claims.remove(&key);
        self.scan_again();
        self.claims = claims;
    }

    fn push(&mut self, id: EventId, event: WireEvent, place: Option<(Key, u64)>) {
        self.sent.insert(id);
        self.outgoing.push(event);
        if let Some((key, seq)) = place {
            let newest = self.sent_tails.entry(key).or_insert((seq, id));
            if newest.0 < seq {
                *newest = (seq, id);
            }
        }
    }

    /// The county has what was on its way; returns how many events that were.
    pub(super) fn replied(&mut self, refusals: &[(EventId, String)]) -> u64 {
        self.refused.extend(refusals.iter().map(|(id, _)| *id));
        let sent = std::mem::take(&mut self.outgoing);
        self.placed.clear();
        super::count(sent.len())
    }

    /// Takes the county's word on chains of which it holds a part, so that only the rest is sent.
    /// The word is checked when the event is loaded that it names.
    pub(super) fn claimed(&mut self, claims: Claims) {
        for (key, places) in claims {
            let ours: Vec<u64> = self
                .tails
                .iter()
                .filter(|tail| tail.key.as_ref() == key.as_bytes())
                .map(|tail| tail.seq)
                .collect();
            if let ([tail], [(seq, head)]) = (ours.as_slice(), places.as_slice())
                && seq <= tail
            {
                self.claims.insert(key, (*seq, *head));
            }
        }
    }

    /// Counts out what is listed and durable now.
    pub(super) fn proven(&mut self, run: &KeepRun) {
        for entry in &run.entries {
            let id = match &entry.event {
                EntryEvent::New(event) => event.id(),
                EntryEvent::Held(id) => *id,
            };
            self.scanned.remove(&id);
        }
    }
}

/// What the county's word means for one event.
enum Claim {
    /// It has the event.
    Held,
    /// It has another event in this place.
    OtherBranch(Key),
    /// It did not speak of it.
    None,
}

/// Reads the county's word on how far it holds the chains.
pub(super) fn claims(held: &[ChainTail]) -> Result<Claims, SyncError> {
    let mut claims = Claims::new();
    for tail in held {
        let key = Key::parse("held key", &tail.key).map_err(unreadable)?;
        let head = EventId::parse("held head", &tail.head).map_err(unreadable)?;
        claims.entry(key).or_default().push((tail.seq, head));
    }
    Ok(claims)
}

/// Reads refusals: id, and reason with its words.
pub(super) fn refusals(refusals: &[Refusal]) -> Result<Vec<(EventId, String)>, SyncError> {
    refusals
        .iter()
        .map(|refusal| {
            let id = EventId::parse("refused event_id", &refusal.event_id).map_err(unreadable)?;
            Ok((id, format!("{}: {}", refusal.reason, refusal.detail)))
        })
        .collect()
}

fn unreadable(error: crate::ids::WrongLength) -> SyncError {
    SyncError::Unreadable(error.to_string())
}
