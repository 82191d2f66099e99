//! A line through the logarithm of corrected gauges, by ordinary least squares.

use super::corrected::{REFERENCE, corrected_gas};
use crate::pressure::Air;

/// Milliseconds of a day.
const DAY_MS: f64 = 86_400_000.0;

/// A fitted line: y = intercept + slope * days.
///
/// Through several stretches it has one slope and a height for each, that of the newest as its
/// own: nothing is fitted across what parts them, and each adds what it knows of the slope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// How many points tell of the slope.
    pub n: u32,
    /// Change of y in a day.
    pub slope: f64,
    /// y at day 0, by the newest stretch.
    pub intercept: f64,
    /// Sum of the squares of what the line leaves.
    pub residual_ss: f64,
    /// Points less what was fitted: one slope, and one height a stretch.
    pub df: u32,
    /// Points of the newest stretch.
    pub(super) level_n: u32,
    /// Mean day of the newest stretch.
    pub(super) t_mean: f64,
    /// Mean y of the newest stretch.
    pub(super) y_mean: f64,
    /// Sum of squares of the days about the mean of their stretch.
    pub(super) sxx: f64,
    /// Sum of squares of y about the mean of its stretch.
    pub(super) syy: f64,
}

/// Points of one stretch, with their means.
struct Stretch<'a> {
    points: &'a [(f64, f64)],
    n: u32,
    t_mean: f64,
    y_mean: f64,
}

impl<'a> Stretch<'a> {
    fn of(points: &'a [(f64, f64)]) -> Option<Self> {
        let n = u32::try_from(points.len()).ok().filter(|n| *n > 0)?;
        let mean = |sum: f64| sum / f64::from(n);
        Some(Self {
            points,
            n,
            t_mean: mean(points.iter().map(|(t, _)| t).sum()),
            y_mean: mean(points.iter().map(|(_, y)| y).sum()),
        })
    }
}

impl Line {
    /// The line through points of (day, y); none for fewer than two, for points of one moment, or
    /// where a value is no number.
    #[must_use]
    pub fn through(points: &[(f64, f64)]) -> Option<Self> {
        Self::through_stretches(&[points.to_vec()])
    }

    /// The line through stretches, the newest last; none where no stretch has two moments.
    #[must_use]
    pub fn through_stretches(stretches: &[Vec<(f64, f64)>]) -> Option<Self> {
        let filled: Vec<Stretch<'_>> = stretches.iter().filter_map(|it| Stretch::of(it)).collect();
        let newest = filled.last()?;
        let (mut sxx, mut sxy, mut syy) = (0.0, 0.0, 0.0);
        // One reading alone tells nothing of the slope.
        let telling = || filled.iter().filter(|stretch| stretch.n >= 2);
        for stretch in telling() {
            for (t, y) in stretch.points {
                let (t, y) = (t - stretch.t_mean, y - stretch.y_mean);
                sxx += t * t;
                sxy += t * y;
                syy += y * y;
            }
        }
        let slope = sxy / sxx;
        let intercept = newest.y_mean - slope * newest.t_mean;
        if sxx <= 0.0 || !slope.is_finite() || !intercept.is_finite() {
            return None;
        }
        let mut residual_ss = 0.0;
        for stretch in telling() {
            for (t, y) in stretch.points {
                let left = (y - stretch.y_mean) - slope * (t - stretch.t_mean);
                residual_ss += left * left;
            }
        }
        let n: u32 = telling().map(|stretch| stretch.n).sum();
        let heights = u32::try_from(telling().count()).ok()?;
        Some(Self {
            n,
            slope,
            intercept,
            residual_ss,
            df: n.saturating_sub(heights).saturating_sub(1),
            level_n: newest.n,
            t_mean: newest.t_mean,
            y_mean: newest.y_mean,
            sxx,
            syy,
        })
    }

    /// The line through gauges of (day, pascal at [`super::REFERENCE`]), by their logarithm in
    /// pascal; none also where a gauge is not above 0: a slack part has no more to lose.
    #[must_use]
    pub fn through_gauges(gauges: &[(f64, f64)]) -> Option<Self> {
        Self::through(&logarithms(gauges)?)
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

/// (day, logarithm) of (day, pascal); none where a gauge is not above 0.
pub(super) fn logarithms(gauges: &[(f64, f64)]) -> Option<Vec<(f64, f64)>> {
    let ln = |(t, pa): &(f64, f64)| (*pa > 0.0).then(|| (*t, libm::log(*pa)));
    gauges.iter().map(ln).collect()
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
