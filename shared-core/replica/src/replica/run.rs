//! Keeping entries of the county log at a station: the events that are new, the places of all.

use std::collections::BTreeSet;

use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId;
use sponson_log::sync::station::{EntryEvent, KeepRun};
use sponson_log::tree::{Edge, leaf_hash};
use sponson_proto::store::v1::meta_row::What;
use sponson_proto::store::v1::{ChunkSource, LeftMeta};

use super::keep::{Commit, LogPlaces, Staged};
use super::{Replica, Standing, store_meta};
use crate::errors::StoreError;
use crate::store::rows::RowKey;
use crate::store::write::Chunk;
use crate::values::Kept;

/// A run as far as it has been gone through.
struct Walk {
    staged: Staged,
    kept: Kept,
    places: Vec<(u64, i64)>,
    placed: BTreeSet<u64>,
    edge: Edge,
}

impl Replica {
    /// Keeps verified entries of the county log at a station, durably, as one batch.
    ///
    /// # Errors
    /// When the store fails, or the run does not continue what is held; then nothing of it is kept.
    pub fn keep_run(&mut self, run: &KeepRun, now_unix_ms: i64) -> Result<Kept, StoreError> {
        let log = self.log_of_run(run)?;
        let walked = self.walk(run, log);
        let walk = match walked {
            Ok(walk) => walk,
            Err(error) => {
                self.index.relink(&self.store)?;
                return Err(error);
            }
        };
        let reached = run
            .checkpoint
            .as_ref()
            .filter(|checkpoint| checkpoint.size == walk.edge.size());
        let standing = Standing::Station { log: Some(run.log) };
        let mut chunk = Chunk::default();
        if log == LogPlaces::BeginAgain {
            for key in self.store.place_keys()? {
                chunk.remove(&key);
            }
            chunk.remove(&RowKey::Meta(b"checkpoint").bytes());
            chunk.meta(b"store", store_meta(self.county, self.key(), standing));
            self.note_left(&mut chunk, now_unix_ms);
        }
        let ahead = self.note_checkpoint(&mut chunk, run, reached);
        let commit = Commit {
            chunk,
            places: walk.places,
            log,
            source: ChunkSource::County,
            kept_unix_ms: now_unix_ms,
        };
        self.commit(walk.staged, commit)?;
        self.ahead = ahead;
        if log == LogPlaces::BeginAgain {
            self.left.extend(self.standing.log());
            self.checkpoint = None;
            self.standing = standing;
        }
        if let Some(checkpoint) = reached {
            self.checkpoint = Some(checkpoint.clone());
        }
        Ok(walk.kept)
    }

    /// Remembers the log that is left, with what the county signed of it.
    fn note_left(&self, chunk: &mut Chunk, now_unix_ms: i64) {
        let Some(log) = self.standing.log() else {
            return;
        };
        let left = LeftMeta {
            log_id: log.to_bytes(),
            size: self.index.places.size(),
            checkpoint: self.checkpoint.as_ref().map(|it| it.to_wire().clone()),
            left_unix_ms: now_unix_ms,
        };
        let name = [b"left".as_slice(), log.as_bytes()].concat();
        chunk.meta(&name, What::Left(left));
    }

    /// Keeps the run's checkpoint: as the newest when its entries are all held, else as the one
    /// that proves what is held. Gives the latter.
    fn note_checkpoint(
        &self,
        chunk: &mut Chunk,
        run: &KeepRun,
        reached: Option<&Checkpoint>,
    ) -> Option<Checkpoint> {
        if let Some(reached) = reached {
            chunk.meta(b"checkpoint", What::Checkpoint(reached.to_wire().clone()));
        }
        match &run.checkpoint {
            Some(ahead) if reached.is_none() => {
                chunk.meta(b"ahead", What::Ahead(ahead.to_wire().clone()));
                Some(ahead.clone())
            }
            Some(_) | None => {
                chunk.remove(&RowKey::Meta(b"ahead").bytes());
                None
            }
        }
    }

    fn log_of_run(&self, run: &KeepRun) -> Result<LogPlaces, StoreError> {
        let Standing::Station { log } = self.standing else {
            return Err(StoreError::NotAStation);
        };
        let (places, size) = if log == Some(run.log) {
            (LogPlaces::Continue, self.index.places.size())
        } else {
            (LogPlaces::BeginAgain, 0)
        };
        if run.first == size {
            Ok(places)
        } else {
            let first = run.first;
            Err(StoreError::RunPlace { first, size })
        }
    }

    fn walk(&mut self, run: &KeepRun, log: LogPlaces) -> Result<Walk, StoreError> {
        let edge = match log {
            LogPlaces::Continue => self.index.places.tree.edge().clone(),
            LogPlaces::BeginAgain => Edge::default(),
        };
        let mut walk = Walk {
            staged: Staged::new(),
            kept: Kept::default(),
            places: Vec::new(),
            placed: BTreeSet::new(),
            edge,
        };
        for (index, entry) in (run.first..).zip(&run.entries) {
            let wrong = |detail| StoreError::RunEntry { index, detail };
            let (id, number) = match &entry.event {
                EntryEvent::New(event) => self.walk_new(&mut walk, event).map_err(wrong)?,
                EntryEvent::Held(id) => {
                    let number = self.number_in(&walk, id).ok_or_else(|| {
                        wrong(format!("event {id} is said to be held here, but is not"))
                    })?;
                    walk.kept.held += 1;
                    (*id, number)
                }
            };
            let before = log == LogPlaces::Continue && self.index.places.index(number).is_some();
            if before || !walk.placed.insert(number) {
                return Err(wrong(format!("event {id} has a place in the log already")));
            }
            walk.places.push((number, entry.received_unix_ms));
            walk.edge.append(leaf_hash(&id, entry.received_unix_ms));
        }
        let reached = run.checkpoint.as_ref();
        let size = walk.edge.size();
        if reached.is_some_and(|it| it.size == size && it.root != walk.edge.root()) {
            return Err(StoreError::RunRoot { size });
        }
        Ok(walk)
    }

    fn walk_new(&mut self, walk: &mut Walk, event: &SignedEvent) -> Result<(EventId, u64), String> {
        let id = event.id();
        if let Some(number) = self.number_in(walk, &id) {
            walk.kept.held += 1;
            return Ok((id, number));
        }
        let number = self.index.size() + walk.staged.events.len() as u64;
        self.stage(&mut walk.staged, event.clone())
            .map_err(|(_, unfit)| unfit.to_string())?;
        walk.kept.new.push(id);
        Ok((id, number))
    }

    fn number_in(&self, walk: &Walk, id: &EventId) -> Option<u64> {
        let staged = || walk.staged.number(id, self.index.size());
        self.index.number(id).or_else(staged)
    }
}
