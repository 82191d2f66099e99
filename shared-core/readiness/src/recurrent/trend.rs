//! Is it getting worse or better: Laplace's test and that of MIL-HDBK-189, over one unit or several.
//!
//! Both ask whether the events of a unit are spread evenly over the time that it was watched. Units
//! may differ in their rates and enter late: each unit's events are set against its own window.

use super::distribution::{chi_square, normal_above, normal_below};
use super::{Ended, Unit, free_events, windows};

/// Laplace's test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trend {
    /// Events that it rests on.
    pub events: u32,
    /// Standard normal without a trend; above 0 where events bunch late.
    pub statistic: f64,
    /// Of a trend either way.
    pub p_two_sided: f64,
    /// Of getting worse.
    pub p_worse: f64,
    /// Of getting better.
    pub p_better: f64,
}

/// The test of MIL-HDBK-189.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MilHdbk {
    /// Events that it rests on.
    pub events: u32,
    /// Chi-square without a trend; large where it gets better.
    pub chi2: f64,
    /// Degrees of freedom: twice the events.
    pub df: u32,
    /// Of getting better.
    pub p_improving: f64,
    /// Of getting worse.
    pub p_worsening: f64,
    /// Of a trend either way: twice the smaller.
    pub p_two_sided: f64,
}

/// Which way it goes, where it may be called a trend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Getting worse.
    Worse,
    /// Getting better.
    Better,
}

/// Calls a trend only where Laplace's test and that of MIL-HDBK-189 both say so at that level
/// (two-sided), the same way: without a trend that happens in fewer than `level` of histories.
#[must_use]
pub fn called(laplace: &Trend, mil: &MilHdbk, level: f64) -> Option<Way> {
    let tail = level / 2.0;
    if laplace.p_worse <= tail && mil.p_worsening <= tail {
        return Some(Way::Worse);
    }
    (laplace.p_better <= tail && mil.p_improving <= tail).then_some(Way::Better)
}

/// Laplace's test: mean time of the events against the middle of the window, for several units by
/// the sums over all. None without an event whose time is free.
///
/// Source: NIST/SEMATECH e-Handbook 8.2.3.4; pooled form: Cox and Lewis 1966 (from memory).
#[must_use]
pub fn laplace(units: &[Unit], ended: Ended) -> Option<Trend> {
    let windows = windows(units, ended);
    let events = free_events(&windows);
    let (mut off, mut variance) = (0.0, 0.0);
    for window in &windows {
        let middle = (window.from + window.until) / 2.0;
        off += window.free.iter().map(|at| at - middle).sum::<f64>();
        let each = window.length() * window.length() / 12.0;
        variance += window.free.iter().map(|_| each).sum::<f64>();
    }
    (events > 0).then(|| {
        let statistic = off / variance.sqrt();
        Trend {
            events,
            statistic,
            p_two_sided: 2.0 * normal_above(statistic.abs()),
            p_worse: normal_above(statistic),
            p_better: normal_below(statistic),
        }
    })
}

/// The test of MIL-HDBK-189: twice the sum of ln(length / time since watching began), for several
/// units by the sum over all. None without an event whose time is free.
///
/// Source: MIL-HDBK-189 by way of NIST/SEMATECH e-Handbook 8.2.3.4.
#[must_use]
pub fn mil_hdbk_189(units: &[Unit], ended: Ended) -> Option<MilHdbk> {
    let windows = windows(units, ended);
    let events = free_events(&windows);
    let mut chi2 = 0.0;
    for window in &windows {
        let times = window.free.iter();
        let each = times.map(|at| libm::log(window.length() / (at - window.from)));
        chi2 += 2.0 * each.sum::<f64>();
    }
    (events > 0).then(|| {
        let df = events.saturating_mul(2);
        let (p_worsening, p_improving) = chi_square(chi2, df);
        MilHdbk {
            events,
            chi2,
            df,
            p_improving,
            p_worsening,
            p_two_sided: (2.0 * p_improving.min(p_worsening)).min(1.0),
        }
    })
}
