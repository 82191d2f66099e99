//! The mean cumulative function: how often it has happened to one unit by an age, on average.
//!
//! Assumes no model. Units may be watched for different stretches of their age.

use super::distribution::{gamma_quantile, normal_quantile, student_quantile};
use super::{Unit, count};

/// The function from one time on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct McfStep {
    /// Age at which it happened.
    pub t: f64,
    /// Units watched then; one whose watching ends then is among them.
    pub at_risk: u32,
    /// Events then.
    pub events: u32,
    /// Mean number of events of a unit by then.
    pub mcf: f64,
    /// Its variance by the differences between units (Lawless and Nadeau 1995).
    pub variance: f64,
    /// Its variance if units did not differ (Poisson).
    pub variance_poisson: f64,
    /// Lower end of its interval.
    pub lower: f64,
    /// Upper end of its interval.
    pub upper: f64,
}

/// The mean cumulative function over units.
///
/// `variance` is the robust one, which needs no model. An interval made of it alone by the normal
/// distribution of the logarithm covers too little: 74 % for three units, 82 % for five that differ
/// (simulated). So the interval starts from the Poisson variance and takes in what units differ
/// beyond it, by Student's t for so many units; its lower end is that of a gamma distribution with
/// that mean and variance, its upper end the same with one event more (Fay and Feuer 1997), or where
/// units differ that of the logarithm by Student's t if it is higher. For one unit it is Garwood's.
/// Its coverage is held by a test.
///
/// Source: Nelson 2003; Lawless and Nadeau 1995 (from memory, held against libraries).
#[must_use]
pub fn mean_cumulative(units: &[Unit], level: f64) -> Vec<McfStep> {
    let watched: Vec<Vec<f64>> = units.iter().map(Unit::watched).collect();
    let mut times: Vec<f64> = watched.iter().flatten().copied().collect();
    times.sort_by(f64::total_cmp);
    times.dedup();
    let mut so_far = SoFar::new(units.len());
    let step = |t: f64| {
        so_far.step(units, &watched, t);
        so_far.shown(units, t, level)
    };
    times.into_iter().map(step).collect()
}

/// Sums up to a time.
struct SoFar {
    at_risk: u32,
    events: u32,
    mcf: f64,
    poisson: f64,
    /// What each unit adds to the difference of the mean from its own.
    own: Vec<f64>,
    /// Largest weight of one event.
    heaviest: f64,
}

impl SoFar {
    fn new(units: usize) -> Self {
        Self {
            at_risk: 0,
            events: 0,
            mcf: 0.0,
            poisson: 0.0,
            own: vec![0.0; units],
            heaviest: 0.0,
        }
    }

    fn step(&mut self, units: &[Unit], watched: &[Vec<f64>], t: f64) {
        let is_watched = |unit: &Unit| unit.from < t && t <= unit.until;
        let happened = |events: &[f64]| count(events.iter().filter(|at| **at == t).count());
        self.at_risk = count(units.iter().filter(|unit| is_watched(unit)).count());
        self.events = watched.iter().map(|events| happened(events)).sum();
        let weight = 1.0 / f64::from(self.at_risk);
        let mean = f64::from(self.events) * weight;
        self.mcf += mean;
        self.poisson += mean * weight;
        self.heaviest = self.heaviest.max(weight);
        for ((unit, events), own) in units.iter().zip(watched).zip(&mut self.own) {
            if is_watched(unit) {
                *own += weight * (f64::from(happened(events)) - mean);
            }
        }
    }

    fn shown(&self, units: &[Unit], t: f64, level: f64) -> McfStep {
        let variance: f64 = self.own.iter().map(|own| own * own).sum();
        let seen = count(units.iter().filter(|unit| unit.from < t).count());
        let (lower, upper) = self.interval(variance, seen, level);
        McfStep {
            t,
            at_risk: self.at_risk,
            events: self.events,
            mcf: self.mcf,
            variance,
            variance_poisson: self.poisson,
            lower,
            upper,
        }
    }

    fn interval(&self, robust: f64, seen: u32, level: f64) -> (f64, f64) {
        let tail = (1.0 - level) / 2.0;
        let z = normal_quantile(1.0 - tail);
        let beyond = beyond_poisson(robust, self.poisson, seen);
        let student = if beyond > 0.0 {
            student_quantile(seen - 1, 1.0 - tail) / z
        } else {
            1.0
        };
        let variance = self.poisson + beyond * student * student;
        let of = |mean: f64, variance: f64, p: f64| {
            gamma_quantile(mean * mean / variance, p) * variance / mean
        };
        // One event more, of the largest weight: as Garwood's upper limit has one more.
        let more = self.heaviest;
        let upper = of(self.mcf + more, variance + more * more, 1.0 - tail);
        // In full from a tenth of the variance on; below that in part: no jump at no difference.
        let both = self.poisson + beyond;
        let weight = (10.0 * beyond / both).min(1.0);
        let spread = z * (1.0 + (student - 1.0) * weight) * both.sqrt();
        let by_log = if beyond > 0.0 {
            (self.mcf + more) * libm::exp(spread / (self.mcf + more))
        } else {
            0.0
        };
        (of(self.mcf, variance, tail), upper.max(by_log))
    }
}

/// How much more units differ than a Poisson count does, for so many units that were seen.
fn beyond_poisson(robust: f64, poisson: f64, seen: u32) -> f64 {
    if seen < 2 {
        return 0.0;
    }
    let seen = f64::from(seen);
    (robust * seen / (seen - 1.0) - poisson).max(0.0)
}
