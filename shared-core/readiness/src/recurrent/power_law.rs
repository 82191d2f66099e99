//! The power law: events grow in number as lambda * t^beta. Beta above 1 gets worse, below 1 better.
//!
//! Fitted over one unit or several that share lambda and beta (Crow, the MIL-HDBK-189 model); each
//! may be watched for another stretch of its age, and enter late.

use super::distribution::{gamma_quantile, normal_quantile};
use super::next::Likely;
use super::{Ended, Next, Unit, Window, count, free_events, windows};

/// Range in which beta is looked for: beyond it the model says nothing that a person could use.
const BETA_MIN: f64 = 1e-4;
const BETA_MAX: f64 = 1e3;

/// Halvings of that range: beyond the last digit of a double.
const HALVINGS: u32 = 80;

/// A fitted power law.
#[derive(Clone, Debug, PartialEq)]
pub struct PowerLaw {
    /// Events that it rests on.
    pub events: u32,
    /// Units that were watched.
    pub units: u32,
    /// Maximum likelihood.
    pub beta: f64,
    /// Maximum likelihood, for time in the caller's unit.
    pub lambda: f64,
    /// Beta with its bias taken out; none for too few events.
    pub beta_unbiased: Option<f64>,
    /// Lambda that belongs to it.
    pub lambda_unbiased: Option<f64>,
    /// Lower end of beta's interval.
    pub beta_lower: f64,
    /// Upper end of it.
    pub beta_upper: f64,
    /// The interval is exact (chi-square); else by the likelihood with a flat prior on ln(beta).
    pub interval_is_exact: bool,
    likely: Likely,
}

impl PowerLaw {
    /// Events per unit of time of one unit at that age.
    #[must_use]
    pub fn rate_at(&self, age: f64) -> f64 {
        self.lambda * self.beta * libm::pow(age, self.beta - 1.0)
    }

    /// Events of one unit between two ages.
    #[must_use]
    pub fn expected(&self, from: f64, until: f64) -> f64 {
        self.lambda * (libm::pow(until, self.beta) - libm::pow(from, self.beta))
    }

    /// The time from now to the next event among units of these ages, with the interval in which it
    /// will lie (a prediction interval: chance of the future and uncertainty of the fit together).
    #[must_use]
    pub fn next(&self, ages: &[f64], level: f64) -> Option<Next> {
        self.likely.next(ages, level)
    }
}

/// Fits the power law; none for fewer than two events whose times are free, or where no beta is
/// likelier than those beside it.
///
/// Beta and lambda are the plain maximum likelihood values. The interval of beta is exact where
/// all units were watched from age 0 to one age (or each to its last event): 2 n beta / estimate is
/// chi-square with twice as many degrees of freedom as events whose times are free.
///
/// Source: NIST/SEMATECH e-Handbook 8.4.5.2, MIL-HDBK-189; several units: Crow 1974 (from memory).
#[must_use]
pub fn power_law(units: &[Unit], ended: Ended, level: f64) -> Option<PowerLaw> {
    let windows = windows(units, ended);
    let free = free_events(&windows);
    if free < 2 {
        return None;
    }
    let events: u32 = windows.iter().map(|window| window.events).sum();
    let beta = likeliest(&windows, ended)?;
    let likely = Likely::of(&windows, ended, beta);
    let exact = exact_interval(&windows, ended, level);
    let (beta_lower, beta_upper) = exact.unwrap_or_else(|| likely.interval(level));
    let all = f64::from(events);
    let lambda = |beta: f64| all / grown(&windows, beta);
    let unbiased = Some(beta * f64::from(free - 1) / all).filter(|beta| *beta > 0.0);
    Some(PowerLaw {
        events,
        units: count(windows.len()),
        beta,
        lambda: lambda(beta),
        beta_unbiased: unbiased,
        lambda_unbiased: unbiased.map(lambda),
        beta_lower: beta_lower.min(beta),
        beta_upper: beta_upper.max(beta),
        interval_is_exact: exact.is_some(),
        likely,
    })
}

/// Sum over the windows of until^beta - from^beta.
pub(super) fn grown(windows: &[Window], beta: f64) -> f64 {
    let each = windows
        .iter()
        .map(|window| libm::pow(window.until, beta) - libm::pow(window.from, beta));
    each.sum()
}

/// The beta at which the likelihood's slope is 0: the slope falls all the way.
fn likeliest(windows: &[Window], ended: Ended) -> Option<f64> {
    let longest = windows
        .iter()
        .map(|window| window.until)
        .fold(0.0, f64::max);
    let scaled: Vec<Window> = windows.iter().map(|one| one.scaled(longest)).collect();
    let ends = match ended {
        Ended::AtTime => 0.0,
        Ended::AtEvent => scaled.iter().map(|window| libm::log(window.until)).sum(),
    };
    let logs: f64 = scaled
        .iter()
        .flat_map(|w| &w.free)
        .map(|at| libm::log(*at))
        .sum();
    let events = f64::from(windows.iter().map(|window| window.events).sum::<u32>());
    let slope = |beta: f64| {
        let weighted: f64 = scaled
            .iter()
            .map(|window| power_log(window.until, beta) - power_log(window.from, beta))
            .sum();
        events / beta + logs + ends - events * weighted / grown(&scaled, beta)
    };
    let (mut low, mut high) = (BETA_MIN, BETA_MAX);
    if !(slope(low) > 0.0 && slope(high) < 0.0) {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        if slope(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some((low + high) / 2.0)
}

/// t^beta ln t, 0 at 0.
fn power_log(t: f64, beta: f64) -> f64 {
    if t > 0.0 {
        libm::pow(t, beta) * libm::log(t)
    } else {
        0.0
    }
}

/// The chi-square interval, where it is exact for the estimate.
fn exact_interval(windows: &[Window], ended: Ended, level: f64) -> Option<(f64, f64)> {
    let first = windows.first()?;
    let from_new = windows.iter().all(|window| window.from <= 0.0);
    let alike = windows.iter().all(|window| window.until == first.until);
    if !from_new || !(alike || ended == Ended::AtEvent) {
        return None;
    }
    let logs: f64 = windows
        .iter()
        .flat_map(|w| w.free.iter().map(|at| libm::log(w.until / at)))
        .sum();
    let shape = f64::from(free_events(windows));
    let tail = (1.0 - level) / 2.0;
    let end = |p: f64| gamma_quantile(shape, p) / logs;
    Some((end(tail), end(1.0 - tail)))
}

/// The mean time between events of one unit at its end, by the unbiased beta, with the interval of
/// that mean; for watching that ended at a time, and three events at least.
///
/// Source: NIST/SEMATECH e-Handbook 8.4.5.2 (Crow's interval).
#[must_use]
pub fn mean_time_at_end(fitted: &PowerLaw, until: f64, level: f64) -> Option<(f64, f64, f64)> {
    let beta = fitted.beta_unbiased?;
    let r = f64::from(fitted.events);
    let z = normal_quantile(0.5 + level / 2.0);
    let mean = until / (r * beta);
    let spread = (r * z * z / 2.0 + z.powi(4) / 16.0).sqrt();
    let low = r + z * z / 4.0 + spread;
    let high = r - z * (r / 2.0).sqrt();
    let scale = mean * r * (r - 1.0);
    (fitted.units == 1 && fitted.events > 2 && high > 0.0)
        .then(|| (mean, scale / (low * low), scale / (high * high)))
}
