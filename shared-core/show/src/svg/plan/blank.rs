//! The same drawing, empty, to mark places on by hand: each part with its number where one was given.

use maud::{Markup, html};
use sponson_readiness::ids::PartId;
use sponson_readiness::standard::Standard;

use super::hull::{BEAM, CENTRE, FOOT, Hull};
use super::shape;
use crate::clean::clean;
use crate::svg::{Closed, number, path};

/// Free space beside the craft, to write in.
const BESIDE: f64 = 44.0;

/// The drawing. `numbered` gives the number that stands on a part.
pub(crate) fn blank(standard: &Standard, numbered: impl Fn(&PartId) -> Option<usize>) -> Markup {
    let hull = Hull::of(standard.class);
    let (drawn, _) = shape::of_parts(standard, hull);
    let (left, width) = (CENTRE - BEAM - BESIDE, 2.0 * (BEAM + BESIDE));
    html! {
        svg class="drawing plan-blank" role="img"
            aria-label={ (clean(&standard.label)) " from above, bow up, port on the left, to mark places on" }
            viewBox={ (number(left)) " 0 " (number(width)) " " (number(FOOT)) } {
            text class="plan-way" x=(number(CENTRE)) y="14" text-anchor="middle" { "bow" }
            text class="plan-way" x=(number(left + 3.0)) y="14" { "port" }
            text class="plan-way" x=(number(left + width - 3.0)) y="14" text-anchor="end" { "starboard" }
            path class="plan-outline" d=(path(&hull.outline(0.0), Closed::Yes)) {}
            @for one in &drawn { path class={ "plan-part " (one.class) } d=(one.data) {} }
            @for one in &drawn {
                @if let Some(of_part) = numbered(&one.part.id) {
                    text class="plan-number" x=(number(one.anchor.x)) y=(number(one.anchor.y + 4.0))
                        text-anchor="middle" { (of_part) }
                }
            }
        }
    }
}
