//! When something falls due, in words.

use chrono::NaiveDate;
use sponson_readiness::dates;
use sponson_readiness::event::DateMark;
use sponson_readiness::standard::Every;

use super::Reckoned;
use crate::units::print;

/// The day on which what was last done on a day, and is done every so often, falls due again; none
/// when the mark is no day of the calendar.
#[must_use]
pub fn due(last: DateMark, every: Every) -> Option<Reckoned> {
    let anchor = dates::last_day(last)?;
    let due = dates::due(anchor, every);
    let (unit, number) = match every {
        Every::Days(days) => ("every_days", days),
        Every::Months(months) => ("every_months", months),
    };
    Some(Reckoned {
        what: "due",
        given: vec![
            ("last", print::date_mark(last).into()),
            (unit, number.into()),
        ],
        figures: vec![("due", day(due).into())],
        lines: vec![format!("due {}", day(due))],
        assumed: Vec::new(),
        sources: vec![
            "counted from the original day; a day that a month lacks is its last".to_owned(),
        ],
    })
}

fn day(day: NaiveDate) -> String {
    day.to_string()
}
