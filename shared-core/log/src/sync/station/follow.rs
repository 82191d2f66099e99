//! Following the county log: what a reply's entries, proof and checkpoint lead to.
//!
//! Every chunk is proved at once: its own leaves give the root at its end, and the reply's
//! consistency proof leads from there to the signed root.

use std::collections::{BTreeMap, BTreeSet};

use sponson_proto::county::v1::{ConsistencyProof, SignedCheckpoint};
use sponson_proto::event::v1::Event as WireEvent;
use sponson_proto::sync::v1::{CountyEntry, ExchangeReply, county_entry::What};

use super::{EntryEvent, RunEntry, StationHas, SyncError};
use crate::begun::LogBegun;
use crate::checkpoint::Checkpoint;
use crate::event::SignedEvent;
use crate::ids::{CountyId, Digest, EventId, Key, LogId};
use crate::registry::{WorkingKey, working_key_change};
use crate::sync::county::ROOT_EVENTS_MAX;
use crate::tree::{Edge, leaf_hash, verify_consistency};

/// Where the station stands in the county log.
#[derive(Clone, Debug)]
pub(super) struct Follow {
    county: CountyId,
    pub(super) log: Option<LogId>,
    pub(super) edge: Edge,
    /// The newest checkpoint that was seen of this log.
    pub(super) newest: Option<Checkpoint>,
    /// Roots that the county signed for sizes that are not reached yet.
    ahead: BTreeMap<u64, Digest>,
    working_keys: BTreeSet<Key>,
    left: BTreeSet<LogId>,
}

/// What a reply brought.
#[derive(Debug)]
pub(super) struct Accepted {
    pub(super) log: LogId,
    pub(super) first: u64,
    pub(super) entries: Vec<RunEntry>,
    /// The checkpoint, once its key is known as a working key.
    pub(super) checkpoint: Option<Checkpoint>,
    /// The county stands in another log than the station did.
    pub(super) switched: bool,
    /// What the first leaf of that log says, once it came.
    pub(super) begun: Option<(LogBegun, i64)>,
    pub(super) after: Follow,
}

impl Follow {
    pub(super) fn begin(has: &StationHas) -> Self {
        let held = has.checkpoint.clone();
        let mut follow = Self {
            county: has.county,
            log: has.log,
            edge: has.log.map(|_| has.edge.clone()).unwrap_or_default(),
            newest: held.filter(|held| Some(held.log) == has.log),
            ahead: BTreeMap::new(),
            working_keys: has.working_keys.clone(),
            left: has.left.clone(),
        };
        follow.note_ahead();
        follow
    }

    /// Size of the county log, as far as known.
    pub(super) fn target(&self) -> u64 {
        self.newest.as_ref().map_or(0, |newest| newest.size)
    }

    /// Whether everything is held that the newest checkpoint covers.
    pub(super) fn is_whole(&self) -> bool {
        self.newest.is_some() && self.edge.size() == self.target()
    }

    /// The newest checkpoint, to be shown to the county.
    pub(super) fn proven_by(&self) -> Option<SignedCheckpoint> {
        self.newest.as_ref().map(|newest| newest.to_wire().clone())
    }

    /// Checks a reply whole, and says where it leads.
    pub(super) fn accept(&self, reply: &ExchangeReply) -> Result<Accepted, SyncError> {
        let checkpoint = self.open_checkpoint(reply)?;
        let switched = self.switches(&checkpoint, reply)?;
        if switched && self.left.contains(&checkpoint.log) {
            return Err(SyncError::WentBack(checkpoint.log));
        }
        let mut after = if switched { self.anew() } else { self.clone() };
        after.note_root_events(&reply.root_events);
        after.log = Some(checkpoint.log);
        after.take_checkpoint(&checkpoint)?;

        let first = after.edge.size();
        let room = checkpoint.size - first;
        if u64::try_from(reply.entries.len()).map_or(true, |count| count > room) {
            return Err(SyncError::Inconsistent(format!(
                "{} entries came where {room} are left below the checkpoint",
                reply.entries.len()
            )));
        }
        let entries = reply.entries.iter();
        let entries = entries
            .map(|entry| after.append(entry))
            .collect::<Result<Vec<_>, _>>()?;
        after.check_proof(&checkpoint, reply.consistency.as_ref())?;
        let begun = match entries.first().filter(|_| switched) {
            Some(first) => Some(after.check_beginning(first, checkpoint.log)?),
            None => None,
        };

        let known = after.working_keys.contains(&checkpoint.key);
        if !known && after.is_whole() {
            return Err(SyncError::NotThisCounty(format!(
                "key {} that signed it is not a working key of county {}",
                checkpoint.key, self.county
            )));
        }
        Ok(Accepted {
            log: checkpoint.log,
            first,
            entries,
            checkpoint: known.then_some(checkpoint),
            switched,
            begun,
            after,
        })
    }

    fn open_checkpoint(&self, reply: &ExchangeReply) -> Result<Checkpoint, SyncError> {
        let signed = reply
            .checkpoint
            .clone()
            .ok_or_else(|| SyncError::Unreadable("checkpoint is missing".to_owned()))?;
        let checkpoint =
            Checkpoint::open(signed).map_err(|error| SyncError::Unreadable(error.to_string()))?;
        if checkpoint.county == self.county {
            return Ok(checkpoint);
        }
        Err(SyncError::NotThisCounty(format!(
            "it is of county {}, and this station is in county {}",
            checkpoint.county, self.county
        )))
    }

    fn switches(&self, checkpoint: &Checkpoint, reply: &ExchangeReply) -> Result<bool, SyncError> {
        let other = self.log.is_some_and(|log| log != checkpoint.log);
        if other == reply.other_log {
            return Ok(other);
        }
        Err(SyncError::Inconsistent(format!(
            "the county's words and its checkpoint disagree on whether log {} is another one",
            checkpoint.log
        )))
    }

    /// Learns working keys from events that the root signed.
    fn note_root_events(&mut self, events: &[WireEvent]) {
        for event in events.iter().take(ROOT_EVENTS_MAX) {
            if let Ok(event) = SignedEvent::open(event.clone())
                && event.header().county == self.county
            {
                self.note_working_key(&event);
            }
        }
    }

    /// A log that follows another says in its first leaf which, and why: on a working key's word.
    fn check_beginning(&self, first: &RunEntry, log: LogId) -> Result<(LogBegun, i64), SyncError> {
        let refused = |why: String| {
            SyncError::Inconsistent(format!(
                "it stands in another log {log}, whose first entry does not say why: {why}"
            ))
        };
        let EntryEvent::New(event) = &first.event else {
            return Err(refused("it came by its id only".to_owned()));
        };
        let begun = LogBegun::check(event, log, |key| self.working_keys.contains(key))
            .map_err(|error| refused(error.to_string()))?;
        Ok((begun, first.received_unix_ms))
    }

    /// The start of another log.
    fn anew(&self) -> Self {
        Self {
            left: self.left.iter().copied().chain(self.log).collect(),
            edge: Edge::default(),
            newest: None,
            ahead: BTreeMap::new(),
            ..self.clone()
        }
    }

    fn take_checkpoint(&mut self, checkpoint: &Checkpoint) -> Result<(), SyncError> {
        let signed = self.target().max(self.edge.size());
        if checkpoint.size < signed {
            return Err(SyncError::Inconsistent(format!(
                "the county holds {} entries, less than the {signed} that it signed before",
                checkpoint.size
            )));
        }
        let before = self.newest.as_ref();
        if before.is_some_and(|b| b.size == checkpoint.size && b.root != checkpoint.root) {
            return Err(SyncError::Inconsistent(format!(
                "the county signed two different logs of {} entries",
                checkpoint.size
            )));
        }
        self.newest = Some(checkpoint.clone());
        self.note_ahead();
        Ok(())
    }

    fn note_ahead(&mut self) {
        let beyond = self.newest.as_ref();
        if let Some(newest) = beyond.filter(|newest| newest.size > self.edge.size()) {
            self.ahead.insert(newest.size, newest.root);
        }
    }

    fn append(&mut self, entry: &CountyEntry) -> Result<RunEntry, SyncError> {
        let index = self.edge.size();
        let refused = |why: String| SyncError::BadEntry { index, why };
        let (id, event) = match &entry.what {
            None => return Err(refused("neither event nor id is there".to_owned())),
            Some(What::HeldEventId(id)) => {
                let id = EventId::parse("held_event_id", id);
                let id = id.map_err(|error| refused(error.to_string()))?;
                (id, EntryEvent::Held(id))
            }
            Some(What::Event(event)) => {
                let event = SignedEvent::open(event.clone());
                let event = event.map_err(|error| refused(error.to_string()))?;
                if event.header().county != self.county {
                    return Err(refused(format!(
                        "it is of county {}",
                        event.header().county
                    )));
                }
                self.note_working_key(&event);
                (event.id(), EntryEvent::New(Box::new(event)))
            }
        };
        self.edge.append(leaf_hash(&id, entry.received_unix_ms));
        self.check_ahead()?;
        Ok(RunEntry {
            received_unix_ms: entry.received_unix_ms,
            event,
        })
    }

    fn note_working_key(&mut self, event: &SignedEvent) {
        match working_key_change(event) {
            Some(WorkingKey::Admitted(key)) => self.working_keys.insert(key),
            Some(WorkingKey::Ended(key)) => self.working_keys.remove(&key),
            None => false,
        };
    }

    /// Checks a root that the county signed earlier, when its size is reached.
    fn check_ahead(&mut self) -> Result<(), SyncError> {
        let size = self.edge.size();
        let Some(signed) = self.ahead.remove(&size) else {
            return Ok(());
        };
        if signed == self.edge.root() {
            return Ok(());
        }
        Err(SyncError::Inconsistent(format!(
            "the first {size} entries are not those that it signed"
        )))
    }

    fn check_proof(
        &self,
        checkpoint: &Checkpoint,
        proof: Option<&ConsistencyProof>,
    ) -> Result<(), SyncError> {
        let here = (self.edge.size(), self.edge.root());
        if here == checkpoint.tree() || here.0 == 0 {
            return Ok(());
        }
        let refused = |why: &str| {
            SyncError::Inconsistent(format!(
                "entries up to {} of {}: {why}",
                here.0, checkpoint.size
            ))
        };
        if here.0 == checkpoint.size {
            return Err(refused("they have another root"));
        }
        let proof = proof.ok_or_else(|| refused("the proof is missing"))?;
        if (proof.old_size, proof.new_size) != (here.0, checkpoint.size) {
            return Err(refused("the proof is for other sizes"));
        }
        let path = proof.path.iter();
        let path = path
            .map(|hash| Digest::parse("consistency path", hash))
            .collect::<Result<Vec<_>, _>>()
            .map_err(|error| SyncError::Unreadable(error.to_string()))?;
        verify_consistency(here, checkpoint.tree(), &path)
            .map_err(|error| refused(&error.to_string()))
    }
}
