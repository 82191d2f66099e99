//! Our own marks: hulls seen from above, bow to the right. A word always stands beside one.

use maud::{Markup, html};
use sponson_readiness::answer::Readiness;

use crate::words;

/// What a mark shows.
const MARKS: [(Readiness, &str); 4] = [
    (Readiness::Ready, "a whole hull: ready"),
    (
        Readiness::ReadyWithLimits,
        "a hull with its bow cut off: ready with limits",
    ),
    (Readiness::Unproven, "a dotted hull: not checked"),
    (Readiness::NotReady, "a crossed hull: not ready"),
];

const fn mark_id(readiness: Readiness) -> &'static str {
    match readiness {
        Readiness::Ready => "m-r",
        Readiness::ReadyWithLimits => "m-l",
        Readiness::Unproven => "m-u",
        Readiness::NotReady => "m-n",
    }
}

/// The mark of a readiness, for use beside its word.
#[must_use]
pub fn readiness_mark(readiness: Readiness) -> Markup {
    mark(mark_id(readiness))
}

/// A mark by its id.
#[must_use]
pub fn mark(id: &str) -> Markup {
    html! { svg.mark aria-hidden="true" { use href={ "#" (id) } {} } }
}

/// The shapes that marks refer to; once on every page.
pub(super) fn shapes() -> Markup {
    html! {
        svg.shapes aria-hidden="true" focusable="false" width="0" height="0" {
            @for (readiness, title) in MARKS {
                symbol id=(mark_id(readiness)) viewBox="0 0 34 16" {
                    title { (title) }
                    (shape(readiness))
                }
            }
        }
    }
}

fn shape(readiness: Readiness) -> Markup {
    const HULL: &str = "M2 2h18q9 1 12 6q-3 5-12 6H2z";
    const REEFED: &str = "M2 2h18l5 1.6v8.8L20 14H2z";
    match readiness {
        Readiness::Ready => html! { path.hull d=(HULL) {} path.thwart d="M9 2v12M17 2v12" {} },
        Readiness::ReadyWithLimits => html! {
            path.hull d=(REEFED) {}
            path.bow d="M28.5 3.5v9" {}
        },
        Readiness::Unproven => html! { path.dotted d=(HULL) {} },
        Readiness::NotReady => html! {
            path.bare d=(HULL) {}
            path.cross d="M5 15.4L29 .6M5 .6l24 14.8" {}
        },
    }
}

/// The marks with their words.
pub(super) fn legend() -> Markup {
    html! {
        ul.legend {
            @for (readiness, _) in MARKS {
                li { (readiness_mark(readiness)) " " (words::readiness(readiness)) }
            }
        }
    }
}
