//! What the local service tells of keys: the list of devices, one chain, and the own key.

use sponson_log::ids::Key;
use sponson_proto::service::v1 as wire;
use sponson_replica::{About, Device, Replica, Untrusted};

use super::read;
use crate::refusal::{Refusal, row_damaged};

/// What is said of keys beside what a replica is.
pub(super) struct OfKeys {
    own: Untrusted,
    after_dismissal: u64,
    roles: Vec<i32>,
    end: Option<(u64, i32)>,
}

/// What this replica is, and what is said of its key.
pub(super) fn about(replica: &mut Replica) -> Result<(About, OfKeys), Refusal> {
    let own = replica.own_untrusted();
    let after = replica.after_dismissal();
    let registry = replica.registry();
    let key = replica.key();
    let end = registry.key(&key).and_then(|admitted| admitted.ended);
    let of_keys = OfKeys {
        own: own.map_err(|error| row_damaged(&error))?,
        after_dismissal: after.map_err(|error| row_damaged(&error))?.values().sum(),
        roles: roles_next(replica, &key),
        end: end.map(|end| (end.last_good_seq, end.reason.into())),
    };
    Ok((replica.about(), of_keys))
}

/// Adds what is said of keys.
pub(super) fn add(about: wire::AboutReply, of_keys: OfKeys) -> wire::AboutReply {
    let (ended_at, end_reason) = of_keys.end.unzip();
    wire::AboutReply {
        roles: of_keys.roles,
        ended_at,
        end_reason: end_reason.unwrap_or_default(),
        own_unconfirmed: of_keys.own.open,
        own_dismissed: of_keys.own.dismissed,
        after_dismissal: of_keys.after_dismissal,
        ..about
    }
}

/// Roles of a key for whatever it signs next.
fn roles_next(replica: &Replica, key: &Key) -> Vec<i32> {
    let roles = replica.registry().roles_at(key, u64::MAX).unwrap_or(&[]);
    roles.iter().map(|role| i32::from(*role)).collect()
}

/// All devices.
pub(super) fn devices(replica: &mut Replica) -> Result<wire::DevicesReply, Refusal> {
    let devices = replica.devices().map_err(|error| row_damaged(&error))?;
    let devices = devices.into_iter().map(|it| device(replica, it));
    Ok(wire::DevicesReply {
        devices: devices.collect(),
    })
}

fn device(replica: &Replica, it: Device) -> wire::Device {
    let registry = replica.registry();
    let heads = it.heads.into_iter().map(|(seq, id)| wire::ChainPlace {
        seq,
        event_id: id.to_bytes(),
    });
    let station = registry.station_of(&it.key);
    let station = station.and_then(|id| registry.stations().get(&id));
    let admitted = it.admitted.as_ref();
    let ended = admitted.and_then(|admitted| admitted.ended);
    let replaces = admitted.and_then(|admitted| admitted.replaces);
    wire::Device {
        key: it.key.to_bytes(),
        admitted: admitted.is_some(),
        station: station.map_or_else(String::new, |facts| facts.name.clone()),
        device: admitted.map_or_else(String::new, |admitted| admitted.device.clone()),
        epoch: admitted.map_or(0, |admitted| admitted.epoch),
        roles: roles_next(replica, &it.key),
        admitted_unix_ms: it.admitted_unix_ms,
        replaces_key: replaces.map_or_else(bytes::Bytes::new, |(key, _)| key.to_bytes()),
        heard_unix_ms: it.heard_unix_ms,
        heads: heads.collect(),
        parted_at: it.parted,
        ended_at: ended.map(|end| end.last_good_seq),
        end_reason: ended.map_or(0, |end| end.reason.into()),
        unconfirmed: it.untrusted.open,
        dismissed: it.untrusted.dismissed,
        after_dismissal: it.untrusted.after_dismissal,
        station_id: registry
            .station_of(&it.key)
            .map_or_else(bytes::Bytes::new, |id| id.to_bytes()),
        working: registry.is_working_key(&it.key),
    }
}

/// One chain.
pub(super) fn chain(
    replica: &mut Replica,
    request: &wire::ChainRequest,
) -> Result<wire::ChainReply, Refusal> {
    let key = Key::parse("key", &request.key)
        .map_err(|error| Refusal::field(error.to_string(), "look the device up in devices"))?;
    let view = replica
        .chain_view(&key, request.seq)
        .map_err(|error| row_damaged(&error))?;
    let numbers = read::numbers(replica);
    let lines = view.lines.into_iter();
    let dismiss = view.dismiss.iter().map(|from| wire::ChainPlace {
        seq: from.seq,
        event_id: from.event.to_bytes(),
    });
    Ok(wire::ChainReply {
        at: view.at.iter().map(|id| id.to_bytes()).collect(),
        unconfirmed: lines
            .map(|line| read::log_line(replica, &numbers, line))
            .collect(),
        unconfirmed_count: view.untrusted.open,
        after_dismissal: view.untrusted.after_dismissal,
        dismiss: dismiss.collect(),
    })
}
