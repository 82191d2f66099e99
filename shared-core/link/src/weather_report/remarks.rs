//! Of the remarks only air and dew point in tenths of a degree are read (`T01561022`, Federal
//! Meteorological Handbook No. 1): nothing else in them is written in one way.

use super::shapes::all_digits;

/// Air and dew point, milli-degree Celsius.
pub(super) fn tenths(group: &str) -> Option<(i32, Option<i32>)> {
    let digits = group.strip_prefix('T').filter(|it| all_digits(it))?;
    let (air, dew) = digits.split_at_checked(4)?;
    match dew {
        "" => Some((tenth(air)?, None)),
        dew => Some((tenth(air)?, Some(tenth(dew)?))),
    }
}

/// A sign (0 above, 1 below zero) and three digits.
fn tenth(text: &str) -> Option<i32> {
    if text.len() != 4 {
        return None;
    }
    let value: i32 = text.get(1..)?.parse().ok()?;
    match text.get(..1)? {
        "0" => Some(value * 100),
        "1" => Some(-value * 100),
        _ => None,
    }
}
