//! Keeping events from elsewhere, and the one way in which anything becomes durable.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::chains::Unfit;
use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId;
use sponson_proto::store::v1::{ChunkRow, ChunkSource};

use super::Replica;
use super::redacting::is_redaction;
use crate::errors::StoreError;
use crate::index::Touched;
use crate::parse::Interpreter;
use crate::store::write::Chunk;
use crate::values::{Kept, RefusedEvent};

/// Events that are linked into their chains and about to become durable together.
#[derive(Debug)]
pub(super) struct Staged {
    /// The events, in order.
    pub(super) events: Vec<SignedEvent>,
    ids: BTreeSet<EventId>,
    touched: Touched,
}

impl Staged {
    pub(super) const fn new() -> Self {
        Self {
            events: Vec::new(),
            ids: BTreeSet::new(),
            touched: Touched::Own,
        }
    }

    /// Number that a staged event will have after `first` events held.
    pub(super) fn number(&self, id: &EventId, first: u64) -> Option<u64> {
        if !self.ids.contains(id) {
            return None;
        }
        let position = self.events.iter().position(|event| event.id() == *id)?;
        Some(first + position as u64)
    }
}

/// What goes with staged events into one batch.
#[derive(Debug)]
pub(super) struct Commit {
    /// Rows beside those of the events.
    pub(super) chunk: Chunk,
    /// Places in the county log: number and received time of each.
    pub(super) places: Vec<(u64, i64)>,
    /// Whether the places continue those held or begin again.
    pub(super) log: LogPlaces,
    /// Where the events came from.
    pub(super) source: ChunkSource,
    /// When, milliseconds since 1970.
    pub(super) kept_unix_ms: i64,
}

/// What becomes of the places that are held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LogPlaces {
    /// They stay.
    Continue,
    /// They do not count any more: another log begins.
    BeginAgain,
}

impl Replica {
    /// Keeps events from elsewhere, durably, as one batch. At the county they enter the county log
    /// with `now_unix_ms` as their received time.
    ///
    /// # Errors
    /// When the store fails; then nothing of the batch is kept.
    pub fn keep(
        &mut self,
        events: Vec<SignedEvent>,
        source: ChunkSource,
        now_unix_ms: i64,
    ) -> Result<Kept, StoreError> {
        self.keep_stored(events, &BTreeMap::new(), source, now_unix_ms)
    }

    /// Keeps events of which the county had stored some before: those keep their received time.
    ///
    /// # Errors
    /// When the store fails; then nothing of the batch is kept.
    pub fn keep_stored(
        &mut self,
        events: Vec<SignedEvent>,
        stored_before: &BTreeMap<EventId, i64>,
        source: ChunkSource,
        now_unix_ms: i64,
    ) -> Result<Kept, StoreError> {
        let mut staged = Staged::new();
        let mut kept = Kept::default();
        for event in events {
            if self.holds_or_staged(&staged, &event.id()) {
                kept.held += 1;
                continue;
            }
            match self.stage(&mut staged, event) {
                Ok(id) => kept.new.push(id),
                Err((id, unfit)) => kept.refused.push(refused(id, unfit)),
            }
        }
        if staged.events.is_empty() {
            return Ok(kept);
        }
        let received = self.county_time(now_unix_ms);
        let places = if self.is_county() {
            let numbers = self.index.size()..;
            numbers
                .zip(&staged.events)
                .map(|(number, event)| {
                    let before = stored_before.get(&event.id()).copied();
                    (number, before.unwrap_or(received))
                })
                .collect()
        } else {
            Vec::new()
        };
        let commit = Commit {
            chunk: Chunk::default(),
            places,
            log: LogPlaces::Continue,
            source,
            kept_unix_ms: now_unix_ms,
        };
        self.commit(staged, commit)?;
        Ok(kept)
    }

    pub(super) fn holds_or_staged(&self, staged: &Staged, id: &EventId) -> bool {
        staged.ids.contains(id) || self.holds(id)
    }

    /// Links an event into its chain, when it fits after all that is held and staged.
    pub(super) fn stage(
        &mut self,
        staged: &mut Staged,
        event: SignedEvent,
    ) -> Result<EventId, (EventId, Unfit)> {
        let id = event.id();
        self.index
            .chains
            .fits(self.county, &event, |id| self.holds_or_staged(staged, id))
            .map_err(|unfit| (id, unfit))?;
        staged.touched = staged.touched.max(self.index.link(&event));
        staged.ids.insert(id);
        staged.events.push(event);
        Ok(id)
    }

    /// Makes staged events and what goes with them durable, and only then takes them up. When the
    /// store fails the chains keep what was staged: the store keeps nothing more, and whoever opens
    /// it again reads the chains from its rows.
    pub(super) fn commit(&mut self, staged: Staged, commit: Commit) -> Result<(), StoreError> {
        let Commit {
            mut chunk,
            places,
            log,
            source,
            kept_unix_ms,
        } = commit;
        let first = self.index.size();
        for (number, event) in (first..).zip(&staged.events) {
            chunk.event(number, event);
        }
        if !staged.events.is_empty() {
            let row = ChunkRow {
                count: u32::try_from(staged.events.len()).unwrap_or(u32::MAX),
                kept_unix_ms,
                source: source as i32,
            };
            chunk.chunk(first, row);
        }
        let first_place = match log {
            LogPlaces::Continue => self.index.places.size(),
            LogPlaces::BeginAgain => 0,
        };
        chunk.leaves(first_place, &places);
        let redacts = staged.events.iter().any(is_redaction);
        self.store.write(chunk)?;
        let touched = self.take_up(staged, &places, log);
        self.store.note_acknowledged(self.index.size());
        if redacts || touched == Touched::Trust {
            self.drop_redacted()?;
        }
        Ok(())
    }

    /// Says what the events did to what was known of others.
    fn take_up(&mut self, staged: Staged, places: &[(u64, i64)], log: LogPlaces) -> Touched {
        let first = self.index.size();
        let mut touched = staged.touched;
        if log == LogPlaces::BeginAgain {
            self.index.places.clear(first);
            touched = Touched::Trust;
        }
        for event in &staged.events {
            touched = touched.max(self.index.add(event));
        }
        for (number, received) in places {
            if let Some(known) = self.index.at(*number) {
                self.index.places.push(*number, known.id, *received);
            }
        }
        if touched == Touched::Trust {
            self.index.recount(|_| true);
            self.records.mark_all(&self.index);
            return touched;
        }
        self.mark_placed(
            places
                .iter()
                .map(|place| place.0)
                .filter(|number| *number < first),
        );
        for (number, event) in (first..).zip(&staged.events) {
            let received = self.index.places.received(number);
            if let Some(event) = Interpreter(&self.index).event(event, received) {
                self.records.take(&event);
            }
        }
        touched
    }

    /// Marks the subjects of events whose received time has become known.
    fn mark_placed(&mut self, numbers: impl Iterator<Item = u64>) {
        for number in numbers {
            match self.store.event(number) {
                Ok(event) => {
                    let subjects = event.header().subjects.iter();
                    self.records.mark(subjects.map(|subject| subject.id));
                }
                Err(error) => {
                    tracing::error!(store.row = %error.row, "{error}");
                    self.records.mark_all(&self.index);
                }
            }
        }
    }
}

fn refused(id: EventId, unfit: Unfit) -> RefusedEvent {
    let detail = unfit.to_string();
    let (reason, missing) = match unfit {
        Unfit::OtherCounty(_) => ("OTHER_COUNTY", Vec::new()),
        Unfit::Missing(missing) => ("MISSING_REFERENCES", missing),
        Unfit::NotNext { .. } => ("NOT_NEXT", Vec::new()),
    };
    RefusedEvent {
        id,
        reason,
        detail,
        missing,
    }
}
