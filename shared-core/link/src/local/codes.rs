//! Making admission codes, at the county.

use prost::Message as _;
use sponson_log::ids::{Key, SubjectId};
use sponson_log::registry::StationFacts;
use sponson_proto::event::v1::{Kind, Role, StationRegistered, SubjectType};
use sponson_proto::service::v1::{MakeCodeReply, MakeCodeRequest};
use sponson_replica::{AppendError, NewEvent, Now, Replica};
use tonic::Code;

use super::{Host, HostRole};
use crate::code::{self, SECRET_BYTES};
use crate::county::codes::{Admits, CodesError};
use crate::refusal::{Refusal, append_refused};

/// Hours for which a code works when none are given: until the same time tomorrow.
const HOURS: u32 = 24;

/// Most hours: 30 days.
const HOURS_MAX: u32 = 30 * 24;

/// Longest name of a station.
const NAME_BYTES_MAX: usize = 64;

/// Makes a code; registers the station when there is none of its name.
pub(super) async fn make(host: &Host, request: MakeCodeRequest) -> Result<MakeCodeReply, Refusal> {
    let HostRole::County { codes, .. } = &host.role else {
        return Err(Refusal::new(
            Code::FailedPrecondition,
            "NOT_A_COUNTY",
            "this is a station",
            "codes are made at the county",
        ));
    };
    let hours = hours(request.hours)?;
    let roles = roles(&request.roles)?;
    let replaces = Key::parse_optional("replaces_key", &request.replaces_key)
        .map_err(|error| Refusal::field(error.to_string(), "look the device up in devices"))?;
    let entropy = host.shared.entropy();
    let secret = entropy.draw::<SECRET_BYTES>();
    let new_id = SubjectId::from_bytes(entropy.draw());
    let now = host.shared.clock().now();
    let (county, station) = host
        .shared
        .call(move |replica| {
            if replica.is_paused() {
                // Whoever came with the code could not be admitted.
                return Err(append_refused(AppendError::Paused));
            }
            of_station(replica, &request.station, replaces)?;
            let station = station(replica, request, new_id, &now)?;
            Ok::<_, Refusal>((replica.county(), station))
        })
        .await??;
    let ends_unix_ms = now.unix_ms.saturating_add(i64::from(hours) * 3_600_000);
    codes
        .lock()
        .await
        .give(
            &secret,
            &Admits {
                station,
                roles,
                replaces,
            },
            ends_unix_ms,
            now.unix_ms,
        )
        .map_err(|error| codes_failed(&error))?;
    Ok(MakeCodeReply {
        code: code::Code::new(county, secret).to_string(),
        station: station.to_bytes(),
        ends_unix_ms,
    })
}

fn hours(asked: u32) -> Result<u32, Refusal> {
    match asked {
        0 => Ok(HOURS),
        1..=HOURS_MAX => Ok(asked),
        _ => Err(Refusal::field(
            format!("hours is {asked}; at most {HOURS_MAX} are allowed"),
            "make a code that ends sooner; another can be made at any time",
        )),
    }
}

/// Roles of the key; crew and maintenance when none are given.
fn roles(asked: &[i32]) -> Result<Vec<Role>, Refusal> {
    if asked.is_empty() {
        return Ok(vec![Role::Crew, Role::Maintenance]);
    }
    let mut roles = Vec::new();
    for number in asked {
        match Role::try_from(*number) {
            Ok(Role::Unspecified | Role::County) | Err(_) => {
                return Err(Refusal::field(
                    format!("role {number} cannot be given with a code"),
                    "give crew, maintenance, coordinator, lead or reader",
                ));
            }
            Ok(role) if !roles.contains(&role) => roles.push(role),
            Ok(_) => {}
        }
    }
    Ok(roles)
}

/// The station of a name, registered now when there was none; registered anew when more is said of
/// where it is: the newest registration stands.
fn station(
    replica: &mut Replica,
    request: MakeCodeRequest,
    new_id: SubjectId,
    now: &Now,
) -> Result<SubjectId, Refusal> {
    let name = request.station.trim();
    if name.is_empty() || name.len() > NAME_BYTES_MAX {
        return Err(Refusal::field(
            format!(
                "station has {} bytes; 1 to {NAME_BYTES_MAX} are allowed",
                name.len()
            ),
            "give the station's name",
        ));
    }
    let mut known = replica.registry().stations().iter();
    let known = known.find(|(_, facts)| facts.name == name);
    let id = known.map_or(new_id, |(id, _)| *id);
    let held = known.map(|(_, facts)| facts);
    let position = request.latitude_e7.zip(request.longitude_e7);
    let facts = StationFacts {
        name: name.to_owned(),
        position_e7: position.or(held.and_then(|held| held.position_e7)),
        elevation_mm: request
            .elevation_mm
            .or(held.and_then(|held| held.elevation_mm)),
        call: match request.call.trim() {
            "" => held.map(|held| held.call.clone()).unwrap_or_default(),
            call => call.to_owned(),
        },
    };
    if held == Some(&facts) {
        return Ok(id);
    }
    let registered = StationRegistered {
        name: facts.name,
        latitude_e7: facts.position_e7.map(|(latitude, _)| latitude),
        longitude_e7: facts.position_e7.map(|(_, longitude)| longitude),
        elevation_mm: facts.elevation_mm,
        call: facts.call,
    };
    let event = NewEvent {
        kind: Kind::StationRegistered,
        kind_version: 1,
        payload: registered.encode_to_vec(),
        subjects: vec![(id, SubjectType::Station)],
        observed: None,
        member: String::new(),
        texts: Vec::new(),
    };
    replica.append(event, now).map_err(append_refused)?;
    Ok(id)
}

/// A device takes over from one of its own station. Looked at before anything is registered.
fn of_station(replica: &Replica, name: &str, replaces: Option<Key>) -> Result<(), Refusal> {
    let registry = replica.registry();
    let other = |key: &Key| {
        let station = registry
            .station_of(key)
            .and_then(|id| registry.stations().get(&id));
        station.is_none_or(|facts| facts.name != name.trim())
    };
    match replaces.filter(other) {
        None => Ok(()),
        Some(key) => Err(Refusal::field(
            format!("key {key} is not of station {}", name.trim()),
            "name a device of this station: they are listed by devices",
        )),
    }
}

fn codes_failed(error: &CodesError) -> Refusal {
    tracing::error!(%error, "an admission code could not be kept");
    Refusal::new(
        Code::Unavailable,
        "CODES_FAILED",
        error.to_string(),
        "no code was made; set it right and try again",
    )
}
