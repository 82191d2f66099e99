//! When a report was made: a day of the month and a time, so the latest such moment counts that does
//! not come after the asked one.

use chrono::{DateTime, Datelike as _, Days, NaiveDate, Utc};
use sponson_readiness::moment::Moment;

use super::{refused, shapes};
use crate::refusal::Refusal;

/// How far a report may be dated ahead, milliseconds: 10 minutes. It carries the time at which it is
/// due, and is sent a little before.
const AHEAD_MS: i64 = 10 * 60_000;

/// Age from which a report is refused, milliseconds: a day. It tells no month, so an older one could
/// as well be of another.
const AGE_MAX_MS: i64 = 86_400_000;

/// Days looked at: every day of the month comes again within two months.
const DAYS: u64 = 62;

/// Day of the month, hour and minute, UTC.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stamp {
    day: u32,
    hour: u32,
    minute: u32,
}

/// Whether a group has the shape of a day and time.
pub(super) fn is_stamp(group: &str) -> bool {
    group.len() == 7 && group.strip_suffix('Z').is_some_and(shapes::all_digits)
}

impl Stamp {
    /// Reads for example `281652Z`.
    pub(super) fn read(group: &str) -> Option<Self> {
        if !is_stamp(group) {
            return None;
        }
        let two = |from: usize| group.get(from..from + 2)?.parse().ok();
        let stamp = Self {
            day: two(0)?,
            hour: two(2)?,
            minute: two(4)?,
        };
        let is_time = (1..=31).contains(&stamp.day) && stamp.hour < 24 && stamp.minute < 60;
        is_time.then_some(stamp)
    }

    fn on(self, day: NaiveDate) -> Option<Moment> {
        let at = day.and_hms_opt(self.hour, self.minute, 0)?;
        (day.day() == self.day).then_some(Moment(at.and_utc().timestamp_millis()))
    }

    fn words(self) -> String {
        let Self { day, hour, minute } = self;
        format!("{day:02}{hour:02}{minute:02}Z")
    }
}

/// The moment of a report.
///
/// # Errors
/// When it comes after the asked moment, or is more than a day old.
pub(super) fn resolve(stamp: Stamp, asked: Moment) -> Result<Moment, Refusal> {
    let words = stamp.words();
    let unknown = || {
        refused(
            &format!("time {words} is no day of these months"),
            "check it",
        )
    };
    let today = DateTime::<Utc>::from_timestamp_millis(asked.0).ok_or_else(unknown)?;
    let day = |back: bool, days| match back {
        true => today.date_naive().checked_sub_days(Days::new(days)),
        false => today.date_naive().checked_add_days(Days::new(days)),
    };
    let latest = asked.plus_ms(AHEAD_MS);
    // Tomorrow's too: shortly before midnight a report may be dated after it.
    let before = [day(false, 1)]
        .into_iter()
        .chain((0..DAYS).map(|it| day(true, it)));
    let mut before = before.flatten().filter_map(|day| stamp.on(day));
    let made = before.find(|at| *at <= latest).ok_or_else(unknown)?;
    let age_ms = asked.since(made);
    if age_ms <= AGE_MAX_MS {
        return Ok(made);
    }
    let mut after = (0..DAYS).filter_map(|it| stamp.on(day(false, it)?));
    let ahead = after.find(|at| *at > latest).map(|at| at.since(asked));
    if let Some(ms) = ahead.filter(|ms| *ms <= AGE_MAX_MS) {
        return Err(refused(
            &format!(
                "time {words} comes {} after the asked moment",
                sponson_show::units::print::span(ms)
            ),
            "check its time and the clock, or ask for that moment (--as-of)",
        ));
    }
    Err(refused(
        &format!(
            "time {words} is {} before the asked moment; at most 24 h is taken",
            sponson_show::units::print::span(age_ms)
        ),
        "paste a newer report, or give the weather by hand",
    ))
}
