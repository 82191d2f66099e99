//! Starts of devices in which the clock was set: wall time and the count since the start say how
//! far two events of one start lie apart, and where they differ one of the two claims is wrong.
//!
//! Nothing shows which, so none of that start is believed: only what bounds each event counts. It
//! widens what is known and never narrows it: a device that lies about its count can make its own
//! times doubted and nothing else. The same for every order of arrival.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::ids::Key;

use super::Known;

/// How far wall time and count may drift apart within one start: a start lasts two months at most,
/// and at 100 parts in a million, a poor crystal, that is 9 minutes. No rule counts in less than
/// an hour.
const DRIFT_MAX_MS: i64 = 600_000;

/// What a device calls one start of its own.
type Start = (Key, [u8; 16]);

/// Every start, with how far its events spread.
#[derive(Clone, Debug, Default)]
pub(crate) struct Starts(BTreeMap<Start, Spread>);

/// Least and greatest of what the events of one start show.
#[derive(Clone, Copy, Debug)]
struct Spread {
    /// Count since the start, milliseconds.
    count_ms: (u64, u64),
    /// Wall time less the count, milliseconds.
    apart_ms: (i64, i64),
}

impl Starts {
    /// Takes an event; says whether it shows that the clock was set in its start, which nothing
    /// had shown before.
    pub(super) fn add(&mut self, known: &Known) -> bool {
        // A clock that is plainly wrong is believed by nobody: setting it right spoils nothing.
        let Some((boot_id, count_ms, apart_ms)) = known.times.count() else {
            return false;
        };
        let one = Spread {
            count_ms: (count_ms, count_ms),
            apart_ms: (apart_ms, apart_ms),
        };
        let spread = self.0.entry((known.key, boot_id)).or_insert(one);
        let before = spread.was_set();
        spread.count_ms.0 = spread.count_ms.0.min(count_ms);
        spread.count_ms.1 = spread.count_ms.1.max(count_ms);
        spread.apart_ms.0 = spread.apart_ms.0.min(apart_ms);
        spread.apart_ms.1 = spread.apart_ms.1.max(apart_ms);
        spread.was_set() && !before
    }

    /// Whether the clock was set within a start.
    pub(crate) fn was_set(&self, key: &Key, boot_id: &[u8; 16]) -> bool {
        let spread = self.0.get(&(*key, *boot_id));
        spread.is_some_and(Spread::was_set)
    }

    /// Every start in which the clock was set.
    pub(super) fn set(&self) -> BTreeSet<Start> {
        let set = self.0.iter().filter(|(_, spread)| spread.was_set());
        set.map(|(start, _)| *start).collect()
    }

    /// What wall time less the count may be within a start, by its events.
    pub(crate) fn apart_ms(&self, key: &Key, boot_id: &[u8; 16]) -> Option<(i64, i64)> {
        self.0.get(&(*key, *boot_id)).map(|spread| spread.apart_ms)
    }
}

impl Spread {
    /// A device that does not count, so that every event of a start has the same, shows nothing.
    fn was_set(&self) -> bool {
        let counts = self.count_ms.0 < self.count_ms.1;
        counts && self.apart_ms.1.saturating_sub(self.apart_ms.0) > DRIFT_MAX_MS
    }
}

/// Whether two readings of wall time less count are of one clock that nobody set.
pub(crate) fn is_same_clock(one_ms: i64, other_ms: i64) -> bool {
    one_ms.abs_diff(other_ms) <= DRIFT_MAX_MS.unsigned_abs()
}
