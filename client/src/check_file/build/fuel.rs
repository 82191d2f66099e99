//! Fuel in one tank as written down: amount, day of filling, mix.

use bytes::Bytes;
use sponson_proto::event::v1::FuelAboard;
use sponson_show::{clean, dates, units};

use super::super::{CheckFileError, FuelLine, date_mark_to_wire};

/// Petrol to oil by volume: no outboard takes it richer than 10:1, or leaner than 200:1.
const MIX: std::ops::RangeInclusive<u32> = 10..=200;

/// Reads the fuel of a tank.
///
/// # Errors
/// Names the place, the value and what is accepted.
pub(super) fn fuel_aboard(
    at: &str,
    line: &FuelLine,
    tank: Bytes,
) -> Result<FuelAboard, CheckFileError> {
    let filled = line
        .filled
        .as_deref()
        .map(|text| dates::date_mark(&format!("{at}.filled"), text))
        .transpose()
        .map_err(|error| CheckFileError::Quantity(error.to_string()))?;
    let mix = line.mix.as_deref();
    Ok(FuelAboard {
        tank,
        amount_ml: units::volume(&format!("{at}.amount"), &line.amount).map_err(super::quantity)?,
        filled: filled.map(date_mark_to_wire),
        mix_ratio: mix.map_or(Ok(0), |text| parts(at, text))?,
    })
}

/// `50:1` or `50`.
fn parts(at: &str, text: &str) -> Result<u32, CheckFileError> {
    let number = text.trim();
    let number = number.strip_suffix(":1").unwrap_or(number).trim();
    let mix = number.parse().ok().filter(|mix| MIX.contains(mix));
    mix.ok_or_else(|| CheckFileError::Value {
        place: format!("{at}.mix"),
        value: clean(text),
        limit: "write petrol to oil from 10:1 to 200:1, for example \"50:1\"; leave it out for \
                unmixed petrol"
            .to_owned(),
    })
}
