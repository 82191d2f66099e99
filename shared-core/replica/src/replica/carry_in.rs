//! Taking in a carry file: read whole, verified whole, and only then kept.

use sponson_log::carry::read;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{CountyId, LogId};
use sponson_log::sync::station::{EntryEvent, KeepRun, RunEntry};
use sponson_log::tree::{Edge, leaf_hash};
use sponson_proto::carry::v1::carry_record::What;
use sponson_proto::carry::v1::{CarryEnd, CarryRecord, CountyRun};
use sponson_proto::event::v1 as wire;
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::county_entry::What as EntryWhat;

use super::{Replica, Standing};
use crate::errors::{CarryInError, StoreError};
use crate::values::Kept;

/// Events kept as one batch: with bodies of 64 KiB they would be 64 MB, as they come 1 MB.
pub(super) const KEEP_EVENTS: usize = 1_000;

/// What a file holds, every event opened and its signature verified.
#[derive(Debug, Default)]
struct Carried {
    entries: Vec<Entry>,
    log: Option<LogId>,
    events: Vec<SignedEvent>,
    checkpoint: Option<Checkpoint>,
}

/// One entry of the county log.
#[derive(Debug)]
struct Entry {
    index: u64,
    received_unix_ms: i64,
    event: SignedEvent,
}

impl Replica {
    /// Takes in a carry file: reads it whole, verifies every event, and keeps what fits.
    ///
    /// # Errors
    /// When the file is not right; then nothing of it is kept. When the store fails; then what was
    /// kept before that stays.
    pub fn carry_in(&mut self, file: &[u8], now_unix_ms: i64) -> Result<Kept, CarryInError> {
        let carried = open(self, read(file)?)?;
        let follows = self.follows(&carried)?;
        let mut kept = Kept::default();
        let size = self.index.places.size();
        let (entries, before): (Vec<Entry>, Vec<Entry>) = carried
            .entries
            .into_iter()
            .partition(|entry| follows == Follows::Places && entry.index >= size);
        let known = before.into_iter().map(|entry| entry.event).collect();
        self.take_events(known, now_unix_ms, &mut kept)?;
        if let Some(checkpoint) = carried.checkpoint.filter(|_| follows == Follows::Places) {
            self.take_entries(entries, &checkpoint, now_unix_ms, &mut kept)?;
        }
        self.take_events(carried.events, now_unix_ms, &mut kept)?;
        Ok(kept)
    }

    fn take_entries(
        &mut self,
        entries: Vec<Entry>,
        checkpoint: &Checkpoint,
        now_unix_ms: i64,
        kept: &mut Kept,
    ) -> Result<(), StoreError> {
        let mut left = entries.into_iter().peekable();
        loop {
            let chunk = left.by_ref().take(KEEP_EVENTS);
            let entries = chunk.map(|entry| RunEntry {
                received_unix_ms: entry.received_unix_ms,
                event: EntryEvent::New(Box::new(entry.event)),
            });
            let run = KeepRun {
                log: checkpoint.log,
                first: self.index.places.size(),
                entries: entries.collect(),
                checkpoint: left.peek().is_none().then(|| checkpoint.clone()),
            };
            add(kept, self.keep_run(&run, now_unix_ms)?);
            if left.peek().is_none() {
                return Ok(());
            }
        }
    }

    fn take_events(
        &mut self,
        events: Vec<SignedEvent>,
        now_unix_ms: i64,
        kept: &mut Kept,
    ) -> Result<(), StoreError> {
        let mut left = events.into_iter().peekable();
        while left.peek().is_some() {
            let chunk = left.by_ref().take(KEEP_EVENTS).collect();
            add(kept, self.keep(chunk, ChunkSource::Carry, now_unix_ms)?);
        }
        Ok(())
    }

    /// Checks the file's county log against its checkpoint and against what is held here.
    fn follows(&self, carried: &Carried) -> Result<Follows, CarryInError> {
        let last = carried.entries.len() as u64;
        let refused = |detail: &str| CarryInError::Record {
            record: last,
            detail: detail.to_owned(),
        };
        let Some(checkpoint) = &carried.checkpoint else {
            return if carried.entries.is_empty() {
                Ok(Follows::EventsOnly)
            } else {
                Err(refused("the county log in it comes without a checkpoint"))
            };
        };
        if carried.log.is_some_and(|log| log != checkpoint.log) {
            return Err(refused(
                "the county log in it is another than its checkpoint's",
            ));
        }
        if checkpoint.county != self.county || !self.is_of_county(checkpoint, carried) {
            return Err(refused(
                "its checkpoint is not signed by a working key of this county",
            ));
        }
        let edge = match self.standing {
            Standing::Station { log: None } => Edge::default(),
            Standing::Station { log: Some(log) } if log == checkpoint.log => {
                self.tree().edge().clone()
            }
            Standing::Station { .. } | Standing::County { .. } => return Ok(Follows::EventsOnly),
        };
        let fits = if checkpoint.size < edge.size() {
            let begins = self.tree().root_at(checkpoint.size) == Some(checkpoint.root);
            begins.then_some(Follows::EventsOnly).ok_or(())
        } else {
            let promised = self.ahead.as_ref().filter(|it| it.log == checkpoint.log);
            reaches(edge, &carried.entries, checkpoint, promised)
        };
        fits.or_else(|()| {
            if is_of_itself(&carried.entries, checkpoint) {
                tracing::warn!(
                    "the county signed another history than the one held here: it was put back to an \
                     older state. The entries in the carry file are right, and are taken in"
                );
                Ok(Follows::EventsOnly)
            } else {
                Err(refused(
                    "its county log does not lead to the root that the county signed",
                ))
            }
        })
    }

    /// Whether a checkpoint's key is a working key by what is held or what the file brings.
    fn is_of_county(&self, checkpoint: &Checkpoint, carried: &Carried) -> bool {
        if self.registry().is_working_key(&checkpoint.key) {
            return true;
        }
        let mut registry = self.registry().clone();
        let mut chains = self.chains().clone();
        for entry in &carried.entries {
            chains.add(&entry.event);
            registry.apply(&entry.event, &chains);
        }
        registry.is_working_key(&checkpoint.key)
    }
}

/// What a file's county log is to this replica.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Follows {
    /// Its entries continue the places held here and lead to its checkpoint.
    Places,
    /// Only its events count.
    EventsOnly,
}

/// Whether the entries lead from an edge to the checkpoint; with a gap only their events count. What
/// a cut sync brought is proved by a checkpoint further on (`promised`): a history that does not lead
/// through it is another one, and of one that ends before it nobody can tell.
fn reaches(
    mut edge: Edge,
    entries: &[Entry],
    checkpoint: &Checkpoint,
    promised: Option<&Checkpoint>,
) -> Result<Follows, ()> {
    for entry in entries {
        if entry.index == edge.size() {
            edge.append(leaf_hash(&entry.event.id(), entry.received_unix_ms));
        }
        if promised.is_some_and(|it| it.size == edge.size() && it.root != edge.root()) {
            return Err(());
        }
    }
    let untold = promised.is_some_and(|it| it.size > checkpoint.size);
    if edge.size() != checkpoint.size {
        return Ok(Follows::EventsOnly);
    }
    if edge.root() != checkpoint.root {
        return Err(());
    }
    Ok(if untold {
        Follows::EventsOnly
    } else {
        Follows::Places
    })
}

/// Whether a file holds the whole county log of its checkpoint, from the first entry on.
fn is_of_itself(entries: &[Entry], checkpoint: &Checkpoint) -> bool {
    reaches(Edge::default(), entries, checkpoint, None) == Ok(Follows::Places)
}

fn add(kept: &mut Kept, more: Kept) {
    kept.new.extend(more.new);
    kept.held += more.held;
    kept.refused.extend(more.refused);
}

fn open(replica: &Replica, records: Vec<CarryRecord>) -> Result<Carried, CarryInError> {
    let mut carried = Carried::default();
    for (record, content) in (0..).zip(records) {
        let refused = |detail: String| CarryInError::Record { record, detail };
        match content.what {
            Some(What::Start(start)) => {
                let theirs = CountyId::parse("county_id", &start.county_id)
                    .map_err(|error| refused(error.to_string()))?;
                let ours = replica.county;
                if theirs != ours {
                    return Err(CarryInError::OtherCounty { ours, theirs });
                }
            }
            Some(What::CountyRun(run)) => open_run(replica, &mut carried, run).map_err(refused)?,
            Some(What::EventRun(run)) => {
                for event in run.events {
                    let event = open_event(replica, event).map_err(refused)?;
                    carried.events.push(event);
                }
            }
            Some(What::End(end)) => open_end(&mut carried, end).map_err(refused)?,
            None => {
                return Err(refused(
                    "it is empty or of a sort not known here".to_owned(),
                ));
            }
        }
    }
    Ok(carried)
}

fn open_run(replica: &Replica, carried: &mut Carried, run: CountyRun) -> Result<(), String> {
    let log = LogId::parse("log_id", &run.log_id).map_err(|error| error.to_string())?;
    if *carried.log.get_or_insert(log) != log {
        return Err("it is of another county log than the one before".to_owned());
    }
    let next = carried.entries.last().map_or(0, |entry| entry.index + 1);
    if run.first < next {
        return Err(format!("it begins at entry {}, before {next}", run.first));
    }
    if run.first.checked_add(run.entries.len() as u64).is_none() {
        return Err(format!(
            "it begins at entry {}, which no log reaches",
            run.first
        ));
    }
    for (entry, index) in run.entries.into_iter().zip(run.first..) {
        let event = match entry.what {
            Some(EntryWhat::Event(event)) => open_event(replica, event)?,
            Some(EntryWhat::HeldEventId(_)) | None => {
                return Err(format!("entry {index} comes without its event"));
            }
        };
        carried.entries.push(Entry {
            index,
            received_unix_ms: entry.received_unix_ms,
            event,
        });
    }
    Ok(())
}

/// Opens one event. One that is held with the same body and signature was verified when it was
/// kept: whoever carries everything back and forth need not wait for that again.
fn open_event(replica: &Replica, event: wire::Event) -> Result<SignedEvent, String> {
    let signed = (event.algorithm, event.signature.clone());
    let event = SignedEvent::reopen(event).map_err(|error| error.to_string())?;
    let number = replica.index.number(&event.id());
    let held = number.and_then(|number| replica.store.signature(number).ok());
    if held != Some(signed) {
        event.verify().map_err(|error| error.to_string())?;
    }
    Ok(event)
}

fn open_end(carried: &mut Carried, end: CarryEnd) -> Result<(), String> {
    let events = (carried.entries.len() + carried.events.len()) as u64;
    if end.events != events {
        return Err(format!(
            "it says {} events, but {events} came before it",
            end.events
        ));
    }
    carried.checkpoint = end
        .checkpoint
        .map(Checkpoint::open)
        .transpose()
        .map_err(|error| error.to_string())?;
    Ok(())
}
