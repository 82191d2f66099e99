//! A craft seen from above, bow up, port on the left: the parts of its boat standard at their places,
//! what the gauge showed on each, and the findings by their numbers.
//!
//! Drawn from the sheet, so a part is there because the sheet has it; what no place can be told of is
//! listed below. It judges nothing: findings and pressures are the answer's. Not to scale.

use maud::{Markup, html};
use sponson_readiness::answer::CraftAnswer;
use sponson_readiness::standard::Standard;

use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

mod blank;
mod faults;
mod hull;
mod notes;
mod numbers;
mod pick;
mod place;
mod shape;
mod state;
mod tubes;
mod walk;

pub(crate) use blank::blank;
pub use faults::{FaultMark, plan_of_faults};
use hull::Hull;
use numbers::Numbers;
pub(crate) use pick::{Pointed, pick};
use shape::Drawn;
use state::State;
pub(crate) use state::{between, number};
pub use walk::{plan_at_stop, plan_for_walk};

/// Width of a drawing: a line of text is 14 of its units.
const WIDTH: f64 = 440.0;

/// The drawing with what it means, and what it cannot show.
#[must_use]
pub fn plan(standard: &Standard, craft: &CraftAnswer, ctx: &Context) -> Markup {
    let hull = Hull::of(standard.class);
    let (drawn, listed) = shape::of_parts(standard, hull);
    let numbers = Numbers::of(standard, craft, (&drawn, hull));
    let unit = print::pressure_unit(ctx.units);
    html! {
        figure class="plan" {
            (drawing(standard, craft, ctx, (&drawn, hull, &numbers)))
            figcaption {
                "Seen from above, not to scale: bow at the top, port on the left. Pressures in " (unit)
                ": what the launch will make of them, what is wanted, what was read. "
                "A number in a box is that of the list of findings; a dot is where a fault was found."
                @if !numbers.elsewhere.is_empty() {
                    " Of no one place on the drawing: " (list(&numbers.elsewhere)) "."
                }
            }
            @if !listed.is_empty() {
                p class="plan-listed" { "Not on the drawing: " (labels(&listed)) "." }
            }
        }
    }
}

fn list(numbers: &[usize]) -> String {
    let numbers: Vec<String> = numbers.iter().map(usize::to_string).collect();
    numbers.join(", ")
}

fn labels(parts: &[&sponson_readiness::standard::Part]) -> String {
    let labels: Vec<String> = parts.iter().map(|part| clean(&part.label)).collect();
    labels.join("; ")
}

fn drawing(
    standard: &Standard,
    craft: &CraftAnswer,
    ctx: &Context,
    (drawn, hull, numbers): (&[Drawn<'_>], Hull, &Numbers),
) -> Markup {
    let states = drawn.iter().map(|one| State::of(one.part, craft));
    let states: Vec<State> = states.collect();
    let notes = notes::notes(drawn, &states, ctx);
    let height = notes.height.max(hull::FOOT);
    html! {
        svg class="drawing plan-drawing" viewBox={ "0 0 " (super::number(WIDTH)) " " (super::number(height)) } role="img"
            aria-labelledby="plan-title plan-desc" {
            title id="plan-title" { (clean(&craft.number)) " from above, bow up, port on the left" }
            desc id="plan-desc" { (described(standard, drawn, &states, ctx)) }
            text class="plan-way" x=(super::number(WIDTH / 2.0)) y="16" text-anchor="middle" { "bow" }
            text class="plan-way" x="6" y="16" { "port" }
            text class="plan-way" x=(super::number(WIDTH - 6.0)) y="16" text-anchor="end" { "starboard" }
            path class="plan-outline" d=(super::path(&hull.outline(0.0), super::Closed::Yes)) {}
            @for (one, state) in drawn.iter().zip(&states) {
                path class={ "plan-part " (one.class) " " (state.class()) } d=(one.data) {
                    title { (clean(&one.part.label)) }
                }
            }
            (notes.markup)
            (numbers.markup)
        }
    }
}

/// The drawing in words.
fn described(standard: &Standard, drawn: &[Drawn<'_>], states: &[State], ctx: &Context) -> String {
    let said = drawn.iter().zip(states).map(|(one, state)| {
        let reading = state.words(ctx);
        let gap = if reading.is_empty() { "" } else { ": " };
        format!("{}{gap}{}", clean(&one.part.label), reading.join(", "))
    });
    let said: Vec<String> = said.collect();
    format!("{}. {}.", clean(&standard.label), said.join("; "))
}

/// What a part's gauge should show, behind its name; empty for one that holds no air.
fn described_wanted(part: &sponson_readiness::standard::Part, ctx: &Context) -> String {
    let wanted = part.pressure.as_ref().map(|rule| {
        let range = between((rule.low_pa, rule.high_pa), ctx);
        format!(": wanted {range} {}", print::pressure_unit(ctx.units))
    });
    wanted.unwrap_or_default()
}

#[cfg(test)]
mod tests;
