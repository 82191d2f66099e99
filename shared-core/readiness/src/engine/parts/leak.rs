//! What a part loses by itself, as far as its history shows (`engine::leaks`).
//!
//! The prediction takes off what it has lost since the reading. A part that is soft by a leak that
//! is known, and that holds through the job once topped up, goes with limits.

use super::Held;
use super::course::launch;
use super::reading::Taken;
use crate::engine::facts::Facts;
use crate::engine::leaks;
use crate::pressure::gauge_elsewhere_pa;

/// A part's own leak at the asked moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct OwnLeak {
    /// Most that it has lost since the reading, pascal at the launch.
    pub(super) lost_pa: i64,
    /// Whether it stays above its minimum through the job, once topped up.
    pub(super) through: Through,
}

impl OwnLeak {
    /// What was taken off; none when no leak is known.
    pub(super) const fn known_pa(&self) -> Option<i64> {
        match self.through {
            Through::NotKnown => None,
            Through::Holds | Through::TooFast => Some(self.lost_pa),
        }
    }
}

/// Whether a known leak holds through the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Through {
    /// No leak is known: none is reckoned with.
    NotKnown,
    /// It does.
    Holds,
    /// It does not.
    TooFast,
}

/// The leak of a part since one reading of it.
pub(super) fn own_leak(facts: &Facts<'_>, held: Held<'_>, taken: &Taken<'_>) -> OwnLeak {
    let rule = held.rule;
    let known = leaks::of(facts, &held.part.id, rule).filter(leaks::OwnLeak::is_known);
    let Some(own) = known else {
        return OwnLeak {
            lost_pa: 0,
            through: Through::NotKnown,
        };
    };
    let cold = launch(facts).cold;
    let without_pa = gauge_elsewhere_pa(taken.gauge_pa, taken.when_read(facts, rule).hot, cold);
    let left_pa = own.left_pa(without_pa, cold, facts.age_ms(taken.origin));
    OwnLeak {
        lost_pa: without_pa.saturating_sub(left_pa),
        through: if own.holds(facts, rule.nominal_pa, rule.low_pa, cold) {
            Through::Holds
        } else {
            Through::TooFast
        },
    }
}
