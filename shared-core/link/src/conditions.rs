//! Place, duration and weather of a question, between messages and the trade's types.
//!
//! What comes in is checked here; when it is dark is added here, and given in with the question.

use std::collections::BTreeSet;

use sponson_proto::answer::v1 as wire;
use sponson_proto::answer::v1::conditions::{Ambient as WireAmbient, Visibility as WireVisibility};
use sponson_readiness::conditions::{Ambient, Conditions, Light, Position, Tow, Visibility};
use sponson_readiness::moment::Moment;

use crate::daylight;
use crate::refusal::Refusal;

/// Longest job, seconds: 30 days, twice the 14 for which a swiftwater team deploys (NIMS 8-508-1020).
const DURATION_MAX_S: u32 = 30 * 86_400;

/// What the light is worked out for when no duration is given: longer than a county's setting for
/// it is likely to be. One still longer makes it not known whether it is dark.
const DURATION_NOT_GIVEN_S: u32 = 86_400;

/// Strongest wind, mm/s: 120 m/s, above any measured at the ground (113 m/s, Barrow Island 1996;
/// from memory).
const WIND_MAX_MM_S: u32 = 120_000;

/// Strongest current, mm/s: 20 m/s, above any river in flood.
const CURRENT_MAX_MM_S: u32 = 20_000;

/// Air outside, pascal: thinner than at 9000 m, denser than any weather on record.
const AMBIENT_PA: std::ops::RangeInclusive<i64> = 30_000..=110_000;

/// Reads conditions of a question; when it is dark is not known yet.
pub(crate) fn parse(given: &wire::Conditions) -> Result<Conditions, Refusal> {
    Ok(Conditions {
        position: position(given.lat_e7, given.lon_e7)?,
        duration_s: most("duration_s", given.duration_s, DURATION_MAX_S)?,
        light: Vec::new(),
        visibility: given.visibility.as_ref().map(visibility).transpose()?,
        wind_mm_s: most("wind_mm_s", given.wind_mm_s, WIND_MAX_MM_S)?,
        current_mm_s: most("current_mm_s", given.current_mm_s, CURRENT_MAX_MM_S)?,
        tow: if given.tow { Tow::Yes } else { Tow::No },
        ambient: given.ambient.map(ambient).transpose()?,
    })
}

fn position(lat_e7: Option<i32>, lon_e7: Option<i32>) -> Result<Option<Position>, Refusal> {
    let (lat_e7, lon_e7) = match (lat_e7, lon_e7) {
        (None, None) => return Ok(None),
        (Some(lat_e7), Some(lon_e7)) => (lat_e7, lon_e7),
        (Some(_), None) | (None, Some(_)) => {
            return Err(Refusal::field(
                "conditions has one of lat_e7 and lon_e7".to_owned(),
                "give both, or neither",
            ));
        }
    };
    let within = |field, value: i32, most: u32| {
        if value.unsigned_abs() <= most {
            return Ok(());
        }
        Err(Refusal::field(
            format!("{field} is {value}; from -{most} to {most} is allowed"),
            "give ten-millionths of a degree",
        ))
    };
    within("lat_e7", lat_e7, 900_000_000)?;
    within("lon_e7", lon_e7, 1_800_000_000)?;
    Ok(Some(Position { lat_e7, lon_e7 }))
}

fn most(field: &str, value: Option<u32>, most: u32) -> Result<Option<u32>, Refusal> {
    if value.is_none_or(|value| value <= most) {
        return Ok(value);
    }
    let value = value.unwrap_or_default();
    Err(Refusal::field(
        format!("{field} is {value}; at most {most} is allowed"),
        "check the number and its unit",
    ))
}

fn visibility(given: &WireVisibility) -> Result<Visibility, Refusal> {
    match given {
        WireVisibility::VisibilityM(m) => Ok(Visibility::Metres(*m)),
        WireVisibility::VisibilityWord(word) => match word.as_str() {
            "clear" => Ok(Visibility::Clear),
            "restricted" => Ok(Visibility::Restricted),
            _ => Err(Refusal::field(
                format!("visibility_word is '{}'", sponson_show::clean(word)),
                "give clear or restricted",
            )),
        },
    }
}

fn ambient(given: WireAmbient) -> Result<Ambient, Refusal> {
    let (field, pa, ambient) = match given {
        WireAmbient::AmbientPa(pa) => ("ambient_pa", pa, Ambient::StationPa(pa)),
        WireAmbient::AltimeterPa(pa) => ("altimeter_pa", pa, Ambient::AltimeterPa(pa)),
    };
    if AMBIENT_PA.contains(&pa) {
        return Ok(ambient);
    }
    let (least, most) = (AMBIENT_PA.start(), AMBIENT_PA.end());
    Err(Refusal::field(
        format!("{field} is {pa}; from {least} to {most} is allowed"),
        "check the number and its unit",
    ))
}

/// When it is dark at the place, around each of the moments that may be judged.
pub(crate) fn light(conditions: &Conditions, moments: BTreeSet<Moment>) -> Vec<Light> {
    let Some(position) = conditions.position else {
        return Vec::new();
    };
    let duration_s = conditions.duration_s.unwrap_or(DURATION_NOT_GIVEN_S);
    let around = moments.into_iter();
    around
        .filter_map(|at| daylight::light(position, at, duration_s))
        .collect()
}

/// Writes conditions as they were given.
pub(crate) fn to_wire(given: &Conditions) -> wire::Conditions {
    wire::Conditions {
        lat_e7: given.position.map(|it| it.lat_e7),
        lon_e7: given.position.map(|it| it.lon_e7),
        duration_s: given.duration_s,
        wind_mm_s: given.wind_mm_s,
        current_mm_s: given.current_mm_s,
        tow: given.tow == Tow::Yes,
        place_name: String::new(),
        visibility: given.visibility.map(|visibility| match visibility {
            Visibility::Clear => WireVisibility::VisibilityWord("clear".to_owned()),
            Visibility::Restricted => WireVisibility::VisibilityWord("restricted".to_owned()),
            Visibility::Metres(m) => WireVisibility::VisibilityM(m),
        }),
        ambient: given.ambient.map(|ambient| match ambient {
            Ambient::StationPa(pa) => WireAmbient::AmbientPa(pa),
            Ambient::AltimeterPa(pa) => WireAmbient::AltimeterPa(pa),
        }),
    }
}

/// Writes when it is dark.
pub(crate) fn light_to_wire(light: &Light) -> wire::Light {
    wire::Light {
        from_unix_ms: light.from.0,
        to_unix_ms: light.to.0,
        dark: light
            .dark
            .iter()
            .map(|(from, to)| wire::DarkSpan {
                from_unix_ms: from.0,
                to_unix_ms: to.0,
            })
            .collect(),
    }
}

/// Reads when it was dark, as whoever answered worked it out.
pub(crate) fn light_of_wire(light: &wire::Light) -> Light {
    let dark = light.dark.iter();
    Light {
        from: Moment(light.from_unix_ms),
        to: Moment(light.to_unix_ms),
        dark: dark
            .map(|span| (Moment(span.from_unix_ms), Moment(span.to_unix_ms)))
            .collect(),
    }
}
