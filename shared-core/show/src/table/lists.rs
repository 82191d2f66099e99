//! Lists over all craft: what is short, what is overdue, where stations differ.

use sponson_readiness::answer::{Disagreement, Effect, Limit, MissingKit, Overdue};

use super::lines::{Lines, padded};
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::{differ_text, limit_text, settle_text, stated_text, until_text};
use crate::units::print;
use crate::words;

/// Columns kept for a painted number; a longer one pushes its own line only.
pub(super) const NUMBER_WIDTH: usize = 10;

/// Items short, one a line: craft, item, what counts of what is needed.
#[must_use]
pub fn kit_table(missing: &[MissingKit]) -> String {
    let mut lines = Lines::default();
    for item in missing {
        let label = label_or(&item.label, item.item.as_str());
        let text = format!("{label}: {} of {}", item.have, item.need);
        lines.hanging(&number_prefix(&item.number), &text);
    }
    lines.into_text()
}

/// Inspections and dates past due, one a line, in the order given.
#[must_use]
pub fn due_table(overdue: &[Overdue], ctx: &Context) -> String {
    let mut lines = Lines::default();
    for late in overdue {
        let label = label_or(&late.label, late.inspection.as_str());
        let text = format!(
            "{label}: {}; {}",
            how_late(late),
            consequence(&late.effect, ctx)
        );
        lines.hanging(&number_prefix(&late.number), &text);
    }
    lines.into_text()
}

/// How long something is overdue.
pub(crate) fn how_late(late: &Overdue) -> String {
    let by_date = match (late.due, late.days_over) {
        (Some(due), Some(days)) => {
            Some(format!("{} overdue (due {due})", print::count(days, "day")))
        }
        (Some(due), None) => Some(format!("due {due}")),
        (None, Some(days)) => Some(format!("{} overdue", print::count(days, "day"))),
        (None, None) => None,
    };
    let by_engine = late
        .engine_s_over
        .map(|s| format!("{} over", print::engine(s)));
    match (by_date, by_engine) {
        (Some(date), Some(engine)) => format!("{date}, {engine}"),
        (Some(only), None) | (None, Some(only)) => only,
        (None, None) => "never done, or at a time that cannot be shown".to_owned(),
    }
}

/// What being overdue does.
pub(crate) fn consequence(effect: &Effect, ctx: &Context) -> String {
    match effect {
        Effect::Limit(Limit::DoSoon(_)) => "may go; see to it soon".to_owned(),
        Effect::Limit(limit) => limit_text(limit, ctx),
        Effect::Note | Effect::Unproven | Effect::NotReady => words::effect(effect).to_owned(),
    }
}

/// Where stations differ: what about, each side with who says so when, what counts until then, and
/// what settles it.
pub(super) fn disagreements(all: &[Disagreement], ctx: &Context) -> String {
    let mut lines = Lines::default();
    for one in all {
        lines.hanging(&number_prefix(&one.number), &differ_text(one, ctx));
        for side in &one.sides {
            lines.hanging("      - ", &stated_text(side, one, ctx));
        }
        lines.hanging("      until then: ", &until_text(one, ctx));
        for settle in &one.settle {
            lines.hanging("      to settle it: ", &settle_text(settle));
        }
    }
    lines.into_text()
}

/// A painted number as the beginning of a line.
pub(super) fn number_prefix(number: &str) -> String {
    format!("  {}  ", padded(&short_number(number), NUMBER_WIDTH))
}

/// A painted number, cut where somebody painted a sentence.
pub(crate) fn short_number(number: &str) -> String {
    let number = clean(number);
    if unicode_width::UnicodeWidthStr::width(number.as_str()) > 3 * NUMBER_WIDTH {
        let short: String = number.chars().take(NUMBER_WIDTH).collect();
        return format!("{short}...");
    }
    number
}

/// A label of the standard; the id in words when there is none.
pub(crate) fn label_or(label: &str, id: &str) -> String {
    if label.trim().is_empty() {
        crate::sentence::words_of(id)
    } else {
        clean(label)
    }
}
