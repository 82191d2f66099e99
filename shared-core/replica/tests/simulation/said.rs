//! What people of the simulated county say: its sheet, its registry, and the crews' statements.

use std::sync::LazyLock;

use bytes::Bytes;
use sponson_log::event::{Clock, Header, SignedEvent};
use sponson_log::ids::{EventId, Key, SubjectId};
use sponson_made::county::root;
use sponson_made::{said, signed};
use sponson_proto::event::v1::{self as wire, Kind, Role, SubjectType};
use sponson_readiness::standard::Policy;
use sponson_replica::NewEvent;

use crate::machine::key;

pub(crate) use sponson_made::county::{MOTOR, county_id};
pub(crate) use sponson_made::said::{about, correction, fault_ref, of_craft, sign_off};

pub(crate) const MODEL: &str = "raft-2";

/// A sheet of one part, one item and two questions: small, so that a craft is now and then ready.
pub(crate) const SHEET: &str = include_str!("sheet.toml");

/// Seed of the county's first working key.
pub(crate) const WORKING: u8 = 2;

/// The public half of the root key, made once: to make it is as slow as to sign.
pub(crate) fn root_key() -> Key {
    static KEY: LazyLock<Key> = LazyLock::new(|| root().key());
    *KEY
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
    signed::root_admits(key(WORKING).key())
}

/// An event of the root key, after another one of its chain.
pub(crate) fn by_root(
    after: Option<(u64, EventId)>,
    kind: Kind,
    payload: &impl prost::Message,
    unix_ms: i64,
) -> SignedEvent {
    let header = Header {
        clock: Clock {
            unix_ms,
            utc_offset_min: 0,
            boot_id: [1; 16],
            monotonic_ms: 1,
        },
        ..signed::header(root_key(), kind, after)
    };
    signed::sign(header, payload.encode_to_vec(), &root())
}

/// What the lead says of the registry is a member's here too.
fn of_member(event: NewEvent) -> NewEvent {
    NewEvent {
        member: "1042".to_owned(),
        ..event
    }
}

pub(crate) fn policy() -> NewEvent {
    of_member(said::policy(Policy::default_text()))
}

pub(crate) fn adopt(revision: u32) -> NewEvent {
    let sheet = SHEET.replace("revision = 1", &format!("revision = {revision}"));
    of_member(said::standard((MODEL, revision), &sheet))
}

pub(crate) fn station_registered(number: u8) -> NewEvent {
    let name = format!("Station {number}");
    of_member(said::station_registered(station(number), &name))
}

pub(crate) fn admit(
    key: Key,
    station: SubjectId,
    roles: &[Role],
    replaces: Option<(Key, EventId)>,
) -> NewEvent {
    of_member(said::admit_in_place(key, station, roles, replaces))
}

pub(crate) fn end(key: Key, last_good: Option<(u64, EventId)>) -> NewEvent {
    of_member(said::end(key, last_good))
}

pub(crate) fn give_role(key: Key, roles: &[Role], after: Option<(u64, EventId)>) -> NewEvent {
    of_member(said::give_role(key, roles, after))
}

pub(crate) fn craft_registered(number: u8, at: SubjectId) -> NewEvent {
    let plate = said::plate((900_000, 1_200_000));
    said::craft_registered(craft(number), (&format!("4-{number}"), MODEL), at, plate)
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
    said::fault(("tube-1", "leak"), severity)
}
