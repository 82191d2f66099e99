//! When the next sync is tried: a function of what happened and of the time, and nothing else.
//!
//! Times are milliseconds of a count that only rises. Does no I/O and reads no clock.

use std::time::Duration;

/// First pause after a sync that did not go through; each further one doubles it.
pub(super) const FIRST: Duration = Duration::from_secs(30);

/// Longest pause, and the one after a sync that went through: what another station recorded is seen
/// within a quarter of an hour.
pub(super) const MOST: Duration = Duration::from_secs(15 * 60);

/// From an entry to the sync that carries it: whoever records several in a row makes one sync.
pub(super) const SOON: Duration = Duration::from_secs(2);

/// The pace of one running service.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Pace {
    /// Tries in a row that did not go through.
    failures: u32,
    tried_ms: u64,
    next_ms: u64,
}

impl Pace {
    /// The first try is now.
    pub(super) const fn begin(now_ms: u64) -> Self {
        Self {
            failures: 0,
            tried_ms: now_ms,
            next_ms: now_ms,
        }
    }

    /// When to try next.
    pub(super) const fn next_ms(&self) -> u64 {
        self.next_ms
    }

    /// A sync went through.
    pub(super) fn went_through(&mut self, now_ms: u64, random: u8) {
        self.failures = 0;
        self.tried_ms = now_ms;
        self.next_ms = now_ms.saturating_add(spread(millis(MOST), random));
    }

    /// A sync did not; the county may have said how long to stay away.
    pub(super) fn failed(&mut self, now_ms: u64, stay_away: Option<Duration>, random: u8) {
        // 30 s doubled five times is past a quarter of an hour.
        let doubled = millis(FIRST) << self.failures.min(5);
        let wait_ms = spread(doubled.min(millis(MOST)), random);
        self.failures = self.failures.saturating_add(1);
        self.tried_ms = now_ms;
        let asked_ms = stay_away.map_or(0, millis);
        self.next_ms = now_ms.saturating_add(wait_ms.max(asked_ms.min(millis(MOST))));
    }

    /// Something was recorded here: soon, but where the county is not in reach no more often than
    /// after a first failure.
    pub(super) fn recorded(&mut self, now_ms: u64) {
        let soon_ms = now_ms.saturating_add(millis(SOON));
        let earliest_ms = match self.failures {
            0 => soon_ms,
            _ => soon_ms.max(self.tried_ms.saturating_add(millis(FIRST))),
        };
        self.next_ms = self.next_ms.min(earliest_ms);
    }
}

/// Three quarters of it up to all: a county that comes back is not met by all stations at once.
fn spread(wait_ms: u64, random: u8) -> u64 {
    wait_ms - wait_ms / 4 * u64::from(random) / 255
}

fn millis(span: Duration) -> u64 {
    u64::try_from(span.as_millis()).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    const S: u64 = 1_000;

    #[test]
    fn it_backs_off_from_half_a_minute_to_a_quarter_of_an_hour() {
        let mut pace = Pace::begin(0);
        assert_eq!(pace.next_ms(), 0, "at once");
        let mut waits = Vec::new();
        for _ in 0..8 {
            let now = pace.next_ms();
            pace.failed(now, None, 0);
            waits.push((pace.next_ms() - now) / S);
        }
        assert_eq!(waits, [30, 60, 120, 240, 480, 900, 900, 900]);
        pace.went_through(1_000 * S, 0);
        assert_eq!(pace.next_ms(), 1_900 * S);
        pace.failed(1_900 * S, None, 0);
        assert_eq!(pace.next_ms(), 1_930 * S, "from the start again");
    }

    #[test]
    fn chance_only_shortens_a_pause_and_by_a_quarter_at_most() {
        for random in 0..=u8::MAX {
            let mut pace = Pace::begin(0);
            pace.failed(0, None, random);
            assert!((22_500..=30_000).contains(&pace.next_ms()), "{random}");
            pace.went_through(0, random);
            assert!((675 * S..=900 * S).contains(&pace.next_ms()), "{random}");
        }
        let next = |random| {
            let mut pace = Pace::begin(0);
            pace.failed(0, None, random);
            pace.next_ms()
        };
        assert!(next(0) > next(128) && next(128) > next(255));
    }

    #[test]
    fn the_county_may_ask_to_stay_away_for_longer() {
        let mut pace = Pace::begin(0);
        pace.failed(0, Some(Duration::from_secs(100)), 0);
        assert_eq!(pace.next_ms(), 100 * S);
        pace.failed(100 * S, Some(Duration::from_secs(1)), 0);
        assert_eq!(pace.next_ms(), 160 * S, "no shorter than its own pause");
        pace.failed(0, Some(Duration::from_secs(100_000)), 0);
        assert_eq!(pace.next_ms(), 900 * S, "nobody keeps it away for ever");
    }

    #[test]
    fn what_is_recorded_goes_soon_and_a_county_out_of_reach_is_not_hammered() {
        let mut pace = Pace::begin(0);
        pace.went_through(10 * S, 0);
        pace.recorded(100 * S);
        assert_eq!(pace.next_ms(), 102 * S);
        pace.recorded(101 * S);
        assert_eq!(pace.next_ms(), 102 * S, "several in a row make one sync");
        for _ in 0..6 {
            pace.failed(200 * S, None, 0);
        }
        pace.recorded(210 * S);
        assert_eq!(pace.next_ms(), 230 * S);
        pace.recorded(300 * S);
        assert_eq!(pace.next_ms(), 230 * S, "no later than it was");
        pace.failed(230 * S, None, 0);
        pace.recorded(700 * S);
        assert_eq!(pace.next_ms(), 702 * S);
    }
}
