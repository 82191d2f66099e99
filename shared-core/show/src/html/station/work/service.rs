//! Out of service and back: what people declare of a craft.

use maud::{Markup, html};

use super::super::entry::{not_recorded, taps_needed, words};
use super::{OfCraft, WorkPage, hidden, press, top};
use crate::clean::clean;

/// What the page knows of the craft.
#[derive(Clone, Copy, Debug)]
pub struct ServiceFacts<'a> {
    /// The craft.
    pub craft: OfCraft<'a>,
    /// Statements that it is out of service which nobody ended.
    pub out: &'a [OutNow],
}

/// A statement that a craft is out of service.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutNow {
    /// What it says, in words.
    pub what: String,
    /// When and by whom, in words.
    pub by: String,
}

const REASONS: [(&str, &str); 3] = [
    ("mechanical", "Mechanical"),
    ("personnel", "Personnel"),
    ("rest", "Rest"),
];

/// The page.
#[must_use]
pub fn service_body(facts: &ServiceFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let action = format!("/service/{}", facts.craft.id);
    html! {
        (top("out of service, or back", Some(&facts.craft), page))
        (not_recorded(&["reason", "note"], page.form))
        @if !facts.out.is_empty() {
            section aria-labelledby="back" {
                h2 id="back" { "It is out of service" }
                ul { @for one in facts.out { li { (clean(&one.what)) ", " (clean(&one.by)) } } }
                form.work method="post" action=(action) {
                    (hidden(page))
                    input type="hidden" name="do" value="back";
                    p.hint { "Ends what stands above, and no fault: those are signed off." }
                    (words("note-back", "In words", "may stay empty", page.form))
                    (press("It is back in service", page))
                }
            }
        }
        section aria-labelledby="out" {
            h2 id="out" { @if facts.out.is_empty() { "Declare it out of service" } @else { "Out of service for another reason too" } }
            form.work method="post" action=(action) {
                (hidden(page))
                input type="hidden" name="do" value="out";
                (taps_needed(("reason", "Why"), &REASONS, page.form))
                (words("note", "In words", "may stay empty", page.form))
                (press("It is out of service", page))
            }
        }
    }
}
