//! What was done after its day, in words, with the share that was in time and its interval.

use sponson_readiness::ahead::{DoneLate, InTime, Past};

use super::{day, percent};
use crate::table::{label_or, short_number};
use crate::units::print;

/// Fewer due days than this are said to be few: the interval of 10 spans some 60 in 100.
const FEW: u32 = 10;

/// One thing that was done late, or is late and not done yet.
#[must_use]
pub fn late_text(late: &DoneLate) -> String {
    let label = label_or(&late.label, late.inspection.as_str());
    let due = late
        .due
        .map_or_else(String::new, |due| format!("due {}, ", day(due)));
    let done = match late.past {
        Past::Done(on, _) => format!("done {}", day(on)),
        Past::StillRunning => "not done yet".to_owned(),
    };
    let grace = if late.in_grace {
        ", within its grace"
    } else {
        ""
    };
    let number = short_number(&late.number);
    format!("{number}: {label}: {due}{done}, {}{grace}", how_late(late))
}

/// How late.
pub(crate) fn how_late(late: &DoneLate) -> String {
    let days = late
        .days
        .map(|days| format!("{} late", print::count(days, "day")));
    let engine = late.engine_s.map(|s| format!("{} late", print::engine(s)));
    match (days, engine) {
        (Some(days), Some(engine)) => format!("{days} and {engine}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => "late".to_owned(),
    }
}

/// How much was done in time, with the interval behind it.
#[must_use]
pub fn in_time_text(share: &InTime) -> String {
    let due = print::count(i64::from(share.due), "due day");
    let whole = if share.due == 0 {
        0
    } else {
        percent(f64::from(share.in_time) / f64::from(share.due))
    };
    let (low, high) = (percent(share.share.0), percent(share.share.1));
    let few = if share.due < FEW {
        "few, so that says little: "
    } else {
        ""
    };
    let late = share.median_days_late.map_or_else(String::new, |days| {
        format!(
            "; half of the late ones were {} late or more",
            print::count(days, "day")
        )
    });
    format!(
        "{} of {due} met, {whole} in 100 ({few}between {low} and {high}){late}",
        share.in_time
    )
}
