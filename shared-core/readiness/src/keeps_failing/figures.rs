//! Figures as integers of base units, rounded once.

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
