//! The mean cumulative function: how often it has happened to one unit by an age, on average.
//!
//! Assumes no model. Units may be watched for different stretches of their age.

use super::distribution::gamma_quantile;
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
/// `variance` is the robust one, which needs no model. The interval is that of a gamma distribution
/// with the mean and the larger of both variances (for one unit, or many without differences, the
/// exact Poisson interval of Garwood; with weights that of Fay and Feuer 1997).
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
        so_far.shown(t, level)
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

    fn shown(&self, t: f64, level: f64) -> McfStep {
        let variance: f64 = self.own.iter().map(|own| own * own).sum();
        let (lower, upper) = self.interval(variance.max(self.poisson), level);
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

    fn interval(&self, variance: f64, level: f64) -> (f64, f64) {
        let tail = (1.0 - level) / 2.0;
        let of = |mean: f64, variance: f64, p: f64| {
            gamma_quantile(mean * mean / variance, p) * variance / mean
        };
        let one_more = self.heaviest;
        (
            of(self.mcf, variance, tail),
            of(
                self.mcf + one_more,
                variance + one_more * one_more,
                1.0 - tail,
            ),
        )
    }
}
