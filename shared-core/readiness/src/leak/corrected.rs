//! A gauge brought to another temperature and ambient pressure: by the gas law, and by the linear
//! rule of printed manuals.

use crate::pressure::{Air, gauge_elsewhere};

/// To which every gauge of a history is brought: 15 °C and 101 325 Pa, sea level of the US Standard
/// Atmosphere 1976 and ISO 2533. Only readings brought to the same can be compared; which is no
/// matter.
pub const REFERENCE: Air = Air {
    temperature_mc: 15_000,
    ambient_pa: 101_325.0,
};

/// Gauge that a closed, rigid part would show elsewhere by the gas law, pascal; negative for a
/// slack one.
#[must_use]
pub fn corrected_gas(gauge_pa: f64, from: Air, to: Air) -> f64 {
    gauge_elsewhere(gauge_pa, from, to)
}

/// The same by a linear rule: so many pascal for each kelvin, and the ambient pascal for pascal.
///
/// Printed rule: 4 mbar for each °C near 240 mbar (TM 5-1940-321-13&P; Futura Commando p. 8).
#[must_use]
pub fn corrected_linear(gauge_pa: f64, from: Air, to: Air, pa_per_k: f64) -> f64 {
    let warmer_k = (f64::from(to.temperature_mc) - f64::from(from.temperature_mc)) / 1000.0;
    gauge_pa + pa_per_k * warmer_k + (from.ambient_pa - to.ambient_pa)
}
