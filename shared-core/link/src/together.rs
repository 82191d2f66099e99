//! Which craft can go at once, between messages and the trade's types.

use std::collections::BTreeMap;

use bytes::Bytes;
use sponson_proto::answer::v1 as wire;
use sponson_readiness::answer::{Shared, Together, TogetherAsked};
use sponson_readiness::engine::Station;
use sponson_readiness::ids::SubjectId;
use sponson_show::Context;

use crate::refusal::Refusal;

/// Stations that a question can name vehicles of: more than any county has.
const STATIONS_MAX: usize = 256;

/// Vehicles of one station, and craft that can be wanted: more than any county has.
const COUNT_MAX: u32 = 1_000;

/// Reads what is asked; a station by its id, else by its name.
pub(crate) fn parse(
    given: &wire::TogetherAsked,
    stations: &BTreeMap<SubjectId, Station>,
) -> Result<TogetherAsked, Refusal> {
    if given.vehicles.len() > STATIONS_MAX {
        let number = given.vehicles.len();
        return Err(Refusal::field(
            format!("vehicles has {number} lines; at most {STATIONS_MAX} are allowed"),
            "give one for each station",
        ));
    }
    let mut vehicles = BTreeMap::new();
    for at in &given.vehicles {
        let station = station("vehicles", (&at.station, &at.station_id), stations)?;
        let count = at_most("vehicles", at.count)?;
        if vehicles.insert(station, count).is_some() {
            return Err(Refusal::field(
                format!(
                    "vehicles of {} stand twice",
                    sponson_show::clean(&at.station)
                ),
                "give one line for each station",
            ));
        }
    }
    let wanted = given.wanted.map(|wanted| at_most("wanted", wanted));
    Ok(TogetherAsked {
        wanted: wanted.transpose()?,
        vehicles,
    })
}

fn at_most(field: &str, count: u32) -> Result<u32, Refusal> {
    if count <= COUNT_MAX {
        return Ok(count);
    }
    Err(Refusal::field(
        format!("{field} is {count}; at most {COUNT_MAX} is allowed"),
        "check the number",
    ))
}

/// The station of an id, else of a name.
pub(crate) fn station(
    field: &str,
    (name, id): (&str, &[u8]),
    stations: &BTreeMap<SubjectId, Station>,
) -> Result<SubjectId, Refusal> {
    let name = name.trim();
    let named = stations
        .iter()
        .find(|(known, station)| match id.is_empty() {
            true => station.name.eq_ignore_ascii_case(name),
            false => known.as_bytes().as_slice() == id,
        });
    named.map(|(id, _)| *id).ok_or_else(|| {
        let known: Vec<String> = stations
            .values()
            .map(|station| sponson_show::clean(&station.name))
            .collect();
        Refusal::field(
            format!(
                "{field} names the station '{}', which is not known here",
                sponson_show::clean(name)
            ),
            format!("the stations known here are {}", known.join(", ")),
        )
    })
}

/// Writes what was asked.
pub(crate) fn asked_to_wire(asked: &TogetherAsked) -> wire::TogetherAsked {
    let vehicles = asked.vehicles.iter();
    wire::TogetherAsked {
        wanted: asked.wanted,
        vehicles: vehicles
            .map(|(id, count)| wire::VehiclesAt {
                station: String::new(),
                count: *count,
                station_id: bytes(*id),
            })
            .collect(),
    }
}

/// Writes which craft can go at once.
pub(crate) fn to_wire(together: &Together, ctx: &Context) -> wire::Together {
    let shared = |all: &[Shared]| all.iter().map(|one| shared(one, ctx)).collect();
    let ids = |all: &[SubjectId]| all.iter().copied().map(bytes).collect();
    wire::Together {
        craft: together
            .craft
            .iter()
            .map(|goes| wire::Goes {
                id: bytes(goes.craft),
                craft: goes.number.clone(),
                persons: goes.persons,
                takes: shared(&goes.takes),
            })
            .collect(),
        kept_back: together
            .kept_back
            .iter()
            .map(|kept| wire::KeptBack {
                id: bytes(kept.craft),
                craft: kept.number.clone(),
                lacks: shared(&kept.lacks),
            })
            .collect(),
        exact: together.exact,
        crews_not_known: ids(&together.crews_not_known),
        vehicles_not_known: ids(&together.vehicles_not_known),
    }
}

pub(crate) fn shared(one: &Shared, ctx: &Context) -> wire::Shared {
    let name = match one {
        Shared::Crew(id) | Shared::Persons(id) | Shared::Trailer(id) | Shared::Vehicle(id) => {
            ctx.station(*id)
        }
        Shared::Gear(_, number) => number.clone(),
    };
    wire::Shared {
        what: one.id().to_owned(),
        id: bytes(one.subject()),
        name,
    }
}

fn bytes(id: SubjectId) -> Bytes {
    Bytes::copy_from_slice(id.as_bytes())
}
