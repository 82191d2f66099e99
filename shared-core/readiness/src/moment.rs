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
        let earliest = self.believed(now).unwrap_or_else(|| match self.early {
            None => Moment(i64::MIN),
            Some(early) if self.contradicts(now) => early.min(self.end(now)).min(self.claimed),
            Some(early) => early,
        });
        earliest.min(now)
    }

    /// The latest moment at which it can have happened: holds and cures run from here.
    #[must_use]
    pub fn latest(&self, now: Moment) -> Moment {
        self.believed(now).unwrap_or_else(|| {
            let said = self.claimed.max(self.early.unwrap_or(self.claimed));
            if self.contradicts(now) {
                self.end(now).max(said.min(now))
            } else {
                self.end(now)
            }
        })
    }

    /// The claimed time, when nothing known contradicts it.
    #[must_use]
    pub fn believed(&self, now: Moment) -> Option<Moment> {
        let early = self.early.unwrap_or(Moment(i64::MIN));
        let late = self.end(now);
        let plausible = !self.contradicts(now)
            && self.claimed >= early.plus_ms(-CLOCK_TOLERANCE_MS)
            && self.claimed <= late.plus_ms(CLOCK_TOLERANCE_MS);
        plausible.then(|| self.claimed.max(early).min(late.max(early)))
    }

    /// The claimed time, or the end of what is known that is nearer to it: for whoever looks back on what
    /// happened and judges nothing by it. A claim that something contradicts is not dropped.
    #[must_use]
    pub fn possible(&self, now: Moment) -> Moment {
        let claimed = self.claimed.max(self.earliest(now));
        claimed.min(self.latest(now))
    }

    fn end(&self, now: Moment) -> Moment {
        self.late.unwrap_or(now)
    }

    /// Whether the checkpoint that the device says it held is younger than the event can be: a
    /// county's clock ran ahead for a while, or somebody made the time up. Then each end is only
    /// what somebody said, and every rule takes the worst of all that was said: a time in the
    /// future makes no proof younger and no hold shorter.
    fn contradicts(&self, now: Moment) -> bool {
        self.early
            .is_some_and(|early| early > self.end(now).plus_ms(CLOCK_TOLERANCE_MS))
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
        check(Some(90 + year), Some(90), 90 + year, (90, 100));
        check(Some(90 + year), None, 90 + year, (100, 100));
        check(Some(90 + year), None, 50, (50, 100));
        // Both ends ahead: said of a late entry by a device whose clock is ahead as well.
        check(
            Some(90 + year),
            Some(91 + year),
            92 + year,
            (100, 91 + year),
        );
        check(None, None, year, (i64::MIN, 100));
        check(None, None, i64::MIN, (i64::MIN, i64::MIN));
        check(Some(i64::MAX), Some(i64::MIN), i64::MAX, (i64::MIN, 100));
    }

    #[test]
    fn a_county_whose_clock_was_wrong_for_a_while_makes_no_proof_younger_and_no_hold_shorter() {
        // It ran ahead when it gave the checkpoint, and was right again when the event came.
        check(Some(9_000), Some(90), 50, (50, 100));
        // It fell back before the event came.
        check(Some(70), Some(60), 71, (60, 71));
        check(Some(70), Some(60), 5, (5, 70));
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

    use proptest::prelude::*;

    /// Hours, with the ends of time among them now and then.
    fn moments() -> impl Strategy<Value = Moment> {
        prop_oneof![
            20 => (-10_i64..200).prop_map(|hour| Moment(hour * HOUR)),
            1 => Just(Moment(i64::MIN)),
            1 => Just(Moment(i64::MAX)),
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_claim_outside_of_what_is_known_is_never_better_than_the_truth(
            early in prop::option::of(0_i64..50),
            width in 0_i64..50,
            within in 0_i64..=100,
            stored in any::<bool>(),
            later in 0_i64..100,
            claimed in moments(),
            other in moments(),
        ) {
            let from = Moment(early.unwrap_or(-100) * HOUR);
            let to = Moment((early.unwrap_or(0) + width) * HOUR);
            let truth = Moment(from.0 + to.since(from) / 100 * within);
            let now = to.plus_ms(later * HOUR);
            let at = |claimed| Interval {
                early: early.map(|_| from),
                late: stored.then_some(to),
                claimed,
            };
            let end = if stored { to } else { now };
            let is_outside = |claimed: Moment| {
                early.is_some() && claimed < from.plus_ms(-CLOCK_TOLERANCE_MS)
                    || claimed > end.plus_ms(CLOCK_TOLERANCE_MS)
            };
            let (said, right) = (at(claimed), at(truth));
            // The truth is believed, and whatever is believed lies within what is known.
            prop_assert_eq!(right.believed(now), Some(truth));
            prop_assert!(said.earliest(now) <= now && said.earliest(now) <= said.latest(now));
            prop_assert!(early.is_none() || said.earliest(now) >= from);
            prop_assert!(said.latest(now) <= end);
            if is_outside(claimed) {
                prop_assert!(said.earliest(now) <= right.earliest(now));
                prop_assert!(said.latest(now) >= right.latest(now));
                // Which wrong time it is makes no difference.
                if is_outside(other) {
                    prop_assert_eq!(said.earliest(now), at(other).earliest(now));
                    prop_assert_eq!(said.latest(now), at(other).latest(now));
                }
            }
        }

        #[test]
        fn whatever_anybody_says_the_ends_stand_in_order_and_no_proof_is_from_the_future(
            early in prop::option::of(moments()),
            late in prop::option::of(moments()),
            claimed in moments(),
            now in moments(),
        ) {
            let interval = Interval { early, late, claimed };
            prop_assert!(interval.earliest(now) <= now);
            prop_assert!(interval.earliest(now) <= interval.latest(now));
        }
    }
}
