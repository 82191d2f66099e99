//! A wall clock that was set while a county serves is not followed: its time is counted on.
//!
//! The county's time is one end of when everything happened. A clock that jumps a year ahead while
//! stations sync would sign times that nothing takes back; one that falls back to 1970 would stand
//! still at the newest entry. So the wall clock is looked at when the county starts, against its
//! newest entry, and from then on it is followed only as far as clocks drift. Whoever set it is told
//! to start the county again, which looks at it anew.

use sponson_replica::Now;
use sponson_show::units::print;

use crate::county_clock::BEHIND_MAX_MS;

/// A step of the wall clock against the count since the start, between two looks, that is not
/// followed: as far as a county's clock may stand before its newest entry. What keeps time by the
/// network steps by seconds.
const STEP_MAX_MS: i64 = BEHIND_MAX_MS;

/// Which wall clock is followed.
#[derive(Debug, Default)]
pub(crate) struct Steady(Option<Followed>);

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Followed {
    boot_id: [u8; 16],
    /// Wall time less the count since the start, as it is followed, milliseconds.
    apart_ms: i64,
    /// What the wall clock shows more than that, while it is not followed.
    jumped_ms: Option<i64>,
}

impl Steady {
    /// The clocks as they count: the wall clock, or the time counted on from before it was set.
    pub(crate) fn read(&mut self, now: Now) -> Now {
        let counted = i64::try_from(now.monotonic_ms).unwrap_or(i64::MAX);
        let apart_ms = now.unix_ms.saturating_sub(counted);
        let fresh = Followed {
            boot_id: now.boot_id,
            apart_ms,
            jumped_ms: None,
        };
        // Another start counts from another moment: nothing shows what happened in between.
        let before = self.0.filter(|before| before.boot_id == now.boot_id);
        let stepped = before.map_or(0, |before| apart_ms.saturating_sub(before.apart_ms));
        let Some(before) = before.filter(|_| stepped.unsigned_abs() > STEP_MAX_MS.unsigned_abs())
        else {
            if self.0.is_some_and(|before| before.jumped_ms.is_some()) {
                tracing::info!("this machine's clock stands again where it was counted on");
            }
            self.0 = Some(fresh);
            return now;
        };
        if before.jumped_ms.is_none() {
            tracing::error!(clock.step_ms = stepped, "{}", words(stepped));
        }
        self.0 = Some(Followed {
            jumped_ms: Some(stepped),
            ..before
        });
        Now {
            unix_ms: counted.saturating_add(before.apart_ms),
            ..now
        }
    }

    pub(crate) fn jumped_ms(&self) -> Option<i64> {
        self.0?.jumped_ms
    }
}

/// What whoever looks has to know of a clock that was set.
pub(crate) fn words(stepped_ms: i64) -> String {
    let way = if stepped_ms > 0 { "ahead" } else { "back" };
    let by = print::span(i64::try_from(stepped_ms.unsigned_abs()).unwrap_or(i64::MAX));
    format!(
        "this machine's clock was set {way} by {by} while the county was up; the county counts on \
         from the time before: see that the clock is right, and start the county again"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: i64 = 3_600_000;
    const START: i64 = 1_772_352_000_000;

    /// Reads in turn: start, so long since it, what the wall clock shows more than true time; and
    /// what is then counted as more than true time.
    fn check(reads: &[(u8, i64, i64, i64)]) -> Steady {
        let mut steady = Steady::default();
        for (boot, since, more, expected) in reads {
            let now = Now {
                unix_ms: START + since + more,
                utc_offset_min: -300,
                boot_id: [*boot; 16],
                monotonic_ms: since.unsigned_abs(),
            };
            let read = steady.read(now);
            assert_eq!(read.unix_ms - START - since, *expected, "after {since} ms");
            assert_eq!(
                (read.monotonic_ms, read.boot_id),
                (now.monotonic_ms, now.boot_id)
            );
            let jumped = (expected != more).then_some(more - expected);
            assert_eq!(steady.jumped_ms(), jumped, "after {since} ms");
        }
        steady
    }

    #[test]
    fn a_step_is_not_followed_and_a_drift_is() {
        let minute = HOUR / 60;
        // Drifts ten minutes in five looks, then steps a year.
        check(&[
            (1, 0, 0, 0),
            (1, HOUR, 9 * minute, 9 * minute),
            (1, 2 * HOUR, 18 * minute, 18 * minute),
            (1, 3 * HOUR, 8 * 8766 * HOUR, 18 * minute),
            (1, 4 * HOUR, 8 * 8766 * HOUR, 18 * minute),
            // Set right again.
            (1, 5 * HOUR, 17 * minute, 17 * minute),
        ]);
        // Exactly as much as is followed, and a millisecond more.
        check(&[(1, 0, 0, 0), (1, HOUR, STEP_MAX_MS, STEP_MAX_MS)]);
        check(&[(1, 0, 0, 0), (1, HOUR, STEP_MAX_MS + 1, 0)]);
        check(&[(1, 0, 0, 0), (1, HOUR, -STEP_MAX_MS - 1, 0)]);
        // A battery that goes flat.
        check(&[(1, 0, 0, 0), (1, HOUR, -START, 0), (1, 2 * HOUR, -START, 0)]);
        // Started again: it is looked at against the log, not against this.
        check(&[(1, HOUR, 0, 0), (2, 2 * HOUR, 48 * HOUR, 48 * HOUR)]);
        // The ends of time.
        check(&[(1, 0, 0, 0), (1, HOUR, i64::MAX - START - HOUR, 0)]);
    }

    #[test]
    fn whoever_looks_is_told_what_to_do() {
        insta::assert_snapshot!(words(2 * HOUR), @"this machine's clock was set ahead by 2 h while the county was up; the county counts on from the time before: see that the clock is right, and start the county again");
        assert!(words(-HOUR).contains("back by 1 h"));
        assert!(words(i64::MIN).contains("back by"));
    }
}
