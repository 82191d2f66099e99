//! Moments and the interval in which an event happened.

/// A moment: milliseconds since 1970-01-01T00:00:00Z.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(pub i64);

impl Moment {
    /// Milliseconds from `earlier` to `self`; negative when `earlier` is later.
    #[must_use]
    pub const fn since(self, earlier: Self) -> i64 {
        self.0.saturating_sub(earlier.0)
    }

    /// The moment so many milliseconds later.
    #[must_use]
    pub const fn plus_ms(self, ms: i64) -> Self {
        Self(self.0.saturating_add(ms))
    }
}

/// How far a claimed time may lie outside its interval and still be read as the nearer end.
///
/// A device clock that runs a minute fast and syncs at once would otherwise lose its claim. No
/// rule counts in less than an hour, so two minutes (1/30 of it) change no answer.
pub const CLOCK_TOLERANCE_MS: i64 = 120_000;

/// When an event happened, as far as anybody can show.
///
/// From the county checkpoint that the device held to the time at which the county stored the
/// event. The claimed time counts when it lies inside; else only the interval, and every rule
/// takes the end that is worse for the craft.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Interval {
    /// Time of the newest county checkpoint that the device held; none before its first.
    pub early: Option<Moment>,
    /// When the county stored it; none while it has not.
    pub late: Option<Moment>,
    /// What the device, or for a late entry the person, said.
    pub claimed: Moment,
}

impl Interval {
    /// The earliest moment at which the event can have happened: proof ages from here. Never after
    /// the asker's moment or the time at which the county stored it, whatever the device said.
    #[must_use]
    pub fn earliest(&self, now: Moment) -> Moment {
        self.believed(now)
            .unwrap_or_else(|| self.ends(now).0)
            .min(now)
    }

    /// The latest moment at which it can have happened: holds and cures run from here.
    #[must_use]
    pub fn latest(&self, now: Moment) -> Moment {
        self.believed(now).unwrap_or_else(|| self.ends(now).1)
    }

    /// The claimed time, when nothing known contradicts it.
    #[must_use]
    pub fn believed(&self, now: Moment) -> Option<Moment> {
        let (early, late) = self.ends(now);
        let plausible = self.claimed >= early.plus_ms(-CLOCK_TOLERANCE_MS)
            && self.claimed <= late.plus_ms(CLOCK_TOLERANCE_MS);
        plausible.then(|| self.claimed.max(early).min(late))
    }

    /// Both ends. The early one is what the device says of a checkpoint that it held: said to be
    /// after the late one it shows nothing, and is taken for that.
    fn ends(&self, now: Moment) -> (Moment, Moment) {
        let late = self.late.unwrap_or(now);
        (self.early.unwrap_or(Moment(i64::MIN)).min(late), late)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: i64 = 3_600_000;

    /// Asked at hour 100: earliest and latest moment.
    fn check(early: Option<i64>, late: Option<i64>, claimed: i64, expected: (i64, i64)) {
        let hours = |hour: i64| Moment(hour.saturating_mul(HOUR));
        let interval = Interval {
            early: early.map(hours),
            late: late.map(hours),
            claimed: hours(claimed),
        };
        let now = hours(100);
        let found = (interval.earliest(now), interval.latest(now));
        assert_eq!(found, (hours(expected.0), hours(expected.1)));
    }

    #[test]
    fn nothing_that_a_device_says_puts_its_proof_after_now() {
        let year = 8_766;
        // A clock a year ahead, and a checkpoint that was never signed.
        check(Some(10), Some(90), 90 + year, (10, 90));
        check(Some(90 + year), Some(90), 90 + year, (90, 90));
        check(Some(90 + year), None, 90 + year, (100, 100));
        check(Some(90 + year), None, 50, (100, 100));
        // Both ends ahead: said of a late entry by a device whose clock is ahead as well.
        check(
            Some(90 + year),
            Some(91 + year),
            92 + year,
            (100, 91 + year),
        );
        check(None, None, year, (i64::MIN, 100));
        check(None, None, i64::MIN, (i64::MIN, i64::MIN));
        check(
            Some(i64::MAX),
            Some(i64::MIN),
            i64::MAX,
            (i64::MIN, i64::MIN),
        );
    }

    #[test]
    fn the_ends_of_time_do_not_overflow() {
        let (first, last) = (Moment(i64::MIN), Moment(i64::MAX));
        assert_eq!(last.since(first), i64::MAX);
        assert_eq!(first.since(last), i64::MIN);
        assert_eq!(last.plus_ms(1), last);
        assert_eq!(first.plus_ms(-1), first);
        for claimed in [first, last] {
            for now in [first, last] {
                let interval = Interval {
                    early: Some(last),
                    late: None,
                    claimed,
                };
                assert!(interval.earliest(now) <= now);
            }
        }
    }
}
