//! The crews that this station can raise, and until when.

use maud::{Markup, html};

use super::super::entry::{Entry, Keys, entry, not_recorded, words};
use super::{WorkPage, hidden, press, top};
use crate::clean::clean;

/// What the page knows of the station.
#[derive(Clone, Copy, Debug)]
pub struct CrewsFacts<'a> {
    /// Its name.
    pub station: &'a str,
    /// What it says now, in words; none while nothing is said.
    pub now: Option<&'a str>,
}

const FIELDS: [&str; 7] = [
    "crews", "persons", "until", "for", "from", "operator", "note",
];

/// The page.
#[must_use]
pub fn crews_body(facts: &CrewsFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let number = |name: &str, label: &str, hint: &str| {
        let one = Entry {
            name,
            label,
            hint,
            keys: Keys::Digits,
        };
        entry(&one, page.form)
    };
    let text = |name: &str, label: &str, hint: &str| {
        let one = Entry {
            name,
            label,
            hint,
            keys: Keys::All,
        };
        entry(&one, page.form)
    };
    html! {
        (top(&format!("{}: crews that it can raise", clean(facts.station)), None, page))
        p {
            @match facts.now {
                Some(now) => { "It says now: " (clean(now)) "." }
                None => "It has not said: answers show 'crew not known'.",
            }
        }
        (not_recorded(&FIELDS, page.form))
        form.work method="post" action="/crews" {
            (hidden(page))
            (number("crews", "How many crews", "0 for none"))
            (number("persons", "Persons in all of them", "may stay empty"))
            (text("for", "For how long", "for example 12h"))
            (text("until", "Or until when", "local time, for example 2026-03-14 18:00"))
            (text("from", "From when, if not from now", "local time; may stay empty"))
            (text("operator", "Operators among them", "member numbers with commas between, for example 214, 220"))
            (words("note", "Anything else", "may stay empty", page.form))
            (press("Say these crews", page))
        }
    }
}
