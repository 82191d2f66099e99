//! Statistics of things that happen again and again: rates, trends, the mean cumulative function,
//! a comparison of two groups, and rates that a small number does not exaggerate.
//!
//! Plain numbers in, plain numbers out: time is in whatever unit the caller counts (days, engine
//! hours, uses). Statistics stand beside a finding: nothing here decides readiness, and nothing
//! here knows a craft. Distributions and their quantiles come from `statrs`.

mod compare;
mod cumulative;
mod discovery;
pub(crate) mod distribution;
mod grouped;
mod next;
mod poisson;
mod power_law;
mod reversals;
mod shrink;
mod trend;

pub use compare::{Compared, compare, compare_at};
pub use cumulative::{McfStep, mean_cumulative};
pub use discovery::false_discovery;
pub use grouped::{CountedSpan, GroupedPowerLaw, grouped_power_law};
pub use next::Next;
pub use poisson::{Rate, poisson_interval, rate};
pub use power_law::{PowerLaw, mean_time_at_end, power_law};
pub use reversals::{Reversals, reversal_probabilities, reverse_arrangements};
pub use shrink::{Prior, Shrunk, ShrunkUnit, shrink, shrink_where};
pub use trend::{MilHdbk, Trend, Way, called, laplace, mil_hdbk_189};

/// Two-sided level of the intervals that are shown.
pub const LEVEL: f64 = 0.95;

/// When watching stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// At a time that has nothing to do with the events (time-terminated).
    AtTime,
    /// At the last event of each unit (failure-terminated): that event tells when watching ended,
    /// and nothing of a trend.
    AtEvent,
}

/// One thing that is watched for a while: a craft, a motor, a place on a craft.
///
/// Times count from the unit's own beginning. An event at `from` or before it, or after `until`,
/// is not counted; one at `until` is.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// When watching began; above 0 where the unit was there before (late entry).
    pub from: f64,
    /// When watching ended.
    pub until: f64,
    /// When it happened.
    pub events: Vec<f64>,
}

impl Unit {
    /// How long it was watched; 0 where it was not.
    #[must_use]
    pub fn exposure(&self) -> f64 {
        (self.until - self.from).max(0.0)
    }

    /// Its events while it was watched, in order.
    #[must_use]
    pub fn watched(&self) -> Vec<f64> {
        let inside = |at: &&f64| **at > self.from && **at <= self.until;
        let mut events: Vec<f64> = self.events.iter().filter(inside).copied().collect();
        events.sort_by(f64::total_cmp);
        events
    }
}

/// A stretch of watching with the events whose times are free within it: all of them, or all but
/// the last where watching ended with that one.
#[derive(Clone, Debug)]
struct Window {
    from: f64,
    until: f64,
    free: Vec<f64>,
    /// With the last one.
    events: u32,
}

impl Window {
    fn length(&self) -> f64 {
        self.until - self.from
    }

    fn scaled(&self, by: f64) -> Self {
        Self {
            from: self.from / by,
            until: self.until / by,
            free: self.free.iter().map(|at| at / by).collect(),
            events: self.events,
        }
    }
}

/// The windows of units; a unit that was never watched, or whose end would be an event that it does
/// not have, has none.
fn windows(units: &[Unit], ended: Ended) -> Vec<Window> {
    let window = |unit: &Unit| {
        let mut free = unit.watched();
        let events = count(free.len());
        let until = match ended {
            Ended::AtTime => unit.until,
            Ended::AtEvent => free.pop()?,
        };
        let is_finite = unit.from.is_finite() && until.is_finite();
        (is_finite && unit.from >= 0.0 && until > unit.from).then_some(Window {
            from: unit.from,
            until,
            free,
            events,
        })
    };
    units.iter().filter_map(window).collect()
}

fn free_events(windows: &[Window]) -> u32 {
    windows.iter().map(|window| count(window.free.len())).sum()
}

fn count(len: usize) -> u32 {
    u32::try_from(len).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests;
