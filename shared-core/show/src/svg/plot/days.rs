//! An axis of days: its marks stand at the beginnings of months.

use chrono::{Datelike as _, Months, NaiveDate};

/// Beginnings of months between two days, every so many months that at most `most` stand there; each
/// with the days from the first day, and in words. None begins between: the two days themselves.
pub(super) fn months(first: NaiveDate, last: NaiveDate, most: usize) -> Vec<(f64, String)> {
    let begun = first.with_day(1).unwrap_or(first);
    for apart in [1, 2, 3, 6, 12, 24, 60, 120] {
        let marks = every(begun, apart, (first, last));
        if marks.len() <= most {
            return if marks.is_empty() {
                ends(first, last)
            } else {
                marks
            };
        }
    }
    ends(first, last)
}

fn every(
    begun: NaiveDate,
    apart: u32,
    (first, last): (NaiveDate, NaiveDate),
) -> Vec<(f64, String)> {
    let mut marks = Vec::new();
    let mut at = Some(begun);
    while let Some(day) = at.filter(|day| *day <= last) {
        let is_mark = day.month0() % apart.min(12) == 0;
        let is_year = apart < 12 || day.year() % i32::try_from(apart / 12).unwrap_or(1) == 0;
        if day >= first && is_mark && is_year {
            marks.push((since(first, day), in_words(day, apart)));
        }
        at = day.checked_add_months(Months::new(1));
    }
    marks
}

fn in_words(day: NaiveDate, apart: u32) -> String {
    let form = if apart >= 12 { "%Y" } else { "%b %Y" };
    day.format(form).to_string()
}

fn ends(first: NaiveDate, last: NaiveDate) -> Vec<(f64, String)> {
    let mut days = vec![first, last];
    days.dedup();
    let marks = days.into_iter();
    marks
        .map(|day| (since(first, day), day.format("%-d %b %Y").to_string()))
        .collect()
}

/// Days from one to another.
pub(super) fn since(first: NaiveDate, day: NaiveDate) -> f64 {
    let days = day.signed_duration_since(first).num_days();
    f64::from(i32::try_from(days).unwrap_or(i32::MAX))
}
