//! An invented county to decode against: a county and a station in memory, with keys that are known
//! here, so that what a fuzzer changed can be signed as a device that was let in would sign it.
//!
//! Made once; each run gets a copy.

use std::sync::LazyLock;

use bytes::Bytes;
use prost::Message as _;
use sponson_log::event::{Clock, Draft, Header, SignedEvent};
use sponson_log::ids::{CountyId, EventId, LogId, SubjectId};
use sponson_log::sign::{DeviceKey, Signed};
use sponson_log::sync::station::{EntryEvent, KeepRun, RunEntry};
use sponson_proto::county::v1::{Checkpoint, SignedCheckpoint};
use sponson_proto::event::v1::{self as wire, Body, IfNotUnderstood, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::county_entry::What;
use sponson_readiness::standard::Policy;
use sponson_replica::{Founding, NewEvent, Now, Replica, SimulatedDisk};

/// 2027-03-01T08:00:00Z.
pub(crate) const START: i64 = 1_803_888_000_000;
pub(crate) const MINUTE: i64 = 60_000;
pub(crate) const DAY: i64 = 24 * 60 * MINUTE;

pub(crate) const NORTH: SubjectId = SubjectId::from_bytes([0x11; 16]);
pub(crate) const SOUTH: SubjectId = SubjectId::from_bytes([0x22; 16]);
pub(crate) const CRAFT: SubjectId = SubjectId::from_bytes([0xc1; 16]);
pub(crate) const OTHER_CRAFT: SubjectId = SubjectId::from_bytes([0xc2; 16]);
pub(crate) const MOTOR: SubjectId = SubjectId::from_bytes([0xe1; 16]);
pub(crate) const BAG: SubjectId = SubjectId::from_bytes([0xb1; 16]);

pub(crate) const MODEL: &str = "inflatable-14";

/// Built-in sheets, as they travel in events.
pub(crate) const SHEETS: [&str; 4] = [
    include_str!("../../../shared-core/readiness/standards/inflatable-14.toml"),
    include_str!("../../../shared-core/readiness/standards/flat-bottom-16.toml"),
    include_str!("../../../shared-core/readiness/standards/raft-13.toml"),
    include_str!("../../../shared-core/readiness/standards/rigid-inflatable-17.toml"),
];

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
    let seed = match who {
        Who::Root => 1,
        Who::Working => 2,
        Who::North => 3,
        Who::South => 4,
        Who::Stranger => 9,
    };
    DeviceKey::from_seed([seed; 32])
}

/// The key of these bytes, when it is one of those that are known here.
fn known(bytes: &[u8]) -> Option<DeviceKey> {
    let mut keys = ALL.iter().map(|who| key(*who));
    keys.find(|key| key.key().as_bytes().as_slice() == bytes)
}

pub(crate) fn county_id() -> CountyId {
    CountyId::of_root(&key(Who::Root).key())
}

pub(crate) const fn now(unix_ms: i64) -> Now {
    Now {
        unix_ms,
        utc_offset_min: -360,
        boot_id: [7; 16],
        monotonic_ms: 1_000,
    }
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
    let founding = Founding::County {
        county: county_id(),
        root: key(Who::Root).key(),
        log: LogId::from_bytes([0xaa; 16]),
    };
    let mut county = Replica::create_simulated(&disk, &founding, key(Who::Working))
        .expect("an empty disk takes a store");
    let admitted = county.keep(vec![root_admits()], ChunkSource::Own, START);
    admitted.expect("the disk is whole");
    for (minute, event) in (1..).zip(registry()) {
        let appended = county.append(event, &now(START + minute * MINUTE));
        appended.expect("the registry is right");
    }
    let station_disk = SimulatedDisk::default();
    let county_of = Founding::Station {
        county: county_id(),
    };
    let mut station = Replica::create_simulated(&station_disk, &county_of, key(Who::North))
        .expect("an empty disk takes a store");
    sync(&mut station, &mut county, START + DAY);
    for (minute, event) in (1..).zip(work()) {
        let appended = station.append(event, &now(START + DAY + minute * MINUTE));
        appended.expect("the work is right");
    }
    sync(&mut station, &mut county, START + 2 * DAY);
    // What the county does not hold yet.
    let check = about(Kind::Check, &reading(19_000), CRAFT);
    let appended = station.append(check, &now(START + 2 * DAY + MINUTE));
    appended.expect("a check is right");
    Disks {
        county: disk,
        station: station_disk,
    }
}

/// Everything that a sync does, without the wire.
fn sync(station: &mut Replica, county: &mut Replica, unix_ms: i64) {
    let (events, _) = station.unproven(0, 1024 * 1024);
    let opened = events
        .into_iter()
        .map(|(_, event)| SignedEvent::open(event));
    let opened = opened.collect::<Result<Vec<_>, _>>();
    let opened = opened.expect("a station's own events");
    let kept = county.keep(opened, ChunkSource::Station, unix_ms);
    assert!(kept.expect("the disk is whole").refused.is_empty());
    let first = station.tree().size();
    let entries = county.entries(first, 1024 * 1024, &|event| station.holds(&event.id()));
    let entries = entries.into_iter().map(|entry| RunEntry {
        received_unix_ms: entry.received_unix_ms,
        event: match entry.what.expect("an entry holds something") {
            What::Event(event) => EntryEvent::New(Box::new(
                SignedEvent::open(event).expect("the county's entries"),
            )),
            What::HeldEventId(id) => EntryEvent::Held(EventId::parse("id", &id).expect("an id")),
        },
    });
    let checkpoint = county.checkpoint(unix_ms).expect("the county signs");
    let run = KeepRun {
        log: checkpoint.log,
        first,
        entries: entries.collect(),
        checkpoint: Some(checkpoint),
    };
    let kept = station.keep_run(&run, unix_ms);
    kept.expect("the run continues the log");
}

/// The first event of the root's chain.
fn root_admits() -> SignedEvent {
    let payload = wire::KeyAdmitted {
        key: key(Who::Working).key().to_bytes(),
        roles: vec![Role::County as i32],
        device: "county machine".to_owned(),
        epoch: 1,
        ..wire::KeyAdmitted::default()
    };
    let root = key(Who::Root);
    let header = Header {
        county: county_id(),
        key: root.key(),
        seq: 1,
        previous: None,
        kind: Kind::KeyAdmitted as i32,
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
    };
    let draft = Draft {
        header,
        payload: payload.encode_to_vec().into(),
        beside: Vec::new(),
    };
    SignedEvent::sign(draft, &root).expect("a draft within the limits")
}

fn new(kind: Kind, payload: &impl prost::Message, subject: (SubjectId, SubjectType)) -> NewEvent {
    NewEvent {
        kind,
        kind_version: sponson_proto::version::needed(kind, &payload.encode_to_vec()),
        payload: payload.encode_to_vec(),
        subjects: vec![subject],
        observed: None,
        member: "1042".to_owned(),
        texts: Vec::new(),
    }
}

fn about(kind: Kind, payload: &impl prost::Message, craft: SubjectId) -> NewEvent {
    new(kind, payload, (craft, SubjectType::Craft))
}

fn registry() -> Vec<NewEvent> {
    let of_county = (
        SubjectId::from_bytes(*county_id().as_bytes()),
        SubjectType::County,
    );
    let policy = wire::Policy {
        format: 1,
        text: Policy::default_text().to_owned(),
    };
    let sheet = wire::BoatStandard {
        model: MODEL.to_owned(),
        revision: 1,
        format: 1,
        text: SHEETS[0].to_owned(),
    };
    let stations = [(NORTH, "North Ford"), (SOUTH, "South Lock")].map(|(id, name)| {
        let payload = wire::StationRegistered {
            name: name.to_owned(),
            elevation_mm: Some(200_000),
            ..wire::StationRegistered::default()
        };
        new(
            Kind::StationRegistered,
            &payload,
            (id, SubjectType::Station),
        )
    });
    let keys = [(NORTH, Who::North), (SOUTH, Who::South)].map(|(id, who)| {
        let payload = wire::KeyAdmitted {
            key: key(who).key().to_bytes(),
            station: id.to_bytes(),
            roles: vec![
                Role::Crew as i32,
                Role::Maintenance as i32,
                Role::Lead as i32,
            ],
            device: "tablet".to_owned(),
            epoch: 1,
            ..wire::KeyAdmitted::default()
        };
        new(Kind::KeyAdmitted, &payload, (id, SubjectType::Station))
    });
    let mut events = vec![
        new(Kind::Policy, &policy, of_county),
        new(Kind::BoatStandard, &sheet, of_county),
    ];
    events.extend(stations);
    events.extend(keys);
    for event in &mut events {
        event.member.clear();
    }
    events
}

fn work() -> Vec<NewEvent> {
    let craft = |number: &str| wire::CraftRegistered {
        number: number.to_owned(),
        model: MODEL.to_owned(),
        station: NORTH.to_bytes(),
        plate: Some(wire::CapacityPlate {
            persons: Some(6),
            persons_mass_g: Some(500_000),
            total_mass_g: Some(700_000),
            power_w: Some(22_000),
            motor_mass_g: Some(80_000),
        }),
        ..wire::CraftRegistered::default()
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
    let fault = wire::Fault {
        faults: vec![wire::FaultFound {
            part: "tube-2".to_owned(),
            class: "leak".to_owned(),
            severity: wire::Severity::Major as i32,
            ..wire::FaultFound::default()
        }],
    };
    vec![
        about(Kind::CraftRegistered, &craft("4-1"), CRAFT),
        about(Kind::CraftRegistered, &craft("4-2"), OTHER_CRAFT),
        new(Kind::GearRegistered, &motor, (MOTOR, SubjectType::Gear)),
        new(Kind::BagRegistered, &bag, (BAG, SubjectType::Bag)),
        about(Kind::Check, &reading(20_000), CRAFT),
        about(Kind::Fault, &fault, CRAFT),
        about(Kind::Check, &reading(19_500), CRAFT),
    ]
}

/// A check of one gauge.
pub(crate) fn reading(gauge_pa: i64) -> wire::Check {
    wire::Check {
        extent: wire::CheckExtent::Part as i32,
        readings: vec![wire::Reading {
            part: "tube-1".to_owned(),
            moment: wire::ReadingMoment::AsFound as i32,
            gauge_pa,
            air_mc: Some(15_000),
            stood_s: Some(20_000),
            ..wire::Reading::default()
        }],
        ..wire::Check::default()
    }
}
