//! What a part loses by itself, as far as its history shows.
//!
//! The prediction takes off what it has lost since the reading. A part that is soft by a leak that
//! is known, and that holds through the job once topped up, goes with limits.

use super::Held;
use super::reading::Taken;
use crate::engine::facts::Facts;

/// A part's own leak at the asked moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct OwnLeak {
    /// Most that it has lost since the reading, pascal at the launch.
    pub(super) lost_pa: i64,
    /// Whether it stays above its minimum through the job, once topped up.
    pub(super) through: Through,
}

/// Whether a known leak holds through the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Through {
    /// No leak is known.
    NotKnown,
}

/// The leak of a part since one reading of it.
pub(super) const fn own_leak(_facts: &Facts<'_>, _held: Held<'_>, _taken: &Taken<'_>) -> OwnLeak {
    OwnLeak {
        lost_pa: 0,
        through: Through::NotKnown,
    }
}
