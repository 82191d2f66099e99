//! Days: which day a moment falls on, when an interval ends, when a printed date runs out.
//!
//! A mark without a day is read as the policy says: no published answer was found for flares and
//! extinguishers; cylinders say so for the month (49 CFR 180.205(c)). Intervals are counted from
//! their anchor, never from the last due day; a day that a month lacks is its last. Days are days
//! of the county, so that no change of clocks has a part in it.

mod stage;

use chrono::{DateTime, Duration, Months, NaiveDate};

pub use stage::{Margins, PastDue, Stage};

use crate::event::DateMark;
use crate::moment::Moment;
use crate::standard::{Every, MadeMonth, MarkDay, MarkPolicy};

/// A day of the calendar, for crates that name no calendar library.
pub type Day = NaiveDate;

/// Milliseconds of a day.
pub const DAY_MS: i64 = 86_400_000;

/// The county's day at a moment. Moments outside the calendar fall on its first day, which makes
/// proof as old as it can be.
#[must_use]
pub fn day(moment: Moment, utc_offset_min: i32) -> NaiveDate {
    let local = moment.plus_ms(i64::from(utc_offset_min) * 60_000);
    DateTime::from_timestamp_millis(local.0).map_or(NaiveDate::MIN, |time| time.date_naive())
}

/// The day on which an interval that began on `anchor` ends.
#[must_use]
pub fn due(anchor: NaiveDate, every: Every) -> NaiveDate {
    let end = match every {
        Every::Days(days) => anchor.checked_add_signed(Duration::days(i64::from(days))),
        Every::Months(months) => anchor.checked_add_months(Months::new(months)),
    };
    end.unwrap_or(NaiveDate::MAX)
}

/// The day on which half an interval ends: whole months where the half is whole, else the day in
/// the middle, rounded to the earlier one.
#[must_use]
pub fn due_halved(anchor: NaiveDate, every: Every) -> NaiveDate {
    match every {
        Every::Months(months) if months % 2 == 0 => due(anchor, Every::Months(months / 2)),
        Every::Days(_) | Every::Months(_) => {
            let days = due(anchor, every).signed_duration_since(anchor).num_days();
            let half = anchor.checked_add_signed(Duration::days(days / 2));
            half.unwrap_or(NaiveDate::MAX)
        }
    }
}

/// An interval that is another one once the thing has reached an age: which of the two runs from
/// `anchor` is decided by the age on that day.
///
/// Source of the need: immersion suits, MSC/Circ.1114 (more often past ten years) with MGN 529 1.2.
#[must_use]
pub fn due_by_age(anchor: NaiveDate, every: Every, made: NaiveDate, older: Older) -> NaiveDate {
    let grows_old = due(made, older.than);
    if anchor >= grows_old {
        return due(anchor, older.every);
    }
    // It grows old in between: the shorter interval counts from the same day, and is not over
    // before it applies.
    due(anchor, every).min(due(anchor, older.every).max(grows_old))
}

/// From which age on another interval counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Older {
    /// The age.
    pub than: Every,
    /// The interval from then on.
    pub every: Every,
}

/// The last day on which a printed mark is good; none for a mark that no calendar has.
#[must_use]
pub fn last_day(mark: DateMark, marks: MarkPolicy) -> Option<NaiveDate> {
    match (mark.month, mark.day, marks.month_only, marks.year_only) {
        (Some(month), Some(day), ..) => NaiveDate::from_ymd_opt(mark.year, month, day),
        (Some(month), None, MarkDay::LastDay, _) => month_end(mark.year, month),
        (Some(month), None, MarkDay::FirstDay, _) => NaiveDate::from_ymd_opt(mark.year, month, 1),
        (None, _, _, MarkDay::LastDay) => NaiveDate::from_ymd_opt(mark.year, 12, 31),
        (None, _, _, MarkDay::FirstDay) => NaiveDate::from_ymd_opt(mark.year, 1, 1),
    }
}

/// The first day that a mark can mean.
#[must_use]
pub fn first_day(mark: DateMark) -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(mark.year, mark.month.unwrap_or(1), mark.day.unwrap_or(1))
}

/// The last day of a life counted from making. A mark without a day gives its month; the month of
/// one without is the policy's.
#[must_use]
pub fn life_end(made: DateMark, months: u32, marks: MarkPolicy) -> Option<NaiveDate> {
    let month = made.month.unwrap_or(match marks.made_year_only {
        MadeMonth::January => 1,
        MadeMonth::December => 12,
    });
    let from = |day| NaiveDate::from_ymd_opt(made.year, month, day);
    match (made.day, marks.month_only) {
        (Some(day), _) => from(day)?.checked_add_months(Months::new(months)),
        (None, MarkDay::FirstDay) => from(1)?.checked_add_months(Months::new(months)),
        (None, MarkDay::LastDay) => from(1)?
            .checked_add_months(Months::new(months.saturating_add(1)))?
            .pred_opt(),
    }
}

/// The day on which an interval ends that began on what a mark says: one without a day ends with
/// the month, or on its first day, as the policy reads it.
#[must_use]
pub fn due_of_mark(last: DateMark, every: Every, marks: MarkPolicy) -> Option<NaiveDate> {
    match (last.day, every) {
        (None, Every::Months(months)) => life_end(last, months, marks),
        (None, Every::Days(_)) => Some(due(first_day(last)?, every)),
        (Some(_), _) => Some(due(last_day(last, marks)?, every)),
    }
}

/// What is wrong with marks that cannot all be so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Impossible {
    /// Made after the day on which it was looked at.
    MadeLater,
    /// Good to a day before it was made.
    GoodToBeforeMade,
    /// Good for longer than its life from making; the last day that can be.
    GoodForTooLong(NaiveDate),
}

/// Whether a mark and the making of a unit can both be right, on the day on which they are read.
/// Without a making, it was made on that day at the latest. Judged kindly: a mark may mean any day
/// of its month or year.
///
/// Source of the need: 46 CFR 160.021-5(b), a flare's mark is at most 42 months after making.
#[must_use]
pub fn impossible(
    made: Option<DateMark>,
    expires: Option<DateMark>,
    life_months: Option<u32>,
    read_on: NaiveDate,
) -> Option<Impossible> {
    let first_made = made.and_then(first_day);
    if first_made.is_some_and(|made| made > read_on) {
        return Some(Impossible::MadeLater);
    }
    let expires = expires?;
    let last = last_day(expires, MarkPolicy::default())?;
    if first_made.is_some_and(|made| last < made) {
        return Some(Impossible::GoodToBeforeMade);
    }
    let latest = MarkPolicy {
        made_year_only: MadeMonth::December,
        ..MarkPolicy::default()
    };
    let longest = match (made, life_months?) {
        (Some(made), months) => life_end(made, months, latest)?,
        (None, months) => due(read_on, Every::Months(months)),
    };
    (first_day(expires)? > longest).then_some(Impossible::GoodForTooLong(longest))
}

fn month_end(year: i32, month: u32) -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(year, month, 1)?
        .checked_add_months(Months::new(1))?
        .pred_opt()
}

#[cfg(test)]
mod tests;
