//! Rates of many units that a small number does not exaggerate: each is drawn towards what is usual,
//! the more so the less was seen of it (gamma-Poisson).

mod fitted;
mod mixed;

use super::distribution::{chi_square, gamma_below, gamma_quantile};
use fitted::{by_likelihood, by_moments, log_factorials, log_likelihood, log_likelihood_alike};
use mixed::Mixed;

/// How rates differ between units: a gamma distribution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// Its shape: small where units differ much.
    pub shape: f64,
    /// Its rate, in exposure.
    pub rate: f64,
}

impl Prior {
    /// What is known of a unit's rate once its events were counted.
    #[must_use]
    pub fn after(self, count: u32, exposure: f64) -> Self {
        Self {
            shape: self.shape + f64::from(count),
            rate: self.rate + exposure,
        }
    }

    /// Mean rate.
    #[must_use]
    pub fn mean(self) -> f64 {
        self.shape / self.rate
    }

    /// Standard deviation of the rate.
    #[must_use]
    pub fn sd(self) -> f64 {
        self.shape.sqrt() / self.rate
    }

    /// Interval that holds the rate with probability `level`.
    #[must_use]
    pub fn interval(self, level: f64) -> (f64, f64) {
        let tail = (1.0 - level) / 2.0;
        let end = |p: f64| gamma_quantile(self.shape, p) / self.rate;
        (end(tail), end(1.0 - tail))
    }

    /// Probability that the rate is above a value.
    #[must_use]
    pub fn p_above(self, rate: f64) -> f64 {
        1.0 - gamma_below(self.shape, rate * self.rate)
    }

    /// Probability that nothing happens in so much exposure.
    #[must_use]
    pub fn p_none_in(self, exposure: f64) -> f64 {
        libm::pow(self.rate / (self.rate + exposure), self.shape)
    }
}

/// Rates of units beside each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Shrunk {
    /// All events by all exposure.
    pub usual: f64,
    /// How rates differ by moments; none where they differ no more than chance makes them.
    pub moments: Option<Prior>,
    /// How rates differ by maximum likelihood; none as above.
    pub likeliest: Option<Prior>,
    /// ln of the likelihood of the counts by `likeliest`; as `ln_likelihood_alike` where there is none.
    pub ln_likelihood: f64,
    /// ln of the likelihood of the counts if all units had the usual rate.
    pub ln_likelihood_alike: f64,
    /// Pearson's chi-square of the counts against the usual rate, its degrees of freedom and p.
    pub dispersion: (f64, u32, f64),
    /// Each unit that is told, in the order given.
    pub units: Vec<ShrunkUnit>,
}

/// One unit's rate, drawn towards what is usual.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShrunkUnit {
    /// Its mean by `likeliest`; the usual rate where there is none.
    pub mean: f64,
    /// Lower end of its interval, which also holds what is not known of how units differ.
    pub lower: f64,
    /// Upper end of it.
    pub upper: f64,
    /// Probability that its rate is above the usual.
    pub p_above: f64,
}

/// Draws the rates of units (count, exposure) towards what is usual; none for fewer than two, where
/// nothing happened, or where an exposure is not above 0.
#[must_use]
pub fn shrink(units: &[(u32, f64)], level: f64) -> Option<Shrunk> {
    shrink_where(units, level, |_| true)
}

/// The same over all units, told for some of them alone, by their place in `units`: an interval
/// takes a thousand times as long as the fit.
#[must_use]
pub fn shrink_where(
    units: &[(u32, f64)],
    level: f64,
    is_told: impl Fn(usize) -> bool,
) -> Option<Shrunk> {
    let events: f64 = units.iter().map(|(count, _)| f64::from(*count)).sum();
    let exposure: f64 = units.iter().map(|(_, exposure)| exposure).sum();
    let is_watched = units.iter().all(|(_, exposure)| *exposure > 0.0);
    if units.len() < 2 || events <= 0.0 || !is_watched || !exposure.is_finite() {
        return None;
    }
    let usual = events / exposure;
    let likeliest = by_likelihood(units);
    let mixed = Mixed::of(units);
    let shown = |(count, exposure): &(u32, f64)| {
        let known = mixed.after(*count, *exposure);
        let tail = (1.0 - level) / 2.0;
        ShrunkUnit {
            mean: likeliest.map_or(usual, |prior| prior.after(*count, *exposure).mean()),
            lower: known.quantile(tail),
            upper: known.quantile(1.0 - tail),
            p_above: 1.0 - known.below(usual),
        }
    };
    let alike = log_likelihood_alike(units, usual);
    let factorials = log_factorials(units);
    let told = units.iter().enumerate().filter(|(at, _)| is_told(*at));
    Some(Shrunk {
        usual,
        ln_likelihood: likeliest.map_or(alike, |prior| log_likelihood(units, prior)) - factorials,
        ln_likelihood_alike: alike - factorials,
        moments: by_moments(units),
        likeliest,
        dispersion: dispersion(units, usual),
        units: told.map(|(_, unit)| shown(unit)).collect(),
    })
}

fn dispersion(units: &[(u32, f64)], usual: f64) -> (f64, u32, f64) {
    let off = |(count, exposure): &(u32, f64)| {
        let expected = usual * exposure;
        let off = f64::from(*count) - expected;
        off * off / expected
    };
    let chi2: f64 = units.iter().map(off).sum();
    let df = super::count(units.len()).saturating_sub(1);
    (chi2, df, chi_square(chi2, df).1)
}
