//! Whether a group is getting worse, and when the next fault is to be expected.
//!
//! Getting worse is said where Laplace's test and that of MIL-HDBK-189 both say so at the lead's
//! level, and the reverse arrangements, where there are any, do not point the other way; getting
//! better likewise. One voice alone is no trend: Laplace sees a drift, MIL-HDBK-189 a power of age,
//! and either alone is fooled by what only the other looks at. The reverse arrangements do not have
//! to reach the level themselves: between the few faults of one craft they seldom can.
//!
//! The larger p of the two is what counts, adjusted (Benjamini and Hochberg) for all groups of the
//! grouping in which a trend was looked for: of those called one, at most that share is none.

use crate::recurrent::{self, Ended, Unit};
use crate::standard::RecurringPolicy;

use super::Per;
use super::figures::{in_base, ppm, rounded, share, told, unit_of};
use super::watched::Span;

/// Whether faults come faster as time goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TrendSaid {
    /// Getting worse.
    Worse,
    /// Getting better.
    Better,
    /// The tests do not say so, or not with one voice: no trend is claimed.
    NotShown,
    /// Too few faults to look for one.
    TooFew {
        /// Faults there are.
        faults: u32,
        /// From which one is looked for.
        least: u32,
    },
    /// Not looked for: a repair fails once, and is over.
    NotLooked,
}

/// One test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TestSaid {
    /// Its statistic, thousandths: Laplace's normal u; chi-square; reversals (whole times 1000).
    pub statistic_milli: i64,
    /// Degrees of freedom of a chi-square; most reversals that there can be; else 0.
    pub of: u32,
    /// That it looks so much like getting worse by chance alone, millionths.
    pub p_worse_ppm: u32,
    /// The same of getting better.
    pub p_better_ppm: u32,
}

/// A trend, with the tests behind it; each pooled over the units of the group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trend {
    /// What is said.
    pub said: TrendSaid,
    /// Laplace's test.
    pub laplace: Option<TestSaid>,
    /// The test of MIL-HDBK-189.
    pub mil_hdbk: Option<TestSaid>,
    /// Reverse arrangements of the times between faults.
    pub reversals: Option<TestSaid>,
}

/// A rate that changes with age as a power of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PowerSaid {
    /// Exponent, thousandths: above 1000 faults come faster with age.
    pub beta_milli: u64,
    /// Lower end of its interval.
    pub beta_low_milli: u64,
    /// Upper end.
    pub beta_high_milli: u64,
    /// Mean rate now of one unit still watched, as [`super::Rate::micro`].
    pub now_micro: u64,
    /// The next fault anywhere in the group; none where nothing of it is watched any more.
    pub next: Option<Next>,
}

/// Time until the next fault, in seconds, engine seconds or uses of each unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Next {
    /// As likely before as after.
    pub median: u64,
    /// Lower end of the interval in which it will lie.
    pub low: u64,
    /// Upper end; none where it may never come.
    pub high: Option<u64>,
}

impl Trend {
    /// A trend that nobody looks for.
    pub(super) const NOT_LOOKED: Self = Self {
        said: TrendSaid::NotLooked,
        laplace: None,
        mil_hdbk: None,
        reversals: None,
    };

    /// Looks for a trend over the units of a group.
    pub(super) fn of(spans: &[Span<'_>], policy: &RecurringPolicy) -> Self {
        let faults = super::sliced::count(spans.iter().map(|span| span.faults.len()).sum());
        if faults < policy.trend_least {
            let least = policy.trend_least;
            return Self {
                said: TrendSaid::TooFew { faults, least },
                ..Self::NOT_LOOKED
            };
        }
        let units: Vec<Unit> = spans.iter().map(unit_of).collect();
        Self {
            said: TrendSaid::NotShown,
            laplace: laplace(&units),
            mil_hdbk: mil_hdbk(&units),
            reversals: reversals(&units),
        }
    }

    /// The larger p of the tests that decide; no number where no trend was looked for.
    fn p(&self, of: fn(&TestSaid) -> u32) -> f64 {
        let (Some(laplace), Some(mil_hdbk)) = (&self.laplace, &self.mil_hdbk) else {
            return f64::NAN;
        };
        // Half: as much one way as the other.
        let agrees = |test: &TestSaid| of(test) <= ONE_PPM / 2;
        if self.reversals.as_ref().is_none_or(agrees) {
            share(of(laplace).max(of(mil_hdbk)))
        } else {
            1.0
        }
    }
}

/// A whole, in millionths.
const ONE_PPM: u32 = 1_000_000;

/// Says which trends there are, over all groups of a grouping. Gives the adjusted p of getting
/// worse of each, millionths.
pub(super) fn hold_down(trends: &mut [&mut Trend], policy: &RecurringPolicy) -> Vec<u32> {
    let adjusted = |of: fn(&TestSaid) -> u32, trends: &[&mut Trend]| {
        let p: Vec<f64> = trends.iter().map(|trend| trend.p(of)).collect();
        let adjusted = recurrent::false_discovery(&p).into_iter();
        let or_none = |p: f64| if p.is_nan() { ONE_PPM } else { ppm(p) };
        adjusted.map(or_none).collect::<Vec<u32>>()
    };
    let worse = adjusted(|test| test.p_worse_ppm, trends);
    let better = adjusted(|test| test.p_better_ppm, trends);
    for ((trend, worse), better) in trends.iter_mut().zip(&worse).zip(better) {
        if *worse <= policy.trend_ppm {
            trend.said = TrendSaid::Worse;
        } else if better <= policy.trend_ppm {
            trend.said = TrendSaid::Better;
        }
    }
    worse
}

fn laplace(units: &[Unit]) -> Option<TestSaid> {
    let test = recurrent::laplace(units, Ended::AtTime)?;
    Some(TestSaid {
        statistic_milli: signed_milli(test.statistic),
        of: 0,
        p_worse_ppm: ppm(test.p_worse),
        p_better_ppm: ppm(test.p_better),
    })
}

fn mil_hdbk(units: &[Unit]) -> Option<TestSaid> {
    let test = recurrent::mil_hdbk_189(units, Ended::AtTime)?;
    Some(TestSaid {
        statistic_milli: signed_milli(test.chi2),
        of: test.df,
        p_worse_ppm: ppm(test.p_worsening),
        p_better_ppm: ppm(test.p_improving),
    })
}

fn reversals(units: &[Unit]) -> Option<TestSaid> {
    let test = recurrent::reverse_arrangements(units)?;
    Some(TestSaid {
        statistic_milli: i64::from(test.reversals) * 1_000,
        of: test.most,
        p_worse_ppm: ppm(test.p_worsening),
        p_better_ppm: ppm(test.p_improving),
    })
}

fn signed_milli(value: f64) -> i64 {
    let size = i64::try_from(rounded(value.abs() * 1e3)).unwrap_or(i64::MAX);
    if value < 0.0 { -size } else { size }
}

/// The power law of a group, with enough faults.
pub(super) fn power(per: Per, spans: &[Span<'_>], policy: &RecurringPolicy) -> Option<PowerSaid> {
    let faults: usize = spans.iter().map(|span| span.faults.len()).sum();
    if super::sliced::count(faults) < policy.trend_least {
        return None;
    }
    let level = share(policy.interval_ppm);
    let units: Vec<Unit> = spans.iter().map(unit_of).collect();
    let law = recurrent::power_law(&units, Ended::AtTime, level)?;
    let on = spans.iter().filter(|span| span.goes_on);
    let ages: Vec<f64> = on.map(|span| span.until).collect();
    let rates: f64 = ages.iter().map(|age| law.rate_at(*age)).sum();
    let watched = f64::from(super::sliced::count(ages.len()));
    let next = law.next(&ages, level).map(|next| Next {
        median: in_base(per, next.median),
        low: in_base(per, next.lower),
        high: next.upper.map(|upper| in_base(per, upper)),
    });
    Some(PowerSaid {
        beta_milli: rounded(law.beta * 1e3),
        beta_low_milli: rounded(law.beta_lower * 1e3),
        beta_high_milli: rounded(law.beta_upper * 1e3),
        now_micro: if ages.is_empty() {
            0
        } else {
            told(per, rates / watched)
        },
        next: next.filter(|_| !ages.is_empty()),
    })
}
