//! A pump worked by strokes.

use super::{Amount, cubic_metres, density, kelvin, whole};
use crate::pressure::Air;

/// A pump.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pump {
    /// Air taken in by one stroke, millilitres at the ambient pressure.
    pub stroke_ml: u32,
    /// Share of each stroke that does not arrive: past the piston, hose and valve, parts per
    /// million. No published figure: it is stated with the result.
    pub losses_ppm: u32,
}

impl Pump {
    /// Strokes that give an amount, rounded up; none when a stroke gives nothing. Air of a
    /// temperature that is not the part's is not reckoned with: it is drawn from round the craft.
    #[must_use]
    pub fn strokes(&self, wanted: Amount, air: Air) -> Option<u64> {
        let arrives = 1.0 - f64::from(self.losses_ppm.min(1_000_000)) / 1e6;
        let taken_in = cubic_metres(u64::from(self.stroke_ml)) * arrives;
        let each = taken_in * density(air.ambient_pa, kelvin(air.temperature_mc));
        (each > 0.0).then(|| whole((wanted.0 / each).ceil()))
    }
}
