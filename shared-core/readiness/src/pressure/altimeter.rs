//! Altimeter settings: what a weather report says for sea level, and the pressure at the station.
//!
//! Source: Smithsonian Meteorological Tables (1951) p. 269, the US definition: an altimeter set to
//! it shows the station's elevation 3 m (10 ft) above the ground, which is where the 0.3 mbar come
//! from. It knows nothing of the day's temperature, and neither does an altimeter.

/// Sea-level pressure of the standard atmosphere, mbar.
const SEA_LEVEL_MBAR: f64 = 1_013.25;
/// Sea-level temperature of the tables, kelvin.
const SEA_LEVEL_K: f64 = 288.0;
/// Fall of temperature with height, kelvin per metre.
const LAPSE: f64 = 0.0065;
/// Lapse times the gas constant of dry air over g.
const EXPONENT: f64 = 0.190_284;
/// Pressure of 3 m of air, mbar.
const COCKPIT_MBAR: f64 = 0.3;

/// Pressure at the station from an altimeter setting and the station's elevation, pascal.
///
/// `altimeter_pa` as reported (29.92 inHg is 101 320 Pa), `elevation_mm` above sea level, from
/// -450 m to 6000 m. Held against the test values of `MetPy`, which uses the same tables.
#[must_use]
pub fn station_pressure_pa(altimeter_pa: u32, elevation_mm: i32) -> f64 {
    let setting = libm::pow(f64::from(altimeter_pa) / 100.0, EXPONENT);
    let station = setting - height_term(elevation_mm);
    // Only a damaged value is below: no setting that was ever reported is.
    (libm::pow(station.max(0.1), 1.0 / EXPONENT) + COCKPIT_MBAR) * 100.0
}

/// Altimeter setting that belongs to a pressure at the station, pascal: the inverse.
#[must_use]
pub fn altimeter_setting_pa(station_pa: f64, elevation_mm: i32) -> f64 {
    let cockpit_mbar = (station_pa / 100.0 - COCKPIT_MBAR).max(1.0);
    let setting = libm::pow(cockpit_mbar, EXPONENT) + height_term(elevation_mm);
    libm::pow(setting, 1.0 / EXPONENT) * 100.0
}

fn height_term(elevation_mm: i32) -> f64 {
    let height_m = f64::from(elevation_mm) / 1000.0;
    libm::pow(SEA_LEVEL_MBAR, EXPONENT) * LAPSE / SEA_LEVEL_K * height_m
}
