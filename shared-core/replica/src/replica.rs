//! One replica: its store, what is derived from it, and the parts of its door.

pub(crate) mod append;
mod ask;
mod begin;
pub(crate) mod carry;
mod carry_in;
mod catalogue;
pub(crate) mod clock;
mod compact;
pub(crate) mod craft_record;
mod devices;
pub(crate) mod history;
mod keep;
pub(crate) mod known;
mod log;
mod older;
pub(crate) mod pictures;
pub(crate) mod prove;
mod redacting;
mod refill;
mod run;
mod sheets;
mod simulated;
mod sync;
pub(crate) mod trying;
pub(crate) mod upkeep;
mod verify;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use bytes::Bytes;
use sponson_log::chains::Chains;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{CountyId, EventId, Key, LogId, SubjectId};
use sponson_log::registry::Registry;
use sponson_log::sign::{DeviceKey, Signed};
use sponson_log::tree::Tree;
use sponson_proto::store::v1::meta_row::What;
use sponson_proto::store::v1::{StoreMeta, StoreRole};

use crate::errors::{OpenError, RowError};
use crate::index::Index;
use crate::records::Records;
use crate::store::Store;
use crate::store::engine::{Stuck, within};
use crate::store::folder::Wanted;
use crate::store::migrations::{self, STORE_VERSION};
use crate::store::rows::{RowKey, damaged};
use crate::store::write::Chunk;
use crate::values::{About, ClockOffset, Founding, GivenBack, Held, StationClock};
use sheets::Sheets;

/// One replica.
#[derive(Debug)]
pub struct Replica {
    store: Store,
    key: DeviceKey,
    county: CountyId,
    standing: Standing,
    index: Index,
    records: Records,
    sheets: Sheets,
    checkpoint: Option<Checkpoint>,
    /// At a station: a checkpoint that proves places held and reaches further.
    ahead: Option<Checkpoint>,
    /// At a station: county logs that it left.
    left: BTreeSet<LogId>,
    /// At the county: what stations gave back.
    back: BTreeMap<SubjectId, GivenBack>,
    heard: BTreeMap<SubjectId, i64>,
    offset: Option<ClockOffset>,
    station_clocks: BTreeMap<SubjectId, StationClock>,
    scrub: upkeep::Scrub,
    /// Where pictures are kept; none in a replica that keeps none.
    pictures: Option<pictures::Kept>,
}

/// Where a replica stands towards the county log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Standing {
    /// Writes it.
    County {
        /// Its id.
        log: LogId,
        /// The county's root key.
        root: Key,
    },
    /// Follows it.
    Station {
        /// Its id; none before the first sync.
        log: Option<LogId>,
    },
}

impl Standing {
    /// Whether it writes the county log.
    pub(crate) const fn is_county(self) -> bool {
        matches!(self, Self::County { .. })
    }

    const fn log(self) -> Option<LogId> {
        match self {
            Self::County { log, .. } => Some(log),
            Self::Station { log } => log,
        }
    }
}

impl Replica {
    /// Makes a new store in a folder that holds none.
    ///
    /// # Errors
    /// When the folder holds a store or cannot be written.
    pub fn create(folder: &Path, founding: &Founding, key: DeviceKey) -> Result<Self, OpenError> {
        let (county, standing) = founded(founding)?;
        Store::begin(folder)?;
        let store = Store::open(folder, Wanted::New)?;
        let replica = Self::create_in(store, folder, key, (county, standing))?;
        Store::is_made(folder)?;
        Ok(replica)
    }

    fn create_in(
        mut store: Store,
        folder: &Path,
        key: DeviceKey,
        (county, standing): (CountyId, Standing),
    ) -> Result<Self, OpenError> {
        if store.meta(b"store")?.is_some() {
            return Err(OpenError::AlreadyThere(folder.display().to_string()));
        }
        if let Some(kept) = store.acknowledged() {
            return Err(lost(folder, 0, kept));
        }
        let mut chunk = Chunk::default();
        chunk.meta(b"store", store_meta(county, key.key(), standing));
        store.write(chunk)?;
        Self::load(store, key, county, standing)
    }

    /// Opens a store.
    ///
    /// A disk that failed to read once makes the engine clear what it could not read. So where this
    /// opening found damage, and a copy was made before it, that is put back and opened once more.
    ///
    /// # Errors
    /// When there is none, it is damaged, another process has it open, or it belongs to another key.
    pub fn open(folder: &Path, key: DeviceKey) -> Result<Self, OpenError> {
        // One that is older stays for salvage: who knows what was kept since.
        let had_copy = Store::has_copy(folder);
        let opened = Self::open_once(folder, key.clone());
        match opened {
            Err(OpenError::Damaged { .. } | OpenError::Lost { .. })
                if !had_copy && Store::has_copy(folder) && Store::put_back(folder) =>
            {
                tracing::warn!("what was read was damaged: the store is read once more");
                let again = Self::open_once(folder, key);
                if let Err(OpenError::Damaged { .. } | OpenError::Lost { .. }) = again {
                    // A next start begins from the same files.
                    Store::put_back(folder);
                }
                again
            }
            // Its rows were not read beyond whose they are: nothing of them may have changed.
            Err(OpenError::Version { .. } | OpenError::OtherKey { .. }) if !had_copy => {
                Store::leave_as_it_was(folder);
                opened
            }
            opened => opened,
        }
    }

    fn open_once(folder: &Path, key: DeviceKey) -> Result<Self, OpenError> {
        let store = Store::open(folder, Wanted::Existing)?;
        Self::open_in(store, folder, key)
    }

    fn open_in(mut store: Store, folder: &Path, key: DeviceKey) -> Result<Self, OpenError> {
        let Some(meta) = store.meta(b"store")? else {
            // Founding was cut short before its first row; or all was lost.
            let none = || OpenError::NoStore(folder.display().to_string());
            return Err(store
                .acknowledged()
                .map_or_else(none, |kept| lost(folder, 0, kept)));
        };
        let meta = migrations::migrate(&mut store, meta)?;
        let (stored, county, standing) = read_store_meta(meta)?;
        let given = key.key();
        if stored != given {
            return Err(OpenError::OtherKey { stored, given });
        }
        let kept = store.acknowledged().unwrap_or_default();
        // Reading as much as this may wait for the engine's own writes, and it may panic.
        let limit = store.reads_within();
        let loading = move || Self::load(store, key, county, standing);
        let replica = within(limit, loading).map_err(|stuck| not_read(folder, &stuck))??;
        if replica.index.size() < kept {
            return Err(lost(folder, replica.index.size(), kept));
        }
        Store::is_good(folder);
        Ok(replica)
    }

    fn load(
        store: Store,
        key: DeviceKey,
        county: CountyId,
        standing: Standing,
    ) -> Result<Self, OpenError> {
        let mut index = Index::load(county, &store)?;
        if let Some(disowned) = clock::read_disowned(&store)? {
            index.places.disown(disowned);
        }
        let mut records = Records::default();
        records.mark_all(&index);
        let mut replica = Self {
            checkpoint: read_checkpoint(&store, b"checkpoint")?,
            ahead: read_checkpoint(&store, b"ahead")?,
            left: read_left(&store)?,
            back: read_back(&store)?,
            heard: read_heard(&store)?,
            offset: clock::read_offset(&store)?,
            station_clocks: clock::read_station_clocks(&store)?,
            sheets: Sheets::read(&index.registry),
            scrub: upkeep::Scrub::default(),
            pictures: None,
            store,
            key,
            county,
            standing,
            index,
            records,
        };
        // A power cut may have come between a redaction and the removal.
        replica.drop_redacted()?;
        Ok(replica)
    }

    /// The county.
    #[must_use]
    pub const fn county(&self) -> CountyId {
        self.county
    }

    /// Own key.
    #[must_use]
    pub fn key(&self) -> Key {
        self.key.key()
    }

    /// Signs something that is no event with the own key.
    #[must_use]
    pub fn sign(&self, what: Signed, body: &[u8]) -> [u8; 64] {
        self.key.sign(what, body)
    }

    /// Whether this replica writes the county log.
    #[must_use]
    pub const fn is_county(&self) -> bool {
        self.standing.is_county()
    }

    /// At the county: the root key.
    #[must_use]
    pub const fn root(&self) -> Option<Key> {
        match self.standing {
            Standing::County { root, .. } => Some(root),
            Standing::Station { .. } => None,
        }
    }

    /// The county log; none at a station before its first sync.
    #[must_use]
    pub const fn log_id(&self) -> Option<LogId> {
        self.standing.log()
    }

    /// The registry as held.
    #[must_use]
    pub const fn registry(&self) -> &Registry {
        &self.index.registry
    }

    /// The chains as held.
    #[must_use]
    pub const fn chains(&self) -> &Chains {
        &self.index.chains
    }

    /// The county log's tree as held: proofs are made from it.
    #[must_use]
    pub const fn tree(&self) -> &Tree {
        &self.index.places.tree
    }

    /// The newest county checkpoint held; at the county none, it makes its own.
    #[must_use]
    pub const fn newest_checkpoint(&self) -> Option<&Checkpoint> {
        self.checkpoint.as_ref()
    }

    /// Whether an event is held.
    #[must_use]
    pub fn holds(&self, id: &EventId) -> bool {
        self.index.number(id).is_some()
    }

    /// An event that is held.
    ///
    /// # Errors
    /// When its row is damaged.
    pub fn event(&self, id: &EventId) -> Result<Option<SignedEvent>, RowError> {
        let number = self.index.number(id);
        number.map(|number| self.store.event(number)).transpose()
    }

    /// Index of an event in the county log, and when the county stored it.
    #[must_use]
    pub fn place(&self, id: &EventId) -> Option<(u64, i64)> {
        let index = self.index.places.index(self.index.number(id)?)?;
        Some((index, self.index.places.at(index)?.1))
    }

    /// How much is held; cheap, for whoever waits for more.
    #[must_use]
    pub fn held(&self) -> Held {
        Held {
            events: self.index.size(),
            county_size: self.index.places.size(),
            heard_ms_sum: self.heard.values().copied().fold(0, i64::wrapping_add),
        }
    }

    /// What this replica is.
    #[must_use]
    pub fn about(&self) -> About {
        let registry = &self.index.registry;
        let key = self.key.key();
        let admitted = registry.key(&key);
        let station = admitted.and_then(|admitted| admitted.station);
        let places = &self.index.places;
        About {
            county: self.county,
            key,
            station: station.map(|id| {
                let facts = registry.stations().get(&id);
                (
                    id,
                    facts.map_or_else(String::new, |facts| facts.name.clone()),
                )
            }),
            admitted: admitted.is_some_and(|admitted| admitted.ended.is_none()),
            parted: self
                .index
                .chains
                .get(&key)
                .and_then(|chain| chain.parted_at()),
            events: self.index.size(),
            waiting: places.unproven.len() as u64,
            offset: self.offset,
            station_clocks: self.station_clocks.clone(),
            log: self.log_id(),
            county_size: places.size(),
            root: places.tree.edge().root(),
            begun: self.begun(),
            paused: self.is_paused(),
            sync_refused: self.sync_refused(),
        }
    }
}

fn founded(founding: &Founding) -> Result<(CountyId, Standing), OpenError> {
    match founding {
        Founding::County { county, root, log } => {
            let (root, log) = (*root, *log);
            if CountyId::of_root(&root) != *county {
                let county = *county;
                return Err(OpenError::OtherRoot { root, county });
            }
            Ok((*county, Standing::County { log, root }))
        }
        Founding::Station { county } => Ok((*county, Standing::Station { log: None })),
    }
}

fn not_read(folder: &Path, stuck: &Stuck) -> OpenError {
    let folder = folder.display().to_string();
    match stuck {
        Stuck::Panicked(words) => OpenError::Damaged {
            folder,
            detail: words.clone(),
        },
        Stuck::NoThread(words) => OpenError::NoThread {
            folder,
            detail: words.clone(),
        },
        Stuck::NoAnswer(_) => OpenError::Folder {
            folder,
            what: "reading the store",
            detail: stuck.to_string(),
        },
    }
}

fn lost(folder: &Path, held: u64, kept: u64) -> OpenError {
    let folder = folder.display().to_string();
    OpenError::Lost { folder, held, kept }
}

fn store_meta(county: CountyId, key: Key, standing: Standing) -> What {
    let (role, root_key) = match standing {
        Standing::County { root, .. } => (StoreRole::County, root.to_bytes()),
        Standing::Station { .. } => (StoreRole::Station, Bytes::new()),
    };
    What::Store(StoreMeta {
        version: STORE_VERSION,
        county_id: county.to_bytes(),
        key: key.to_bytes(),
        log_id: standing.log().map_or_else(Bytes::new, LogId::to_bytes),
        root_key,
        role: role as i32,
    })
}

pub(crate) fn read_store_meta(what: What) -> Result<(Key, CountyId, Standing), OpenError> {
    let row = RowKey::Meta(b"store").bytes();
    let wrong = |error: sponson_log::ids::WrongLength| damaged(&row, error);
    let What::Store(meta) = what else {
        return Err(damaged(&row, "it holds something else").into());
    };
    if meta.version != STORE_VERSION {
        return Err(OpenError::Version {
            found: meta.version,
            known: STORE_VERSION,
        });
    }
    let log = LogId::parse_optional("log_id", &meta.log_id).map_err(wrong)?;
    let standing = match (StoreRole::try_from(meta.role), log) {
        (Ok(StoreRole::County), Some(log)) => Standing::County {
            log,
            root: Key::parse("root_key", &meta.root_key).map_err(wrong)?,
        },
        (Ok(StoreRole::Station), log) => Standing::Station { log },
        (Ok(StoreRole::County | StoreRole::Unspecified) | Err(_), _) => {
            return Err(damaged(&row, "it says neither county nor station").into());
        }
    };
    Ok((
        Key::parse("key", &meta.key).map_err(wrong)?,
        CountyId::parse("county_id", &meta.county_id).map_err(wrong)?,
        standing,
    ))
}

fn read_checkpoint(store: &Store, name: &[u8]) -> Result<Option<Checkpoint>, RowError> {
    let Some(What::Checkpoint(signed) | What::Ahead(signed)) = store.meta(name)? else {
        return Ok(None);
    };
    let row = RowKey::Meta(name).bytes();
    let opened = Checkpoint::open(signed).map_err(|error| damaged(&row, error))?;
    Ok(Some(opened))
}

fn read_heard(store: &Store) -> Result<BTreeMap<SubjectId, i64>, RowError> {
    let rows = store.metas(b"heard")?.into_iter();
    let heard = rows.filter_map(|(name, what)| match what {
        What::Heard(heard) => Some((SubjectId::parse("station", &name).ok()?, heard.unix_ms)),
        What::Store(_)
        | What::Checkpoint(_)
        | What::Offset(_)
        | What::StationClock(_)
        | What::Left(_)
        | What::Back(_)
        | What::Ahead(_)
        | What::Refused(_)
        | What::Disowned(_) => None,
    });
    Ok(heard.collect())
}

fn read_left(store: &Store) -> Result<BTreeSet<LogId>, RowError> {
    let rows = store.metas(b"left")?.into_iter();
    let left = rows.filter_map(|(name, _)| LogId::parse("left", &name).ok());
    Ok(left.collect())
}

fn read_back(store: &Store) -> Result<BTreeMap<SubjectId, GivenBack>, RowError> {
    let mut back = BTreeMap::new();
    for (name, what) in store.metas(b"back")? {
        if let What::Back(row) = what
            && let Ok(station) = SubjectId::parse("station", &name)
            && let Ok(log) = LogId::parse("log_id", &row.log_id)
        {
            let given = GivenBack {
                log,
                entries: row.entries,
                first_unix_ms: row.first_unix_ms,
                last_unix_ms: row.last_unix_ms,
            };
            back.insert(station, given);
        }
    }
    Ok(back)
}
