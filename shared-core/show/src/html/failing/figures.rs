//! Figures as tables.

use maud::{Markup, html};

use crate::clean::clean;
use crate::failing::{Figures, GroupSaid, StepSaid};
use crate::svg::plot::{FailingPlot, Step, failing_plot};

/// Figures, each with its interval.
pub(super) fn table(figures: &Figures, caption: &str) -> Markup {
    html! {
        table.figures {
            caption { (clean(caption)) }
            thead {
                tr {
                    th scope="col" { "What" } th scope="col" { "Figure" }
                    th scope="col" { "May lie between, or in words" }
                }
            }
            tbody {
                @for figure in &figures.0 {
                    tr {
                        th scope="row" { (figure.name) }
                        td data-what="Figure" {
                            (figure.value_text())
                            @if !figure.unit.is_empty() { " " (figure.unit) }
                        }
                        td data-what="Between, or in words" { (figure.between_text()) }
                    }
                }
            }
        }
    }
}

/// Faults so far, drawn, with the same as a table: the group against the rest.
pub(super) fn drawing(group: &GroupSaid, per: &str, level_percent: u32) -> Markup {
    let steps = |all: &[StepSaid]| all.iter().map(step).collect::<Vec<Step>>();
    let (own, others) = (steps(&group.steps), steps(&group.rest_steps));
    if own.is_empty() {
        return html! {};
    }
    let last = |steps: &[Step]| steps.last().map_or(0.0, |step| step.t);
    // So long each was watched, on the average.
    let watched = group.exposure.value() / f64::from(group.units.max(1));
    failing_plot(&FailingPlot {
        id: "over-time-plot",
        name: &group.label,
        others_name: "the rest",
        across: per,
        own: &own,
        own_until: last(&own).max(watched),
        others: &others,
        others_until: last(&others).max(watched),
        level_percent,
    })
}

fn step(step: &StepSaid) -> Step {
    Step {
        t: step.t.value(),
        value: step.mcf.value(),
        lower: step.lower.value(),
        upper: step.upper.value(),
    }
}
