//! Figures as integers of base units, rounded once.

use crate::recurrent::{self, Unit};

use super::Per;
use super::watched::Span;

/// A count by exposure, with the exact interval (Garwood).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rate {
    /// Faults.
    pub faults: u32,
    /// Seconds, engine seconds or uses, as asked ([`super::Per`]).
    pub exposure: u64,
    /// Millionths of a fault per year, 100 engine hours or 100 uses ([`super::Per::told_for`]).
    pub micro: u64,
    /// Lower end of the interval.
    pub low_micro: u64,
    /// Upper end.
    pub high_micro: u64,
}

/// A group against its usual, exactly: given both counts together, the first is binomial.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Times {
    /// Its rate by that of the rest, thousandths; none where the rest had no fault.
    pub milli: Option<u64>,
    /// Lower end of the interval.
    pub low_milli: u64,
    /// Upper end; none where the rest had no fault.
    pub high_milli: Option<u64>,
    /// That the two differ by chance alone, millionths.
    pub p_ppm: u32,
    /// The same, adjusted for all groups that were looked at.
    pub p_adjusted_ppm: u32,
}

/// A rate drawn towards what is usual among the groups (gamma-Poisson).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShrunkRate {
    /// Millionths, as [`Rate::micro`].
    pub micro: u64,
    /// Lower end of the interval.
    pub low_micro: u64,
    /// Upper end.
    pub high_micro: u64,
    /// By the mean of the groups, thousandths.
    pub times_milli: u64,
}

/// A step of a mean cumulative function (Nelson), with its interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct McfPoint {
    /// Seconds since registration, engine seconds or uses.
    pub at: u64,
    /// Units watched then.
    pub at_risk: u32,
    /// Mean number of faults of one unit by then, millionths.
    pub micro: u64,
    /// Lower end.
    pub low_micro: u64,
    /// Upper end.
    pub high_micro: u64,
}

/// Thousandths or millionths of a value, rounded once; what is no number or below 0 is 0.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "from 0 to the greatest that fits, which `as` holds it to"
)]
pub(super) fn rounded(value: f64) -> u64 {
    libm::round(value.max(0.0)) as u64
}

/// A probability in millionths.
pub(super) fn ppm(p: f64) -> u32 {
    u32::try_from(rounded(p.clamp(0.0, 1.0) * 1e6)).unwrap_or(1_000_000)
}

/// A share from millionths.
pub(super) fn share(ppm: u32) -> f64 {
    f64::from(ppm) / 1e6
}

/// A rate per day, hour or use as millionths of a fault for what it is told ([`Per::told_for`]).
pub(super) fn told(per: Per, rate: f64) -> u64 {
    rounded(rate * per.told_for() as f64 / per.base() * 1e6)
}

/// Days, hours or uses as seconds, engine seconds or uses.
pub(super) fn in_base(per: Per, time: f64) -> u64 {
    rounded(time * per.base())
}

/// The rate of so many faults; none where nothing was watched.
pub(super) fn rate_of(per: Per, faults: u32, exposure: f64, level: f64) -> Option<Rate> {
    let rate = recurrent::rate(faults, exposure, level)?;
    Some(Rate {
        faults,
        exposure: in_base(per, exposure),
        micro: told(per, rate.rate),
        low_micro: told(per, rate.lower),
        high_micro: told(per, rate.upper),
    })
}

/// The mean cumulative function of stretches of watching.
pub(super) fn mcf_of(per: Per, spans: &[Span<'_>], level: f64) -> Vec<McfPoint> {
    let units: Vec<Unit> = spans.iter().map(unit_of).collect();
    let steps = recurrent::mean_cumulative(&units, level);
    let point = |step: recurrent::McfStep| McfPoint {
        at: in_base(per, step.t),
        at_risk: step.at_risk,
        micro: rounded(step.mcf * 1e6),
        low_micro: rounded(step.lower * 1e6),
        high_micro: rounded(step.upper * 1e6),
    };
    steps.into_iter().map(point).collect()
}

pub(super) fn unit_of(span: &Span<'_>) -> Unit {
    Unit {
        from: span.from,
        until: span.until,
        events: span.faults.iter().map(|(at, _)| *at).collect(),
    }
}
