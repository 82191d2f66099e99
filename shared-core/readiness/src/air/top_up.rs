//! Air that brings a part from one gauge to another.
//!
//! A tube grows as it fills. Taken as rigid it would seem to want less air than it does, so a
//! growth is reckoned in: by the volume, straight from slack to the wanted gauge. No measured
//! figure is published; it is a setting.

use super::{Amount, cubic_metres, density, kelvin, wide};
use crate::pressure::Air;

/// What a part holds before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// Nothing: rolled up flat.
    Flat,
    /// A gauge pressure, pascal; below zero counts as slack.
    GaugePa(i64),
}

/// A part to be filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TopUp {
    /// Its volume before it grows, millilitres.
    pub volume_ml: u64,
    /// What it holds.
    pub from: From,
    /// The wanted gauge, pascal.
    pub to_pa: i64,
    /// How much its volume grows from slack to the wanted gauge, parts per million.
    pub growth_ppm: u32,
}

impl TopUp {
    /// The air that it wants, everything settled at the temperature and ambient pressure given;
    /// none when it holds enough.
    #[must_use]
    pub fn wanted(&self, air: Air) -> Amount {
        let growth = f64::from(self.growth_ppm) / 1e6;
        let (holds, grown) = match self.from {
            From::Flat => (0.0, 1.0 + growth),
            From::GaugePa(gauge_pa) => {
                let gauge_pa = gauge_pa.max(0);
                if gauge_pa >= self.to_pa {
                    return Amount::NONE;
                }
                // The wanted gauge is above the other one, and that is not below zero.
                let so_far = growth * (wide(gauge_pa) / wide(self.to_pa));
                (self.density(gauge_pa, air), (1.0 + growth) / (1.0 + so_far))
            }
        };
        let then = self.density(self.to_pa.max(0), air) * grown;
        Amount(cubic_metres(self.volume_ml) * (then - holds))
    }

    fn density(&self, gauge_pa: i64, air: Air) -> f64 {
        density(wide(gauge_pa) + air.ambient_pa, kelvin(air.temperature_mc))
    }
}
