//! How rates differ between units, fitted to their counts.

use super::Prior;

/// Where the prior's rate is looked for, by the mean exposure: ln from -7 to 9. Above it, units do
/// not differ so that it could be seen.
const STEPS: u32 = 64;
const STEP: f64 = 0.25;
const LOWEST: f64 = -7.0;

/// Narrowings by the golden section: ln of the rate to 1e-9.
const NARROWINGS: u32 = 45;

/// By the exposure-weighted moments; none where the counts vary no more than chance makes them.
pub(super) fn by_moments(units: &[(u32, f64)]) -> Option<Prior> {
    let events: f64 = units.iter().map(|(count, _)| f64::from(*count)).sum();
    let exposure: f64 = units.iter().map(|(_, exposure)| exposure).sum();
    let mean = events / exposure;
    let off = |(count, exposure): &(u32, f64)| {
        let off = f64::from(*count) / exposure - mean;
        exposure * off * off
    };
    let seen = units.iter().map(off).sum::<f64>() / exposure;
    let between = seen - mean * f64::from(super::super::count(units.len())) / exposure;
    (between > 0.0).then(|| Prior {
        shape: mean * mean / between,
        rate: mean / between,
    })
}

/// By maximum likelihood; none where the likelihood only grows as units get alike.
pub(super) fn by_likelihood(units: &[(u32, f64)]) -> Option<Prior> {
    let exposure: f64 = units.iter().map(|(_, exposure)| exposure).sum();
    let middle = libm::log(exposure / f64::from(super::super::count(units.len())));
    let at = |log: f64| log_likelihood(units, profile(units, libm::exp(log + middle)));
    let start = |k: u32| LOWEST + STEP * f64::from(k);
    let best = (0..=STEPS).max_by(|one, other| at(start(*one)).total_cmp(&at(start(*other))))?;
    if best == STEPS {
        return None;
    }
    let (mut low, mut high) = (start(best) - STEP, start(best) + STEP);
    let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
    for _ in 0..NARROWINGS {
        let (left, right) = (high - golden * (high - low), low + golden * (high - low));
        if at(left) < at(right) {
            low = left;
        } else {
            high = right;
        }
    }
    Some(profile(units, libm::exp((low + high) / 2.0 + middle)))
}

/// The likeliest prior of that rate.
pub(super) fn profile(units: &[(u32, f64)], rate: f64) -> Prior {
    let (mut events, mut exposures) = (0.0, 0.0);
    for (count, exposure) in units {
        events += f64::from(*count) / (rate + exposure);
        exposures += exposure / (rate + exposure);
    }
    Prior {
        shape: rate * events / exposures,
        rate,
    }
}

/// Of all counts; without the factorials of the counts, which are the same for every prior.
pub(super) fn log_likelihood(units: &[(u32, f64)], prior: Prior) -> f64 {
    let each = |(count, exposure): &(u32, f64)| {
        // ln gamma(shape + count) - ln gamma(shape), exact also for a very large shape.
        let grown: f64 = (0..*count)
            .map(|k| libm::log(prior.shape + f64::from(k)))
            .sum();
        let whole = prior.rate + exposure;
        grown - prior.shape * libm::log1p(exposure / prior.rate)
            + f64::from(*count) * libm::log(exposure / whole)
    };
    units.iter().map(each).sum()
}

/// Of all counts if every unit had that rate; without the factorials.
pub(super) fn log_likelihood_alike(units: &[(u32, f64)], rate: f64) -> f64 {
    let each = |(count, exposure): &(u32, f64)| {
        f64::from(*count) * libm::log(rate * exposure) - rate * exposure
    };
    units.iter().map(each).sum()
}

/// Sum of the logarithms of the factorials of the counts.
pub(super) fn log_factorials(units: &[(u32, f64)]) -> f64 {
    let counts = units.iter().map(|(count, _)| f64::from(*count));
    counts.map(|count| libm::lgamma(count + 1.0)).sum()
}
