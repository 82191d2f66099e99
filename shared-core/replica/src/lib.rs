//! What is kept and asked: one replica of the log on one device, county or station.
//!
//! Blocking, no async, no network. The only crate that names sled. Keeps events durably before it
//! acknowledges them, derives everything else (chains, registry, county log tree, records) and
//! answers questions from it. `now` and randomness are arguments.

use std::path::Path;

use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{CountyId, EventId, Key, LogId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_log::sync::station::{KeepRun, Last, StationHas};
use sponson_proto::event::v1 as wire;
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::CountyEntry;
use sponson_readiness::answer::CountyAnswer;
use sponson_readiness::engine::Question;

/// What a new replica is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Founding {
    /// The county: writes the county log.
    County {
        /// The county.
        county: CountyId,
        /// Its root key.
        root: Key,
        /// Id of the new log.
        log: LogId,
    },
    /// A station: follows the county log.
    Station {
        /// The county.
        county: CountyId,
    },
}

/// The device's clocks and a source of random bytes at one moment, read once at the edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Now {
    /// Wall time, milliseconds since 1970.
    pub unix_ms: i64,
    /// Local time's offset from UTC, minutes.
    pub utc_offset_min: i32,
    /// Changes with every start of the device.
    pub boot_id: [u8; 16],
    /// Milliseconds since that start.
    pub monotonic_ms: u64,
}

/// An event that a person wants recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct NewEvent {
    /// Its kind and the version of its message.
    pub kind: wire::Kind,
    /// Version of the message.
    pub kind_version: u32,
    /// The encoded message.
    pub payload: Vec<u8>,
    /// Its subjects; what was seen of each is filled in.
    pub subjects: Vec<(SubjectId, wire::SubjectType)>,
    /// When it was observed, if earlier: from, to, milliseconds since 1970.
    pub observed: Option<(i64, i64)>,
    /// Member number; may be empty.
    pub member: String,
    /// Texts beside the body: what each belongs to, the text, 16 random bytes.
    pub texts: Vec<(String, String, [u8; 16])>,
}

/// An event that was recorded, durably.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Appended {
    /// Its id.
    pub id: EventId,
    /// Its place in the chain.
    pub seq: u64,
}

/// What became of a batch.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Kept {
    /// Events that are durable now and were not before.
    pub new: Vec<EventId>,
    /// Events that were held already.
    pub held: u64,
    /// Events that do not fit.
    pub refused: Vec<RefusedEvent>,
}

/// An event that was not kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RefusedEvent {
    /// Its id.
    pub id: EventId,
    /// Stable, UPPER_SNAKE.
    pub reason: &'static str,
    /// In words.
    pub detail: String,
    /// Events that are missing here.
    pub missing: Vec<EventId>,
}

/// One line of the log, for people.
#[derive(Clone, Debug, PartialEq)]
pub struct LogLine {
    /// Local number.
    pub number: u64,
    /// The event.
    pub event: SignedEvent,
    /// When the county stored it.
    pub received_unix_ms: Option<i64>,
    /// Whether it is trusted.
    pub trust: sponson_log::trust::Trust,
}

/// What a check of the whole store found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Verified {
    /// Events looked at.
    pub events: u64,
    /// Chains.
    pub chains: u64,
    /// Places in the county log.
    pub county_size: u64,
    /// One line for each thing that is wrong.
    pub wrong: Vec<String>,
}

/// Why a store could not be opened or made.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// There is none.
    #[error("folder {0} holds no store: join or found a county first")]
    NoStore(String),
}

/// Why an event was not recorded.
#[derive(Debug, thiserror::Error)]
pub enum AppendError {
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// The store failed; nothing further is acknowledged.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Writing failed.
    #[error("store cannot be written: {0}; nothing was kept, look at the disk and start again")]
    Write(String),
}

/// One replica.
#[derive(Debug)]
pub struct Replica {
    _todo: (),
}

impl Replica {
    /// Makes a new store in a folder that holds none.
    ///
    /// # Errors
    /// When the folder holds a store or cannot be written.
    pub fn create(
        _folder: &Path,
        _founding: &Founding,
        _key: DeviceKey,
    ) -> Result<Self, OpenError> {
        todo!()
    }

    /// Opens a store.
    ///
    /// # Errors
    /// When there is none, it is damaged, another process has it open, or it belongs to another key.
    pub fn open(_folder: &Path, _key: DeviceKey) -> Result<Self, OpenError> {
        todo!()
    }

    /// Signs an event and keeps it durably. At the county it also enters the county log.
    ///
    /// # Errors
    /// When it cannot be read back as an event of its kind, or the store fails.
    pub fn append(&mut self, _event: NewEvent, _now: &Now) -> Result<Appended, AppendError> {
        todo!()
    }

    /// Keeps events from elsewhere, durably, as one batch. At the county they enter the county log
    /// with `now_unix_ms` as their received time.
    ///
    /// # Errors
    /// When the store fails; then nothing of the batch is kept.
    pub fn keep(
        &mut self,
        _events: Vec<SignedEvent>,
        _source: ChunkSource,
        _now_unix_ms: i64,
    ) -> Result<Kept, StoreError> {
        todo!()
    }

    /// Keeps verified entries of the county log at a station, durably, as one batch.
    ///
    /// # Errors
    /// When the store fails; then nothing of the run is kept.
    pub fn keep_run(&mut self, _run: &KeepRun, _now_unix_ms: i64) -> Result<Kept, StoreError> {
        todo!()
    }

    /// Answers a question from what is held.
    #[must_use]
    pub fn ask(&mut self, _question: &Question) -> CountyAnswer {
        todo!()
    }

    /// What a sync with the county begins from.
    #[must_use]
    pub fn station_has(&self) -> StationHas {
        todo!()
    }

    /// Events that the county log, as held, does not prove, in the order of keeping.
    #[must_use]
    pub fn unproven(&self, _from: u64, _bytes_max: usize) -> (Vec<(EventId, wire::Event)>, Last) {
        todo!()
    }

    /// Entries of the county log from an index on; those for which `holds` says yes by id only.
    #[must_use]
    pub fn entries(
        &self,
        _first: u64,
        _bytes_max: usize,
        _holds: &dyn Fn(&SignedEvent) -> bool,
    ) -> Vec<CountyEntry> {
        todo!()
    }

    /// At the county: a checkpoint of the log as it stands.
    #[must_use]
    pub fn checkpoint(&self, _now_unix_ms: i64) -> Option<Checkpoint> {
        todo!()
    }
}
