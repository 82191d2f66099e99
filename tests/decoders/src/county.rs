//! An invented county to decode against: a county and a station in memory, with keys that are known
//! here, so that what a fuzzer changed can be signed as a device that was let in would sign it.
//!
//! Made once; each run gets a copy.

use std::sync::LazyLock;

use bytes::Bytes;
use prost::Message as _;
use sponson_log::ids::SubjectId;
use sponson_log::sign::{DeviceKey, Signed};
use sponson_made::{county as made, meeting, said};
use sponson_proto::county::v1::{Checkpoint, SignedCheckpoint};
use sponson_proto::event::v1::{self as wire, Body, Kind, SubjectType};
use sponson_readiness::standard::Policy;
use sponson_replica::{NewEvent, Replica, SimulatedDisk};

pub(crate) use made::{CRAFT, DAY, MINUTE, MODEL, MOTOR, NORTH, START, county_id, now};
pub(crate) use said::reading;

pub(crate) const OTHER_CRAFT: SubjectId = SubjectId::from_bytes([0xc2; 16]);
pub(crate) const BAG: SubjectId = SubjectId::from_bytes([0xb1; 16]);

/// Built-in sheets, as they travel in events.
pub(crate) const SHEETS: [&str; 4] = [
    include_str!("../../../shared-core/readiness/standards/inflatable-14.toml"),
    include_str!("../../../shared-core/readiness/standards/flat-bottom-16.toml"),
    include_str!("../../../shared-core/readiness/standards/raft-13.toml"),
    include_str!("../../../shared-core/readiness/standards/rigid-inflatable-17.toml"),
];

/// Bytes of one chunk of a sync: everything in one.
const CHUNK: usize = 1024 * 1024;

/// Who signs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Who {
    Root,
    Working,
    North,
    South,
    Stranger,
}

const ALL: [Who; 5] = [
    Who::Root,
    Who::Working,
    Who::North,
    Who::South,
    Who::Stranger,
];

pub(crate) fn key(who: Who) -> DeviceKey {
    match who {
        Who::Root => made::root(),
        Who::Working => made::working(),
        Who::North => made::north(),
        Who::South => made::south(),
        Who::Stranger => made::stranger(),
    }
}

/// The key of these bytes, when it is one of those that are known here.
fn known(bytes: &[u8]) -> Option<DeviceKey> {
    let mut keys = ALL.iter().map(|who| key(*who));
    keys.find(|key| key.key().as_bytes().as_slice() == bytes)
}

/// The disks of a county and of a station that has synced with it.
struct Disks {
    county: SimulatedDisk,
    station: SimulatedDisk,
}

static DISKS: LazyLock<Disks> = LazyLock::new(found);

/// The disk of the county, a copy of its own.
pub(crate) fn county_disk() -> SimulatedDisk {
    DISKS.county.copied()
}

/// The county, opened from its disk.
pub(crate) fn county() -> Replica {
    let opened = Replica::open_simulated(&county_disk(), key(Who::Working));
    opened.expect("the county opens")
}

/// Station North, opened from its disk.
pub(crate) fn station() -> Replica {
    let opened = Replica::open_simulated(&DISKS.station.copied(), key(Who::North));
    opened.expect("the station opens")
}

/// Signs an event anew when its body names a key that is known here.
pub(crate) fn sign_again(event: &mut wire::Event) {
    let Ok(body) = Body::decode(event.body.clone()) else {
        return;
    };
    let Some(key) = body.header.and_then(|header| known(&header.key)) else {
        return;
    };
    let signature = key.sign(Signed::Event, &event.body);
    event.algorithm = wire::SignatureAlgorithm::Ed25519 as i32;
    event.signature = Bytes::copy_from_slice(&signature);
}

/// Signs a checkpoint anew when its body names a key that is known here.
pub(crate) fn sign_checkpoint(signed: &mut SignedCheckpoint) {
    let Ok(body) = Checkpoint::decode(signed.body.clone()) else {
        return;
    };
    let Some(key) = known(&body.key) else {
        return;
    };
    let signature = key.sign(Signed::Checkpoint, &signed.body);
    signed.algorithm = (wire::SignatureAlgorithm::Ed25519 as i32).unsigned_abs();
    signed.signature = Bytes::copy_from_slice(&signature);
}

fn found() -> Disks {
    let disk = SimulatedDisk::default();
    let county = Replica::create_simulated(&disk, &made::founding(), made::working());
    let mut county = county.expect("an empty disk takes a store");
    let registry = said::registry(Policy::default_text(), SHEETS[0]);
    meeting::begin(&mut county, registry);
    let station_disk = SimulatedDisk::default();
    let station = Replica::create_simulated(&station_disk, &made::joining(), made::north());
    let mut station = station.expect("an empty disk takes a store");
    meeting::sync(&mut station, &mut county, CHUNK, START + DAY);
    for (minute, event) in (1..).zip(work()) {
        let appended = station.append(event, &now(START + DAY + minute * MINUTE));
        appended.expect("the work is right");
    }
    meeting::sync(&mut station, &mut county, CHUNK, START + 2 * DAY);
    // What the county does not hold yet.
    let check = said::event(Kind::Check, &reading(19_000));
    let appended = station.append(check, &now(START + 2 * DAY + MINUTE));
    appended.expect("a check is right");
    Disks {
        county: disk,
        station: station_disk,
    }
}

fn work() -> Vec<NewEvent> {
    let craft = |id, number| {
        let plate = said::plate((500_000, 700_000));
        said::craft_registered(id, (number, MODEL), NORTH, plate)
    };
    let motor = wire::GearRegistered {
        number: "M1".to_owned(),
        r#type: wire::GearType::Motor as i32,
        station: NORTH.to_bytes(),
        ..wire::GearRegistered::default()
    };
    let bag = wire::BagRegistered {
        number: "B1".to_owned(),
        station: NORTH.to_bytes(),
        ..wire::BagRegistered::default()
    };
    let fault = said::fault(("tube-2", "leak"), wire::Severity::Major);
    vec![
        craft(CRAFT, "4-1"),
        craft(OTHER_CRAFT, "4-2"),
        said::about(Kind::GearRegistered, &motor, (MOTOR, SubjectType::Gear)),
        said::about(Kind::BagRegistered, &bag, (BAG, SubjectType::Bag)),
        said::event(Kind::Check, &reading(20_000)),
        said::event(Kind::Fault, &fault),
        said::event(Kind::Check, &reading(19_500)),
    ]
}
