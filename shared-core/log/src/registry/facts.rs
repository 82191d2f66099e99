//! What the registry says of keys, stations and standards.

use sponson_proto::event::v1::{KeyEndReason, Role};

use crate::ids::{Digest, EventId, Key, SubjectId};

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
    /// Member number of the person whose key it is; empty for a device's.
    pub member: String,
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
    /// Its radio call.
    pub call: String,
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
