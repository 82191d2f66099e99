//! The same drawing to point at: where on the craft something was found.
//!
//! It reads no finger: it says in its attributes where bow, transom and middle lie and how long the
//! craft is, so that whoever reads one can tell side and distance. Without that each part is a link.

use maud::{Markup, html};
use sponson_readiness::event::PartPlace;
use sponson_readiness::standard::{Part, Standard};

use super::hull::{BEAM, BOW, CENTRE, FOOT, Hull, TRANSOM};
use super::numbers::exact;
use super::place::Role;
use super::shape::{self, Drawn};
use crate::clean::clean;
use crate::svg::{Closed, number, path};

/// Free space beside the craft: a finger that is beside it by as much still means it.
const BESIDE: f64 = 34.0;

/// What was pointed at.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Pointed<'a> {
    /// Id of the part; empty for none.
    pub(crate) part: &'a str,
    /// Where on it, as far as it was said.
    pub(crate) place: PartPlace,
}

/// The drawing, and the parts that are not on it.
///
/// `link` gives the address that chooses a part; none where a page must not be left.
pub(crate) fn pick<'a>(
    standard: &'a Standard,
    pointed: Pointed<'_>,
    link: impl Fn(&str) -> Option<String>,
) -> (Markup, Vec<&'a Part>) {
    let hull = Hull::of(standard.class);
    let (drawn, listed) = shape::of_parts(standard, hull);
    let (left, width) = (CENTRE - BEAM - BESIDE, 2.0 * (BEAM + BESIDE));
    let markup = html! {
        svg class="drawing place-drawing" role="group" aria-label="The craft from above, bow up, port on the left"
            viewBox={ (number(left)) " 0 " (number(width)) " " (number(FOOT + 6.0)) }
            data-centre=(number(CENTRE)) data-beam=(number(BEAM)) data-bow=(number(BOW))
            data-transom=(number(TRANSOM)) data-length-mm=[standard.length_mm] {
            text class="plan-way" x=(number(CENTRE)) y="16" text-anchor="middle" { "bow" }
            text class="plan-way" x=(number(left + 4.0)) y="16" { "port" }
            text class="plan-way" x=(number(left + width - 4.0)) y="16" text-anchor="end" { "starboard" }
            path class="plan-outline" d=(path(&hull.outline(0.0), Closed::Yes)) {}
            @for one in &drawn { (part(one, pointed.part, &link)) }
            (dot(standard, &drawn, pointed, hull))
        }
    };
    (markup, listed)
}

fn part(one: &Drawn<'_>, chosen: &str, link: &impl Fn(&str) -> Option<String>) -> Markup {
    let id = one.part.id.as_str();
    let is_chosen = id == chosen;
    let class = if is_chosen { " place-chosen" } else { "" };
    let shape = html! {
        path class={ "plan-part " (one.class) (class) } d=(one.data) data-part=(id) {
            title { (clean(&one.part.label)) }
        }
    };
    // Something small is no target for a finger: its name among the fields is.
    match link(id).filter(|_| one.role != Role::Small) {
        Some(href) => html! {
            a href=(href) aria-label=(clean(&one.part.label)) aria-current=[is_chosen.then_some("true")] {
                (shape)
            }
        },
        None => shape,
    }
}

/// The place that was said; hidden where none was, for a script to move.
fn dot(standard: &Standard, drawn: &[Drawn<'_>], pointed: Pointed<'_>, hull: Hull) -> Markup {
    let part = drawn
        .iter()
        .find(|one| one.part.id.as_str() == pointed.part);
    let at = part.and_then(|part| exact(part, pointed.place, standard.length_mm, hull));
    let hidden = at.is_none().then_some("hidden");
    let (x, y) = at.map_or((CENTRE, TRANSOM), |at| (at.x, at.y));
    html! {
        circle class="place-dot" cx=(number(x)) cy=(number(y)) r="7" visibility=[hidden] {}
    }
}
