//! The same drawing with all faults that were ever found, each by its number in a list: what keeps
//! failing at one place stands together.

use maud::{Markup, html};
use sponson_readiness::event::PartPlace;
use sponson_readiness::ids::PartId;
use sponson_readiness::standard::Standard;

use super::hull::{CENTRE, FOOT, Hull};
use super::numbers::Numbers;
use super::shape::{self, Drawn};
use super::{WIDTH, list};
use crate::clean::clean;
use crate::svg::{Closed, number, path};

/// A fault with its number in a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FaultMark<'a> {
    /// Its number.
    pub number: usize,
    /// The part.
    pub part: &'a PartId,
    /// Where on it, as far as it was said.
    pub place: PartPlace,
}

/// The drawing, with the numbers that have no place on it said below. `id` begins the ids within the
/// page; `name` is what was looked at: a craft, or craft of a model.
#[must_use]
pub fn plan_of_faults(
    (id, name): (&str, &str),
    standard: &Standard,
    faults: &[FaultMark<'_>],
) -> Markup {
    let hull = Hull::of(standard.class);
    let (drawn, _) = shape::of_parts(standard, hull);
    let numbers = Numbers::of_faults(standard, faults, (&drawn, hull));
    html! {
        figure class="plan" {
            svg class="drawing plan-drawing" role="img"
                viewBox={ "0 0 " (number(WIDTH)) " " (number(FOOT)) }
                aria-labelledby={ (id) "-title " (id) "-desc" } {
                title id={ (id) "-title" } { (clean(name)) " from above with its faults, bow up, port on the left" }
                desc id={ (id) "-desc" } { (described(&drawn, faults)) }
                text class="plan-way" x=(number(CENTRE)) y="16" text-anchor="middle" { "bow" }
                text class="plan-way" x="96" y="16" { "port" }
                text class="plan-way" x=(number(WIDTH - 96.0)) y="16" text-anchor="end" { "starboard" }
                path class="plan-outline" d=(path(&hull.outline(0.0), Closed::Yes)) {}
                @for one in &drawn {
                    path class={ "plan-part " (one.class) } d=(one.data) { title { (clean(&one.part.label)) } }
                }
                (numbers.markup)
            }
            figcaption {
                "Seen from above, not to scale: bow at the top, port on the left. A number is that of the "
                "list of faults; a dot is where one was found."
                @if !numbers.elsewhere.is_empty() {
                    " Of no one place on the drawing: " (list(&numbers.elsewhere)) "."
                }
            }
        }
    }
}

/// How many at which part, the most first.
fn described(drawn: &[Drawn<'_>], faults: &[FaultMark<'_>]) -> String {
    let at = |part: &PartId| faults.iter().filter(|fault| fault.part == part).count();
    let parts = drawn.iter().map(|one| (at(&one.part.id), &one.part.label));
    let mut parts: Vec<(usize, &String)> = parts.filter(|(count, _)| *count > 0).collect();
    parts.sort_by_key(|(count, _)| std::cmp::Reverse(*count));
    let said: Vec<String> = parts
        .into_iter()
        .map(|(count, label)| format!("{}: {count}", clean(label)))
        .collect();
    if said.is_empty() {
        "No fault has a place on the drawing.".to_owned()
    } else {
        format!("Faults by part. {}.", said.join("; "))
    }
}
