//! Quantities, moments and lengths of time as people read them.
//!
//! Rounded for reading: nothing here is to be reckoned with further.

use chrono::{DateTime, Datelike as _, FixedOffset, NaiveDateTime};
use sponson_readiness::conditions::Position;
use sponson_readiness::event::DateMark;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{MassUnit, PressureUnit, TemperatureUnit, Units};

use super::number::round_div;
use super::parse::{FT_NUM, IN_NUM, LB_DEN, LB_NUM, PSI_DEN, PSI_NUM};

/// No part of a craft goes above this; cylinders do, pascal.
const CYLINDER_PA: i128 = 2_000_000;

const MINUTE_MS: i64 = 60_000;
const HOUR_MS: i64 = 60 * MINUTE_MS;
const DAY_MS: i64 = 24 * HOUR_MS;

/// A gauge or absolute pressure given in pascal: psi with two decimals, whole mbar, kPa with one.
#[must_use]
pub fn pressure(pa: i64, units: Units) -> String {
    format!("{} {}", pressure_number(pa, units), pressure_unit(units))
}

/// The number of [`pressure`] alone.
#[must_use]
pub fn pressure_number(pa: i64, units: Units) -> String {
    let pa = i128::from(pa);
    match units.pressure {
        // Nobody reads a cylinder's gauge to a hundredth.
        PressureUnit::Psi if pa.abs() > CYLINDER_PA => fixed(round_div(pa * PSI_DEN, PSI_NUM), 0),
        PressureUnit::Psi => fixed(round_div(pa * 100 * PSI_DEN, PSI_NUM), 2),
        PressureUnit::Mbar => fixed(round_div(pa, 100), 0),
        PressureUnit::Kpa => fixed(round_div(pa, 100), 1),
    }
}

/// The unit of [`pressure`] alone.
#[must_use]
pub const fn pressure_unit(units: Units) -> &'static str {
    match units.pressure {
        PressureUnit::Psi => "psi",
        PressureUnit::Mbar => "mbar",
        PressureUnit::Kpa => "kPa",
    }
}

/// A temperature given in milli-degree Celsius, to a tenth of a degree, whole when it is whole.
#[must_use]
pub fn temperature(mc: i32, units: Units) -> String {
    let mc = i128::from(mc);
    let (tenths, unit) = match units.temperature {
        TemperatureUnit::F => (round_div(mc * 9 + 32_000 * 5, 500), "°F"),
        TemperatureUnit::C => (round_div(mc, 100), "°C"),
    };
    let number = fixed(tenths, 1);
    format!("{} {unit}", number.strip_suffix(".0").unwrap_or(&number))
}

/// A mass given in grams, in whole pounds or kilograms.
#[must_use]
pub fn mass(g: i64, units: Units) -> String {
    let g = i128::from(g);
    match units.mass {
        MassUnit::Lb => format!("{} lb", round_div(g * LB_DEN, LB_NUM)),
        MassUnit::Kg => format!("{} kg", round_div(g, 1000)),
    }
}

/// A volume of free air given in millilitres, in litres: whole from 100 on, else to a tenth.
#[must_use]
pub fn litres(ml: u64) -> String {
    let ml = i128::from(ml);
    match ml >= 100_000 {
        true => format!("{} L", round_div(ml, 1000)),
        false => format!("{} L", fixed(round_div(ml, 100), 1)),
    }
}

/// A power given in watts, to a tenth. The county's units name none: horsepower goes with pounds,
/// kilowatt with kilograms.
#[must_use]
pub fn power(w: u32, units: Units) -> String {
    /// One mechanical horsepower, milliwatt.
    const HP_MW: i128 = 745_700;
    let w = i128::from(w);
    match units.mass {
        MassUnit::Lb => format!("{} hp", fixed(round_div(w * 10_000, HP_MW), 1)),
        MassUnit::Kg => format!("{} kW", fixed(round_div(w, 100), 1)),
    }
}

/// A volume of fuel given in millilitres, to a tenth: US gallons with pounds, litres with
/// kilograms.
#[must_use]
pub fn volume(ml: u64, units: Units) -> String {
    /// One US gallon, thousandths of a microlitre.
    const GAL: i128 = 3_785_411_784;
    let ml = i128::from(ml);
    match units.mass {
        MassUnit::Lb => format!("{} gal", fixed(round_div(ml * 10_000_000, GAL), 1)),
        MassUnit::Kg => format!("{} l", fixed(round_div(ml, 100), 1)),
    }
}

/// A length given in millimetres. The county's units name none: feet and inches go with pounds,
/// metres with kilograms.
#[must_use]
pub fn length(mm: u32, units: Units) -> String {
    let mm = i128::from(mm);
    match units.mass {
        MassUnit::Kg => format!("{} m", fixed(round_div(mm, 10), 2)),
        MassUnit::Lb => {
            let inches = round_div(mm * 10, IN_NUM);
            match (inches / 12, inches % 12) {
                (0, inches) => format!("{inches} in"),
                (feet, 0) => format!("{feet} ft"),
                (feet, inches) => format!("{feet} ft {inches} in"),
            }
        }
    }
}

/// An elevation given in millimetres, in whole feet or metres; see [`length`] for which.
#[must_use]
pub fn elevation(mm: i32, units: Units) -> String {
    let mm = i128::from(mm);
    match units.mass {
        MassUnit::Kg => format!("{} m", round_div(mm, 1000)),
        MassUnit::Lb => format!("{} ft", round_div(mm * 10, FT_NUM)),
    }
}

/// An altimeter setting given in pascal, in inches of mercury with two decimals and in hPa: as it is
/// said on the air.
#[must_use]
pub fn altimeter(pa: i64) -> String {
    let pa = i128::from(pa);
    let inches = fixed(round_div(pa * 100_000, 3_386_389), 2);
    format!("{inches} inHg ({} hPa)", round_div(pa, 100))
}

/// A speed of wind or water given in millimetres a second, in knots with a tenth where it has one.
#[must_use]
pub fn speed(mm_s: u32) -> String {
    let tenths = round_div(i128::from(mm_s) * 36_000, 1_852_000);
    let number = fixed(tenths, 1);
    format!("{} kn", number.strip_suffix(".0").unwrap_or(&number))
}

/// A distance given in metres: in miles with a tenth or feet, or in kilometres or metres; see
/// [`length`] for which.
#[must_use]
pub fn distance(m: u32, units: Units) -> String {
    let m = i128::from(m);
    match units.mass {
        MassUnit::Kg if m < 1_000 => format!("{m} m"),
        MassUnit::Kg => format!("{} km", fixed(round_div(m, 100), 1)),
        MassUnit::Lb if m < 400 => format!("{} ft", round_div(m * 10_000, FT_NUM)),
        MassUnit::Lb => format!("{} mi", fixed(round_div(m * 10_000, 1_609_344), 1)),
    }
}

/// Latitude and longitude, to a ten-thousandth of a degree (11 m).
#[must_use]
pub fn position(position: Position) -> String {
    let half = |e7: i32, [positive, negative]: [char; 2]| {
        let rounded = round_div(i128::from(e7.unsigned_abs()), 1_000);
        let letter = match e7 < 0 && rounded > 0 {
            true => negative,
            false => positive,
        };
        let number = fixed(rounded, 4);
        format!("{number}{letter}")
    };
    let lat = half(position.lat_e7, ['N', 'S']);
    format!("{lat} {}", half(position.lon_e7, ['E', 'W']))
}

/// Engine time given in seconds, in hours with one decimal.
#[must_use]
pub fn engine(s: u64) -> String {
    format!("{} engine hours", fixed(round_div(i128::from(s), 360), 1))
}

/// A length of time, in its largest unit, rounded down: `40 min`, `3 h`, `2 days`.
#[must_use]
pub fn age(ms: i64) -> String {
    let ms = ms.max(0);
    if ms < MINUTE_MS {
        "less than 1 min".to_owned()
    } else if ms < HOUR_MS {
        format!("{} min", ms / MINUTE_MS)
    } else if ms < 2 * DAY_MS {
        format!("{} h", ms / HOUR_MS)
    } else {
        count(ms / DAY_MS, "day")
    }
}

/// An age before now: `3 h ago`; a moment still to come is said to be so.
#[must_use]
pub fn ago(ms: i64) -> String {
    if ms < 0 {
        return format!("in {}", age(ms.saturating_neg()));
    }
    format!("{} ago", age(ms))
}

/// A length of time in two units where one leaves a rest: `7 days 3 h`, `1 h 30 min`, `30 days`.
#[must_use]
pub fn span(ms: i64) -> String {
    let ms = ms.max(0);
    let (first, rest) = if ms >= 2 * DAY_MS {
        let hours = ms % DAY_MS / HOUR_MS;
        (count(ms / DAY_MS, "day"), (hours, "h"))
    } else if ms >= HOUR_MS {
        let minutes = ms % HOUR_MS / MINUTE_MS;
        (format!("{} h", ms / HOUR_MS), (minutes, "min"))
    } else {
        (age(ms), (0, ""))
    };
    match rest {
        (0, _) => first,
        (number, unit) => format!("{first} {number} {unit}"),
    }
}

/// A figure that was reckoned, to three digits: `0.0123`, `1.23`, `12.3`, `1230`. What is not finite is
/// `without end`.
#[must_use]
pub fn figure(value: f64) -> String {
    if !value.is_finite() {
        return "without end".to_owned();
    }
    let size = value.abs();
    let places = match size {
        size if size >= 99.95 || size == 0.0 => 0,
        size if size >= 9.995 => 1,
        size if size >= 0.9995 => 2,
        size if size >= 0.09995 => 3,
        size if size >= 0.009995 => 4,
        _ => 5,
    };
    let text = format!("{value:.places$}");
    let text = match text.split_once('.') {
        Some(_) => text.trim_end_matches('0').trim_end_matches('.'),
        None => &text,
    };
    // Below the last place there is nothing to read off.
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// `1 day`, `2 days`, `2 entries`.
#[must_use]
pub fn count(number: i64, noun: &str) -> String {
    // Boats are craft, however many.
    if number == 1 || noun == "craft" {
        return format!("{number} {noun}");
    }
    let before_y = noun
        .strip_suffix('y')
        .filter(|before| !before.ends_with(['a', 'e', 'o', 'u']));
    match before_y {
        Some(before) => format!("{number} {before}ies"),
        None => format!("{number} {noun}s"),
    }
}

/// A printed date, as far as it goes: `2027`, `2027-03`, `2027-03-31`.
#[must_use]
pub fn date_mark(mark: DateMark) -> String {
    match (mark.month, mark.day) {
        (None, _) => format!("{:04}", mark.year),
        (Some(month), None) => format!("{:04}-{month:02}", mark.year),
        (Some(month), Some(day)) => format!("{:04}-{month:02}-{day:02}", mark.year),
    }
}

/// A moment in local time, `2026-03-14 08:30`; `utc_offset_min` is minutes east of UTC.
#[must_use]
pub fn local(moment: Moment, utc_offset_min: i32) -> String {
    let shifted = moment.plus_ms(i64::from(utc_offset_min) * MINUTE_MS);
    written(shifted).format("%Y-%m-%d %H:%M").to_string()
}

/// The day of a moment in local time, `2026-03-14`.
#[must_use]
pub fn local_day(moment: Moment, utc_offset_min: i32) -> String {
    let shifted = moment.plus_ms(i64::from(utc_offset_min) * MINUTE_MS);
    written(shifted).format("%Y-%m-%d").to_string()
}

/// An offset from UTC: `UTC`, `UTC-04:00`.
#[must_use]
pub fn offset(utc_offset_min: i32) -> String {
    utc_offset_min
        .checked_mul(60)
        .and_then(FixedOffset::east_opt)
        .filter(|offset| offset.local_minus_utc() != 0)
        .map_or_else(|| "UTC".to_owned(), |offset| format!("UTC{offset}"))
}

/// RFC 3339 in UTC, with milliseconds only where there are any.
#[must_use]
pub fn rfc3339(moment: Moment) -> String {
    let time = written(moment);
    let pattern = if time.and_utc().timestamp_subsec_millis() == 0 {
        "%Y-%m-%dT%H:%M:%SZ"
    } else {
        "%Y-%m-%dT%H:%M:%S%.3fZ"
    };
    time.format(pattern).to_string()
}

/// Whether a moment lies in the years 0 to 9999: what lies outside stands for 'not known'.
#[must_use]
pub fn is_known(moment: Moment) -> bool {
    in_years(moment).is_some()
}

fn in_years(moment: Moment) -> Option<NaiveDateTime> {
    DateTime::from_timestamp_millis(moment.0)
        .map(|time| time.naive_utc())
        .filter(|time| (0..=9999).contains(&time.year()))
}

/// The moment as calendar and clock; what lies outside the years 0 to 9999 is their nearer end.
fn written(moment: Moment) -> NaiveDateTime {
    /// 0000-01-01T00:00:00Z.
    const FIRST_MS: i64 = -62_167_219_200_000;
    /// 9999-12-31T23:59:59.999Z.
    const LAST_MS: i64 = 253_402_300_799_999;
    let clamped = Moment(moment.0.clamp(FIRST_MS, LAST_MS));
    in_years(clamped).unwrap_or_default()
}

/// Writes a whole number of 10^-`decimals` as a decimal number.
fn fixed(scaled: i128, decimals: u32) -> String {
    let divisor = 10_i128.pow(decimals);
    let sign = if scaled < 0 { "-" } else { "" };
    let (whole, part) = (scaled.abs() / divisor, scaled.abs() % divisor);
    match usize::try_from(decimals) {
        Ok(digits @ 1..) => format!("{sign}{whole}.{part:0digits$}"),
        Ok(0) | Err(_) => format!("{sign}{whole}"),
    }
}

#[cfg(test)]
mod tests;
