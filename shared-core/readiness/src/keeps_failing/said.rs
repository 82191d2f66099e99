//! The plain verdict on a group: what is said first.
//!
//! One rule, in this order:
//!
//! 1. Without a rest there is nothing to compare.
//! 2. Fewer faults than `few` are too few, whatever the figures say, unless the group has clearly
//!    fewer than its exposure would bring.
//! 3. Apart from the rest at the rate at which false alarms are held (p adjusted for every group
//!    looked at): more, or less, than the usual, and not put down to chance.
//! 4. From `more_percent` of the usual on, or from the same the other way: more, or less; could be
//!    chance.
//! 5. Else as usual.

use super::figures::Times;
use crate::standard::RecurringPolicy;

/// What is said of a group. One rule decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// More than the usual.
    MoreThanUsual {
        /// Its rate by the usual, thousandths; none where the rest had no fault.
        times_milli: Option<u64>,
        /// Faults that this rests on.
        faults: u32,
        /// It could be chance.
        could_be_chance: bool,
    },
    /// About the usual, as far as such numbers can say.
    AsUsual {
        /// Faults that this rests on.
        faults: u32,
    },
    /// Less than the usual.
    LessThanUsual {
        /// Its rate by the usual, thousandths.
        times_milli: u64,
        /// Faults that this rests on.
        faults: u32,
        /// It could be chance.
        could_be_chance: bool,
    },
    /// Too few to say anything.
    TooFew {
        /// Faults there are.
        faults: u32,
        /// From which something is said.
        least: u32,
    },
    /// There is no rest to set it against.
    NothingToCompare {
        /// Faults there are.
        faults: u32,
    },
}

impl Said {
    /// Whether the group is said to be worse than the rest, and not by chance.
    #[must_use]
    pub const fn is_apart_above(&self) -> bool {
        matches!(
            self,
            Self::MoreThanUsual {
                could_be_chance: false,
                ..
            }
        )
    }

    /// Whether the group is said to be other than the rest, and not by chance.
    #[must_use]
    pub const fn is_apart(&self) -> bool {
        self.is_apart_above()
            || matches!(
                self,
                Self::LessThanUsual {
                    could_be_chance: false,
                    ..
                }
            )
    }
}

/// A whole, in thousandths.
const ONE: u64 = 1_000;

/// Says what the figures say.
pub(super) fn said(faults: u32, times: Option<&Times>, policy: &RecurringPolicy) -> Said {
    let Some(times) = times else {
        return Said::NothingToCompare { faults };
    };
    let could_be_chance = times.p_adjusted_ppm > policy.false_alarms_ppm;
    let is_above = times.milli.is_none_or(|milli| milli > ONE);
    if faults < policy.few && (could_be_chance || is_above) {
        return Said::TooFew {
            faults,
            least: policy.few,
        };
    }
    let more = u64::from(policy.more_milli);
    match times.milli {
        Some(milli)
            if milli.saturating_mul(more) <= ONE * ONE || (!could_be_chance && !is_above) =>
        {
            Said::LessThanUsual {
                times_milli: milli,
                faults,
                could_be_chance,
            }
        }
        times_milli if !could_be_chance || times_milli.is_none_or(|milli| milli >= more) => {
            Said::MoreThanUsual {
                times_milli,
                faults,
                could_be_chance,
            }
        }
        Some(_) | None => Said::AsUsual { faults },
    }
}
