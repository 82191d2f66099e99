//! Loose kit that went from one craft, shelf or store to another, counted at both.

use maud::{Markup, html};

use super::super::entry::{Entry, Keys, entry, not_recorded, one_of, words};
use super::moves::Thing;
use super::{WorkPage, hidden, press, top};
use crate::clean::clean;

/// What the page knows of the station.
#[derive(Clone, Copy, Debug)]
pub struct LendFacts<'a> {
    /// Craft, shelves, stations and bags on no craft.
    pub places: &'a [Thing],
    /// Kit of the boat standards: id and words.
    pub items: &'a [(String, String)],
    /// What was lent and not brought back: the way back of each, and words.
    pub back: &'a [(String, String)],
}

const FIELDS: [&str; 8] = [
    "from",
    "to",
    "item",
    "left",
    "left-dates",
    "there",
    "there-dates",
    "note",
];

/// The page.
#[must_use]
pub fn lend_body(facts: &LendFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let places: Vec<(String, String)> = facts
        .places
        .iter()
        .map(|one| (one.name.clone(), one.words.clone()))
        .collect();
    let count = |name: &str, label: &str| {
        let one = Entry {
            name,
            label,
            hint: "all that is there now, good or not: count it",
            keys: Keys::Digits,
        };
        entry(&one, page.form)
    };
    let dates = |name: &str| {
        let one = Entry {
            name,
            label: "Their dates",
            hint: "for kit with dates, commas between: 3 x 2027-03, 1 x made 2025-05; may stay empty",
            keys: Keys::All,
        };
        entry(&one, page.form)
    };
    html! {
        (top("Loose kit lent", None, page))
        @if !facts.back.is_empty() {
            section aria-labelledby="away" {
                h2 id="away" { "Lent, and not brought back" }
                p.hint { "By the notes of the newest entries of the craft here." }
                ul.rows {
                    @for (href, said) in facts.back {
                        li {
                            p { (clean(said)) }
                            a.tapped href=(href) { "Bring it back" span.unseen { ": " (clean(said)) } }
                        }
                    }
                }
            }
        }
        p {
            "Count at both ends after it was handed over. Both counts are recorded together, each with a note that names the other. "
            "A bag is not lent but moved, with all that is in it: " a href="/move" { "moves" } "."
        }
        (not_recorded(&FIELDS, page.form))
        form.work method="post" action="/lend" {
            (hidden(page))
            (one_of(("item", "What"), "choose", facts.items, page.form))
            fieldset {
                legend { "Who gave it" }
                (one_of(("from", "Craft, shelf or store"), "choose", &places, page.form))
                (count("left", "How many are left there"))
                (dates("left-dates"))
            }
            fieldset {
                legend { "Who has it now" }
                (one_of(("to", "Craft, shelf or store"), "choose", &places, page.form))
                (count("there", "How many are there now"))
                (dates("there-dates"))
            }
            (words("note", "In words", "for what, until when; may stay empty", page.form))
            (press("Record both counts", page))
        }
    }
}
