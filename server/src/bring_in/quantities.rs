//! Quantities in the cells of a list that the units of the trade do not cover: power, and what is
//! narrower than the log's fields.

use sponson_client::check_file::date_mark_to_wire;
use sponson_proto::event::v1::DateMark;
use sponson_show::{clean, dates, units};

use super::RowError;
use super::columns::{Cells, Field, field_name};

/// Milliwatts in a horsepower of 550 foot-pounds a second (NIST SP 811: 7.456 999 E+02 W).
const HP_MW: i64 = 745_700;

/// Greatest power of an outboard that a rescue craft carries, watts: 450 kW, 600 hp.
const POWER_W_MAX: i64 = 450_000;

/// A power in whole watts.
pub(super) fn power(cells: &Cells<'_>) -> Result<Option<u32>, RowError> {
    let Some(text) = cells.quantity(Field::Power) else {
        return Ok(None);
    };
    let refuse = || RowError::Value {
        field: field_name(Field::Power),
        value: clean(&text),
        limit: "give for example 40 hp or 30 kW, at most 600 hp".to_owned(),
    };
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .ok_or_else(refuse)?;
    let (number, unit) = text.split_at(end);
    let thousandths = thousandths(number).ok_or_else(refuse)?;
    let milliwatts = match unit.trim().to_lowercase().as_str() {
        "hp" => thousandths.checked_mul(HP_MW).map(|all| all / 1000),
        "kw" => thousandths.checked_mul(1000),
        _ => None,
    };
    let watts = milliwatts
        .map(|all| (all + 500) / 1000)
        .filter(|watts| (1..=POWER_W_MAX).contains(watts))
        .ok_or_else(refuse)?;
    Ok(u32::try_from(watts).ok())
}

/// A decimal in thousandths.
fn thousandths(number: &str) -> Option<i64> {
    let (whole, part) = number.split_once('.').unwrap_or((number, ""));
    if part.len() > 3 {
        return None;
    }
    let whole: i64 = whole.parse().ok()?;
    let part: i64 = format!("{part:0<3}").parse().ok()?;
    whole.checked_mul(1000)?.checked_add(part)
}

/// A mass in grams.
pub(super) fn mass(cells: &Cells<'_>, field: Field) -> Result<Option<u64>, RowError> {
    let text = cells.quantity(field);
    text.map(|text| units::mass(field_name(field), &text, None))
        .transpose()
        .map_err(quantity)
}

/// A mass in grams that the log keeps in 32 bits.
pub(super) fn small_mass(cells: &Cells<'_>, field: Field) -> Result<Option<u32>, RowError> {
    // The greatest mass that is read, 100,000 kg, fits.
    Ok(mass(cells, field)?.and_then(|grams| u32::try_from(grams).ok()))
}

/// A gauge pressure in pascal.
pub(super) fn pressure(cells: &Cells<'_>, field: Field) -> Result<Option<u32>, RowError> {
    let text = cells.quantity(field);
    let read = text.map(|text| units::gauge(field_name(field), &text, None));
    let pascal = read.transpose().map_err(quantity)?;
    // The greatest pressure that is read, 400 bar, fits; a negative one is none.
    Ok(pascal.and_then(|gauge| u32::try_from(gauge.0).ok()))
}

/// A volume in millilitres.
pub(super) fn volume(cells: &Cells<'_>, field: Field) -> Result<Option<u32>, RowError> {
    let text = cells.quantity(field);
    text.map(|text| units::volume(field_name(field), &text))
        .transpose()
        .map_err(quantity)
}

/// A temperature in milli-degree Celsius.
pub(super) fn temperature(cells: &Cells<'_>, field: Field) -> Result<Option<i32>, RowError> {
    let text = cells.quantity(field);
    text.map(|text| units::temperature(field_name(field), &text, None))
        .transpose()
        .map_err(quantity)
}

/// A date of making.
pub(super) fn made(cells: &Cells<'_>) -> Result<Option<DateMark>, RowError> {
    date(cells, Field::Made)
}

/// A date as marked.
pub(super) fn date(cells: &Cells<'_>, field: Field) -> Result<Option<DateMark>, RowError> {
    let read = cells
        .text(field)
        .map(|text| dates::date_mark(field_name(field), text));
    let mark = read
        .transpose()
        .map_err(|error| RowError::Quantity(error.to_string()))?;
    Ok(mark.map(date_mark_to_wire))
}

fn quantity(error: units::UnitError) -> RowError {
    RowError::Quantity(error.to_string())
}
