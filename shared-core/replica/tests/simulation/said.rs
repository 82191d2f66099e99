//! What people of the simulated county say: its sheet, its registry, and the crews' statements.

use std::sync::LazyLock;

use bytes::Bytes;
use sponson_log::event::{Clock, Draft, Header, SignedEvent};
use sponson_log::ids::{CountyId, EventId, Key, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{self as wire, IfNotUnderstood, Kind, Role, SubjectType};
use sponson_readiness::standard::Policy;
use sponson_replica::NewEvent;

use crate::clock::START;
use crate::machine::key;

pub(crate) const MODEL: &str = "raft-2";
pub(crate) const MOTOR: SubjectId = SubjectId::from_bytes([0xe1; 16]);

/// A sheet of one part, one item and two questions: small, so that a craft is now and then ready.
pub(crate) const SHEET: &str = include_str!("sheet.toml");

/// Seed of the county's first working key.
pub(crate) const WORKING: u8 = 2;

/// The root key, made once: to make a key is as slow as to sign.
pub(crate) fn root() -> &'static DeviceKey {
    static ROOT: LazyLock<DeviceKey> = LazyLock::new(|| DeviceKey::from_seed([1; 32]));
    &ROOT
}

pub(crate) fn root_key() -> Key {
    static KEY: LazyLock<Key> = LazyLock::new(|| root().key());
    *KEY
}

pub(crate) fn county_id() -> CountyId {
    CountyId::of_root(&root_key())
}

/// Station by number.
pub(crate) const fn station(number: u8) -> SubjectId {
    SubjectId::from_bytes([0x10 + number; 16])
}

/// Craft by number.
pub(crate) const fn craft(number: u8) -> SubjectId {
    SubjectId::from_bytes([0xc0 + number; 16])
}

/// The first event of the root's chain.
pub(crate) fn root_admits_working() -> SignedEvent {
    let payload = wire::KeyAdmitted {
        key: key(WORKING).key().to_bytes(),
        roles: vec![Role::County as i32],
        device: "county machine".to_owned(),
        epoch: 1,
        ..wire::KeyAdmitted::default()
    };
    by_root(None, Kind::KeyAdmitted, &payload, START)
}

/// An event of the root key, after another one of its chain.
pub(crate) fn by_root(
    after: Option<(u64, EventId)>,
    kind: Kind,
    payload: &impl prost::Message,
    unix_ms: i64,
) -> SignedEvent {
    let header = Header {
        county: county_id(),
        key: root_key(),
        seq: after.map_or(1, |(seq, _)| seq + 1),
        previous: after.map(|(_, id)| id),
        kind: kind as i32,
        kind_version: 1,
        if_not_understood: IfNotUnderstood::Hold,
        subjects: Vec::new(),
        clock: Clock {
            unix_ms,
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
    SignedEvent::sign(draft, root()).expect("a draft within the limits")
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

pub(crate) fn of_craft(kind: Kind, payload: &impl prost::Message, craft: SubjectId) -> NewEvent {
    about(kind, payload, (craft, SubjectType::Craft))
}

fn of_county(kind: Kind, payload: &impl prost::Message) -> NewEvent {
    let subject = SubjectId::from_bytes(*county_id().as_bytes());
    about(kind, payload, (subject, SubjectType::County))
}

pub(crate) fn policy() -> NewEvent {
    let payload = wire::Policy {
        format: 1,
        text: Policy::default_text().to_owned(),
    };
    of_county(Kind::Policy, &payload)
}

pub(crate) fn adopt(revision: u32) -> NewEvent {
    let payload = wire::BoatStandard {
        model: MODEL.to_owned(),
        revision,
        format: 1,
        text: SHEET.replace("revision = 1", &format!("revision = {revision}")),
    };
    of_county(Kind::BoatStandard, &payload)
}

pub(crate) fn station_registered(number: u8) -> NewEvent {
    let payload = wire::StationRegistered {
        name: format!("Station {number}"),
        elevation_mm: Some(200_000),
        ..wire::StationRegistered::default()
    };
    about(
        Kind::StationRegistered,
        &payload,
        (station(number), SubjectType::Station),
    )
}

pub(crate) fn admit(
    key: Key,
    station: SubjectId,
    roles: &[Role],
    replaces: Option<(Key, EventId)>,
) -> NewEvent {
    let payload = wire::KeyAdmitted {
        key: key.to_bytes(),
        station: station.to_bytes(),
        roles: numbers(roles),
        device: "tablet".to_owned(),
        epoch: 1,
        replaces_key: replaces.map_or_else(Bytes::new, |(key, _)| key.to_bytes()),
        replaces_head: replaces.map_or_else(Bytes::new, |(_, head)| head.to_bytes()),
        ..wire::KeyAdmitted::default()
    };
    about(Kind::KeyAdmitted, &payload, (station, SubjectType::Station))
}

pub(crate) fn end(key: Key, last_good: Option<(u64, EventId)>) -> NewEvent {
    let payload = wire::KeyEnded {
        key: key.to_bytes(),
        last_good: last_good.map_or_else(Bytes::new, |(_, id)| id.to_bytes()),
        last_good_seq: last_good.map_or(0, |(seq, _)| seq),
        reason: wire::KeyEndReason::Copied as i32,
    };
    of_county(Kind::KeyEnded, &payload)
}

pub(crate) fn give_role(key: Key, roles: &[Role], after: Option<(u64, EventId)>) -> NewEvent {
    let payload = wire::RoleGiven {
        key: key.to_bytes(),
        roles: numbers(roles),
        from_seq: after.map_or(1, |(seq, _)| seq + 1),
        after: after.map_or_else(Bytes::new, |(_, id)| id.to_bytes()),
    };
    of_county(Kind::RoleGiven, &payload)
}

fn numbers(roles: &[Role]) -> Vec<i32> {
    roles.iter().map(|role| *role as i32).collect()
}

pub(crate) fn craft_registered(number: u8, at: SubjectId) -> NewEvent {
    let payload = wire::CraftRegistered {
        number: format!("4-{number}"),
        model: MODEL.to_owned(),
        station: at.to_bytes(),
        plate: Some(wire::CapacityPlate {
            persons: Some(6),
            persons_mass_g: Some(900_000),
            total_mass_g: Some(1_200_000),
            power_w: Some(22_000),
            motor_mass_g: Some(80_000),
        }),
        ..wire::CraftRegistered::default()
    };
    of_craft(Kind::CraftRegistered, &payload, craft(number))
}

pub(crate) fn motor_registered(at: SubjectId) -> NewEvent {
    let payload = wire::GearRegistered {
        number: "M-7".to_owned(),
        r#type: wire::GearType::Motor as i32,
        station: at.to_bytes(),
        mass_g: Some(50_000),
        power_w: Some(18_000),
        ..wire::GearRegistered::default()
    };
    about(Kind::GearRegistered, &payload, (MOTOR, SubjectType::Gear))
}

/// What somebody found who went round a craft.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Found {
    pub(crate) gauge_pa: i64,
    pub(crate) paddles: u32,
    pub(crate) drain: wire::AnswerValue,
    pub(crate) bow_line: wire::AnswerValue,
    pub(crate) extent: wire::CheckExtent,
}

impl Found {
    pub(crate) const RIGHT: Self = Self {
        gauge_pa: 26_000,
        paddles: 2,
        drain: wire::AnswerValue::Yes,
        bow_line: wire::AnswerValue::Yes,
        extent: wire::CheckExtent::Full,
    };

    pub(crate) fn message(self, standard: Option<EventId>) -> wire::Check {
        let answer = |line: &str, value: wire::AnswerValue| wire::Answer {
            line: line.to_owned(),
            value: value as i32,
            not_applicable: 0,
        };
        wire::Check {
            extent: self.extent as i32,
            standard: standard.map_or_else(Bytes::new, EventId::to_bytes),
            readings: vec![wire::Reading {
                part: "tube-1".to_owned(),
                moment: wire::ReadingMoment::AsFound as i32,
                gauge_pa: self.gauge_pa,
                air_mc: Some(15_000),
                stood_s: Some(50_000),
                intercommunication: wire::ValveState::Shut as i32,
                elevation_mm: Some(200_000),
                ..wire::Reading::default()
            }],
            counts: vec![wire::ItemCount {
                item: "paddle".to_owned(),
                count: self.paddles,
                ..wire::ItemCount::default()
            }],
            answers: vec![
                answer("drain", self.drain),
                answer("bow-line", self.bow_line),
            ],
            stowage: wire::Stowage::Rigged as i32,
            ..wire::Check::default()
        }
    }
}

pub(crate) fn fault(severity: wire::Severity) -> wire::Fault {
    wire::Fault {
        faults: vec![wire::FaultFound {
            part: "tube-1".to_owned(),
            class: "leak".to_owned(),
            severity: severity as i32,
            ..wire::FaultFound::default()
        }],
    }
}

pub(crate) fn fault_ref(event: EventId) -> wire::FaultRef {
    wire::FaultRef {
        event: event.to_bytes(),
        ordinal: 0,
    }
}

pub(crate) fn sign_off(fault: EventId) -> wire::SignOff {
    wire::SignOff {
        closes: vec![fault_ref(fault)],
    }
}

pub(crate) fn correction(original: EventId, restated: Option<Vec<u8>>) -> wire::Correction {
    wire::Correction {
        original: original.to_bytes(),
        r#type: if restated.is_some() {
            wire::CorrectionType::Restated as i32
        } else {
            wire::CorrectionType::Withdrawn as i32
        },
        payload: restated.unwrap_or_default().into(),
        kind_version: 1,
    }
}
