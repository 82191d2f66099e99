//! Single fields of payloads: lengths, ranges, ids, dates. Knows no message.
//!
//! Ranges here say what cannot be, not what should not be: people record what they found, and a
//! standard judges it.

use std::ops::RangeInclusive;

use sponson_log::ids as log;
use sponson_proto::event::v1 as wire;
use sponson_readiness::event::DateMark;
use sponson_readiness::ids::{EventId, FaultId, MissionId, SubjectId};

use super::ParseError;

/// Greatest length of a word or number: painted numbers, parts, lines, classes. The longest line
/// ids of the built-in sheets have 40 bytes.
pub(super) const WORD_BYTES_MAX: usize = 64;

/// Greatest number of entries of one list: a body of 64 KiB holds no more than 10,000 faults of
/// seven bytes, and [`FaultId::FIRST_ANSWER`] keeps faults and answers apart.
pub(super) const LIST_MAX: usize = 9_999;

/// Gauge pressures that a gauge can show, pascal: below a perfect vacuum at sea level there is
/// nothing, and no part of a craft or its gauge goes to 2 MPa (290 psi).
pub(super) const GAUGE_PA: RangeInclusive<i64> = -110_000..=2_000_000;

/// Gauges of a cylinder, kilopascal: 100 MPa is twice what any cylinder is charged to.
pub(super) const CYLINDER_KPA: RangeInclusive<u32> = 0..=100_000;

/// Temperatures that a thermometer can show, milli-degree Celsius. The lowest and highest air
/// temperatures ever measured lie well inside; a tube in the sun does too.
pub(super) const TEMPERATURE_MC: RangeInclusive<i32> = -100_000..=120_000;

/// Ambient pressures, pascal: 30 kPa is above the highest mountain, 110 kPa below the Dead Sea.
pub(super) const AMBIENT_PA: RangeInclusive<u32> = 30_000..=120_000;

/// Elevations, millimetres: from below the Dead Sea to the highest mountain.
pub(super) const ELEVATION_MM: RangeInclusive<i32> = -500_000..=9_000_000;

/// Units of one item: more than any store room holds.
pub(super) const COUNT: RangeInclusive<u32> = 0..=1_000_000;

/// Persons or crews: more than any county has on duty.
pub(super) const PEOPLE: RangeInclusive<u32> = 0..=10_000;

/// Years on a printed date.
const YEAR: RangeInclusive<u32> = 1900..=2200;

/// A value that cannot be.
pub(super) fn refused(field: &str, value: impl ToString, limit: impl Into<String>) -> ParseError {
    ParseError::Value {
        field: field.to_owned(),
        value: value.to_string(),
        limit: limit.into(),
    }
}

/// A value within a range.
pub(super) fn within<T: PartialOrd + Copy + std::fmt::Display>(
    field: &str,
    value: T,
    range: &RangeInclusive<T>,
) -> Result<T, ParseError> {
    if range.contains(&value) {
        return Ok(value);
    }
    let limit = format!("it must lie from {} to {}", range.start(), range.end());
    Err(refused(field, value, limit))
}

/// A word that must be there.
pub(super) fn word(field: &str, value: String) -> Result<String, ParseError> {
    if value.trim().is_empty() {
        return Err(refused(field, "empty", "it must be given"));
    }
    word_or_empty(field, value)
}

/// A word that may be empty.
pub(super) fn word_or_empty(field: &str, value: String) -> Result<String, ParseError> {
    if value.len() > WORD_BYTES_MAX || value.chars().any(char::is_control) {
        let limit = format!("it may have {WORD_BYTES_MAX} bytes, on one line");
        return Err(refused(field, format!("{} bytes long", value.len()), limit));
    }
    Ok(value)
}

/// Missions by name.
pub(super) fn missions(field: &str, names: Vec<String>) -> Result<Vec<MissionId>, ParseError> {
    list(field, names, |name| word(field, name).map(MissionId))
}

/// A value that may be absent, within a range.
pub(super) fn optional<T: PartialOrd + Copy + std::fmt::Display>(
    field: &str,
    value: Option<T>,
    range: &RangeInclusive<T>,
) -> Result<Option<T>, ParseError> {
    value.map(|value| within(field, value, range)).transpose()
}

/// A list of at most so many entries, each parsed.
pub(super) fn list<T, U>(
    field: &str,
    values: Vec<T>,
    parse: impl FnMut(T) -> Result<U, ParseError>,
) -> Result<Vec<U>, ParseError> {
    if values.len() > LIST_MAX {
        let limit = format!("at most {LIST_MAX} are allowed");
        return Err(refused(field, format!("{} long", values.len()), limit));
    }
    values.into_iter().map(parse).collect()
}

/// A list that may not be empty.
pub(super) fn some<T>(field: &str, values: Vec<T>) -> Result<Vec<T>, ParseError> {
    if values.is_empty() {
        return Err(refused(field, "empty", "at least one must be named"));
    }
    Ok(values)
}

/// A subject that must be named.
pub(super) fn subject(field: &'static str, bytes: &[u8]) -> Result<SubjectId, ParseError> {
    let id = log::SubjectId::parse(field, bytes).map_err(|error| {
        refused(
            field,
            format!("{} bytes long", error.length),
            "an id has 16",
        )
    })?;
    Ok(SubjectId::from_bytes(*id.as_bytes()))
}

/// A subject that may be empty.
pub(super) fn subject_or_none(
    field: &'static str,
    bytes: &[u8],
) -> Result<Option<SubjectId>, ParseError> {
    if bytes.is_empty() {
        return Ok(None);
    }
    subject(field, bytes).map(Some)
}

/// An event that must be named.
pub(super) fn event(field: &'static str, bytes: &[u8]) -> Result<EventId, ParseError> {
    let id = log::EventId::parse(field, bytes).map_err(|error| {
        refused(
            field,
            format!("{} bytes long", error.length),
            "an id has 32",
        )
    })?;
    Ok(EventId::from_bytes(*id.as_bytes()))
}

/// Names of faults.
pub(super) fn faults(
    field: &'static str,
    refs: Vec<wire::FaultRef>,
) -> Result<Vec<FaultId>, ParseError> {
    list(field, refs, |fault| {
        Ok(FaultId {
            event: event(field, &fault.event)?,
            ordinal: fault.ordinal,
        })
    })
}

/// A printed date.
pub(super) fn date(
    field: &str,
    mark: Option<wire::DateMark>,
) -> Result<Option<DateMark>, ParseError> {
    let Some(mark) = mark else { return Ok(None) };
    let year = within(field, mark.year, &YEAR)?;
    let month = Some(within(field, mark.month, &(0..=12))?).filter(|month| *month > 0);
    let day = Some(within(field, mark.day, &(0..=31))?).filter(|day| *day > 0);
    let signed_year = i32::try_from(year).unwrap_or_default();
    let exists = match (month, day) {
        (_, None) => true,
        (None, Some(_)) => false,
        (Some(month), Some(day)) => {
            chrono::NaiveDate::from_ymd_opt(signed_year, month, day).is_some()
        }
    };
    if !exists {
        let text = format!("{year}-{:02}-{:02}", mark.month, mark.day);
        return Err(refused(field, text, "there is no such date"));
    }
    Ok(Some(DateMark {
        year: signed_year,
        month,
        day,
    }))
}

/// An enum that must be given and known.
pub(super) fn choice<E, T>(
    field: &str,
    number: i32,
    read: impl Fn(E) -> Option<T>,
) -> Result<T, ParseError>
where
    E: TryFrom<i32>,
{
    E::try_from(number)
        .ok()
        .and_then(read)
        .ok_or_else(|| refused(field, number, "it must be one of the listed values"))
}
