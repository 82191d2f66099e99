//! Doubted readings, leaks and hold tests as text for a terminal.

use sponson_readiness::chambers::{Chamber, ChamberLeaks};
use sponson_readiness::doubted::{Doubted, Still, StillSaid};
use sponson_readiness::holds_done::HoldsDone;
use sponson_readiness::read_back::{Happened, ReadBack, ReadingShown};

use super::columns::columns;
use super::lines::Lines;
use super::lists::short_number;
use crate::caution;
use crate::clean::clean;
use crate::context::Context;
use crate::json::Members;
use crate::sentence::gauges::{
    APART_MEANS, STILL_MEANS, apart_text, doubted_summary, gauge_text, reader_text, series_by_text,
    series_text, shifts_text, still_text,
};
use crate::sentence::leaks::{
    happened_text, hold_sort_text, hold_tested_text, leak_rate_text, leaks_asked_text,
    leaks_summary, losses_text, soft_on_text, why_not_known_text,
};
use crate::units::print;

/// Doubted readings and gauges, at most 80 columns wide.
#[must_use]
pub fn gauges_report(doubted: &Doubted, ctx: &Context, members: Members) -> String {
    let mut lines = Lines::default();
    let until = ctx.local(doubted.until);
    let zone = print::offset(ctx.utc_offset_min);
    lines.hanging("", &format!("Gauge readings until {until} ({zone})."));
    for sentence in doubted_summary(doubted, ctx) {
        lines.hanging("", &sentence);
    }
    gauges(&mut lines, doubted, ctx);
    if doubted.series_that_could > 0 {
        lines.blank();
        lines.hanging("", STILL_MEANS);
        readers(&mut lines, "By gauge:", &doubted.by_gauge);
        let shifts = format!("By crew shift, {}:", shifts_text(doubted));
        readers(&mut lines, &shifts, &doubted.by_shift);
        let stayed = "Readings that stayed where the one before was, by crew shift:";
        readers(&mut lines, stayed, &doubted.stayed_by_shift);
        if members == Members::Told {
            readers(&mut lines, "By member number:", &doubted.by_member);
            let stayed = "Readings that stayed where the one before was, by member number:";
            readers(&mut lines, stayed, &doubted.stayed_by_member);
        }
    }
    series(&mut lines, doubted, ctx);
    lines.blank();
    lines.hanging("", caution());
    lines.into_text()
}

fn gauges(lines: &mut Lines, doubted: &Doubted, ctx: &Context) {
    if doubted.gauges.is_empty() {
        return;
    }
    lines.blank();
    lines.hanging("", "Gauges beside each other:");
    for one in &doubted.gauges {
        let text = format!("{}: {}", gauge_text(&one.number), apart_text(one, ctx));
        lines.hanging("  - ", &text);
    }
    lines.hanging("", APART_MEANS);
}

fn readers(lines: &mut Lines, title: &str, all: &[Still]) {
    lines.blank();
    lines.hanging("", title);
    // Many a list is of readers of whom nothing can be said: those are counted.
    let (few, told): (Vec<&Still>, Vec<&Still>) = all
        .iter()
        .partition(|one| one.said == StillSaid::TooFew && one.of.count == 0);
    for one in told {
        let text = format!("{}: {}", reader_text(&one.reader), still_text(one));
        lines.hanging("  - ", &text);
    }
    if !few.is_empty() {
        let text = format!("{} of whom there is too little to say", few.len());
        lines.hanging("  - ", &text);
    }
}

fn series(lines: &mut Lines, doubted: &Doubted, ctx: &Context) {
    if doubted.series.is_empty() {
        return;
    }
    lines.blank();
    lines.hanging("", "Series that never moved, the newest first:");
    for one in &doubted.series {
        let (number, label) = (clean(&one.number), clean(&one.label));
        let (text, by) = (series_text(one, ctx), series_by_text(one));
        lines.hanging("  - ", &format!("{number}, {label}: {text} ({by})"));
    }
}

/// Chambers by their leak, and hold tests, at most 80 columns wide.
#[must_use]
pub fn leaks_report(leaks: &ChamberLeaks, holds: &HoldsDone, ctx: &Context) -> String {
    let mut lines = Lines::default();
    let when = ctx.local(leaks.as_of);
    let zone = print::offset(ctx.utc_offset_min);
    lines.hanging(
        "",
        &format!(
            "Leaks as of {when} ({zone}). {}",
            leaks_asked_text(leaks, ctx)
        ),
    );
    lines.hanging("", &leaks_summary(leaks));
    if !leaks.leaking.is_empty() {
        lines.blank();
        lines.hanging("", "By the day on which they are too soft:");
    }
    for one in &leaks.leaking {
        let over = if one.is_over {
            "more than it may: "
        } else {
            ""
        };
        let rate = leak_rate_text(&one.rate, ctx);
        let soft = soft_on_text(one, leaks, ctx);
        let text = format!("{}: {soft}; loses {over}{rate}", named(&one.chamber, ctx));
        lines.hanging("  - ", &text);
    }
    not_known(&mut lines, leaks, ctx);
    held(&mut lines, holds, ctx);
    lines.blank();
    lines.hanging("", caution());
    lines.into_text()
}

fn named(chamber: &Chamber, ctx: &Context) -> String {
    let (number, label) = (clean(&chamber.number), clean(&chamber.label));
    format!(
        "{number} at {}, {label}",
        ctx.station_list(&chamber.stations)
    )
}

fn not_known(lines: &mut Lines, leaks: &ChamberLeaks, ctx: &Context) {
    if leaks.not_known.is_empty() {
        return;
    }
    lines.blank();
    lines.hanging("", "Not known of:");
    for one in &leaks.not_known {
        let hint = one.hint.as_ref().map_or_else(String::new, |rate| {
            format!("; they hint at {}", leak_rate_text(rate, ctx))
        });
        let why = why_not_known_text(one.why);
        lines.hanging(
            "  - ",
            &format!("{}: {why}{hint}", named(&one.chamber, ctx)),
        );
    }
}

fn held(lines: &mut Lines, holds: &HoldsDone, ctx: &Context) {
    lines.blank();
    if holds.tests.is_empty() {
        lines.hanging("", "No hold test with its values is known here.");
        return;
    }
    lines.hanging("", "Hold tests, the newest first:");
    for one in &holds.tests {
        let day = print::local_day(one.at, ctx.utc_offset_min);
        let (number, part) = (clean(&one.number), clean(&one.part_label));
        let sort = hold_sort_text(one.sort);
        let text = hold_tested_text(one, ctx);
        lines.hanging("  - ", &format!("{day} {number}, {part}, {sort}: {text}"));
    }
    if holds.courses.is_empty() {
        return;
    }
    lines.blank();
    lines.hanging("", "Chambers tested more than once, the oldest loss first:");
    for one in &holds.courses {
        let (number, part) = (clean(&one.number), clean(&one.part_label));
        let sort = hold_sort_text(one.sort);
        let text = losses_text(one, ctx);
        lines.hanging("  - ", &format!("{number}, {part}, {sort}: {text}"));
    }
}

/// The reading history of one craft, at most 80 columns wide.
#[must_use]
pub fn readings_report(craft: &ReadBack, leaks: &ChamberLeaks, ctx: &Context) -> String {
    let mut lines = Lines::default();
    let number = short_number(&craft.number);
    let asked = leaks_asked_text(leaks, ctx);
    lines.hanging("", &format!("Readings of {number}. {asked}"));
    for one in &craft.chambers {
        lines.blank();
        let label = clean(&one.curve.chamber.label);
        lines.hanging(
            "",
            &format!(
                "{label}: {}",
                crate::sentence::leaks::stands_text(&one.curve, ctx)
            ),
        );
        let rows: Vec<Vec<String>> = one
            .happened
            .iter()
            .map(|happened| row(happened, ctx))
            .collect();
        if !rows.is_empty() {
            lines.block(&columns(&READING_COLUMNS, &rows));
        }
    }
    lines.blank();
    lines.hanging("", caution());
    lines.into_text()
}

/// Names of the columns of [`reading_cells`].
pub const READING_COLUMNS: [&str; 5] = ["when", "what", "gauge shows", "air or fabric", "at 15 °C"];

fn row(happened: &Happened, ctx: &Context) -> Vec<String> {
    match happened {
        Happened::Read(shown) => reading_cells(shown, ctx).to_vec(),
        Happened::Cut(at, _) => vec![ctx.local(*at), happened_text(happened)],
    }
}

/// One reading: when, what, what the gauge showed, the temperature, and what it would show at 15 °C.
#[must_use]
pub fn reading_cells(shown: &ReadingShown, ctx: &Context) -> [String; 5] {
    let reading = &shown.past.reading;
    let temperature = reading.fabric_mc.or(reading.air_mc);
    let temperature = temperature.map_or_else(
        || "not said".to_owned(),
        |mc| print::temperature(mc, ctx.units),
    );
    let corrected = shown.corrected_pa.map_or_else(
        || "cannot be compared".to_owned(),
        |pa| print::pressure(pa, ctx.units),
    );
    let what = happened_text(&Happened::Read(Box::new(shown.clone())));
    [
        ctx.local(shown.past.at),
        what,
        print::pressure(reading.gauge_pa, ctx.units),
        temperature,
        corrected,
    ]
}
