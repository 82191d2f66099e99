//! Founding a county: its root key admits the first working key, and the log begins with that.
//!
//! The root key signs once here (and again when a working key is replaced) and is kept off the
//! machine: this module neither stores nor returns it.

use std::path::Path;

use bytes::Bytes;
use prost::Message as _;
use sponson_log::event::{Clock as EventClock, Draft, EventError, Header, SignedEvent};
use sponson_log::ids::{CountyId, LogId};
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{IfNotUnderstood, KeyAdmitted, Kind, Role};
use sponson_proto::store::v1::ChunkSource;
use sponson_replica::{Founding, Now, OpenError, Replica, StoreError};

use crate::clock::{Clock, Entropy};
use crate::identity::Identity;

mod begun;

pub use begun::{BEGUN_FILE, Begun, CutShort, is_begun};

/// Folder of the store within a device's folder.
pub const STORE_FOLDER: &str = "store";

/// Why a county was not founded.
#[derive(Debug, thiserror::Error)]
pub enum FoundError {
    /// The store could not be made.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// The first event could not be kept.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The first event could not be signed.
    #[error(transparent)]
    Event(#[from] EventError),
    /// The store did not take the first event.
    #[error("the admission of the working key was not kept: {0}")]
    Refused(String),
}

/// Why the note of a founding could not be used.
#[derive(Debug, thiserror::Error)]
#[error("cannot {what} {}: {source}; a founding may be under way here: end it, then try again", path.display())]
pub struct BegunError {
    what: &'static str,
    path: std::path::PathBuf,
    source: std::io::Error,
}

/// Makes the county's store in a folder and admits its working key.
///
/// # Errors
/// When the folder holds a store already or cannot be written.
pub fn found(
    folder: &Path,
    root: &DeviceKey,
    working: &Identity,
    clock: &Clock,
    entropy: &Entropy,
) -> Result<Replica, FoundError> {
    let now = clock.now();
    let county = CountyId::of_root(&root.key());
    let first = admit_working_key(root, working, &now)?;
    let founding = Founding::County {
        county,
        root: root.key(),
        log: LogId::from_bytes(entropy.draw()),
    };
    let mut replica = Replica::create(
        &folder.join(STORE_FOLDER),
        &founding,
        working.log_key().clone(),
    )?;
    let kept = replica.keep(vec![first], ChunkSource::Own, now.unix_ms)?;
    match kept.refused.first() {
        None => Ok(replica),
        Some(refused) => Err(FoundError::Refused(refused.detail.clone())),
    }
}

/// The root key's first event: it admits the working key.
fn admit_working_key(
    root: &DeviceKey,
    working: &Identity,
    now: &Now,
) -> Result<SignedEvent, EventError> {
    let admitted = KeyAdmitted {
        key: working.log_key().key().to_bytes(),
        roles: vec![Role::County.into(), Role::Lead.into()],
        tls_key_sha256: working.tls_key().to_bytes(),
        device: "county".to_owned(),
        epoch: 1,
        ..KeyAdmitted::default()
    };
    let header = Header {
        county: CountyId::of_root(&root.key()),
        key: root.key(),
        seq: 1,
        previous: None,
        kind: Kind::KeyAdmitted.into(),
        kind_version: 1,
        if_not_understood: IfNotUnderstood::Hold,
        subjects: Vec::new(),
        clock: EventClock {
            unix_ms: now.unix_ms,
            utc_offset_min: now.utc_offset_min,
            boot_id: now.boot_id,
            monotonic_ms: now.monotonic_ms,
        },
        checkpoint: None,
        observed: None,
        member: String::new(),
        beside: Vec::new(),
    };
    let draft = Draft {
        header,
        payload: Bytes::from(admitted.encode_to_vec()),
        beside: Vec::new(),
    };
    SignedEvent::sign(draft, root)
}
