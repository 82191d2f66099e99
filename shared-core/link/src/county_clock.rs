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

/// A station's clock that differs by more is counted: a month's drift of a bad clock is minutes, a
/// wrong zone is an hour, from which the time on the way may take some.
const STATION_APART_MS: i64 = 30 * 60 * 1000;

/// What a clock said longer ago counts no more: somebody may have set it right since, or the
/// county's.
const SAID_LATELY_MS: i64 = 7 * 86_400_000;

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

/// A station's clock as the county saw it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StationSaid {
    /// The county's clock less the station's, milliseconds.
    pub county_minus_station_ms: i64,
    /// When, by the county's clock, milliseconds since 1970.
    pub unix_ms: i64,
}

/// What the stations' clocks say of the county's, in words: when most of those heard within a week,
/// and at least two, differ from it by more than half an hour in the same direction.
#[must_use]
pub fn stations_say(said: &[StationSaid], now_unix_ms: i64) -> Option<String> {
    let lately = said
        .iter()
        .filter(|said| said.unix_ms.abs_diff(now_unix_ms) <= SAID_LATELY_MS.unsigned_abs());
    let said: Vec<i64> = lately.map(|said| said.county_minus_station_ms).collect();
    let far = |ahead: bool| -> Vec<i64> {
        let apart = said.iter().copied();
        let far = apart.filter(|apart| {
            apart.unsigned_abs() > STATION_APART_MS.unsigned_abs() && (*apart > 0) == ahead
        });
        let mut far: Vec<i64> = far.map(i64::saturating_abs).collect();
        far.sort_unstable();
        far
    };
    let all = said.len();
    [(far(true), "ahead"), (far(false), "behind")]
        .into_iter()
        .find(|(far, _)| far.len() >= STATIONS_MIN && far.len() * 2 > all)
        .map(|(far, word)| {
            let middle = far[far.len() / 2];
            format!(
                "the clocks of {} of {all} stations heard this week say that this machine's clock is {word} by about {}: \
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
        let now = 100 * DAY;
        let at = |unix_ms: i64, minutes: &[i64]| -> Vec<StationSaid> {
            let said = minutes.iter().map(|minutes| StationSaid {
                county_minus_station_ms: minutes * MINUTE,
                unix_ms,
            });
            said.collect()
        };
        let say = |minutes: &[i64]| stations_say(&at(now, minutes), now);
        for nothing in [
            &[][..],
            &[540],
            &[540, -540],
            &[540, 540, 0, 0],
            &[30, 30, 30],
            &[-30, -30, -30],
        ] {
            assert_eq!(say(nothing), None, "{nothing:?}");
        }
        assert!(say(&[31, 31]).is_some() && say(&[-31, -31]).is_some());
        let said = say(&[180, 240, 0]).expect("most say so");
        insta::assert_snapshot!(said, @"the clocks of 2 of 3 stations heard this week say that this machine's clock is ahead by about 4 h: look at it, and set it right");
        // An hour of a wrong zone, less what a request was on its way.
        let said = say(&[-59, -59]).expect("both say so");
        insta::assert_snapshot!(said, @"the clocks of 2 of 2 stations heard this week say that this machine's clock is behind by about 59 min: look at it, and set it right");
        // What they said before the county's clock was set right, or long ago, says nothing.
        for then in [now - 7 * DAY - 1, now + 7 * DAY + 1, now + 365 * DAY] {
            assert_eq!(stations_say(&at(then, &[180, 180]), now), None);
        }
        let week = at(now - 7 * DAY, &[180, 180]);
        assert!(stations_say(&week, now).is_some());
    }
}
