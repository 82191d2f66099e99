//! What a sync needs at either end: what is held, what the other end lacks, who was heard.

use std::collections::BTreeMap;

use prost::Message as _;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, SubjectId};
use sponson_log::sync::county::ROOT_EVENTS_MAX;
use sponson_log::sync::program::Program;
use sponson_log::sync::station::{Last, PlacedEvent, StationHas};
use sponson_proto::county::v1::InclusionProof;
use sponson_proto::event::v1 as wire;
use sponson_proto::store::v1::meta_row::What;
use sponson_proto::store::v1::{HeardMeta, RefusedMeta};
use sponson_proto::sync::v1::county_entry::What as EntryWhat;
use sponson_proto::sync::v1::{ChainTail, CountyEntry};
use sponson_readiness::answer::ENGINE_VERSION;

use super::{Replica, Standing};
use crate::errors::StoreError;
use crate::store::rows::RowKey;
use crate::store::write::Chunk;
use crate::values::SyncRefused;

/// Bytes of an entry that names an event by id: id, time, tags and lengths.
const HELD_ENTRY_BYTES: usize = 48;

/// Greatest event that is sent whole: half of the greatest record of a carry file. One that was
/// recorded here has at most 64 KiB of body and 64 KiB of texts.
const SENT_BYTES_MAX: usize = 512 * 1024;

/// Longest words of a refusal that are noted: a row has at most 3 KiB, and a character 4 bytes.
const REFUSED_CHARS_MAX: usize = 300;

impl Replica {
    /// What a sync with the county begins from.
    #[must_use]
    pub fn station_has(&self) -> StationHas {
        let places = &self.index.places;
        let heads = self.heads();
        let unproven = |tail: &ChainTail| {
            let id = EventId::parse("head", &tail.head).ok();
            id.and_then(|id| self.index.number(&id))
                .is_some_and(|number| places.unproven.contains(&number))
        };
        StationHas {
            county: self.county,
            log: self.log_id(),
            edge: places.tree.edge().clone(),
            checkpoint: self.ahead.clone().or_else(|| self.checkpoint.clone()),
            proved: self.checkpoint.clone(),
            left: self.left.clone(),
            root_events: self.root_events(),
            tails: heads
                .iter()
                .filter(|tail| unproven(tail))
                .cloned()
                .collect(),
            unproven: places.unproven.len() as u64,
            heads,
            working_keys: self.index.registry.working_keys().collect(),
            program: Program::said(ENGINE_VERSION, env!("CARGO_PKG_VERSION")),
        }
    }

    /// Heads of all chains: one of each, more of one that parted.
    #[must_use]
    pub fn heads(&self) -> Vec<ChainTail> {
        let chains = self.index.chains.iter();
        let heads = chains.flat_map(|(key, chain)| {
            chain.heads().iter().map(|(head, seq)| ChainTail {
                key: key.to_bytes(),
                seq: *seq,
                head: head.to_bytes(),
            })
        });
        heads.collect()
    }

    /// Events that the county log, as held, does not prove, in the order of keeping: from a
    /// position among them on, about so many bytes, at least one.
    #[must_use]
    pub fn unproven(&self, from: u64, bytes_max: usize) -> (Vec<(EventId, wire::Event)>, Last) {
        let skipped = usize::try_from(from).unwrap_or(usize::MAX);
        let mut events = Vec::new();
        let mut bytes = 0;
        for number in self.index.places.unproven.iter().skip(skipped) {
            // One that cannot be read stays here; what refers to it will be refused by its id.
            let Some(event) = self.read(*number) else {
                continue;
            };
            let wire = to_send(&event);
            bytes += wire.encoded_len();
            if bytes > bytes_max && !events.is_empty() {
                return (events, Last::No);
            }
            events.push((event.id(), wire));
        }
        (events, Last::Yes)
    }

    /// Events of the root key after its first, as signed: they lead to later working keys.
    #[must_use]
    pub fn root_events(&self) -> Vec<wire::Event> {
        let root = self.index.registry.root();
        let chain = root.and_then(|root| self.index.chains.get(&root));
        let Some(chain) = chain else {
            return Vec::new();
        };
        let mut events = Vec::new();
        for seq in 2.. {
            let Some(ids) = chain.at(seq) else {
                break;
            };
            let numbers = ids.iter().filter_map(|id| self.index.number(id));
            events.extend(numbers.filter_map(|number| Some(self.read(number)?.to_wire())));
        }
        events.truncate(ROOT_EVENTS_MAX);
        events
    }

    /// Events that the county log as held lists, from an index on, about so many bytes, at least
    /// one, each with its place proved against the newest checkpoint whose entries are all held.
    #[must_use]
    pub fn placed(&self, from: u64, bytes_max: usize) -> (Vec<PlacedEvent>, Last) {
        let proved = self.checkpoint.as_ref().map_or(0, |proved| proved.size);
        let places = &self.index.places;
        let mut events = Vec::new();
        let mut bytes = 0;
        for index in from..places.size() {
            let event = places.at(index).and_then(|(number, received)| {
                let event = self.read(number)?;
                Some((event.id(), to_send(&event), received))
            });
            // One that cannot be read stays here; what refers to it will be refused by its id.
            let Some((id, event, received)) = event else {
                continue;
            };
            bytes += event.encoded_len();
            if bytes > bytes_max && !events.is_empty() {
                return (events, Last::No);
            }
            let path = places.tree.inclusion(index, proved);
            let place = path.map(|path| {
                let path = path.iter().map(|hash| hash.to_bytes()).collect();
                let size = proved;
                (received, InclusionProof { index, size, path })
            });
            events.push(PlacedEvent { id, event, place });
        }
        (events, Last::Yes)
    }

    /// Entries of the county log from an index on, about so many bytes, at least one; those for
    /// which `holds` says yes by id only.
    #[must_use]
    pub fn entries(
        &self,
        first: u64,
        bytes_max: usize,
        holds: &dyn Fn(&SignedEvent) -> bool,
    ) -> Vec<CountyEntry> {
        let mut entries = Vec::new();
        let mut bytes = 0;
        for index in first..self.index.places.size() {
            let Some((number, received_unix_ms)) = self.index.places.at(index) else {
                break;
            };
            let Some(event) = self.read(number) else {
                break;
            };
            let (what, length) = if holds(&event) {
                (
                    EntryWhat::HeldEventId(event.id().to_bytes()),
                    HELD_ENTRY_BYTES,
                )
            } else {
                let wire = to_send(&event);
                let length = wire.encoded_len();
                (EntryWhat::Event(wire), length)
            };
            bytes += length;
            if bytes > bytes_max && !entries.is_empty() {
                break;
            }
            entries.push(CountyEntry {
                received_unix_ms,
                what: Some(what),
            });
        }
        entries
    }

    fn read(&self, number: u64) -> Option<SignedEvent> {
        self.store
            .event(number)
            .inspect_err(|error| tracing::error!(store.row = %error.row, "{error}"))
            .ok()
    }

    /// At the county: a checkpoint of the log as it stands.
    #[must_use]
    pub fn checkpoint(&self, now_unix_ms: i64) -> Option<Checkpoint> {
        let Standing::County { log, .. } = self.standing else {
            return None;
        };
        let edge = self.index.places.tree.edge();
        let tree = (edge.size(), edge.root());
        let time = self.county_time(now_unix_ms);
        Some(Checkpoint::sign(&self.key, self.county, log, tree, time))
    }

    /// The newest time at which the county stored an entry, as far as held.
    #[must_use]
    pub const fn newest_stored(&self) -> Option<i64> {
        self.index.places.last_received()
    }

    /// Notes, durably, that a station was heard directly, and how its clock stood to the county's.
    ///
    /// # Errors
    /// When the store fails.
    pub fn heard(&mut self, station: SubjectId, unix_ms: i64) -> Result<(), StoreError> {
        self.note_heard(&BTreeMap::from([(station, unix_ms)]))
    }

    /// Notes, durably, when stations were heard, as the county says it last: a time that it said
    /// before may have been a wrong clock's.
    ///
    /// # Errors
    /// When the store fails.
    pub fn note_heard(&mut self, heard: &BTreeMap<SubjectId, i64>) -> Result<(), StoreError> {
        let news: Vec<(SubjectId, i64)> = heard
            .iter()
            .filter(|(station, unix_ms)| self.heard.get(*station) != Some(*unix_ms))
            .map(|(station, unix_ms)| (*station, *unix_ms))
            .collect();
        if news.is_empty() {
            return Ok(());
        }
        let mut chunk = Chunk::default();
        for (station, unix_ms) in &news {
            let name = [b"heard".as_slice(), station.as_bytes()].concat();
            chunk.meta(&name, What::Heard(HeardMeta { unix_ms: *unix_ms }));
        }
        self.store.write(chunk)?;
        self.heard.extend(news);
        Ok(())
    }

    /// Notes, durably, that the county refused a sync, or that one went through. The words are cut
    /// to what a row holds: they come from elsewhere.
    ///
    /// # Errors
    /// When the store fails.
    pub fn note_refused(&mut self, refused: Option<&SyncRefused>) -> Result<(), StoreError> {
        let held = self.sync_refused();
        let mut chunk = Chunk::default();
        match refused {
            None if held.is_none() => return Ok(()),
            None => chunk.remove(&RowKey::Meta(b"refused").bytes()),
            Some(refused) => chunk.meta(
                b"refused",
                What::Refused(RefusedMeta {
                    unix_ms: refused.unix_ms,
                    reason: refused.reason.chars().take(REFUSED_CHARS_MAX).collect(),
                    words: refused.words.chars().take(REFUSED_CHARS_MAX).collect(),
                }),
            ),
        }
        self.store.write(chunk)
    }

    /// Why the county refused the last sync. A row that cannot be read is named by `verify`.
    pub(super) fn sync_refused(&self) -> Option<SyncRefused> {
        let Ok(Some(What::Refused(row))) = self.store.meta(b"refused") else {
            return None;
        };
        Some(SyncRefused {
            unix_ms: row.unix_ms,
            reason: row.reason,
            words: row.words,
        })
    }

    /// When each station was last heard directly, as far as was noted here.
    #[must_use]
    pub const fn heard_directly(&self) -> &BTreeMap<SubjectId, i64> {
        &self.heard
    }
}

/// An event as it is sent: of one that is too long the contents beside the body stay here, for
/// nothing rests on them.
fn to_send(event: &SignedEvent) -> wire::Event {
    let mut wire = event.to_wire();
    if wire.encoded_len() > SENT_BYTES_MAX {
        wire.beside.clear();
    }
    wire
}
