//! A line through the logarithm of corrected gauges, by ordinary least squares.

use super::corrected::{REFERENCE, corrected_gas};
use crate::pressure::Air;

/// Milliseconds of a day.
const DAY_MS: f64 = 86_400_000.0;

/// A fitted line: y = intercept + slope * days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// How many points.
    pub n: u32,
    /// Change of y in a day.
    pub slope: f64,
    /// y at day 0.
    pub intercept: f64,
    /// Sum of the squares of what the line leaves.
    pub residual_ss: f64,
    /// Mean day.
    pub(super) t_mean: f64,
    /// Mean y.
    pub(super) y_mean: f64,
    /// Sum of squares of the days about their mean.
    pub(super) sxx: f64,
    /// Sum of squares of y about its mean.
    pub(super) syy: f64,
}

impl Line {
    /// The line through points of (day, y); none for fewer than two, for points of one moment, or
    /// where a value is no number.
    #[must_use]
    pub fn through(points: &[(f64, f64)]) -> Option<Self> {
        let n = u32::try_from(points.len()).ok().filter(|n| *n >= 2)?;
        let mean = |sum: f64| sum / f64::from(n);
        let t_mean = mean(points.iter().map(|(t, _)| t).sum());
        let y_mean = mean(points.iter().map(|(_, y)| y).sum());
        let (mut sxx, mut sxy, mut syy) = (0.0, 0.0, 0.0);
        for (t, y) in points {
            sxx += (t - t_mean) * (t - t_mean);
            sxy += (t - t_mean) * (y - y_mean);
            syy += (y - y_mean) * (y - y_mean);
        }
        let slope = sxy / sxx;
        let intercept = y_mean - slope * t_mean;
        if sxx <= 0.0 || !slope.is_finite() || !intercept.is_finite() {
            return None;
        }
        let left = |(t, y): &(f64, f64)| y - intercept - slope * t;
        let residual_ss = points.iter().map(|point| left(point) * left(point)).sum();
        Some(Self {
            n,
            slope,
            intercept,
            residual_ss,
            t_mean,
            y_mean,
            sxx,
            syy,
        })
    }

    /// The line through gauges of (day, pascal at [`REFERENCE`]), by their logarithm in pascal; none
    /// also where a gauge is not above 0: a slack part has no more to lose.
    #[must_use]
    pub fn through_gauges(gauges: &[(f64, f64)]) -> Option<Self> {
        let ln = |(t, pa): &(f64, f64)| (*pa > 0.0).then(|| (*t, libm::log(*pa)));
        let points: Option<Vec<(f64, f64)>> = gauges.iter().map(ln).collect();
        Self::through(&points?)
    }

    /// y on a day.
    #[must_use]
    pub fn at(&self, t_days: f64) -> f64 {
        self.intercept + self.slope * t_days
    }

    /// Day on which the line is at y; none for a level line.
    #[must_use]
    pub fn reaches(&self, y: f64) -> Option<f64> {
        let day = (y - self.intercept) / self.slope;
        day.is_finite().then_some(day)
    }

    /// Share of the gauge that goes in a day; 0 for a line that rises.
    #[must_use]
    pub fn share_per_day(&self) -> f64 {
        (-self.slope).max(0.0)
    }
}

/// Gauge left of what a part would show, once it has leaked for a time, pascal at the same air.
///
/// `share_per_day` of the gauge at [`REFERENCE`] goes in a day, as [`Line::share_per_day`] says. A
/// slack part stays as it is.
#[must_use]
pub fn after(gauge_pa: f64, at: Air, share_per_day: f64, ms: i64) -> f64 {
    let here = corrected_gas(gauge_pa, at, REFERENCE);
    if here <= 0.0 || gauge_pa <= 0.0 {
        return gauge_pa;
    }
    let left = here * libm::exp(-share_per_day.max(0.0) * days(ms.max(0)));
    corrected_gas(left, REFERENCE, at).min(gauge_pa)
}

/// Gauge that goes in the first day from a gauge, pascal.
#[must_use]
pub fn lost_per_day(gauge_pa: f64, share_per_day: f64) -> f64 {
    gauge_pa * (1.0 - libm::exp(-share_per_day.max(0.0)))
}

/// A length of time in days.
#[expect(
    clippy::cast_precision_loss,
    reason = "milliseconds of thousands of years are below 2^53"
)]
fn days(ms: i64) -> f64 {
    ms as f64 / DAY_MS
}
