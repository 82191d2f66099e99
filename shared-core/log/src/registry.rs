//! The registry: which keys may sign what, the stations, the standards and the policy.
//!
//! A fold of the registry events, in the order of their chain. Only the root key admits working
//! keys, and only an admitted working key writes anything else here.

use std::collections::BTreeMap;

use sponson_proto::event::v1::{KeyEndReason, Role};

use crate::event::SignedEvent;
use crate::ids::{CountyId, Digest, EventId, Key, SubjectId};

/// What the registry says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Registry {
    county: CountyId,
    root: Option<Key>,
    keys: BTreeMap<Key, AdmittedKey>,
    stations: BTreeMap<SubjectId, StationFacts>,
    standards: BTreeMap<EventId, StandardText>,
    policy: Option<(EventId, String)>,
    /// Events applied.
    applied: u64,
}

/// What is known of an admitted key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AdmittedKey {
    /// The station whose device holds it; none for the county's own.
    pub station: Option<SubjectId>,
    /// Roles, each list from a seq on; the first from 1.
    pub roles: Vec<(u64, Vec<Role>)>,
    /// SHA-256 of the key with which it makes TLS connections.
    pub tls_key: Option<Digest>,
    /// Key that it takes over from, and the newest event of it that the device named.
    pub replaces: Option<(Key, Option<EventId>)>,
    /// Where its good part ends, when it was ended: seq and event of the last good one.
    pub ended: Option<KeyEnd>,
    /// What people call the device.
    pub device: String,
    /// Ordinal among the station's keys.
    pub epoch: u32,
    /// The registry event that admitted it.
    pub admitted_by: EventId,
}

/// The end of a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KeyEnd {
    /// Seq of the last good event; 0 when none is good.
    pub last_good_seq: u64,
    /// Its id.
    pub last_good: Option<EventId>,
    /// Why.
    pub reason: KeyEndReason,
}

/// A station as registered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationFacts {
    /// Its name.
    pub name: String,
    /// Latitude and longitude, degrees times 10,000,000.
    pub position_e7: Option<(i32, i32)>,
    /// Elevation, millimetres.
    pub elevation_mm: Option<i32>,
}

/// A boat standard as adopted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StandardText {
    /// Model.
    pub model: String,
    /// Revision.
    pub revision: u32,
    /// The sheet, as signed.
    pub text: String,
}

/// What applying an event did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Applied {
    /// It is no registry kind.
    NotForRegistry,
    /// The registry changed.
    Changed,
    /// It is a registry kind, but its key may not write the registry: nothing changed.
    NotEntitled,
    /// A registry kind or version that this replica does not know, or a payload that it cannot
    /// read: nothing changed.
    NotUnderstood,
}

impl Registry {
    /// The registry of a county of which only the id is known.
    #[must_use]
    pub fn new(_county: CountyId) -> Self {
        todo!()
    }

    /// Applies one event, in the order of the chain.
    pub fn apply(&mut self, _event: &SignedEvent) -> Applied {
        todo!()
    }

    /// The county.
    #[must_use]
    pub const fn county(&self) -> CountyId {
        self.county
    }

    /// The root key, once an event of it was applied.
    #[must_use]
    pub const fn root(&self) -> Option<Key> {
        self.root
    }

    /// What is known of a key.
    #[must_use]
    pub fn key(&self, key: &Key) -> Option<&AdmittedKey> {
        self.keys.get(key)
    }

    /// All admitted keys.
    #[must_use]
    pub const fn keys(&self) -> &BTreeMap<Key, AdmittedKey> {
        &self.keys
    }

    /// The admitted key whose device makes connections with a TLS key.
    #[must_use]
    pub fn key_of_tls(&self, tls_key: &Digest) -> Option<(Key, &AdmittedKey)> {
        self.keys
            .iter()
            .find(|(_, admitted)| {
                admitted.tls_key.as_ref() == Some(tls_key) && admitted.ended.is_none()
            })
            .map(|(key, admitted)| (*key, admitted))
    }

    /// Roles of a key for its event at a seq; none when it is not admitted.
    #[must_use]
    pub fn roles_at(&self, _key: &Key, _seq: u64) -> Option<&[Role]> {
        todo!()
    }

    /// Stations.
    #[must_use]
    pub const fn stations(&self) -> &BTreeMap<SubjectId, StationFacts> {
        &self.stations
    }

    /// Every adopted revision of every standard, by event.
    #[must_use]
    pub const fn standards(&self) -> &BTreeMap<EventId, StandardText> {
        &self.standards
    }

    /// The policy in force, and the event that set it.
    #[must_use]
    pub const fn policy(&self) -> Option<&(EventId, String)> {
        self.policy.as_ref()
    }

    /// How many events were applied.
    #[must_use]
    pub const fn applied(&self) -> u64 {
        self.applied
    }
}
