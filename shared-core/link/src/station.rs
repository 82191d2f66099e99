//! The station's end: joining a county with a code, and syncing with it.

use std::collections::BTreeSet;

use sponson_log::ids::Digest;
use sponson_proto::event::v1::Role;
use sponson_replica::Replica;

mod join;
mod pictures;
mod sync;

pub use join::{JoinError, Joined, join};
pub use pictures::PicturesReport;
pub use sync::{Progress, SyncFailure, SyncReport, sync};

/// Where the county is, and the TLS key that it showed when this device joined.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountyAt {
    /// `HOST:PORT`.
    pub address: String,
    /// SHA-256 of the SubjectPublicKeyInfo that was introduced.
    pub tls_key: Digest,
}

/// TLS keys of the county: those of its working keys in force. Before the registry names any, the
/// one that was introduced.
fn county_keys(replica: &Replica, introduced: Digest) -> BTreeSet<Digest> {
    let registered: BTreeSet<Digest> = replica
        .registry()
        .keys()
        .values()
        .filter(|admitted| admitted.ended.is_none() && admitted.station.is_none())
        .filter(|admitted| {
            let newest = admitted.roles.last();
            newest.is_some_and(|(_, roles)| roles.contains(&Role::County))
        })
        .filter_map(|admitted| admitted.tls_key)
        .collect();
    if registered.is_empty() {
        BTreeSet::from([introduced])
    } else {
        registered
    }
}
