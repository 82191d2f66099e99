//! The county that comes back: its log from a backup under a new id, and another working key.
//!
//! After a restore nobody knows how far the old working key signed: an event of it could part the
//! registry's chain. So the root key admits a new one. Without the root key the county comes back
//! all the same; it takes in, answers, and signs no event until that is done.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use bytes::Bytes;
use prost::Message as _;
use sponson_log::begun::{BegunReason, LogBegun, Voucher};
use sponson_log::carry::{self, CarryError};
use sponson_log::chains::Chain;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::{Clock as EventClock, Draft, EventError, Header, SignedEvent};
use sponson_log::ids::{CountyId, Digest, EventId, Key, LogId};
use sponson_log::sign::DeviceKey;
use sponson_log::tree::{Edge, leaf_hash};
use sponson_proto::carry::v1::carry_record::What;
use sponson_proto::event::v1::{IfNotUnderstood, KeyAdmitted, KeyEndReason, KeyEnded, Kind, Role};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::county_entry::What as EntryWhat;
use sponson_replica::{Founding, Now, OpenError, Replica, StoreError};

use crate::clock::Entropy;
use crate::founding::STORE_FOLDER;

/// Events kept as one batch.
const KEEP_EVENTS: usize = 1_000;

/// Why a county did not come back.
#[derive(Debug, thiserror::Error)]
pub enum RestoreError {
    /// The log is not as it was written.
    #[error("the log in it: {0}")]
    Log(#[from] CarryError),
    /// An entry is not right, or not where it was.
    #[error("entry {index} of the log in it: {detail}: take another copy of the backup")]
    Entry {
        /// Which.
        index: u64,
        /// What is wrong.
        detail: String,
    },
    /// The log is not what the county signed.
    #[error("the log in it is not the one that the county signed: {0}: take another copy")]
    NotSigned(&'static str),
    /// The root key is another county's.
    #[error("this root key is of county {theirs}, not of {ours}: bring the right one")]
    OtherRoot {
        /// The county.
        ours: CountyId,
        /// The key's.
        theirs: CountyId,
    },
    /// The chain of the working key parts.
    #[error(
        "the county's own entries part in two: {}; say which is right with --last-good",
        heads.join(" or ")
    )]
    Parted {
        /// Its ends.
        heads: Vec<String>,
    },
    /// No end of the chain is named so.
    #[error("'{named}' names {found} ends of the county's own entries; give more digits of one")]
    NoSuchEnd {
        /// What was given.
        named: String,
        /// How many it names.
        found: usize,
    },
    /// The store could not be made.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// It could not be written.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// An event could not be signed.
    #[error(transparent)]
    Event(#[from] EventError),
    /// An event was not kept.
    #[error("event {0} of the log in it does not fit: take another copy of the backup")]
    NotKept(EventId),
}

/// A county log as a backup holds it, checked against what the county signed.
#[derive(Debug)]
pub struct SavedLog {
    entries: Vec<(SignedEvent, i64)>,
    checkpoint: Checkpoint,
    root: Key,
}

impl SavedLog {
    /// Reads a carry file of the whole county log and checks every entry.
    ///
    /// # Errors
    /// When it is not whole, or not what the county's working key signed.
    pub fn read(file: &[u8]) -> Result<Self, RestoreError> {
        let mut entries = Vec::new();
        let mut checkpoint = None;
        for record in carry::read(file)? {
            match record.what {
                Some(What::CountyRun(run)) => {
                    for entry in run.entries {
                        entries.push(open_entry(entries.len(), entry)?);
                    }
                }
                Some(What::End(end)) => checkpoint = end.checkpoint,
                Some(What::Start(_) | What::EventRun(_)) | None => {}
            }
        }
        let signed = checkpoint.ok_or(RestoreError::NotSigned("no checkpoint is in it"))?;
        let checkpoint = Checkpoint::open(signed)
            .map_err(|_| RestoreError::NotSigned("its checkpoint cannot be read"))?;
        let mut edge = Edge::default();
        for (event, received) in &entries {
            edge.append(leaf_hash(&event.id(), *received));
        }
        if (edge.size(), edge.root()) != checkpoint.tree() {
            return Err(RestoreError::NotSigned("it has another root"));
        }
        let of_root = |key: &Key| CountyId::of_root(key) == checkpoint.county;
        let keys = entries.iter().map(|(event, _)| event.header().key);
        let root = keys.into_iter().find(of_root);
        let root = root.ok_or(RestoreError::NotSigned("no event of a root key is in it"))?;
        Ok(Self {
            entries,
            checkpoint,
            root,
        })
    }

    /// The county.
    #[must_use]
    pub const fn county(&self) -> CountyId {
        self.checkpoint.county
    }

    /// Entries.
    #[must_use]
    pub const fn size(&self) -> u64 {
        self.checkpoint.size
    }

    /// The working key that signed it.
    #[must_use]
    pub const fn working_key(&self) -> Key {
        self.checkpoint.key
    }
}

fn open_entry(
    index: usize,
    entry: sponson_proto::sync::v1::CountyEntry,
) -> Result<(SignedEvent, i64), RestoreError> {
    let index = u64::try_from(index).unwrap_or(u64::MAX);
    let refused = |detail: String| RestoreError::Entry { index, detail };
    let Some(EntryWhat::Event(event)) = entry.what else {
        return Err(refused("it comes without its event".to_owned()));
    };
    let event = SignedEvent::open(event).map_err(|error| refused(error.to_string()))?;
    Ok((event, entry.received_unix_ms))
}

/// Whose key the county comes back with.
#[derive(Clone, Copy, Debug)]
pub enum ComesBack<'a> {
    /// With a new working key, which the root key admits.
    Renewed {
        /// The root key.
        root: &'a DeviceKey,
        /// The new working key.
        key: &'a DeviceKey,
        /// The county's TLS key, which stays.
        tls_key: Digest,
    },
    /// With the key of the backup, which signs no event until the root key admits another.
    Paused {
        /// The key.
        key: &'a DeviceKey,
    },
}

/// Makes the county's store in a folder from a saved log, under a new log id.
///
/// # Errors
/// When the log does not fit together, the root key is another county's, or the folder cannot be
/// written.
pub fn restore(
    folder: &Path,
    saved: SavedLog,
    comes_back: ComesBack<'_>,
    now: &Now,
    entropy: &Entropy,
) -> Result<Replica, RestoreError> {
    let (county, old) = (saved.county(), saved.checkpoint.clone());
    let log = LogId::from_bytes(entropy.draw());
    let begun = LogBegun {
        log,
        old_log: old.log,
        old_tree: old.tree(),
        reason: BegunReason::Restored,
        vouched_by: None,
    };
    let clock = event_clock(now);
    let (own, begun) = match comes_back {
        ComesBack::Renewed { root, key, .. } => {
            check_root(root, county)?;
            (key, begun.sign(county, key, Voucher::Itself, clock)?)
        }
        ComesBack::Paused { key } => {
            let writer = DeviceKey::from_seed(entropy.draw());
            (
                key,
                begun.sign(county, &writer, Voucher::Working(key), clock)?,
            )
        }
    };
    let founding = Founding::County {
        county,
        root: saved.root,
        log,
    };
    let mut replica = Replica::create(&folder.join(STORE_FOLDER), &founding, own.clone())?;
    keep(&mut replica, vec![begun], &BTreeMap::new(), now)?;
    let mut left = saved.entries.into_iter().peekable();
    while left.peek().is_some() {
        let chunk: Vec<_> = left.by_ref().take(KEEP_EVENTS).collect();
        let times = chunk.iter().map(|(event, at)| (event.id(), *at)).collect();
        let events = chunk.into_iter().map(|(event, _)| event).collect();
        keep(&mut replica, events, &times, now)?;
    }
    if let ComesBack::Renewed { root, key, tls_key } = comes_back {
        let admission = admit(&replica, root, key.key(), tls_key, old.key, None, now)?;
        keep(&mut replica, vec![admission], &BTreeMap::new(), now)?;
    }
    Ok(replica)
}

fn keep(
    replica: &mut Replica,
    events: Vec<SignedEvent>,
    times: &BTreeMap<EventId, i64>,
    now: &Now,
) -> Result<(), RestoreError> {
    let kept = replica.keep_stored(events, times, ChunkSource::Carry, now.unix_ms)?;
    let refused = kept.refused.first().map(|refused| refused.id);
    refused.map_or(Ok(()), |id| Err(RestoreError::NotKept(id)))
}

fn check_root(root: &DeviceKey, ours: CountyId) -> Result<(), RestoreError> {
    let theirs = CountyId::of_root(&root.key());
    if theirs == ours {
        Ok(())
    } else {
        Err(RestoreError::OtherRoot { ours, theirs })
    }
}

/// Events of the root key that let a county go on with a new working key: the admission, and when
/// the old key's chain parts, the old key's end at the branch that `last_good` names.
///
/// # Errors
/// When the root key is another county's, or it has to be said which branch is right.
pub fn renewal(
    replica: &Replica,
    root: &DeviceKey,
    key: Key,
    tls_key: Digest,
    last_good: Option<&str>,
    now: &Now,
) -> Result<Vec<SignedEvent>, RestoreError> {
    check_root(root, replica.county())?;
    let old = replica.key();
    let chain = replica.chains().get(&old);
    let parted = chain.and_then(Chain::parted_at).is_some();
    if !parted && last_good.is_none() {
        return Ok(vec![admit(replica, root, key, tls_key, old, None, now)?]);
    }
    let (good, seq) = end_named(replica, chain, last_good)?;
    let ended = KeyEnded {
        key: old.to_bytes(),
        last_good: good.to_bytes(),
        last_good_seq: seq,
        reason: KeyEndReason::Replaced.into(),
    };
    let place = root_place(replica, root);
    let ended = sign(root, place, Kind::KeyEnded, ended.encode_to_vec(), now)?;
    let after = Some((ended.header().seq, ended.id()));
    let admission = admit_at(replica, root, key, tls_key, (old, Some(good)), after, now)?;
    Ok(vec![ended, admission])
}

/// The end of a chain that was named by the first digits of its id.
fn end_named(
    replica: &Replica,
    chain: Option<&Chain>,
    named: Option<&str>,
) -> Result<(EventId, u64), RestoreError> {
    let heads: Vec<(EventId, u64)> = chain
        .into_iter()
        .flat_map(|chain| chain.heads().iter().map(|(id, seq)| (*id, *seq)))
        .collect();
    let Some(named) = named else {
        let heads = heads.iter().map(|(id, seq)| {
            let stored = replica.place(id).map_or(0, |(index, _)| index);
            format!(
                "{:.12} (its entry {seq}, entry {stored} of the log)",
                id.to_string()
            )
        });
        return Err(RestoreError::Parted {
            heads: heads.collect(),
        });
    };
    let named = named.to_lowercase();
    let mut found = heads
        .iter()
        .filter(|(id, _)| !named.is_empty() && id.to_string().starts_with(&named));
    match (found.next(), found.count()) {
        (Some(head), 0) => Ok(*head),
        (first, more) => Err(RestoreError::NoSuchEnd {
            named,
            found: usize::from(first.is_some()) + more,
        }),
    }
}

fn admit(
    replica: &Replica,
    root: &DeviceKey,
    key: Key,
    tls_key: Digest,
    old: Key,
    head: Option<EventId>,
    now: &Now,
) -> Result<SignedEvent, RestoreError> {
    let heads = replica.chains().get(&old);
    let newest = heads.into_iter().flat_map(|chain| chain.heads());
    let newest = newest.max_by_key(|(_, seq)| **seq).map(|(id, _)| *id);
    admit_at(
        replica,
        root,
        key,
        tls_key,
        (old, head.or(newest)),
        None,
        now,
    )
}

/// Signs the admission of a working key: after an event of the root key, or at its chain's end.
fn admit_at(
    replica: &Replica,
    root: &DeviceKey,
    key: Key,
    tls_key: Digest,
    (old, head): (Key, Option<EventId>),
    after: Option<(u64, EventId)>,
    now: &Now,
) -> Result<SignedEvent, RestoreError> {
    let before = replica.registry().keys().values();
    let before = before.filter(|admitted| admitted.station.is_none()).count();
    let admitted = KeyAdmitted {
        key: key.to_bytes(),
        roles: vec![Role::County.into(), Role::Lead.into()],
        tls_key_sha256: tls_key.to_bytes(),
        replaces_key: old.to_bytes(),
        replaces_head: head.map(EventId::to_bytes).unwrap_or_default(),
        device: "county".to_owned(),
        epoch: u32::try_from(before).unwrap_or(u32::MAX).saturating_add(1),
        ..KeyAdmitted::default()
    };
    let place = after.or_else(|| root_place(replica, root));
    sign(
        root,
        place,
        Kind::KeyAdmitted,
        admitted.encode_to_vec(),
        now,
    )
}

/// The newest event of the root key that is held.
fn root_place(replica: &Replica, root: &DeviceKey) -> Option<(u64, EventId)> {
    let chain = replica.chains().get(&root.key())?;
    let newest = chain.heads().iter().max_by_key(|(_, seq)| **seq);
    newest.map(|(id, seq)| (*seq, *id))
}

fn sign(
    root: &DeviceKey,
    before: Option<(u64, EventId)>,
    kind: Kind,
    payload: Vec<u8>,
    now: &Now,
) -> Result<SignedEvent, RestoreError> {
    let header = Header {
        county: CountyId::of_root(&root.key()),
        key: root.key(),
        seq: before.map_or(1, |(seq, _)| seq + 1),
        previous: before.map(|(_, id)| id),
        kind: kind.into(),
        kind_version: 1,
        if_not_understood: IfNotUnderstood::Hold,
        subjects: Vec::new(),
        clock: event_clock(now),
        checkpoint: None,
        observed: None,
        member: String::new(),
        beside: Vec::new(),
    };
    let draft = Draft {
        header,
        payload: Bytes::from(payload),
        beside: Vec::new(),
    };
    Ok(SignedEvent::sign(draft, root)?)
}

const fn event_clock(now: &Now) -> EventClock {
    EventClock {
        unix_ms: now.unix_ms,
        utc_offset_min: now.utc_offset_min,
        boot_id: now.boot_id,
        monotonic_ms: now.monotonic_ms,
    }
}

/// Where the next working key waits until the store belongs to it.
#[must_use]
pub fn next_key_file(folder: &Path) -> PathBuf {
    folder.join("log.key.next")
}
