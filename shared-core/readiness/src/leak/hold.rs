//! A hold test: a part is left alone for a time, and what it lost is brought to one temperature.
//!
//! | test | limit | published |
//! |---|---|---|
//! | 24 h, tubes or keel | more than 30 mbar lost after temperature: test for leaks | TM 5-1940-321-13&P p. 5-35, 5-36 |
//! | 1 h at working pressure | more than 5 % lost | IMO A.761(18), life rafts |
//!
//! Limits are arguments: they stand in the sheets and the policy.

use super::corrected::{corrected_gas, corrected_linear};
use crate::pressure::Air;

/// One end of a hold test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldEnd {
    /// Gauge, pascal.
    pub gauge_pa: i64,
    /// The part's air.
    pub air: Air,
}

/// A hold test as done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldTest {
    /// At the start.
    pub start: HoldEnd,
    /// At the end.
    pub end: HoldEnd,
    /// How long between, seconds.
    pub duration_s: u32,
}

/// The most that may be lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoldLimit {
    /// So many pascal.
    Pa(i64),
    /// So many thousandths of the gauge at the start.
    PerMille(u32),
}

/// Which correction decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum JudgedBy {
    /// The linear rule, with which the limit was published.
    Linear,
    /// The gas law.
    GasLaw,
    /// Whichever shows the larger loss.
    Worse,
}

/// How a hold test is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HoldRule {
    /// Least time, seconds.
    pub least_s: u32,
    /// Most time: a longer test is no such test, seconds.
    pub most_s: u32,
    /// The most that may be lost.
    pub limit: HoldLimit,
    /// Linear rule, pascal for each kelvin.
    pub linear_pa_per_k: i64,
    /// Which correction decides.
    pub judged_by: JudgedBy,
    /// A corrected gain of more than this is no gain: air was added, or a temperature is wrong.
    pub gain_pa: i64,
}

/// What a hold test tells, by both corrections.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HoldTold {
    /// Expected at the end without a loss, by the linear rule, pascal.
    pub expected_linear_pa: i64,
    /// The same by the gas law.
    pub expected_gas_pa: i64,
    /// Lost by the linear rule, pascal; negative for a gain.
    pub lost_linear_pa: i64,
    /// Lost by the gas law.
    pub lost_gas_pa: i64,
    /// What decides.
    pub lost_pa: i64,
    /// The most that may be lost.
    pub limit_pa: i64,
    /// Whether both corrections come to the same.
    pub agree: bool,
    /// What it comes to.
    pub verdict: HoldVerdict,
}

/// What a hold test comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoldVerdict {
    /// It held.
    Passed,
    /// It lost too much: test for leaks.
    TestForLeaks,
    /// It proves nothing.
    ProvesNothing(HoldFault),
}

/// Why a hold test proves nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoldFault {
    /// It was ended too soon.
    TooShort,
    /// It went on for longer than such a test does: a history of readings says more.
    TooLong,
    /// The part gained air.
    Gained,
}

impl HoldRule {
    /// Judges a test. One that lost too much has failed however short it was.
    #[must_use]
    pub fn judge(&self, test: &HoldTest) -> HoldTold {
        let told = self.told(test);
        let lost_too_much = told.lost_pa > told.limit_pa;
        let verdict = if test.duration_s > self.most_s {
            HoldVerdict::ProvesNothing(HoldFault::TooLong)
        } else if lost_too_much {
            HoldVerdict::TestForLeaks
        } else if test.duration_s < self.least_s {
            HoldVerdict::ProvesNothing(HoldFault::TooShort)
        } else if told.lost_pa < -self.gain_pa {
            HoldVerdict::ProvesNothing(HoldFault::Gained)
        } else {
            HoldVerdict::Passed
        };
        HoldTold { verdict, ..told }
    }

    /// The figures; the verdict is not known yet.
    fn told(&self, test: &HoldTest) -> HoldTold {
        let (start, end) = (test.start, test.end);
        let gauge = wide(start.gauge_pa);
        let expected_linear_pa = whole(corrected_linear(
            gauge,
            start.air,
            end.air,
            wide(self.linear_pa_per_k),
        ));
        let expected_gas_pa = whole(corrected_gas(gauge, start.air, end.air));
        let lost_linear_pa = expected_linear_pa.saturating_sub(end.gauge_pa);
        let lost_gas_pa = expected_gas_pa.saturating_sub(end.gauge_pa);
        let limit_pa = match self.limit {
            HoldLimit::Pa(pa) => pa,
            HoldLimit::PerMille(share) => start.gauge_pa.saturating_mul(i64::from(share)) / 1000,
        };
        let lost_pa = match self.judged_by {
            JudgedBy::Linear => lost_linear_pa,
            JudgedBy::GasLaw => lost_gas_pa,
            JudgedBy::Worse => lost_linear_pa.max(lost_gas_pa),
        };
        HoldTold {
            expected_linear_pa,
            expected_gas_pa,
            lost_linear_pa,
            lost_gas_pa,
            lost_pa,
            limit_pa,
            agree: (lost_linear_pa > limit_pa) == (lost_gas_pa > limit_pa),
            verdict: HoldVerdict::Passed,
        }
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a gauge of a boat is far below 2^53 pascal"
)]
fn wide(pa: i64) -> f64 {
    pa as f64
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 to i64 saturates; pressures are far inside"
)]
fn whole(pa: f64) -> i64 {
    pa.round() as i64
}
