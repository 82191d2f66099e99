//! Proof files: one event, with what shows anybody that the county stored it.

use std::collections::BTreeSet;

use sponson_log::chains::Chain;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::event_proof::{self, EventProofError, inclusion, needs};
use sponson_log::ids::EventId;
use sponson_log::trust::trust;
use sponson_proto::proof::v1::EventProof;

use super::Replica;
use crate::errors::RowError;

/// Events that are named when several begin alike.
const FOUND_MAX: usize = 4;

/// Why an event cannot be proved.
#[derive(Debug, thiserror::Error)]
pub enum ProveError {
    /// Not held.
    #[error("event {0} is not held here: sync, or look in log")]
    NotHeld(EventId),
    /// The county has not stored it, as far as is known here.
    #[error("event {0} waits for the county: sync, then prove it")]
    Waiting(EventId),
    /// No signed statement of the county reaches it.
    #[error(
        "event {0} is held, but nothing here that the county signed reaches it: sync, then prove it"
    )]
    NotCovered(EventId),
    /// Nobody would believe this device.
    #[error(
        "the key of this device is not admitted, so that it can vouch for nothing: ask the lead"
    )]
    NotAdmitted,
    /// The file would be too long.
    #[error("proof would have {length} bytes; at most {max} are allowed: carry the log instead")]
    TooLong {
        /// Its length.
        length: usize,
        /// The greatest.
        max: usize,
    },
    /// What is held does not hold.
    #[error("what is held here proves nothing ({0}): run verify")]
    Wrong(EventProofError),
    /// A row is not what was written.
    #[error(transparent)]
    Row(#[from] RowError),
}

impl Replica {
    /// Events whose ids begin with these hexadecimal digits, at most four of them.
    #[must_use]
    pub fn named(&self, digits: &str) -> Vec<EventId> {
        let digits = digits.to_ascii_lowercase();
        let ids = self.index.ids();
        ids.filter(|id| id.to_string().starts_with(&digits))
            .take(FOUND_MAX)
            .collect()
    }

    /// Makes the proof file of an event.
    ///
    /// # Errors
    /// When the county's signed statement does not reach it, or this device may not vouch for it.
    pub fn prove(&self, id: &EventId, now_unix_ms: i64) -> Result<Vec<u8>, ProveError> {
        let event = self.event(id)?.ok_or(ProveError::NotHeld(*id))?;
        let (index, received_unix_ms) = self.place(id).ok_or(ProveError::Waiting(*id))?;
        let signed = self.checkpoint(now_unix_ms);
        let signed = signed.or_else(|| self.newest_checkpoint().cloned());
        let covering = signed.filter(|signed| index < signed.size);
        let checkpoint = covering.ok_or(ProveError::NotCovered(*id))?;
        let path = self.tree().inclusion(index, checkpoint.size);
        let path = path.ok_or(ProveError::NotCovered(*id))?;
        let admitted = self.registry().key(&self.key());
        if admitted.is_none_or(|admitted| admitted.ended.is_some()) {
            return Err(ProveError::NotAdmitted);
        }
        let registry = self.registry_for(&event, &checkpoint)?;
        let chain = self.chain_for(&event, &registry)?;
        let wire = |events: Vec<SignedEvent>| events.iter().map(SignedEvent::to_wire).collect();
        let proof = EventProof {
            received_unix_ms,
            inclusion: Some(inclusion(index, checkpoint.size, &path)),
            registry: wire(registry),
            checkpoint: Some(checkpoint.to_wire().clone()),
            chain: wire(chain),
            event: Some(event.to_wire()),
            ..EventProof::default()
        };
        let file = event_proof::write(proof, self.key(), |what, body| self.sign(what, body));
        self.holds_good(&event, &file)?;
        Ok(file)
    }

    /// The file is checked as whoever gets it will: it must not say more than is known here.
    fn holds_good(&self, event: &SignedEvent, file: &[u8]) -> Result<(), ProveError> {
        let max = event_proof::SORT.bytes_max;
        if file.len() > max {
            let length = file.len();
            return Err(ProveError::TooLong { length, max });
        }
        let proven = event_proof::check(file, Some(self.county())).map_err(ProveError::Wrong)?;
        let header = event.header();
        let roles = self.registry().roles_at(&header.key, header.seq);
        let same_trust = proven.trust == trust(self.registry(), self.chains(), event);
        if same_trust && proven.roles == roles.unwrap_or(&[]) {
            Ok(())
        } else {
            Err(ProveError::Wrong(EventProofError::Lacks(
                "entries of the registry",
            )))
        }
    }

    /// What the registry says of the keys that have a part in a proof, and of the station.
    fn registry_for(
        &self,
        event: &SignedEvent,
        checkpoint: &Checkpoint,
    ) -> Result<Vec<SignedEvent>, ProveError> {
        let Some(root) = self.registry().root() else {
            return Ok(Vec::new());
        };
        let keys = [event.header().key, checkpoint.key, self.key()];
        let station = self.registry().station_of(&event.header().key);
        let mut needed = Vec::new();
        for number in self.index.registry_numbers() {
            let event = self.store.event(number)?;
            // What nobody entitled wrote changes nothing, and a proof has no place for it.
            let writer = event.header().key;
            let may_write = writer == root || self.registry().key(&writer).is_some();
            if may_write && needs(&event, &root, &keys, station) {
                needed.push(event);
            }
        }
        // The root's first: it says who else may write.
        needed.sort_by_key(|event| event.header().key != root);
        Ok(needed)
    }

    /// Of the chain of the event's key: what the registry names, and all from where it parts.
    fn chain_for(
        &self,
        event: &SignedEvent,
        registry: &[SignedEvent],
    ) -> Result<Vec<SignedEvent>, ProveError> {
        let Some(chain) = self.chains().get(&event.header().key) else {
            return Ok(Vec::new());
        };
        let named = registry.iter().flat_map(SignedEvent::payload_references);
        let mut ids: BTreeSet<EventId> = named.collect();
        if let Some(parted) = chain.parted_at() {
            ids.extend(from_seq(chain, parted));
        }
        ids.remove(&event.id());
        let mut events = Vec::new();
        for (_, id) in chain.events().filter(|(_, id)| ids.contains(*id)) {
            events.push(self.event(id)?.ok_or(ProveError::NotHeld(*id))?);
        }
        Ok(events)
    }
}

/// Events of a chain from a seq on.
fn from_seq(chain: &Chain, seq: u64) -> impl Iterator<Item = EventId> {
    let events = chain.events();
    events.filter(move |(at, _)| *at >= seq).map(|(_, id)| *id)
}
