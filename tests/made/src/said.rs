//! What people of the county say, each a short call: its registry, and the crews' statements.
//!
//! What the lead says of the registry names no member; what crews say is of member 1042.

use bytes::Bytes;
use prost::Message;
use sponson_log::ids::{EventId, Key, SubjectId};
use sponson_proto::event::v1::{self as wire, Kind, Role, SubjectType};
use sponson_replica::NewEvent;

use crate::county::{CRAFT, MODEL, NORTH, SOUTH, county_subject, north, south};

/// The roles of a device that may do all that a station does.
pub const ALL_ROLES: [Role; 3] = [Role::Crew, Role::Maintenance, Role::Lead];

/// The plate of a craft for six, with so much for the persons, and for all.
#[must_use]
pub fn plate((persons_mass_g, total_mass_g): (u64, u64)) -> wire::CapacityPlate {
    wire::CapacityPlate {
        persons: Some(6),
        persons_mass_g: Some(persons_mass_g),
        total_mass_g: Some(total_mass_g),
        power_w: Some(22_000),
        motor_mass_g: Some(80_000),
    }
}

/// A statement about one subject, in the first version of its kind that can say it.
#[must_use]
pub fn about(kind: Kind, payload: &impl Message, subject: (SubjectId, SubjectType)) -> NewEvent {
    let payload = payload.encode_to_vec();
    NewEvent {
        kind,
        kind_version: sponson_proto::version::needed(kind, &payload),
        payload,
        subjects: vec![subject],
        observed: None,
        member: "1042".to_owned(),
        texts: Vec::new(),
    }
}

/// A statement about a craft.
#[must_use]
pub fn of_craft(kind: Kind, payload: &impl Message, craft: SubjectId) -> NewEvent {
    about(kind, payload, (craft, SubjectType::Craft))
}

/// A statement about the craft [`CRAFT`].
#[must_use]
pub fn event(kind: Kind, payload: &impl Message) -> NewEvent {
    of_craft(kind, payload, CRAFT)
}

/// A statement of the registry.
#[must_use]
pub fn of_registry(
    kind: Kind,
    payload: &impl Message,
    subject: (SubjectId, SubjectType),
) -> NewEvent {
    NewEvent {
        member: String::new(),
        ..about(kind, payload, subject)
    }
}

fn of_county(kind: Kind, payload: &impl Message) -> NewEvent {
    of_registry(kind, payload, (county_subject(), SubjectType::County))
}

fn of_station(kind: Kind, payload: &impl Message, station: SubjectId) -> NewEvent {
    of_registry(kind, payload, (station, SubjectType::Station))
}

/// The county's policy.
#[must_use]
pub fn policy(text: &str) -> NewEvent {
    let payload = wire::Policy {
        format: 1,
        text: text.to_owned(),
    };
    of_county(Kind::Policy, &payload)
}

/// The sheet of a model, in a revision.
#[must_use]
pub fn standard((model, revision): (&str, u32), text: &str) -> NewEvent {
    let payload = wire::BoatStandard {
        model: model.to_owned(),
        revision,
        format: 1,
        text: text.to_owned(),
    };
    of_county(Kind::BoatStandard, &payload)
}

/// A station of the county, 200 m above the sea.
#[must_use]
pub fn station_registered(station: SubjectId, name: &str) -> NewEvent {
    let payload = wire::StationRegistered {
        name: name.to_owned(),
        elevation_mm: Some(200_000),
        ..wire::StationRegistered::default()
    };
    of_station(Kind::StationRegistered, &payload, station)
}

/// Admits a key at a station.
#[must_use]
pub fn admit(key: Key, station: SubjectId, roles: &[Role]) -> NewEvent {
    admit_in_place(key, station, roles, None)
}

/// Admits a key at a station, in the place of one that ended with that event.
#[must_use]
pub fn admit_in_place(
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
    of_station(Kind::KeyAdmitted, &payload, station)
}

/// What the root says that admits a key of the county.
#[must_use]
pub fn county_key(key: Key) -> Vec<u8> {
    let payload = wire::KeyAdmitted {
        key: key.to_bytes(),
        roles: numbers(&[Role::County]),
        device: "county machine".to_owned(),
        epoch: 1,
        ..wire::KeyAdmitted::default()
    };
    payload.encode_to_vec()
}

/// Ends a key that was copied, after the last of its events that is good.
#[must_use]
pub fn end(key: Key, last_good: Option<(u64, EventId)>) -> NewEvent {
    let payload = wire::KeyEnded {
        key: key.to_bytes(),
        last_good: last_good.map_or_else(Bytes::new, |(_, id)| id.to_bytes()),
        last_good_seq: last_good.map_or(0, |(seq, _)| seq),
        reason: wire::KeyEndReason::Copied as i32,
    };
    of_county(Kind::KeyEnded, &payload)
}

/// Gives roles to a key, for what it signs after that event.
#[must_use]
pub fn give_role(key: Key, roles: &[Role], after: Option<(u64, EventId)>) -> NewEvent {
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

/// The registry of the county with two stations, each with one device.
#[must_use]
pub fn registry(policy_text: &str, sheet: &str) -> Vec<NewEvent> {
    vec![
        policy(policy_text),
        standard((MODEL, 1), sheet),
        station_registered(NORTH, "North Ford"),
        station_registered(SOUTH, "South Lock"),
        admit(north().key(), NORTH, &ALL_ROLES),
        admit(south().key(), SOUTH, &ALL_ROLES),
    ]
}

/// A craft is there: its number, its model, its station and its plate.
#[must_use]
pub fn craft_registered(
    craft: SubjectId,
    (number, model): (&str, &str),
    station: SubjectId,
    plate: wire::CapacityPlate,
) -> NewEvent {
    let payload = wire::CraftRegistered {
        number: number.to_owned(),
        model: model.to_owned(),
        station: station.to_bytes(),
        plate: Some(plate),
        ..wire::CraftRegistered::default()
    };
    of_craft(Kind::CraftRegistered, &payload, craft)
}

/// A check of one gauge at a tube chamber.
#[must_use]
pub fn reading(gauge_pa: i64) -> wire::Check {
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

/// One fault, found at a part.
#[must_use]
pub fn fault((part, class): (&str, &str), severity: wire::Severity) -> wire::Fault {
    wire::Fault {
        faults: vec![wire::FaultFound {
            part: part.to_owned(),
            class: class.to_owned(),
            severity: severity as i32,
            ..wire::FaultFound::default()
        }],
    }
}

/// The first fault of an event.
#[must_use]
pub fn fault_ref(event: EventId) -> wire::FaultRef {
    wire::FaultRef {
        event: event.to_bytes(),
        ordinal: 0,
    }
}

/// The sign-off of the first fault of an event.
#[must_use]
pub fn sign_off(fault: EventId) -> wire::SignOff {
    wire::SignOff {
        closes: vec![fault_ref(fault)],
    }
}

/// Out of service for something mechanical.
#[must_use]
pub const fn out_of_service() -> wire::OutOfService {
    wire::OutOfService {
        reason: wire::OutReason::Mechanical as i32,
    }
}

/// The correction of an event: restated, or withdrawn.
#[must_use]
pub fn correction(original: EventId, restated: Option<Vec<u8>>) -> wire::Correction {
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
