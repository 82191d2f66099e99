//! Ambient pressure by elevation: US Standard Atmosphere 1976, the same as ISO 2533 below 11 km.

/// Sea-level pressure, pascal.
const SEA_LEVEL_PA: f64 = 101_325.0;
/// Sea-level temperature, kelvin.
const SEA_LEVEL_K: f64 = 288.15;
/// Fall of temperature with height, kelvin per metre.
const LAPSE: f64 = 0.0065;
/// g0 M / (R L) with g0 = 9.80665, M = 0.0289644, R = 8.31432.
const EXPONENT: f64 = 9.80665 * 0.028_964_4 / (8.314_32 * LAPSE);
/// Radius that turns geometric into geopotential height, metres.
const EARTH_M: f64 = 6_356_766.0;

/// Standard pressure at an elevation above sea level, pascal.
///
/// Elevation in millimetres, as a map gives it (geometric). Valid from -450 m to 6000 m, the range
/// that the sheets allow; the formula itself holds to 11 km.
#[must_use]
pub fn standard_pressure_pa(elevation_mm: i32) -> f64 {
    let height_m = f64::from(elevation_mm) / 1000.0;
    geopotential_pa(EARTH_M * height_m / (EARTH_M + height_m))
}

/// Standard pressure at a geopotential height in metres, pascal.
#[must_use]
pub fn geopotential_pa(height_m: f64) -> f64 {
    SEA_LEVEL_PA * libm::pow(1.0 - LAPSE * height_m / SEA_LEVEL_K, EXPONENT)
}
