//! What keeps failing in words: what to do first, then each group with its plain line; statistics only
//! when they were asked for.

use super::lines::Lines;
use crate::caution;
use crate::context::Context;
use crate::failing::{DecidedSaid, Failing, Figure, GroupSaid, RepairSaid, ToDoSaid};
use crate::units::print;

/// Whether statistics are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WithFigures {
    /// They are.
    Yes,
    /// Only the plain lines.
    No,
}

/// Repairs shown in a terminal: a screen of them; all are in JSON and CSV.
const REPAIRS_MAX: usize = 20;

/// It, at most 80 columns wide.
#[must_use]
pub fn faults_report(failing: &Failing, figures: WithFigures, ctx: &Context) -> String {
    let mut lines = Lines::default();
    lines.hanging("", &faults_headline(failing, ctx));
    lines.hanging("", &failing.summary);
    if figures == WithFigures::Yes {
        lines.hanging("", &failing.usual.line);
        shown(&mut lines, "  ", &failing.usual.figures.0);
    }
    to_do(&mut lines, failing, ctx);
    groups(&mut lines, failing, figures);
    repairs(&mut lines, failing, ctx);
    lines.blank();
    for note in &failing.notes {
        lines.hanging("", note);
    }
    lines.hanging("", caution());
    lines.into_text()
}

/// Of what, since when, as of when.
#[must_use]
pub fn faults_headline(failing: &Failing, ctx: &Context) -> String {
    let of = failing.craft.as_ref();
    let of = of.map_or_else(String::new, |(_, number)| {
        format!(" on {}", crate::clean(number))
    });
    let zone = print::offset(ctx.utc_offset_min);
    let since = failing.from.filter(|from| print::is_known(*from));
    let since = since.map_or_else(String::new, |from| {
        format!(", since {}", print::local_day(from, ctx.utc_offset_min))
    });
    format!(
        "What keeps failing{of}, by {}{since}, as of {} ({zone}).",
        failing.by_text,
        ctx.local(failing.as_of)
    )
}

fn to_do(lines: &mut Lines, failing: &Failing, ctx: &Context) {
    if failing.to_do.is_empty() {
        return;
    }
    lines.blank();
    lines.hanging("", &what_to_do_title(failing));
    for (rank, one) in (1_usize..).zip(&failing.to_do) {
        proposed(lines, rank, one, failing, ctx);
    }
}

/// The heading of what to do, with how much of it waits.
#[must_use]
pub fn what_to_do_title(failing: &Failing) -> String {
    match failing.waiting() {
        0 => "What to do (all decided)".to_owned(),
        waiting => format!("What to do ({waiting} to decide)"),
    }
}

fn proposed(lines: &mut Lines, rank: usize, one: &ToDoSaid, failing: &Failing, ctx: &Context) {
    lines.hanging(&format!("{rank:>3}. "), &one.title);
    for reason in &one.reasons {
        lines.hanging("     - ", reason);
    }
    lines.hanging("     rule: ", &one.rule);
    let evidence: Vec<String> = failing
        .faults_of(&one.evidence)
        .map(|fault| {
            let day = print::local_day(fault.found, ctx.utc_offset_min);
            format!("{day} {} {}", fault.number, fault.class)
        })
        .collect();
    lines.hanging("     rests on: ", &evidence.join("; "));
    match &one.decided {
        Some(decided) => {
            let again = if one.since > 0 {
                "; failed again since: to be decided again"
            } else {
                ""
            };
            let text = format!("{}{again}", decided_text(decided, ctx));
            lines.hanging("     decided: ", &text);
        }
        None => lines.hanging("     ", "not decided yet"),
    }
}

/// What was decided, by whom and when.
#[must_use]
pub fn decided_text(one: &DecidedSaid, ctx: &Context) -> String {
    let by = match one.member.as_str() {
        "" => String::new(),
        member => format!(" by {member}"),
    };
    format!("{}{by}, {}", one.text, ctx.local(one.at))
}

fn groups(lines: &mut Lines, failing: &Failing, figures: WithFigures) {
    lines.blank();
    if failing.groups.is_empty() {
        return;
    }
    lines.hanging("", &format!("By {}", failing.by_text));
    for one in &failing.groups {
        group(lines, one, figures);
    }
}

fn group(lines: &mut Lines, one: &GroupSaid, figures: WithFigures) {
    let mark = if one.stands_out { "  * " } else { "    " };
    let trend = match one.trend.as_str() {
        "" => String::new(),
        trend => format!("; {trend}"),
    };
    lines.hanging(mark, &format!("{}: {}{trend}", one.label, one.line));
    if figures == WithFigures::Yes {
        shown(lines, "        ", &one.figures.0);
    }
}

fn shown(lines: &mut Lines, indent: &str, figures: &[Figure]) {
    for figure in figures {
        lines.hanging(indent, &figure_line(figure));
    }
}

/// A figure in one line: `faults per 1,000 craft days: 2.1 (0.57 to 5.4)`.
fn figure_line(figure: &Figure) -> String {
    let gap = if figure.unit.is_empty() { "" } else { " " };
    let between = match figure.between_text().as_str() {
        "" => String::new(),
        between => format!(" ({between})"),
    };
    format!(
        "{}: {}{gap}{}{between}",
        figure.name,
        figure.value_text(),
        figure.unit
    )
}

fn repairs(lines: &mut Lines, failing: &Failing, ctx: &Context) {
    let failed: Vec<&RepairSaid> = failing
        .repairs
        .iter()
        .filter(|one| one.held == "did_not_hold")
        .collect();
    if failed.is_empty() {
        return;
    }
    lines.blank();
    lines.hanging("", "Repairs that did not hold");
    for one in failed.iter().take(REPAIRS_MAX) {
        lines.hanging("    ", &repair_text(one, ctx));
    }
    if let Some(more) = failed
        .len()
        .checked_sub(REPAIRS_MAX)
        .filter(|more| *more > 0)
    {
        lines.hanging(
            "    ",
            &format!("and {more} more: see --json or --csv repairs"),
        );
    }
}

/// A repair and how it held, in one sentence.
#[must_use]
pub fn repair_text(one: &RepairSaid, ctx: &Context) -> String {
    let day = print::local_day(one.at, ctx.utc_offset_min);
    let batch = match one.glue_batch.as_str() {
        "" => String::new(),
        batch => format!(", glue batch {batch}"),
    };
    format!(
        "{day} {}, {}: {}{batch}: {}",
        one.number, one.part, one.method, one.text
    )
}
