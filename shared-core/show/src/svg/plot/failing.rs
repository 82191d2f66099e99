//! How often something has failed by so much time, against the others: the mean cumulative function.

use maud::{Markup, html};

use super::axis::{Of, marks, words};
use super::paper::{Axis, Told, drawing};
use super::tone::Tone;
use crate::clean::clean;
use crate::units::print::figure;

/// Lines of a table shown at once; the file has all.
const ROWS_MAX: usize = 60;

/// One step: from `t` on, so many faults a craft on the average.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// When, in the plot's time.
    pub t: f64,
    /// Faults a unit by then, on the average.
    pub value: f64,
    /// Lower end of its interval.
    pub lower: f64,
    /// Upper end.
    pub upper: f64,
}

/// What is plotted.
#[derive(Clone, Copy, Debug)]
pub struct FailingPlot<'a> {
    /// Begins the ids within the page.
    pub id: &'a str,
    /// What fails, in words.
    pub name: &'a str,
    /// What the others are, in words; empty when there are none.
    pub others_name: &'a str,
    /// What the time is, such as `days since the craft came`.
    pub across: &'a str,
    /// Its steps, in order of time.
    pub own: &'a [Step],
    /// Until then it was looked at.
    pub own_until: f64,
    /// Those of the others.
    pub others: &'a [Step],
    /// Until then they were looked at.
    pub others_until: f64,
    /// Share that the interval covers, percent.
    pub level_percent: u32,
}

/// The figure: drawing, key, table.
#[must_use]
pub fn failing_plot(plot: &FailingPlot<'_>) -> Markup {
    html! {
        figure class="plot" {
            (drawn(plot))
            figcaption {
                "Faults a unit by then, on the average. Solid line: " (clean(plot.name))
                "; shaded: where that may lie, " (plot.level_percent) " times of 100."
                @if !plot.others.is_empty() {
                    " Broken line: " (clean(plot.others_name)) "."
                }
                " The steeper, the oftener it fails; a straight line is a steady rate."
            }
            (table(plot))
        }
    }
}

fn drawn(plot: &FailingPlot<'_>) -> Markup {
    let until = plot.own_until.max(plot.others_until).max(f64::MIN_POSITIVE);
    let greatest = |steps: &[Step]| steps.iter().map(|step| step.value).fold(0.0, f64::max);
    let highest = plot.own.iter().map(|step| step.upper).fold(0.0, f64::max);
    let top = greatest(plot.own).max(greatest(plot.others));
    // An interval that is far wider than what it is of would press the line to the floor.
    let top = if highest.is_finite() {
        highest.clamp(top, 2.0 * top)
    } else {
        2.0 * top
    };
    let up = marks(top, 6, Of::Amounts);
    let along = marks(until, 6, Of::Amounts);
    let axis = |at: &[f64], of: &str, last: f64| Axis {
        marks: at.iter().map(|mark| (*mark, words(*mark, at))).collect(),
        ends: (0.0, last),
        of: of.to_owned(),
    };
    let across = axis(&along, plot.across, until);
    let upward = axis(&up, "faults a unit", up.last().copied().unwrap_or(1.0));
    let described = described(plot);
    let told = Told {
        id: plot.id,
        title: &format!("How often it has failed: {}", clean(plot.name)),
        description: &described,
    };
    drawing(told, &across, &upward, |sheet| {
        sheet.shape(&band(plot.own, plot.own_until), Tone::Band)?;
        if !plot.others.is_empty() {
            let others = stairs(plot.others, plot.others_until, |step| step.value);
            sheet.line(&others, Tone::Others, 2)?;
        }
        let own = stairs(plot.own, plot.own_until, |step| step.value);
        sheet.line(&own, Tone::Own, 3)
    })
}

/// A line that stays until the next step.
fn stairs(steps: &[Step], until: f64, of: impl Fn(&Step) -> f64) -> Vec<(f64, f64)> {
    let mut points = vec![(0.0, 0.0)];
    let mut at = 0.0;
    for step in steps {
        let value = of(step);
        points.extend([(step.t, at), (step.t, value)]);
        at = value;
    }
    points.push((until, at));
    points
}

fn band(steps: &[Step], until: f64) -> Vec<(f64, f64)> {
    let mut around = stairs(steps, until, |step| step.lower);
    let upper = stairs(steps, until, |step| step.upper);
    around.extend(upper.into_iter().rev());
    around
}

fn described(plot: &FailingPlot<'_>) -> String {
    let end = |steps: &[Step]| {
        steps
            .last()
            .map_or_else(|| "0".to_owned(), |step| figure(step.value))
    };
    let own = end(plot.own);
    let own_until = figure(plot.own_until);
    let mut text = format!(
        "{}: {own} faults a unit after {own_until} {}.",
        clean(plot.name),
        clean(plot.across)
    );
    if !plot.others.is_empty() {
        text.push_str(&format!(
            " {}: {} after {}.",
            clean(plot.others_name),
            end(plot.others),
            figure(plot.others_until)
        ));
    }
    text
}

fn table(plot: &FailingPlot<'_>) -> Markup {
    html! {
        details class="plot-table" {
            summary { "The same as a table" }
            (steps(plot.name, plot.across, plot.own))
            @if !plot.others.is_empty() { (steps(plot.others_name, plot.across, plot.others)) }
        }
    }
}

fn steps(name: &str, across: &str, steps: &[Step]) -> Markup {
    html! {
        table {
            caption { (clean(name)) ": faults a unit by then" }
            thead { tr {
                th scope="col" class="number" { (clean(across)) }
                th scope="col" class="number" { "faults a unit" }
                th scope="col" class="number" { "at least" }
                th scope="col" class="number" { "at most" }
            } }
            tbody {
                @for step in steps.iter().take(ROWS_MAX) {
                    tr {
                        th scope="row" class="number" { (figure(step.t)) }
                        td class="number" { (figure(step.value)) }
                        td class="number" { (figure(step.lower)) }
                        td class="number" { (figure(step.upper)) }
                    }
                }
            }
        }
        @if steps.len() > ROWS_MAX {
            p class="soft" { (steps.len() - ROWS_MAX) " more steps are in the JSON form." }
        }
    }
}
