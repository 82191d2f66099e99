//! An invented county: root key, working key, policy, one boat standard, two stations.

use bytes::Bytes;
use prost::Message as _;
use sponson_log::event::{Clock, Draft, Header, SignedEvent};
use sponson_log::ids::{CountyId, EventId, Key, LogId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_log::sync::station::{EntryEvent, KeepRun, Last, RunEntry};
use sponson_proto::event::v1::{self as wire, IfNotUnderstood, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::county_entry::What;
use sponson_readiness::event::SubjectKind;
use sponson_replica::{Founding, NewEvent, Now, Replica};
use tempfile::TempDir;

/// 2027-03-01T08:00:00Z.
pub(crate) const START: i64 = 1_803_888_000_000;
pub(crate) const MINUTE: i64 = 60_000;
pub(crate) const DAY: i64 = 24 * 60 * MINUTE;

pub(crate) const NORTH: SubjectId = SubjectId::from_bytes([0x11; 16]);
pub(crate) const SOUTH: SubjectId = SubjectId::from_bytes([0x22; 16]);
pub(crate) const MOTOR: SubjectId = SubjectId::from_bytes([0xe1; 16]);
pub(crate) const CRAFT: SubjectId = SubjectId::from_bytes([0xc1; 16]);

const MODEL: &str = "inflatable-14";

/// The sheet and the policy as they were when the answers of this version were written down: each is
/// an entry of the log, so another text is another log.
pub(crate) const SHEET: &str = include_str!("../golden-answers/inflatable-14.toml");
const POLICY: &str = include_str!("../golden-answers/policy.toml");

/// A replica and its folder.
pub(crate) struct Placed {
    pub(crate) replica: Replica,
    pub(crate) folder: TempDir,
}

impl Placed {
    pub(crate) fn append(&mut self, event: NewEvent, unix_ms: i64) -> EventId {
        let appended = self.replica.append(event, &now(unix_ms));
        appended.expect("the event is right").id
    }

    /// Closes and opens the store again.
    pub(crate) fn reopen(self, key: DeviceKey) -> Self {
        let Self { replica, folder } = self;
        drop(replica);
        let replica = Replica::open(folder.path(), key).expect("the store opens again");
        Self { replica, folder }
    }

    /// All events held, in order.
    pub(crate) fn events(&self) -> Vec<SignedEvent> {
        let lines = self
            .replica
            .log_page(None, sponson_replica::Page::Newest, 1_000);
        let lines = lines.expect("rows are whole").into_iter();
        lines.map(|line| line.event).collect()
    }

    /// Open faults of all things.
    pub(crate) fn open_faults(&mut self) -> usize {
        let entries = self.replica.catalogue().entries;
        entries.iter().map(|entry| entry.faults.len()).sum()
    }

    /// Canonical bytes of the records of things: all but that of the county as a whole.
    pub(crate) fn thing_bytes(&mut self) -> Vec<Vec<u8>> {
        let records = self.replica.records().values();
        let things = records.filter(|record| record.kind != SubjectKind::County);
        things.map(|record| record.canonical()).collect()
    }

    /// Canonical bytes of all records.
    pub(crate) fn record_bytes(&mut self) -> Vec<Vec<u8>> {
        let records = self.replica.records().values();
        records.map(|record| record.canonical()).collect()
    }
}

pub(crate) fn key(seed: u8) -> DeviceKey {
    DeviceKey::from_seed([seed; 32])
}

pub(crate) fn root() -> DeviceKey {
    key(1)
}

pub(crate) fn working() -> DeviceKey {
    key(2)
}

pub(crate) fn north() -> DeviceKey {
    key(3)
}

pub(crate) fn south() -> DeviceKey {
    key(4)
}

pub(crate) fn stranger() -> DeviceKey {
    key(9)
}

pub(crate) fn county_id() -> CountyId {
    CountyId::of_root(&root().key())
}

pub(crate) const fn now(unix_ms: i64) -> Now {
    Now {
        unix_ms,
        utc_offset_min: -360,
        boot_id: [7; 16],
        monotonic_ms: 1_000,
    }
}

/// The county, founded: the root admits the working key, which writes the registry.
pub(crate) fn found() -> Placed {
    let mut county = empty_county();
    let admitted = county
        .replica
        .keep(vec![root_admits(working().key())], ChunkSource::Own, START);
    assert_eq!(admitted.expect("the store is whole").new.len(), 1);
    let events = [
        registry(
            Kind::Policy,
            &policy(),
            (county_subject(), SubjectType::County),
        ),
        registry(
            Kind::BoatStandard,
            &standard(),
            (county_subject(), SubjectType::County),
        ),
        registry(
            Kind::StationRegistered,
            &station("North Ford"),
            (NORTH, SubjectType::Station),
        ),
        registry(
            Kind::StationRegistered,
            &station("South Lock"),
            (SOUTH, SubjectType::Station),
        ),
        admit(&north(), NORTH),
        admit(&south(), SOUTH),
    ];
    for (minute, event) in (1..).zip(events) {
        county.append(event, START + minute * MINUTE);
    }
    county
}

/// The county's store before its first event.
pub(crate) fn empty_county() -> Placed {
    let folder = tempfile::tempdir().expect("a folder");
    let founding = Founding::County {
        county: county_id(),
        root: root().key(),
        log: LogId::from_bytes([0xaa; 16]),
    };
    let replica = Replica::create(folder.path(), &founding, working());
    let replica = replica.expect("a new store");
    Placed { replica, folder }
}

/// A station that holds nothing yet.
pub(crate) fn join(key: DeviceKey) -> Placed {
    let folder = tempfile::tempdir().expect("a folder");
    let county = county_id();
    let replica = Replica::create(folder.path(), &Founding::Station { county }, key);
    let replica = replica.expect("a new store");
    Placed { replica, folder }
}

/// Everything that a sync does, without the wire.
pub(crate) fn sync(station: &mut Placed, county: &mut Placed, unix_ms: i64) {
    loop {
        let (events, last) = station.replica.unproven(0, 4_096);
        let opened: Vec<SignedEvent> = events
            .into_iter()
            .map(|(_, event)| SignedEvent::open(event).expect("a station's own events"))
            .collect();
        let kept = county.replica.keep(opened, ChunkSource::Station, unix_ms);
        let kept = kept.expect("the store is whole");
        assert_eq!(kept.refused, []);
        let run = next_run(&station.replica, &county.replica, 4_096, unix_ms);
        let more = run.checkpoint.is_none();
        station
            .replica
            .keep_run(&run, unix_ms)
            .expect("the run continues the log");
        if last == Last::Yes && !more {
            return;
        }
    }
}

/// The next entries that a station lacks, as a sync would hand them over.
pub(crate) fn next_run(station: &Replica, county: &Replica, bytes: usize, unix_ms: i64) -> KeepRun {
    let checkpoint = county.checkpoint(unix_ms).expect("the county signs");
    let first = station.tree().size();
    let entries: Vec<RunEntry> = county
        .entries(first, bytes, &|event| station.holds(&event.id()))
        .into_iter()
        .map(|entry| RunEntry {
            received_unix_ms: entry.received_unix_ms,
            event: match entry.what.expect("an entry holds something") {
                What::Event(event) => EntryEvent::New(Box::new(
                    SignedEvent::open(event).expect("the county's entries"),
                )),
                What::HeldEventId(id) => {
                    EntryEvent::Held(EventId::parse("id", &id).expect("an id"))
                }
            },
        })
        .collect();
    let reached = first + entries.len() as u64 == checkpoint.size;
    KeepRun {
        log: checkpoint.log,
        first,
        entries,
        checkpoint: reached.then_some(checkpoint),
    }
}

/// The first event of the root's chain.
pub(crate) fn root_admits(key: Key) -> SignedEvent {
    let payload = wire::KeyAdmitted {
        key: key.to_bytes(),
        roles: vec![Role::County as i32],
        device: "county machine".to_owned(),
        epoch: 1,
        ..wire::KeyAdmitted::default()
    };
    sign(&root(), 1, None, Kind::KeyAdmitted, payload.encode_to_vec())
}

/// An event signed without a replica, about the craft.
pub(crate) fn sign(
    key: &DeviceKey,
    seq: u64,
    previous: Option<EventId>,
    kind: Kind,
    payload: Vec<u8>,
) -> SignedEvent {
    let header = Header {
        county: county_id(),
        key: key.key(),
        seq,
        previous,
        kind: kind as i32,
        kind_version: 1,
        if_not_understood: IfNotUnderstood::Hold,
        subjects: vec![sponson_log::event::Subject {
            id: CRAFT,
            kind: SubjectType::Craft,
            seen: Vec::new(),
        }],
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
        payload: payload.into(),
        beside: Vec::new(),
    };
    SignedEvent::sign(draft, key).expect("a draft within the limits")
}

pub(crate) fn event(kind: Kind, payload: &impl prost::Message) -> NewEvent {
    about(kind, payload, (CRAFT, SubjectType::Craft))
}

pub(crate) fn about(
    kind: Kind,
    payload: &impl prost::Message,
    subject: (SubjectId, SubjectType),
) -> NewEvent {
    NewEvent {
        kind,
        kind_version: 1,
        payload: payload.encode_to_vec(),
        subjects: vec![subject],
        observed: None,
        member: "1042".to_owned(),
        texts: Vec::new(),
    }
}

fn registry(
    kind: Kind,
    payload: &impl prost::Message,
    subject: (SubjectId, SubjectType),
) -> NewEvent {
    NewEvent {
        member: String::new(),
        ..about(kind, payload, subject)
    }
}

pub(crate) fn county_subject() -> SubjectId {
    SubjectId::from_bytes(*county_id().as_bytes())
}

fn policy() -> wire::Policy {
    wire::Policy {
        format: 1,
        text: POLICY.to_owned(),
    }
}

fn standard() -> wire::BoatStandard {
    wire::BoatStandard {
        model: MODEL.to_owned(),
        revision: 1,
        format: 1,
        text: SHEET.to_owned(),
    }
}

fn station(name: &str) -> wire::StationRegistered {
    wire::StationRegistered {
        name: name.to_owned(),
        elevation_mm: Some(200_000),
        ..wire::StationRegistered::default()
    }
}

pub(crate) fn admit(key: &DeviceKey, station: SubjectId) -> NewEvent {
    admit_as(key, station, &[Role::Crew, Role::Maintenance, Role::Lead])
}

pub(crate) fn admit_as(key: &DeviceKey, station: SubjectId, roles: &[Role]) -> NewEvent {
    let payload = wire::KeyAdmitted {
        key: key.key().to_bytes(),
        station: station.to_bytes(),
        roles: roles.iter().map(|role| *role as i32).collect(),
        device: "tablet".to_owned(),
        epoch: 1,
        ..wire::KeyAdmitted::default()
    };
    registry(Kind::KeyAdmitted, &payload, (station, SubjectType::Station))
}

pub(crate) fn end(key: &DeviceKey, last_good: Option<(u64, EventId)>) -> NewEvent {
    let payload = wire::KeyEnded {
        key: key.key().to_bytes(),
        last_good: last_good.map_or_else(Bytes::new, |(_, id)| id.to_bytes()),
        last_good_seq: last_good.map_or(0, |(seq, _)| seq),
        reason: wire::KeyEndReason::Copied as i32,
    };
    registry(
        Kind::KeyEnded,
        &payload,
        (county_subject(), SubjectType::County),
    )
}

pub(crate) fn craft_registered(number: &str, station: SubjectId) -> NewEvent {
    let payload = wire::CraftRegistered {
        number: number.to_owned(),
        model: MODEL.to_owned(),
        station: station.to_bytes(),
        plate: Some(wire::CapacityPlate {
            persons: Some(6),
            persons_mass_g: Some(900_000),
            total_mass_g: Some(1_200_000),
            power_w: Some(22_000),
            motor_mass_g: Some(80_000),
        }),
        ..wire::CraftRegistered::default()
    };
    event(Kind::CraftRegistered, &payload)
}

pub(crate) fn reading(gauge_pa: i64) -> NewEvent {
    let payload = wire::Check {
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
    };
    event(Kind::Check, &payload)
}

pub(crate) fn fault(class: &str) -> NewEvent {
    let payload = wire::Fault {
        faults: vec![wire::FaultFound {
            part: "tube-2".to_owned(),
            class: class.to_owned(),
            severity: wire::Severity::Major as i32,
            ..wire::FaultFound::default()
        }],
    };
    event(Kind::Fault, &payload)
}

pub(crate) fn sign_off(fault: EventId) -> NewEvent {
    let payload = wire::SignOff {
        closes: vec![wire::FaultRef {
            event: fault.to_bytes(),
            ordinal: 0,
        }],
    };
    event(Kind::SignOff, &payload)
}

pub(crate) fn note(text: &str) -> NewEvent {
    NewEvent {
        texts: vec![(String::new(), text.to_owned(), [5; 16])],
        ..event(Kind::Note, &wire::Note {})
    }
}

pub(crate) fn out_of_service() -> NewEvent {
    let payload = wire::OutOfService {
        reason: wire::OutReason::Mechanical as i32,
    };
    event(Kind::OutOfService, &payload)
}
