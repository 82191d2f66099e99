//! The quantities that people write, each with its units, their exact sizes and its range.
//!
//! Sizes are those of NIST SP 811 (2008), appendix B: the international foot (0.3048 m) and pound
//! (0.453 592 37 kg), standard gravity (9.806 65 m/s²), the US gallon of 231 cubic inches.

use sponson_readiness::standard::{MassUnit, PressureUnit, TemperatureUnit};

use super::quantity::{Compound, Quantity, Unit, UnitError, plain, read};
use super::{Absolute, Gauge};

/// Pascal in a pound-force per square inch, numerator: 0.45359237 kg * 9.80665 m/s², in units of
/// 10^-13 newton. With the denominator 6894.757293168361... Pa (NIST SP 811: 6.894 757 E+03).
pub(super) const PSI_NUM: i128 = 44_482_216_152_605;
/// Denominator: (0.0254 m)² in units of 10^-13 square metre.
pub(super) const PSI_DEN: i128 = 6_451_600_000;
/// Grams in an international pound, times `LB_DEN` (NIST SP 811: 4.535 923 7 E-01 kg, exact).
pub(super) const LB_NUM: i128 = 45_359_237;
/// See [`LB_NUM`].
pub(super) const LB_DEN: i128 = 100_000;
/// Millimetres in ten international feet (NIST SP 811: 3.048 E-01 m, exact).
pub(super) const FT_NUM: i128 = 3048;
/// Millimetres in ten inches (NIST SP 811: 2.54 E-02 m, exact).
pub(super) const IN_NUM: i128 = 254;

const fn unit(names: &'static [&'static str], num: i128, den: i128) -> Unit {
    Unit {
        names,
        num,
        den,
        zero: 0,
    }
}

/// Units of a gauge, `fine` parts of a pascal each.
const fn gauge_units(fine: i128) -> [Unit; 5] {
    [
        unit(&["psi", "psig"], PSI_NUM * fine, PSI_DEN),
        unit(
            &["mbar", "mbarg", "hPa", "millibar", "millibars"],
            100 * fine,
            1,
        ),
        unit(&["bar", "barg"], 100_000 * fine, 1),
        unit(&["kPa", "kPag"], 1000 * fine, 1),
        unit(&["Pa"], fine, 1),
    ]
}

const GAUGE: Quantity = Quantity {
    units: &gauge_units(1),
    compound: Compound::Refused,
    accepted: "psi, mbar, bar, kPa, hPa, Pa",
    example: "3.0 psi",
    // From a vacuum to a charged 300 bar cylinder and a third more.
    range: (-101_325, 40_000_000),
    range_text: "from -1 bar to 400 bar on the gauge",
};

/// Micropascal in a pascal: rounding to one cannot be seen in a fit of readings.
const MICRO: i32 = 1_000_000;

const GAUGE_FINE: Quantity = Quantity {
    units: &gauge_units(MICRO as i128),
    range: (GAUGE.range.0 * MICRO as i64, GAUGE.range.1 * MICRO as i64),
    ..GAUGE
};

const ABSOLUTE: Quantity = Quantity {
    units: &[
        unit(&["psi", "psia"], PSI_NUM, PSI_DEN),
        unit(&["mbar", "mbara", "hPa", "millibar", "millibars"], 100, 1),
        unit(&["bar", "bara"], 100_000, 1),
        unit(&["kPa", "kPaa"], 1000, 1),
        unit(&["Pa"], 1, 1),
        // Conventional inch of mercury (NIST SP 811: 3.386 389 E+03 Pa).
        unit(&["inHg"], 3_386_389, 1000),
    ],
    compound: Compound::Refused,
    accepted: "hPa, mbar, kPa, inHg, psia, bar, Pa",
    example: "1013 hPa",
    // Thinner than the air at 9000 m, denser than any weather on record.
    range: (30_000, 110_000),
    range_text: "from 300 hPa to 1100 hPa, the air outside",
};

const TEMPERATURE: Quantity = Quantity {
    units: &[
        Unit {
            names: &["F", "degF", "deg. F", "Fahrenheit", "degrees F"],
            num: 5000,
            den: 9,
            zero: 32,
        },
        unit(&["C", "degC", "deg. C", "Celsius", "degrees C"], 1000, 1),
    ],
    compound: Compound::Refused,
    accepted: "F, C",
    example: "72 F",
    // Wider than any air, water or sunlit fabric that a crew works in.
    range: (-90_000, 100_000),
    range_text: "from -90 °C to 100 °C, -130 °F to 212 °F",
};

const MASS: Quantity = Quantity {
    units: &[
        unit(&["lb", "lbs", "lbm", "pound", "pounds"], LB_NUM, LB_DEN),
        unit(
            &["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"],
            1000,
            1,
        ),
        // A sixteenth of a pound (NIST SP 811: 2.834 952 E-02 kg).
        unit(&["oz", "ounce", "ounces"], LB_NUM, 16 * LB_DEN),
        unit(&["g", "gram", "grams"], 1, 1),
    ],
    compound: Compound::Allowed,
    accepted: "lb, kg, oz, g",
    example: "95 lb",
    range: (0, 100_000_000),
    range_text: "from 0 to 100,000 kg",
};

const VOLUME: Quantity = Quantity {
    units: &[
        // US gallon (NIST SP 811: 3.785 412 E-03 m³; 231 cubic inches are 3785.411 784 mL).
        unit(
            &[
                "gal",
                "gals",
                "gallon",
                "gallons",
                "US gal",
                "gal US",
                "gal (US)",
                "US gallons",
            ],
            3_785_411_784,
            1_000_000,
        ),
        unit(
            &["qt", "quart", "quarts", "US qt"],
            3_785_411_784,
            4_000_000,
        ),
        unit(&["L", "litre", "litres", "liter", "liters"], 1000, 1),
        unit(&["mL", "millilitre", "milliliter"], 1, 1),
    ],
    compound: Compound::Allowed,
    accepted: "gal (US), qt (US), L, mL",
    example: "12 gal",
    range: (0, 2_000_000),
    range_text: "from 0 to 2000 L",
};

const LENGTH_UNITS: &[Unit] = &[
    unit(&["ft", "foot", "feet", "'", "′", "’"], FT_NUM, 10),
    unit(&["in", "inch", "inches", "\"", "″", "”"], IN_NUM, 10),
    unit(&["m", "metre", "metres", "meter", "meters"], 1000, 1),
    unit(&["cm"], 10, 1),
    unit(&["mm"], 1, 1),
];

const LENGTH: Quantity = Quantity {
    units: LENGTH_UNITS,
    compound: Compound::Allowed,
    accepted: "ft, in, m, cm, mm",
    example: "14 ft 6 in",
    range: (0, 100_000),
    range_text: "from 0 to 100 m",
};

/// A length to the micrometre, for the regulations that count in feet: 20.0 ft is 20.0 ft.
const FINE_LENGTH: Quantity = Quantity {
    units: &[
        unit(&["ft", "foot", "feet", "'", "′", "’"], 304_800, 1),
        unit(&["in", "inch", "inches", "\"", "″", "”"], 25_400, 1),
        unit(&["m", "metre", "metres", "meter", "meters"], 1_000_000, 1),
        unit(&["cm"], 10_000, 1),
        unit(&["mm"], 1000, 1),
    ],
    compound: Compound::Allowed,
    accepted: "ft, in, m, cm, mm",
    example: "14 ft 6 in",
    range: (1, 100_000_000),
    range_text: "more than 0, up to 100 m",
};

const POWER: Quantity = Quantity {
    units: &[
        // Horsepower of 550 foot-pounds a second (NIST SP 811: 7.456 999 E+02 W).
        unit(&["hp", "HP", "horsepower"], 7457, 10),
        unit(&["kW", "kilowatt", "kilowatts"], 1000, 1),
        unit(&["W", "watt", "watts"], 1, 1),
    ],
    compound: Compound::Refused,
    accepted: "hp, kW, W",
    example: "25 hp",
    range: (1, 450_000),
    range_text: "more than 0, up to 450 kW, 600 hp",
};

const ELEVATION: Quantity = Quantity {
    units: LENGTH_UNITS,
    compound: Compound::Allowed,
    accepted: "ft, m",
    example: "820 ft",
    // Below every dry shore and above every lake on Earth.
    range: (-500_000, 9_000_000),
    range_text: "from -500 m to 9000 m",
};

const DISTANCE: Quantity = Quantity {
    units: &[
        unit(
            &["km", "kilometre", "kilometres", "kilometer", "kilometers"],
            1000,
            1,
        ),
        // International mile, 5280 ft (NIST SP 811: 1.609 344 E+03 m, exact).
        unit(&["mi", "mile", "miles"], 1_609_344, 1000),
        // International nautical mile (NIST SP 811: 1.852 E+03 m, exact).
        unit(&["nmi", "NM", "nautical mile", "nautical miles"], 1852, 1),
        unit(&["m", "metre", "metres", "meter", "meters"], 1, 1),
        unit(&["ft", "foot", "feet"], 3048, 10_000),
        unit(&["yd", "yds", "yard", "yards"], 9144, 10_000),
    ],
    compound: Compound::Refused,
    accepted: "mi, nmi, km, m, ft, yd",
    example: "1 mi",
    range: (0, 100_000),
    range_text: "from 0 to 100 km",
};

const SPEED: Quantity = Quantity {
    units: &[
        // Knot: a nautical mile an hour (NIST SP 811: 5.144 444 E-01 m/s).
        unit(&["kn", "kt", "kts", "knot", "knots"], 1_852_000, 3600),
        // NIST SP 811: 4.4704 E-01 m/s, exact.
        unit(&["mph", "mi/h"], 44_704, 100),
        unit(&["m/s", "mps"], 1000, 1),
        unit(&["km/h", "kph", "kmh"], 1_000_000, 3600),
        unit(&["ft/s", "fps"], FT_NUM, 10),
    ],
    compound: Compound::Refused,
    accepted: "kn, mph, m/s, km/h, ft/s",
    example: "15 kn",
    // Above any wind measured at the ground.
    range: (0, 120_000),
    range_text: "from 0 to 120 m/s, 233 kn",
};

const SPAN: Quantity = Quantity {
    units: &[
        unit(&["s", "sec", "secs", "second", "seconds"], 1, 1),
        unit(&["min", "mins", "minute", "minutes"], 60, 1),
        unit(&["h", "hr", "hrs", "hour", "hours"], 3600, 1),
        unit(&["d", "day", "days"], 86_400, 1),
        unit(&["week", "weeks", "wk", "wks"], 604_800, 1),
    ],
    compound: Compound::Allowed,
    accepted: "s, min, h, days, weeks",
    example: "2 h",
    // 100 years of 365.25 days; still within a u32 of seconds.
    range: (0, 3_155_760_000),
    range_text: "from 0 to 100 years",
};

/// Reads a gauge pressure. `default` is the unit of a bare number.
///
/// # Errors
/// Names the field, the value and what is accepted; absolute pressures are refused.
pub fn gauge(field: &str, text: &str, default: Option<PressureUnit>) -> Result<Gauge, UnitError> {
    if says(text, &["a", "abs", "absolute"]) {
        return Err(UnitError::OtherPressure {
            field: field.to_owned(),
            value: crate::clean(text),
            given: "an absolute pressure",
            wanted: "what the gauge shows, for example 3.0 psi",
        });
    }
    read(&GAUGE, field, text, default.map(pressure_unit)).map(Gauge)
}

/// Reads a gauge pressure for a fit: pascal, not rounded to whole ones.
///
/// # Errors
/// As [`gauge`].
#[expect(
    clippy::cast_precision_loss,
    reason = "a gauge in micropascal is below 2^53, where whole numbers are exact"
)]
pub fn gauge_unrounded(field: &str, text: &str) -> Result<f64, UnitError> {
    gauge(field, text, None)?;
    let micro = read(&GAUGE_FINE, field, text, None)?;
    Ok(micro as f64 / f64::from(MICRO))
}

/// Reads an absolute pressure, such as that of the air outside.
///
/// # Errors
/// Names the field, the value and what is accepted; gauge figures are refused.
pub fn absolute(
    field: &str,
    text: &str,
    default: Option<PressureUnit>,
) -> Result<Absolute, UnitError> {
    if says(text, &["g", "gauge"]) {
        return Err(UnitError::OtherPressure {
            field: field.to_owned(),
            value: crate::clean(text),
            given: "a gauge pressure",
            wanted: "the pressure of the air outside, for example 1013 hPa",
        });
    }
    read(&ABSOLUTE, field, text, default.map(pressure_unit)).map(Absolute)
}

/// Whether a pressure's unit is marked by one of these endings.
fn says(text: &str, endings: &[&str]) -> bool {
    let text = plain(text);
    ["psi", "bar", "kpa", "hpa", "pa"].iter().any(|unit| {
        endings
            .iter()
            .any(|end| text.ends_with(&format!("{unit}{end}")))
    })
}

/// Reads a temperature into milli-degree Celsius. `default` is the unit of a bare number.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn temperature(
    field: &str,
    text: &str,
    default: Option<TemperatureUnit>,
) -> Result<i32, UnitError> {
    let unit = default.map(|unit| match unit {
        TemperatureUnit::F => "F",
        TemperatureUnit::C => "C",
    });
    read(&TEMPERATURE, field, text, unit).map(narrow)
}

/// Reads a mass into grams. `default` is the unit of a bare number.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn mass(field: &str, text: &str, default: Option<MassUnit>) -> Result<u64, UnitError> {
    let unit = default.map(|unit| match unit {
        MassUnit::Lb => "lb",
        MassUnit::Kg => "kg",
    });
    read(&MASS, field, text, unit).map(i64::unsigned_abs)
}

/// Reads a volume into millilitres; gallons and quarts are those of the US.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn volume(field: &str, text: &str) -> Result<u32, UnitError> {
    read(&VOLUME, field, text, None).map(narrow_unsigned)
}

/// Reads a length into millimetres.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn length(field: &str, text: &str) -> Result<u32, UnitError> {
    read(&LENGTH, field, text, None).map(narrow_unsigned)
}

/// Reads a length into micrometres.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn fine_length(field: &str, text: &str) -> Result<u64, UnitError> {
    read(&FINE_LENGTH, field, text, None).map(i64::unsigned_abs)
}

/// Reads a power into watts.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn power(field: &str, text: &str) -> Result<u32, UnitError> {
    read(&POWER, field, text, None).map(narrow_unsigned)
}

/// Reads an elevation above the sea into millimetres.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn elevation(field: &str, text: &str) -> Result<i32, UnitError> {
    read(&ELEVATION, field, text, None).map(narrow)
}

/// Reads a length of time into seconds: `2h`, `90 min`, `1 h 30 min`, `3 days`.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn span(field: &str, text: &str) -> Result<u32, UnitError> {
    read(&SPAN, field, text, None).map(narrow_unsigned)
}

/// Reads a length of time of at most so many seconds; `range` says what is accepted.
///
/// # Errors
/// As for [`span`]; when it is longer.
pub fn span_to(field: &str, text: &str, s_max: u32, range: &'static str) -> Result<u32, UnitError> {
    let seconds = span(field, text)?;
    if seconds <= s_max {
        return Ok(seconds);
    }
    Err(UnitError::OutOfRange {
        field: field.to_owned(),
        value: crate::clean(text),
        range,
    })
}

/// Reads a distance over the ground or water into metres: `2 mi`, `400 yd`.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn distance(field: &str, text: &str) -> Result<u32, UnitError> {
    read(&DISTANCE, field, text, None).map(narrow_unsigned)
}

/// Reads the speed of wind or water into millimetres a second: `15 kn`, `20 mph`.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn speed(field: &str, text: &str) -> Result<u32, UnitError> {
    read(&SPEED, field, text, None).map(narrow_unsigned)
}

const fn pressure_unit(unit: PressureUnit) -> &'static str {
    match unit {
        PressureUnit::Psi => "psi",
        PressureUnit::Mbar => "mbar",
        PressureUnit::Kpa => "kPa",
    }
}

/// The ranges above lie within an `i32`; a test walks them.
fn narrow(value: i64) -> i32 {
    i32::try_from(value).unwrap_or(i32::MAX)
}

/// The ranges above lie within a `u32`; a test walks them.
fn narrow_unsigned(value: i64) -> u32 {
    u32::try_from(value).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests;
