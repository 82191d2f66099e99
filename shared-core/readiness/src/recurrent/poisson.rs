//! Exact intervals of a count, and of a rate.

use super::distribution::gamma_quantile;

/// A count per exposure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// Events.
    pub count: u32,
    /// Time, hours or uses in which they were counted.
    pub exposure: f64,
    /// Count by exposure.
    pub rate: f64,
    /// Lower end of its interval.
    pub lower: f64,
    /// Upper end of its interval.
    pub upper: f64,
}

/// The exact two-sided interval of the mean of a Poisson count (Garwood 1936). It covers at least
/// `level`, and more for small counts.
#[must_use]
pub fn poisson_interval(count: u32, level: f64) -> (f64, f64) {
    let tail = (1.0 - level) / 2.0;
    let count = f64::from(count);
    let lower = if count > 0.0 {
        gamma_quantile(count, tail)
    } else {
        0.0
    };
    (lower, gamma_quantile(count + 1.0, 1.0 - tail))
}

/// A rate with its exact interval; none where nothing was watched.
#[must_use]
pub fn rate(count: u32, exposure: f64, level: f64) -> Option<Rate> {
    let (lower, upper) = poisson_interval(count, level);
    (exposure > 0.0 && exposure.is_finite()).then(|| Rate {
        count,
        exposure,
        rate: f64::from(count) / exposure,
        lower: lower / exposure,
        upper: upper / exposure,
    })
}
