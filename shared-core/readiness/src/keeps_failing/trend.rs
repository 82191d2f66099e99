//! Whether a group is getting worse, and when the next fault is to be expected.

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
    /// Rate of one unit now, as [`super::Rate::micro`].
    pub now_micro: u64,
    /// The next fault anywhere in the group.
    pub next: Option<Next>,
}

/// Time until the next fault, in seconds, engine seconds or uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Next {
    /// As likely before as after.
    pub median: u64,
    /// Lower end of the interval.
    pub low: u64,
    /// Upper end.
    pub high: u64,
}
