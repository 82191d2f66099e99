//! Dates and moments as people write them: text in, checked values out.
//!
//! A date that can be read in two ways is refused, not guessed. It reads no clock: there is no
//! 'today' and no 'yesterday' here.

use chrono::{NaiveDate, NaiveTime};
use sponson_readiness::event::DateMark;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Every;

use crate::clean::clean;

/// Why a date or a moment was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DateError {
    /// Nothing that reads as a date.
    #[error(
        "{field}: '{value}' is not a date; write for example 2026-03-14, 2026-03 or 14 Mar 2026"
    )]
    NotADate {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
    },
    /// Month first, or day first?
    #[error(
        "{field}: '{value}' can be read with the month or the day first; write {month_first} or \
         {day_first}"
    )]
    Ambiguous {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
        /// Read with the month first.
        month_first: String,
        /// Read with the day first.
        day_first: String,
    },
    /// No such day, or a year that nothing carries.
    #[error("{field}: '{value}' is not in the calendar, or not in the years 1900 to 2199")]
    NoSuchDay {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
    },
    /// Nothing that reads as an interval of days or months.
    #[error(
        "{field}: '{value}' is not an interval from 1 day to 240 months; write for example 7days, \
         6weeks, 42months or 5years"
    )]
    NotAnInterval {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
    },
    /// A date without a time of day, or a time that is none.
    #[error("{field}: '{value}' needs a day and a time of 24 hours, for example 2026-03-14 08:30")]
    NotAMoment {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
    },
}

/// Longest text that is looked at: the longest sensible one, `September 14, 2026`, has 18, and a
/// moment with seconds and an offset 30.
const TEXT_MAX: usize = 64;

/// Reads a date as printed or written, as far as it goes: `2026`, `2026-03`, `03/2026`,
/// `2026-03-14`, `14 Mar 2026`, `March 14, 2026`, and `03/14/2026` where only one reading is a
/// date.
///
/// # Errors
/// Names the field, the value and how to write it.
pub fn date_mark(field: &str, text: &str) -> Result<DateMark, DateError> {
    let pieces = pieces(text).ok_or_else(|| not_a_date(field, text))?;
    let mark = match pieces.as_slice() {
        [Piece::Year(y)] => month(*y, None),
        [Piece::Year(y), Piece::Small(m) | Piece::Month(m)]
        | [Piece::Small(m) | Piece::Month(m), Piece::Year(y)] => month(*y, Some(*m)),
        [
            Piece::Year(y),
            Piece::Small(m) | Piece::Month(m),
            Piece::Small(d),
        ]
        | [Piece::Small(d), Piece::Month(m), Piece::Year(y)]
        | [Piece::Month(m), Piece::Small(d), Piece::Year(y)] => day(*y, *m, *d),
        [Piece::Small(a), Piece::Small(b), Piece::Year(y)] => {
            match (day(*y, *a, *b), day(*y, *b, *a)) {
                (Some(one), Some(other)) if one != other => {
                    return Err(DateError::Ambiguous {
                        field: field.to_owned(),
                        value: shown(text),
                        month_first: crate::units::print::date_mark(one),
                        day_first: crate::units::print::date_mark(other),
                    });
                }
                (one, other) => one.or(other),
            }
        }
        _ => return Err(not_a_date(field, text)),
    };
    mark.ok_or_else(|| DateError::NoSuchDay {
        field: field.to_owned(),
        value: shown(text),
    })
}

/// Reads a calendar interval: `7 days`, `6weeks`, `42months`, `5 years`.
///
/// # Errors
/// Names the field, the value, the limit and how to write it.
pub fn every(field: &str, text: &str) -> Result<Every, DateError> {
    let refused = || DateError::NotAnInterval {
        field: field.to_owned(),
        value: shown(text),
    };
    if text.len() > TEXT_MAX {
        return Err(refused());
    }
    let text = text.trim();
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let (number, unit) = text.split_at(digits);
    let number: u32 = number.parse().map_err(|_| refused())?;
    let every = match unit.trim_start().to_lowercase().as_str() {
        "d" | "day" | "days" => Every::Days(number),
        "week" | "weeks" => Every::Days(number.saturating_mul(7)),
        "month" | "months" => Every::Months(number),
        "year" | "years" => Every::Months(number.saturating_mul(12)),
        _ => return Err(refused()),
    };
    // As in a boat standard: 3660 days, 240 months.
    match every {
        Every::Days(1..=3_660) | Every::Months(1..=240) => Ok(every),
        Every::Days(_) | Every::Months(_) => Err(refused()),
    }
}

/// Reads a moment: `2026-03-14 08:30` in local time, `utc_offset_min` minutes east of UTC;
/// `2026-03-14T08:30Z` or `2026-03-14 08:30:15 -04:00` as it says.
///
/// # Errors
/// Names the field, the value and how to write it.
pub fn moment(field: &str, text: &str, utc_offset_min: i32) -> Result<Moment, DateError> {
    moment_and_zone(field, text, utc_offset_min).map(|(moment, _)| moment)
}

/// Reads a moment as [`moment`] does, or a date, for the first local moment of what it names: `2025`,
/// `2025-03`, `2025-03-14`.
///
/// # Errors
/// Names the field, the value and how to write it.
pub fn moment_or_day(field: &str, text: &str, utc_offset_min: i32) -> Result<Moment, DateError> {
    if text.contains(':') {
        return moment(field, text, utc_offset_min);
    }
    let mark = date_mark(field, text)?;
    let (month, day) = (mark.month.unwrap_or(1), mark.day.unwrap_or(1));
    let day = NaiveDate::from_ymd_opt(mark.year, month, day);
    let day = day.ok_or_else(|| not_a_date(field, text))?;
    let local = day.and_time(NaiveTime::MIN).and_utc().timestamp_millis();
    Ok(Moment(local - i64::from(utc_offset_min) * 60_000))
}

/// Reads a moment as [`moment`] does, and says in which time it was written: minutes east of UTC.
///
/// # Errors
/// Names the field, the value and how to write it.
pub fn moment_and_zone(
    field: &str,
    text: &str,
    utc_offset_min: i32,
) -> Result<(Moment, i32), DateError> {
    let refused = || DateError::NotAMoment {
        field: field.to_owned(),
        value: shown(text),
    };
    if text.len() > TEXT_MAX {
        return Err(refused());
    }
    let colon = text.find(':').ok_or_else(refused)?;
    let before = text.get(..colon).unwrap_or_default();
    let hours = before.len() - before.trim_end_matches(|c: char| c.is_ascii_digit()).len();
    let (date, time) = text.split_at(colon - hours);
    let date = date.trim_end();
    let date = date.strip_suffix(['T', 't']).unwrap_or(date);
    let mark = date_mark(field, date)?;
    let (time, offset_min) = offset(time.trim(), utc_offset_min).ok_or_else(refused)?;
    let time = clock(time.trim()).ok_or_else(refused)?;
    let day = mark
        .month
        .zip(mark.day)
        .and_then(|(month, day)| NaiveDate::from_ymd_opt(mark.year, month, day))
        .ok_or_else(refused)?;
    let local = day.and_time(time).and_utc().timestamp_millis();
    let moment = Moment(local - i64::from(offset_min) * 60_000);
    Ok((moment, offset_min))
}

/// A piece of a date.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Piece {
    /// Four digits.
    Year(i32),
    /// One or two digits.
    Small(u32),
    /// A month by name.
    Month(u32),
}

fn pieces(text: &str) -> Option<Vec<Piece>> {
    if text.len() > TEXT_MAX {
        return None;
    }
    text.split(|c: char| c.is_whitespace() || matches!(c, '/' | '-' | '.' | ','))
        .filter(|piece| !piece.is_empty())
        .map(piece)
        .collect()
}

fn piece(text: &str) -> Option<Piece> {
    if text.bytes().all(|b| b.is_ascii_digit()) {
        return match text.len() {
            4 => text.parse().ok().map(Piece::Year),
            1 | 2 => text.parse().ok().map(Piece::Small),
            _ => None,
        };
    }
    const MONTHS: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let lower = text.to_lowercase();
    let named = |name: &str| {
        (lower.len() >= 3 && name.starts_with(&lower)) || (lower == "sept" && name == "september")
    };
    (1..)
        .zip(MONTHS)
        .find_map(|(number, name)| named(name).then_some(Piece::Month(number)))
}

fn month(year: i32, month: Option<u32>) -> Option<DateMark> {
    let known = (1900..=2199).contains(&year) && month.is_none_or(|m| (1..=12).contains(&m));
    known.then_some(DateMark {
        year,
        month,
        day: None,
    })
}

fn day(year: i32, month_number: u32, day: u32) -> Option<DateMark> {
    NaiveDate::from_ymd_opt(year, month_number, day)?;
    let mark = month(year, Some(month_number))?;
    Some(DateMark {
        day: Some(day),
        ..mark
    })
}

/// Takes a closing `Z` or offset off a time; without one it is local.
fn offset(time: &str, local_min: i32) -> Option<(&str, i32)> {
    if let Some(rest) = time.strip_suffix(['Z', 'z']) {
        return Some((rest, 0));
    }
    let Some(at) = time.find(['+', '-']) else {
        return Some((time, local_min));
    };
    let (clock, offset) = time.split_at(at);
    let digits: String = offset.chars().skip(1).filter(|c| *c != ':').collect();
    if digits.len() != 4 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let number: i32 = digits.parse().ok()?;
    let (hours, minutes) = (number / 100, number % 100);
    // The world's offsets lie between -12:00 and +14:00.
    if hours > 14 || minutes > 59 {
        return None;
    }
    let sign = if offset.starts_with('-') { -1 } else { 1 };
    Some((clock, sign * (hours * 60 + minutes)))
}

fn clock(time: &str) -> Option<NaiveTime> {
    let mut fields = time.split(':').map(|field| {
        let sound = (1..=2).contains(&field.len()) && field.bytes().all(|b| b.is_ascii_digit());
        sound.then(|| field.parse::<u32>().ok()).flatten()
    });
    let (hour, minute) = (fields.next()??, fields.next()??);
    let second = fields.next().unwrap_or(Some(0))?;
    if fields.next().is_some() {
        return None;
    }
    NaiveTime::from_hms_opt(hour, minute, second)
}

fn not_a_date(field: &str, text: &str) -> DateError {
    DateError::NotADate {
        field: field.to_owned(),
        value: shown(text),
    }
}

fn shown(text: &str) -> String {
    clean(&text.chars().take(TEXT_MAX).collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::print;
    use proptest::prelude::*;

    #[test]
    fn dates_as_people_write_them() {
        for (text, iso) in [
            ("2026", "2026"),
            ("2026-03", "2026-03"),
            ("03/2026", "2026-03"),
            ("3/2026", "2026-03"),
            ("Mar 2026", "2026-03"),
            ("sept. 2026", "2026-09"),
            ("2026-03-14", "2026-03-14"),
            ("14 Mar 2026", "2026-03-14"),
            ("March 14, 2026", "2026-03-14"),
            ("14.03.2026", "2026-03-14"),
            ("03/14/2026", "2026-03-14"),
            ("03/03/2026", "2026-03-03"),
            ("29 Feb 2028", "2028-02-29"),
        ] {
            let mark = date_mark("expires", text).expect(text);
            assert_eq!(print::date_mark(mark), iso, "{text}");
        }
    }

    #[test]
    fn from_a_day_on_is_from_its_first_local_moment() {
        for (text, same) in [
            ("2025", "2025-01-01 00:00"),
            ("2025-03", "2025-03-01 00:00"),
            ("14 Mar 2025", "2025-03-14 00:00"),
            ("2025-03-14 08:30", "2025-03-14 08:30"),
        ] {
            let from = moment_or_day("--from", text, -240);
            assert_eq!(from, moment("--from", same, -240), "{text}");
        }
        assert!(moment_or_day("--from", "spring", 0).is_err());
    }

    #[test]
    fn refused_dates_say_what_to_write() {
        let refused = |text| date_mark("expires", text).expect_err("refused").to_string();
        insta::assert_snapshot!(refused("03/04/2026"), @"expires: '03/04/2026' can be read with the month or the day first; write 2026-03-04 or 2026-04-03");
        insta::assert_snapshot!(refused("3/26"), @"expires: '3/26' is not a date; write for example 2026-03-14, 2026-03 or 14 Mar 2026");
        insta::assert_snapshot!(refused("29 Feb 2026"), @"expires: '29 Feb 2026' is not in the calendar, or not in the years 1900 to 2199");
        insta::assert_snapshot!(refused("2026-13"), @"expires: '2026-13' is not in the calendar, or not in the years 1900 to 2199");
        insta::assert_snapshot!(refused("soon"), @"expires: 'soon' is not a date; write for example 2026-03-14, 2026-03 or 14 Mar 2026");
    }

    #[test]
    fn moments_as_people_write_them() {
        for (text, utc) in [
            ("2026-03-14 08:30", "2026-03-14T12:30:00Z"),
            ("14 Mar 2026 8:30", "2026-03-14T12:30:00Z"),
            ("2026-03-14T08:30Z", "2026-03-14T08:30:00Z"),
            ("2026-03-14T08:30:15+05:30", "2026-03-14T03:00:15Z"),
            ("2026-03-14 08:30 -0400", "2026-03-14T12:30:00Z"),
        ] {
            let read = moment("as of", text, -240).expect(text);
            assert_eq!(print::rfc3339(read), utc, "{text}");
        }
        for text in [
            "2026-03-14",
            "08:30",
            "2026-03 08:30",
            "2026-03-14 25:00",
            "2026-03-14 8:3x",
        ] {
            assert!(moment("as of", text, 0).is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn moments_read_back(minutes in 0_i64..100_000_000, offset in -720_i32..840) {
            let told = Moment(minutes * 60_000);
            let shown = print::local(told, offset);
            prop_assert_eq!(moment("m", &shown, offset), Ok(told));
        }

        #[test]
        fn no_text_breaks_the_reader(text in any::<String>()) {
            let _ = date_mark("d", &text);
            let _ = moment("m", &text, 0);
        }
    }
}
