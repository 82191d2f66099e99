//! Events as a device signs them that has no store here: what a stranger, a lost device or a root key
//! signs.

use bytes::Bytes;
use sponson_log::event::{Clock, Draft, Header, SignedEvent};
use sponson_log::ids::{EventId, Key};
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{IfNotUnderstood, Kind};

use crate::county::{START, county_id, root};
use crate::said;

/// The header of an event after the last of its chain: about nothing, in the first version of its kind,
/// at the county's first moment.
#[must_use]
pub fn header(key: Key, kind: Kind, last: Option<(u64, EventId)>) -> Header {
    Header {
        county: county_id(),
        key,
        seq: last.map_or(1, |(seq, _)| seq + 1),
        previous: last.map(|(_, id)| id),
        kind: kind as i32,
        kind_version: 1,
        if_not_understood: IfNotUnderstood::Hold,
        subjects: Vec::new(),
        clock: Clock {
            unix_ms: START,
            utc_offset_min: 0,
            boot_id: [1; 16],
            monotonic_ms: 1,
        },
        checkpoint: None,
        observed: None,
        member: String::new(),
        beside: Vec::new(),
    }
}

/// Signs an event.
///
/// # Panics
/// When it is beyond a limit.
#[must_use]
pub fn sign(header: Header, payload: impl Into<Bytes>, key: &DeviceKey) -> SignedEvent {
    let draft = Draft {
        header,
        payload: payload.into(),
        beside: Vec::new(),
    };
    SignedEvent::sign(draft, key).expect("a draft within the limits")
}

/// The first event of the root's chain: it admits a key that writes the registry.
#[must_use]
pub fn root_admits(key: Key) -> SignedEvent {
    let header = header(root().key(), Kind::KeyAdmitted, None);
    sign(header, said::county_key(key), &root())
}
