//! Whether the county's clock can be right: against the newest time at which it stored an entry,
//! and against what its stations' clocks say.
//!
//! The county's received times are one end of when everything happened. They never go back; but a
//! clock that is far ahead makes what is new look old, and one that is far behind makes what is old
//! look new. Decides nothing by itself: whoever starts the county is told.

use sponson_show::units::print;

/// How far the clock may stand before the newest entry: two machines that keep time by the network
/// differ by seconds.
pub const BEHIND_MAX_MS: i64 = 10 * 60 * 1000;

/// How far it may stand after the newest entry, when the settings do not say: a county may be off
/// for a season, and hears of its stations every day otherwise.
pub const AHEAD_DAYS: u32 = 90;

/// A station's clock that differs by more is counted: half a shift's drift of a bad clock is
/// seconds, a wrong zone is an hour.
const STATION_APART_MS: i64 = 60 * 60 * 1000;

/// Stations that must differ in the same direction: one may be wrong itself.
const STATIONS_MIN: usize = 2;

/// Why the county's clock is in doubt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClockDoubt {
    /// It stands before the newest entry.
    Behind {
        /// By so much, milliseconds.
        by_ms: i64,
    },
    /// It stands so far after the newest entry that it may have jumped.
    Ahead {
        /// By so much, milliseconds.
        by_ms: i64,
    },
}

impl ClockDoubt {
    /// Compares a clock with the newest entry.
    #[must_use]
    pub fn of(now_unix_ms: i64, newest_stored: Option<i64>, ahead_days: u32) -> Option<Self> {
        let newest = newest_stored?;
        let by_ms = now_unix_ms.saturating_sub(newest);
        if by_ms < -BEHIND_MAX_MS {
            return Some(Self::Behind {
                by_ms: by_ms.saturating_neg(),
            });
        }
        let most = i64::from(ahead_days).saturating_mul(86_400_000);
        (by_ms > most).then_some(Self::Ahead { by_ms })
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Behind { by_ms } => format!(
                "this machine's clock is {} before the newest entry of the county log: set it right",
                print::span(by_ms)
            ),
            Self::Ahead { by_ms } => format!(
                "this machine's clock is {} after the newest entry of the county log: it may have jumped",
                print::span(by_ms)
            ),
        }
    }
}

/// What the stations' clocks say of the county's, in words: when most of them, and at least two,
/// differ from it by more than an hour in the same direction. Each is the county's clock less the
/// station's.
#[must_use]
pub fn stations_say(county_minus_station_ms: &[i64]) -> Option<String> {
    let far = |ahead: bool| -> Vec<i64> {
        let apart = county_minus_station_ms.iter().copied();
        let far = apart.filter(|apart| {
            apart.unsigned_abs() > STATION_APART_MS.unsigned_abs() && (*apart > 0) == ahead
        });
        let mut far: Vec<i64> = far.map(i64::saturating_abs).collect();
        far.sort_unstable();
        far
    };
    let all = county_minus_station_ms.len();
    [(far(true), "ahead"), (far(false), "behind")]
        .into_iter()
        .find(|(far, _)| far.len() >= STATIONS_MIN && far.len() * 2 > all)
        .map(|(far, word)| {
            let middle = far[far.len() / 2];
            format!(
                "the clocks of {} of {all} stations say that this machine's clock is {word} by about {}: \
                 look at it, and set it right",
                far.len(),
                print::span(middle)
            )
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    const MINUTE: i64 = 60_000;
    const DAY: i64 = 24 * 60 * MINUTE;

    #[test]
    fn a_clock_is_compared_with_the_newest_entry() {
        let newest = Some(100 * DAY);
        let check = |now, wanted| assert_eq!(ClockDoubt::of(now, newest, 90), wanted, "{now}");
        check(100 * DAY, None);
        check(100 * DAY - 10 * MINUTE, None);
        check(
            100 * DAY - 11 * MINUTE,
            Some(ClockDoubt::Behind { by_ms: 11 * MINUTE }),
        );
        // Off for a season is nothing strange; a year is.
        check(190 * DAY, None);
        check(465 * DAY, Some(ClockDoubt::Ahead { by_ms: 365 * DAY }));
        assert_eq!(ClockDoubt::of(0, None, 90), None);
        let dead = ClockDoubt::of(0, newest, 90).expect("behind");
        insta::assert_snapshot!(dead.words(), @"this machine's clock is 100 days before the newest entry of the county log: set it right");
    }

    #[test]
    fn one_station_alone_says_nothing_of_the_county() {
        let hours = |hours: i64| hours * 60 * MINUTE;
        assert_eq!(stations_say(&[]), None);
        assert_eq!(stations_say(&[hours(9)]), None);
        assert_eq!(stations_say(&[hours(9), hours(-9)]), None);
        assert_eq!(stations_say(&[hours(9), hours(9), 0, 0]), None);
        let said = stations_say(&[hours(3), hours(4), 0]).expect("most say so");
        insta::assert_snapshot!(said, @"the clocks of 2 of 3 stations say that this machine's clock is ahead by about 4 h: look at it, and set it right");
        let said = stations_say(&[hours(-3), hours(-4)]).expect("both say so");
        insta::assert_snapshot!(said, @"the clocks of 2 of 2 stations say that this machine's clock is behind by about 4 h: look at it, and set it right");
    }
}
