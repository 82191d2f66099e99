//! What is not known of how units differ, kept in the intervals: priors weighed by how likely they
//! are. With one fitted prior alone the intervals of few units would be too short.

use super::super::distribution::{gamma_below, gamma_density, quantile};
use super::Prior;
use super::fitted::{log_likelihood, profile};

/// Priors tried: the share by which a unit of mean exposure is drawn to the usual, in even steps
/// (a uniform prior on it), and at each the mean rate at its likeliest and either side of it.
const SHARES: u32 = 12;

/// Gauss and Hermite's three points for a normal ln(mean): factor of its standard deviation, weight.
const MEANS: [(f64, f64); 3] = [
    (-1.732_050_807_568_877_2, 1.0 / 6.0),
    (0.0, 2.0 / 3.0),
    (1.732_050_807_568_877_2, 1.0 / 6.0),
];

/// Priors with their weights.
pub(super) struct Mixed {
    priors: Vec<(Prior, f64)>,
}

impl Mixed {
    pub(super) fn of(units: &[(u32, f64)]) -> Self {
        let exposure: f64 = units.iter().map(|(_, exposure)| exposure).sum();
        let middle = exposure / f64::from(super::super::count(units.len()));
        let share = |k: u32| (f64::from(k) + 0.5) / f64::from(SHARES);
        let rates = (0..SHARES).map(|k| middle * share(k) / (1.0 - share(k)));
        let likeliest: Vec<(Prior, f64)> = rates
            .map(|rate| profile(units, rate))
            .map(|prior| (prior, log_likelihood(units, prior)))
            .collect();
        let most = likeliest
            .iter()
            .map(|(_, log)| *log)
            .fold(f64::NEG_INFINITY, f64::max);
        let mut priors = Vec::new();
        for (prior, log) in likeliest {
            let told = units
                .iter()
                .map(|(_, exposure)| exposure / (1.0 + exposure / prior.rate));
            let sd = 1.0 / (prior.mean() * told.sum::<f64>()).sqrt();
            for (off, weight) in MEANS {
                let shape = prior.shape * libm::exp(off * sd);
                priors.push((Prior { shape, ..prior }, weight * libm::exp(log - most)));
            }
        }
        Self { priors }
    }

    /// What is known of one unit's rate once its events were counted.
    pub(super) fn after(&self, count: u32, exposure: f64) -> Self {
        // Each prior's weight already holds this unit's count: it was among those fitted.
        let after = |(prior, weight): &(Prior, f64)| (prior.after(count, exposure), *weight);
        let sum: f64 = self.priors.iter().map(|(_, weight)| weight).sum();
        let scaled = |(prior, weight): (Prior, f64)| (prior, weight / sum);
        Self {
            priors: self.priors.iter().map(after).map(scaled).collect(),
        }
    }

    /// Probability that the rate is at most that.
    pub(super) fn below(&self, rate: f64) -> f64 {
        let each = self.priors.iter();
        each.map(|(prior, weight)| weight * gamma_below(prior.shape, rate * prior.rate))
            .sum()
    }

    fn density(&self, rate: f64) -> f64 {
        let each = self.priors.iter().map(|(prior, weight)| {
            weight * prior.rate * gamma_density(prior.shape, rate * prior.rate)
        });
        each.sum()
    }

    /// The rate below which it lies with probability `p`.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        let priors = self.priors.iter();
        let mean: f64 = priors.map(|(prior, weight)| weight * prior.mean()).sum();
        quantile(mean, p, |rate| self.below(rate), |rate| self.density(rate))
    }
}
