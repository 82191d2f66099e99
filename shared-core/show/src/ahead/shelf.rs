//! What must be on the shelf by when, in words.

use sponson_readiness::ahead::{NeedFor, ShelfNeed, Wanted};
use sponson_readiness::dates::Day;

use super::day;
use crate::clean::clean;
use crate::table::{label_or, short_number};

/// One thing that a station will want: how many, what is there, what to order by when.
#[must_use]
pub fn shelf_text(need: &ShelfNeed, today: Day) -> String {
    let label = label_or(&need.label, need.item.as_str());
    let wanted: u32 = need.wanted.iter().map(|one| one.count).sum();
    let first = need.wanted.iter().map(|one| one.day).min();
    let from = first.map_or_else(String::new, |first| {
        format!(", the first by {}", day(first))
    });
    let mut said = format!("{label}: {wanted} wanted{from}; {} there", need.there);
    if need.runs_out_unused > 0 {
        said.push_str(&format!(
            " besides {} that run out before",
            need.runs_out_unused
        ));
    }
    said.push_str("; ");
    said.push_str(&order_text(need, today));
    if need.not_counted > 0 {
        said.push_str("; count first: what is there was not counted, or long ago");
    }
    said
}

/// What to order, and by when.
pub(crate) fn order_text(need: &ShelfNeed, today: Day) -> String {
    let by = need
        .by
        .map_or_else(String::new, |by| format!(", to be there by {}", day(by)));
    match (need.short, need.order_by) {
        (0, _) => "enough".to_owned(),
        (short, None) => format!("order {short}{by}"),
        (short, Some(order)) if order <= today => format!("order {short} now{by}"),
        (short, Some(order)) => format!("order {short} by {}{by}", day(order)),
    }
}

/// Units that are wanted on one day, and what for.
#[must_use]
pub fn wanted_text(wanted: &Wanted) -> String {
    let number = short_number(&wanted.number);
    let of = if number.is_empty() {
        String::new()
    } else {
        format!(" of {number}")
    };
    let why = match &wanted.for_what {
        NeedFor::ShortNow => "lacking now".to_owned(),
        NeedFor::RunsOut => "what is aboard runs out".to_owned(),
        NeedFor::Inspection(line, label) => {
            format!("used by '{}'", label_or(&clean(label), line.as_str()))
        }
        NeedFor::RunsOutAgain => "what was taken from the shelf runs out in its turn".to_owned(),
    };
    let covered = match wanted.short {
        0 => String::new(),
        short => format!(", {short} not covered"),
    };
    format!(
        "{} by {}{of}: {why}{covered}",
        wanted.count,
        day(wanted.day)
    )
}
