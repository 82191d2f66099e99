//! A cylinder: what it holds, what its gauge will show, what is left in it.

use super::{Amount, cubic_metres, kelvin, pressure, whole};
use crate::pressure::Air;

/// A cylinder as its gauge was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cylinder {
    /// Volume of water that it takes, millilitres.
    pub water_volume_ml: u32,
    /// Gauge, pascal.
    pub gauge_pa: i64,
    /// Its temperature and the ambient pressure when it was read.
    pub read_in: Air,
}

impl Cylinder {
    /// All the air in it, with the little that stays when it is open.
    #[must_use]
    pub fn holds(&self) -> Amount {
        Amount::held(
            u64::from(self.water_volume_ml),
            self.gauge_pa.max(0),
            self.read_in,
        )
    }

    /// Its gauge in other surroundings, no air used, pascal.
    #[must_use]
    pub fn gauge_in_pa(&self, air: Air) -> i64 {
        self.gauge_with_pa(self.holds(), air)
    }

    /// Its gauge after it gave an amount, settled in the surroundings given, pascal; none when it
    /// cannot: when less is in it, or its pressure falls below `down_to_pa`, the gauge that the
    /// part is to have.
    #[must_use]
    pub fn after_pa(&self, given: Amount, down_to_pa: i64, air: Air) -> Option<i64> {
        let left = self.holds().less(given)?;
        let after_pa = self.gauge_with_pa(left, air);
        (after_pa >= down_to_pa).then_some(after_pa)
    }

    /// What it can give to a part that is to have a gauge of `down_to_pa`.
    #[must_use]
    pub fn gives(&self, down_to_pa: i64, air: Air) -> Amount {
        let stays = Amount::held(u64::from(self.water_volume_ml), down_to_pa.max(0), air);
        self.holds().less(stays).unwrap_or(Amount::NONE)
    }

    /// How many such cylinders it takes to give an amount; none when one gives nothing.
    #[must_use]
    pub fn count(&self, given: Amount, down_to_pa: i64, air: Air) -> Option<u64> {
        let each = self.gives(down_to_pa, air);
        if each.0 <= 0.0 {
            return None;
        }
        Some(whole((given.0 / each.0).ceil()))
    }

    fn gauge_with_pa(&self, amount: Amount, air: Air) -> i64 {
        let volume = cubic_metres(u64::from(self.water_volume_ml));
        if volume <= 0.0 {
            return 0;
        }
        let absolute_pa = pressure(amount.0 / volume, kelvin(air.temperature_mc));
        i64::try_from(whole(absolute_pa - air.ambient_pa)).unwrap_or(i64::MAX)
    }
}

/// Pressure of the test at requalification, pascal: service pressure times a ratio, (5, 3) for five
/// thirds; none when the ratio is none.
#[must_use]
pub fn test_pressure_pa(service_pa: u64, (times, over): (u32, u32)) -> Option<u64> {
    let (times, over) = (u64::from(times), u64::from(over));
    let twice = service_pa.checked_mul(times)?.checked_mul(2)?;
    twice.checked_add(over)?.checked_div(over.checked_mul(2)?)
}

/// A share of a pressure, pascal, to the nearest: parts per million.
#[must_use]
pub fn of_pressure(service_pa: u64, share_ppm: u32) -> u64 {
    let all = u128::from(service_pa) * u128::from(share_ppm);
    u64::try_from((all + 500_000) / 1_000_000).unwrap_or(u64::MAX)
}

/// How long an amount of free air lasts somebody who breathes it at a rate, seconds, rounded down.
#[must_use]
pub fn breathing_s(free_ml: u64, rate_ml_min: u32) -> Option<u64> {
    free_ml.checked_mul(60)?.checked_div(u64::from(rate_ml_min))
}
