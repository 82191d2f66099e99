//! Air as an amount: how much a part wants, how much a cylinder holds, how many strokes a pump
//! takes.
//!
//! Amounts are told as free air: litres at one stated temperature and pressure. Air is taken as dry
//! and as a real gas everywhere: at the pressures of a cylinder the ideal law overstates by up to
//! 12 %. Everything is settled at its temperature: a cylinder that just gave air is colder, and its
//! gauge reads lower at first.
//!
//! Floating point as in [`crate::pressure`]: fixed order, rounded once. Judges nothing: which air
//! may go into which part is the engine's.

mod cylinder;
mod in_date;
mod pump;
mod real_gas;
mod top_up;

pub use cylinder::{Cylinder, breathing_s, of_pressure, test_pressure_pa};
pub use in_date::{CylinderDates, CylinderStanding};
pub use pump::Pump;
pub use real_gas::{compressibility, density, pressure};
pub use top_up::{From, TopUp};

use crate::pressure::Air;

/// What litres of free air are counted at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reference {
    /// Temperature, milli-degree Celsius.
    pub temperature_mc: i32,
    /// Pressure, pascal absolute.
    pub pressure_pa: u32,
}

impl Reference {
    /// Standard pressure, pascal: what free air is counted at unless another one is stated.
    pub const STANDARD_PA: u32 = 101_325;

    fn density(self) -> f64 {
        real_gas::density(f64::from(self.pressure_pa), kelvin(self.temperature_mc))
    }
}

/// An amount of air, moles.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Amount(f64);

impl Amount {
    /// None.
    pub const NONE: Self = Self(0.0);

    /// What a closed space holds at a gauge pressure.
    #[must_use]
    pub fn held(volume_ml: u64, gauge_pa: i64, air: Air) -> Self {
        let absolute_pa = wide(gauge_pa) + air.ambient_pa;
        Self(cubic_metres(volume_ml) * density(absolute_pa, kelvin(air.temperature_mc)))
    }

    /// As free air, millilitres.
    #[must_use]
    pub fn free_ml(self, reference: Reference) -> u64 {
        whole(self.0 / reference.density() * ML_PER_M3)
    }

    /// Both together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }

    /// What is left; none when there is less.
    #[must_use]
    pub fn less(self, taken: Self) -> Option<Self> {
        (self.0 >= taken.0).then_some(Self(self.0 - taken.0))
    }
}

const ML_PER_M3: f64 = 1e6;

/// Zero Celsius, kelvin.
const ZERO_C_K: f64 = 273.15;

fn kelvin(temperature_mc: i32) -> f64 {
    f64::from(temperature_mc) / 1000.0 + ZERO_C_K
}

#[expect(
    clippy::cast_precision_loss,
    reason = "volumes here are far below 2^53 millilitres"
)]
fn cubic_metres(volume_ml: u64) -> f64 {
    volume_ml as f64 / ML_PER_M3
}

#[expect(
    clippy::cast_precision_loss,
    reason = "gauges here are far below 2^53 pascal"
)]
fn wide(pa: i64) -> f64 {
    pa as f64
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast from f64 to u64 saturates; amounts are far inside"
)]
fn whole(value: f64) -> u64 {
    value.round().max(0.0) as u64
}
