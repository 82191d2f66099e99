//! How likely each beta is by the events, and when the next event comes.

use super::power_law::grown;
use super::{Ended, Window, count, free_events};

/// Values of beta that are weighed: 40 steps over 12 standard deviations of ln(beta).
const STEPS: u32 = 40;

/// How far down and up, in standard deviations of ln(beta): few events leave a long tail downwards.
const DOWN: f64 = 8.0;
const UP: f64 = 4.0;

/// How far ahead the next event is looked for, in ages of the oldest.
const AHEAD_MAX: f64 = 1e6;

/// Halvings of the time to the next, by its logarithm, which spans 41: to 1e-8 of it.
const HALVINGS: u32 = 32;

/// The time to the next event.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Next {
    /// As likely before as after.
    pub median: f64,
    /// Lower end of the interval in which it will lie.
    pub lower: f64,
    /// Upper end; none where it may never come.
    pub upper: Option<f64>,
}

/// One beta.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Weighed {
    beta: f64,
    weight: f64,
    /// Sum over the windows of until^beta - from^beta, by the longest.
    grown: f64,
}

/// How likely each beta is: the likelihood given the counts, with a flat prior on ln(beta). For one
/// unit that gives the exact chi-square interval.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Likely {
    betas: Vec<Weighed>,
    longest: f64,
    /// Shape of the gamma distribution of what has grown so far.
    shape: f64,
}

impl Likely {
    pub(super) fn of(windows: &[Window], ended: Ended, beta: f64) -> Self {
        let longest = windows
            .iter()
            .map(|window| window.until)
            .fold(0.0, f64::max);
        let scaled: Vec<Window> = windows.iter().map(|one| one.scaled(longest)).collect();
        let events = f64::from(windows.iter().map(|window| window.events).sum::<u32>());
        let sd = 1.0 / f64::from(free_events(windows)).sqrt();
        let step = (DOWN + UP) * sd / f64::from(STEPS);
        let log_beta = |k: u32| libm::log(beta) - DOWN * sd + step * f64::from(k);
        let betas = (0..=STEPS).map(|k| libm::exp(log_beta(k)));
        let logs: Vec<f64> = betas
            .clone()
            .map(|beta| log_likelihood(&scaled, ended, beta))
            .collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = logs.iter().map(|log| libm::exp(log - most)).collect();
        let sum: f64 = weights.iter().sum();
        let weighed = betas.zip(&weights).map(|(beta, weight)| Weighed {
            beta,
            weight: weight / sum,
            grown: grown(&scaled, beta),
        });
        Self {
            betas: weighed.collect(),
            longest,
            // Watching that ended at a time tells of the quiet since the last event: half an event.
            shape: match ended {
                Ended::AtTime => events + 0.5,
                Ended::AtEvent => events,
            },
        }
    }

    /// Quantiles of beta.
    pub(super) fn interval(&self, level: f64) -> (f64, f64) {
        let tail = (1.0 - level) / 2.0;
        (self.quantile(tail), self.quantile(1.0 - tail))
    }

    /// Weights are spread evenly in ln(beta) around their values.
    fn quantile(&self, p: f64) -> f64 {
        let mut below = 0.0;
        let half_step = match self.betas.as_slice() {
            [first, second, ..] => libm::log(second.beta / first.beta) / 2.0,
            _ => 0.0,
        };
        for one in &self.betas {
            if below + one.weight >= p {
                let share = (p - below) / one.weight;
                return one.beta * libm::exp(half_step * (2.0 * share - 1.0));
            }
            below += one.weight;
        }
        self.betas.last().map_or(f64::NAN, |last| last.beta)
    }

    /// The time from now to the next event among units of these ages.
    pub(super) fn next(&self, ages: &[f64], level: f64) -> Option<Next> {
        let ages: Vec<f64> = ages.iter().map(|age| age / self.longest).collect();
        let is_known = ages.iter().all(|age| age.is_finite() && *age >= 0.0);
        if ages.is_empty() || !is_known {
            return None;
        }
        let so_far = |one: &Weighed| ages.iter().map(|age| libm::pow(*age, one.beta)).sum();
        let so_far: Vec<f64> = self.betas.iter().map(so_far).collect();
        let tail = (1.0 - level) / 2.0;
        let when = |p: f64| self.when(&ages, &so_far, p);
        Some(Next {
            median: when(0.5)?,
            lower: when(tail)?,
            upper: when(1.0 - tail),
        })
    }

    /// The time by which the next has come with probability `p`.
    fn when(&self, ages: &[f64], so_far: &[f64], p: f64) -> Option<f64> {
        let (mut low, mut high) = (libm::log(1.0 / AHEAD_MAX / AHEAD_MAX), libm::log(AHEAD_MAX));
        if self.come_by(ages, so_far, libm::exp(high)) < p {
            return None;
        }
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            if self.come_by(ages, so_far, libm::exp(middle)) < p {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(libm::exp((low + high) / 2.0) * self.longest)
    }

    /// Probability that the next has come by then: an exponential against the gamma distribution of
    /// what has grown so far, for each beta.
    fn come_by(&self, ages: &[f64], so_far: &[f64], ahead: f64) -> f64 {
        let come = |(one, so_far): (&Weighed, &f64)| {
            let then = ages.iter().map(|age| libm::pow(age + ahead, one.beta));
            let more = (then.sum::<f64>() - so_far).max(0.0) / one.grown;
            one.weight * -libm::expm1(-self.shape * libm::log1p(more))
        };
        self.betas.iter().zip(so_far).map(come).sum()
    }
}

/// Given the counts: of all windows together where watching ended at a time, of each where it ended
/// with an event. Constants are left out.
fn log_likelihood(windows: &[Window], ended: Ended, beta: f64) -> f64 {
    let each = |window: &Window| {
        let logs: f64 = window.free.iter().map(|at| libm::log(*at)).sum();
        f64::from(count(window.free.len())) * libm::log(beta) + (beta - 1.0) * logs
    };
    let spread = match ended {
        Ended::AtTime => f64::from(free_events(windows)) * libm::log(grown(windows, beta)),
        Ended::AtEvent => windows
            .iter()
            .map(|one| {
                f64::from(count(one.free.len())) * libm::log(grown(std::slice::from_ref(one), beta))
            })
            .sum(),
    };
    windows.iter().map(each).sum::<f64>() - spread
}
