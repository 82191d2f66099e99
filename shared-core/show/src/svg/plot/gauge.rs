//! What a chamber's gauge showed over time: as read, at one temperature, and where it is going.

use chrono::{Duration, NaiveDate};
use maud::{Markup, html};

use super::axis::{marks_between, words};
use super::days::months;
use super::paper::{Axis, DOT, DOWN, Told, UP, drawing};
use super::tone::Tone;
use crate::clean::clean;

/// Lines of a table shown at once: a year of weekly checks.
const ROWS_MAX: usize = 60;

/// What is plotted. Gauges are in the unit that people read, days count from `first`.
#[derive(Clone, Copy, Debug)]
pub struct GaugePlot<'a> {
    /// Begins the ids within the page.
    pub id: &'a str,
    /// The chamber, in words.
    pub name: &'a str,
    /// The unit of the gauges.
    pub unit: &'a str,
    /// Decimal places of a gauge in that unit.
    pub places: usize,
    /// Temperature of the corrected gauge, in words.
    pub corrected_to: &'a str,
    /// Day 0.
    pub first: NaiveDate,
    /// Last day shown.
    pub last_day: f64,
    /// Readings, in order of time.
    pub readings: &'a [GaugeRead],
    /// Air added or let out.
    pub air: &'a [AirMark],
    /// The fitted line and where the gauge is likely to be, in order of time; empty when nothing could
    /// be fitted.
    pub line: &'a [Likely],
    /// Least gauge of the part.
    pub least: Option<f64>,
}

/// A reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GaugeRead {
    /// Day.
    pub day: f64,
    /// As read.
    pub read: f64,
    /// At the plot's temperature; none where the part's temperature was not known.
    pub corrected: Option<f64>,
}

/// Air added or let out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirMark {
    /// Day.
    pub day: f64,
    /// Added, not let out.
    pub added: bool,
}

/// A point of the fitted line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Likely {
    /// Day.
    pub day: f64,
    /// On the line.
    pub value: f64,
    /// Where a reading is likely to lie.
    pub between: (f64, f64),
}

/// The figure: drawing, key, table.
#[must_use]
pub fn gauge_plot(plot: &GaugePlot<'_>) -> Markup {
    html! {
        figure class="plot" {
            (drawn(plot))
            figcaption {
                "Ring: as read. Dot: what the gauge would show at " (clean(plot.corrected_to)) "."
                @if !plot.air.is_empty() {
                    " Triangle at the foot: air added (up) or let out (down)."
                }
                @if !plot.line.is_empty() {
                    " Line: the loss as it went and as it may go on; shaded: where 95 readings of 100 would lie."
                }
                @if plot.least.is_some() { " Broken line: the least that the part must have." }
            }
            (table(plot))
        }
    }
}

fn drawn(plot: &GaugePlot<'_>) -> Markup {
    let up = upward(plot);
    let (low, high) = match up.as_slice() {
        [first, .., last] => (*first, *last),
        [] | [_] => (0.0, 1.0),
    };
    let last = plot.first + Duration::days(whole(plot.last_day));
    let upward = Axis {
        marks: up.iter().map(|mark| (*mark, words(*mark, &up))).collect(),
        ends: (low, high),
        of: format!("gauge, {}", plot.unit),
    };
    let across = Axis {
        marks: months(plot.first, last, 5),
        ends: (0.0, plot.last_day.max(1.0)),
        of: String::new(),
    };
    let described = described(plot);
    let told = Told {
        id: plot.id,
        title: &format!("Gauge of {} over time", clean(plot.name)),
        description: &described,
    };
    drawing(told, &across, &upward, |sheet| {
        if !plot.line.is_empty() {
            sheet.shape(&band(plot.line), Tone::Band)?;
        }
        if let Some(least) = plot.least {
            sheet.line(&[(0.0, least), (plot.last_day, least)], Tone::Limit, 2)?;
        }
        let line: Vec<(f64, f64)> = plot.line.iter().map(|one| (one.day, one.value)).collect();
        sheet.line(&line, Tone::Own, 2)?;
        for one in plot.readings {
            sheet.mark((one.day, one.read), (&DOT, Tone::Read))?;
            if let Some(corrected) = one.corrected {
                sheet.mark((one.day, corrected), (&DOT, Tone::Corrected))?;
            }
        }
        for one in plot.air {
            let shape = if one.added { &UP } else { &DOWN };
            sheet.mark((one.day, low), (shape, Tone::Air))?;
        }
        Ok(())
    })
}

/// Marks from below all that is drawn, air at the foot included, to above it.
fn upward(plot: &GaugePlot<'_>) -> Vec<f64> {
    let read = plot
        .readings
        .iter()
        .flat_map(|one| [Some(one.read), one.corrected]);
    let line = plot.line.iter().map(|one| one.value);
    let all: Vec<f64> = read.flatten().chain(line).chain(plot.least).collect();
    if all.is_empty() {
        return vec![0.0, 1.0];
    }
    let least = all.iter().copied().fold(f64::INFINITY, f64::min);
    let greatest = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let margin = (greatest - least).max(greatest.abs() * 0.05) * 0.12;
    marks_between(least - margin, greatest + margin, 6)
}

fn band(line: &[Likely]) -> Vec<(f64, f64)> {
    let lower = line.iter().map(|one| (one.day, one.between.0));
    let upper = line.iter().rev().map(|one| (one.day, one.between.1));
    lower.chain(upper).collect()
}

fn described(plot: &GaugePlot<'_>) -> String {
    let Some(last) = plot.readings.last() else {
        return "No reading yet.".to_owned();
    };
    let count = plot.readings.len();
    format!(
        "{count} readings; the last one, on {}, {} {}.",
        on(plot, last.day),
        number(plot, last.read),
        plot.unit
    )
}

fn on(plot: &GaugePlot<'_>, day: f64) -> String {
    let day = plot.first + Duration::days(whole(day));
    day.format("%Y-%m-%d").to_string()
}

fn number(plot: &GaugePlot<'_>, value: f64) -> String {
    let places = plot.places;
    format!("{value:.places$}")
}

fn table(plot: &GaugePlot<'_>) -> Markup {
    let left_out = plot.readings.len().saturating_sub(ROWS_MAX);
    html! {
        details class="plot-table" {
            summary { "The same as a table" }
            table {
                caption { (clean(plot.name)) ": gauge, " (plot.unit) }
                thead { tr {
                    th scope="col" { "day" }
                    th scope="col" class="number" { "as read" }
                    th scope="col" class="number" { "at " (clean(plot.corrected_to)) }
                } }
                tbody {
                    @for one in plot.readings.iter().skip(left_out) {
                        tr {
                            th scope="row" { (on(plot, one.day)) }
                            td class="number" { (number(plot, one.read)) }
                            td class="number" {
                                @match one.corrected {
                                    Some(value) => { (number(plot, value)) }
                                    None => { "not known" }
                                }
                            }
                        }
                    }
                }
            }
            @if left_out > 0 { p class="soft" { (left_out) " earlier readings are in the JSON form." } }
            (air(plot))
            (likely(plot))
        }
    }
}

fn air(plot: &GaugePlot<'_>) -> Markup {
    let days = |added: bool| -> Vec<String> {
        let marks = plot.air.iter().filter(|one| one.added == added);
        marks.map(|one| on(plot, one.day)).collect()
    };
    html! {
        @for (said, days) in [("Air added on ", days(true)), ("Air let out on ", days(false))] {
            @if !days.is_empty() { p { (said) (days.join(", ")) "." } }
        }
    }
}

fn likely(plot: &GaugePlot<'_>) -> Markup {
    let Some(last) = plot.line.last() else {
        return html! {};
    };
    html! {
        p {
            "By " (on(plot, last.day)) " about " (number(plot, last.value)) " " (plot.unit)
            ", between " (number(plot, last.between.0)) " and " (number(plot, last.between.1)) "."
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "days of a craft's life; a cast from f64 saturates"
)]
fn whole(days: f64) -> i64 {
    (days.floor() as i64).clamp(-100_000, 100_000)
}
