//! At the county: beginning a log that follows another one, getting back what was lost, and going
//! on with another working key.

use std::collections::BTreeMap;

use sponson_log::begun::{BegunReason, LogBegun, Voucher};
use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::{Clock, SignedEvent};
use sponson_log::ids::{LogId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_log::sync::shown::OwnLogs;
use sponson_proto::store::v1::meta_row::What;
use sponson_proto::store::v1::{BackMeta, ChunkSource};

use super::clock::disowned_row;
use super::keep::{Commit, LogPlaces, Staged};
use super::{Replica, Standing, store_meta};
use crate::errors::StoreError;
use crate::store::write::Chunk;
use crate::values::{Begun, GivenBack, Now};

impl Replica {
    /// Whether the county holds what a checkpoint says, or need not: one that no working key signed
    /// says nothing.
    #[must_use]
    pub fn holds_what_it_signed(&self, shown: &Checkpoint) -> bool {
        let Standing::County { log, .. } = self.standing else {
            return true;
        };
        let registry = &self.index.registry;
        let left = self.index.beginnings.left(log, registry);
        let own = OwnLogs {
            log,
            tree: &self.index.places.tree,
            left: &left,
        };
        own.hold(shown, |key| registry.is_working_key(key))
    }

    /// Begins another log, durably: its first leaf says what the county held and what was shown,
    /// and all that is held follows in its order, with its received times. `writer` is a key of
    /// this one event, for which the own key vouches and signs no event afterwards.
    ///
    /// # Errors
    /// When the store fails, or this is no county.
    pub fn begin_log(
        &mut self,
        log: LogId,
        writer: &DeviceKey,
        shown: &Checkpoint,
        now: &Now,
    ) -> Result<LogBegun, StoreError> {
        let Standing::County { log: old_log, root } = self.standing else {
            return Err(StoreError::NotTheCounty);
        };
        let edge = self.index.places.tree.edge();
        let begun = LogBegun {
            log,
            old_log,
            old_tree: (edge.size(), edge.root()),
            reason: BegunReason::shown(shown),
            vouched_by: Some(self.key()),
        };
        let voucher = Voucher::Working(&self.key);
        let event = begun
            .sign(self.county, writer, voucher, clock(now))
            .map_err(|error| StoreError::Beginning(error.to_string()))?;
        let mut staged = Staged::new();
        self.stage(&mut staged, event)
            .map_err(|(_, unfit)| StoreError::Beginning(unfit.to_string()))?;
        let first = (self.index.size(), self.county_time(now.unix_ms));
        let places = std::iter::once(first);
        let places = places.chain(self.index.places.all().iter().copied());
        let standing = Standing::County { log, root };
        let mut chunk = Chunk::default();
        for key in self.store.place_keys()? {
            chunk.remove(&key);
        }
        chunk.meta(b"store", store_meta(self.county, self.key(), standing));
        if let Some(disowned) = self.index.places.disowned() {
            chunk.meta(b"disowned", disowned_row(disowned.one_later()));
        }
        let commit = Commit {
            chunk,
            places: places.collect(),
            log: LogPlaces::BeginAgain,
            source: ChunkSource::Own,
            kept_unix_ms: now.unix_ms,
        };
        self.commit(staged, commit)?;
        self.standing = standing;
        Ok(begun)
    }

    /// Goes on with another working key, durably: `admissions` are the root's events that admit it
    /// (and end the one before, when that is needed).
    ///
    /// # Errors
    /// When the store fails, or the events do not fit.
    pub fn renew_key(
        &mut self,
        key: DeviceKey,
        admissions: Vec<SignedEvent>,
        now: &Now,
    ) -> Result<(), StoreError> {
        if !self.is_county() {
            return Err(StoreError::NotTheCounty);
        }
        let mut staged = Staged::new();
        let first = self.index.size();
        for event in admissions {
            self.stage(&mut staged, event)
                .map_err(|(_, unfit)| StoreError::Beginning(unfit.to_string()))?;
        }
        let received = self.county_time(now.unix_ms);
        let numbers = (first..).zip(&staged.events);
        let mut chunk = Chunk::default();
        chunk.meta(b"store", store_meta(self.county, key.key(), self.standing));
        let commit = Commit {
            chunk,
            places: numbers.map(|(number, _)| (number, received)).collect(),
            log: LogPlaces::Continue,
            source: ChunkSource::Own,
            kept_unix_ms: now.unix_ms,
        };
        self.commit(staged, commit)?;
        self.key = key;
        Ok(())
    }

    /// Whether the own key does not know how far it signed: it signs no event any more.
    #[must_use]
    pub fn is_paused(&self) -> bool {
        let registry = &self.index.registry;
        self.is_county() && self.index.beginnings.doubted(&self.key(), registry)
    }

    /// How the county log that is held follows another one; none when it is the first.
    #[must_use]
    pub fn begun(&self) -> Option<Begun> {
        let (number, unix_ms) = self.index.places.at(0)?;
        let beginning = self.index.beginnings.of(number)?;
        let log = beginning.begun.log;
        let of_log = self.back.iter().filter(|(_, given)| given.log == log);
        Some(Begun {
            begun: beginning.begun.clone(),
            unix_ms,
            back: of_log.map(|(station, given)| (*station, *given)).collect(),
            to_hear: self.to_hear(unix_ms),
        })
    }

    /// Notes, durably, that a station gave back entries that the county had lost.
    ///
    /// # Errors
    /// When the store fails.
    pub fn note_back(
        &mut self,
        station: SubjectId,
        entries: u64,
        now_unix_ms: i64,
    ) -> Result<(), StoreError> {
        let Some(log) = self.log_id().filter(|_| entries > 0) else {
            return Ok(());
        };
        let before = self.back.get(&station).filter(|before| before.log == log);
        let given = GivenBack {
            log,
            entries: entries + before.map_or(0, |before| before.entries),
            first_unix_ms: before.map_or(now_unix_ms, |before| before.first_unix_ms),
            last_unix_ms: now_unix_ms,
        };
        let mut chunk = Chunk::default();
        let row = BackMeta {
            log_id: log.to_bytes(),
            entries: given.entries,
            first_unix_ms: given.first_unix_ms,
            last_unix_ms: given.last_unix_ms,
        };
        let name = [b"back".as_slice(), station.as_bytes()].concat();
        chunk.meta(&name, What::Back(row));
        self.store.write(chunk)?;
        self.back.insert(station, given);
        Ok(())
    }

    /// Names of stations with a device in force that the county did not hear since a moment. Asked
    /// at a station, nobody knows: only the county hears all of them.
    fn to_hear(&self, since_unix_ms: i64) -> Vec<String> {
        if !self.is_county() {
            return Vec::new();
        }
        let registry = &self.index.registry;
        let devices = registry.keys().values();
        let mut stations: BTreeMap<SubjectId, ()> = BTreeMap::new();
        for admitted in devices.filter(|admitted| admitted.ended.is_none()) {
            stations.extend(admitted.station.map(|station| (station, ())));
        }
        let silent = stations.keys().filter(|station| {
            let heard = self.heard.get(station);
            heard.is_none_or(|heard| *heard < since_unix_ms)
        });
        let names = silent.map(|station| {
            let facts = registry.stations().get(station);
            facts.map_or_else(|| station.to_string(), |facts| facts.name.clone())
        });
        names.collect()
    }
}

/// The clocks of a moment, as an event has them.
pub(super) const fn clock(now: &Now) -> Clock {
    Clock {
        unix_ms: now.unix_ms,
        utc_offset_min: now.utc_offset_min,
        boot_id: now.boot_id,
        monotonic_ms: now.monotonic_ms,
    }
}
