//! Days: which day a moment falls on, when an interval ends, when a printed date runs out.
//!
//! A mark without a day is good through the last day of its month, one without a month through
//! 31 December. No published answer was found for flares and extinguishers; cylinders say so for
//! the month (49 CFR 180.205(c)). Intervals are counted from their anchor; a day that a month
//! lacks is its last.

use chrono::{DateTime, Duration, Months, NaiveDate};

use crate::event::DateMark;
use crate::moment::Moment;
use crate::standard::Every;

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

/// The last day on which a printed mark is good; none for a mark that no calendar has.
#[must_use]
pub fn last_day(mark: DateMark) -> Option<NaiveDate> {
    match (mark.month, mark.day) {
        (Some(month), Some(day)) => NaiveDate::from_ymd_opt(mark.year, month, day),
        (Some(month), None) => month_end(mark.year, month),
        (None, _) => NaiveDate::from_ymd_opt(mark.year, 12, 31),
    }
}

/// The last day of a life counted from making. A mark without a day gives its month; one without
/// a month is taken as January, which is worse for the craft.
#[must_use]
pub fn life_end(made: DateMark, months: u32) -> Option<NaiveDate> {
    let month = made.month.unwrap_or(1);
    match made.day {
        Some(day) => {
            NaiveDate::from_ymd_opt(made.year, month, day)?.checked_add_months(Months::new(months))
        }
        None => NaiveDate::from_ymd_opt(made.year, month, 1)?
            .checked_add_months(Months::new(months.saturating_add(1)))?
            .pred_opt(),
    }
}

fn month_end(year: i32, month: u32) -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(year, month, 1)?
        .checked_add_months(Months::new(1))?
        .pred_opt()
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::{due, last_day, life_end};
    use crate::event::DateMark;
    use crate::standard::Every;

    fn on(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    /// Source: calendar-intervals.csv, python-dateutil and java.time, which agree; exact.
    #[test]
    fn intervals_end_as_in_the_reference() {
        let rows = include_str!("../../../tests/reference/calendar-intervals.csv");
        let mut checked = 0;
        for row in rows.lines().filter(|row| row.starts_with('C')) {
            let fields: Vec<&str> = row.split(',').collect();
            let (Some(start), Some(add), Some(unit), Some(end)) =
                (fields.get(2), fields.get(4), fields.get(5), fields.get(6))
            else {
                panic!("short row {row}");
            };
            let add: u32 = add.parse().expect("a number");
            let every = match *unit {
                "months" => Every::Months(add),
                "years" => Every::Months(add * 12),
                "days" => Every::Days(add),
                // One month at a time drifts: the engine counts from the anchor.
                _ => continue,
            };
            assert_eq!(due(on(start), every), on(end), "{row}");
            checked += 1;
        }
        assert_eq!(checked, 12);
    }

    /// Source: 46 CFR 160.021-5(b), 42 months from manufacture.
    #[test]
    fn a_flare_made_in_a_month_is_good_through_a_month() {
        let made = DateMark {
            year: 2022,
            month: Some(3),
            day: None,
        };
        assert_eq!(life_end(made, 42), Some(on("2025-09-30")));
    }

    /// Source: 49 CFR 180.209 and 180.205(c), five years, due month inclusive.
    #[test]
    fn a_five_year_test_is_good_through_its_due_month() {
        let tested = DateMark {
            year: 2021,
            month: Some(4),
            day: None,
        };
        assert_eq!(life_end(tested, 60), Some(on("2026-04-30")));
    }

    #[test]
    fn marks_are_good_through_their_last_day() {
        let mark = |month, day| DateMark {
            year: 2024,
            month,
            day,
        };
        assert_eq!(last_day(mark(Some(2), None)), Some(on("2024-02-29")));
        assert_eq!(last_day(mark(None, None)), Some(on("2024-12-31")));
        assert_eq!(last_day(mark(Some(5), Some(7))), Some(on("2024-05-07")));
        assert_eq!(last_day(mark(Some(13), None)), None);
    }
}
