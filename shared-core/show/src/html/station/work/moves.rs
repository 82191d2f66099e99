//! Something is somewhere else now: a craft, gear or a bag; a spare bag for one on a craft.

use maud::{Markup, html};

use super::super::entry::{Entry, Keys, entry, not_recorded, one_of, words};
use super::{WorkPage, hidden, press, top};
use crate::clean::clean;

/// What the page knows of the station.
#[derive(Clone, Copy, Debug)]
pub struct MoveFacts<'a> {
    /// Craft, gear and bags, those of this station first.
    pub things: &'a [Thing],
    /// Stations, craft and shelves.
    pub places: &'a [Thing],
    /// Bags on a craft.
    pub bags: &'a [Thing],
    /// Bags on no craft.
    pub spares: &'a [Thing],
    /// What goes along with the craft that was chosen.
    pub along: Option<&'a GoesAlong>,
}

/// Something that has a number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Thing {
    /// How a form names it: its number, or `#` and the beginning of its id.
    pub name: String,
    /// Its number, what it is, and where.
    pub words: String,
}

/// What goes to another station with a craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GoesAlong {
    /// Number of the craft.
    pub number: String,
    /// Entries of its log that are held here.
    pub entries: String,
    /// Each open fault, in words.
    pub faults: Vec<String>,
    /// Numbers of the gear and bags on it.
    pub aboard: Vec<String>,
}

const FIELDS: [&str; 5] = ["thing", "to", "part", "note", "observed"];

/// Fields of a swap, where there are bags for one.
const OF_SWAP: [&str; 2] = ["for", "spare"];

/// The page.
#[must_use]
pub fn move_body(facts: &MoveFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let swaps = !facts.bags.is_empty() && !facts.spares.is_empty();
    let of_swap = OF_SWAP.iter().filter(|_| swaps);
    let fields: Vec<&str> = FIELDS.iter().chain(of_swap).copied().collect();
    html! {
        (top("Moves", None, page))
        (not_recorded(&fields, page.form))
        section aria-labelledby="move" {
            h2 id="move" { "Something is somewhere else now" }
            form.work method="post" action="/move" {
                (hidden(page))
                (named(("thing", "What"), facts.things, page))
                (named(("to", "Where it is now"), facts.places, page))
                p.hint {
                    "Gear moved to a craft is fitted to it, and taken off the one that it was on. "
                    "Its hours, faults and holds go with it; what is in a bag goes with the bag."
                }
                (entry(&Entry {
                    name: "part",
                    label: "It serves as",
                    hint: "only for gear that serves as another part than its own sort; may stay empty",
                    keys: Keys::All,
                }, page.form))
                (words("note", "In words", "may stay empty", page.form))
                @if let Some(along) = facts.along { (goes_along(along)) }
                (press("Record the move", page))
            }
        }
        (swap(facts, page))
        p { a.tapped href="/lend" { "Loose kit was lent to another craft" } }
    }
}

/// What a new station gets with a craft: everything, since the log is of the craft.
fn goes_along(along: &GoesAlong) -> Markup {
    html! {
        div.mind role="alert" {
            input type="hidden" name="seen" value="yes";
            p { "Nothing was recorded yet." }
            p {
                strong { "With " (clean(&along.number)) " goes all that is known of it: " }
                (clean(&along.entries))
                ". The log is the craft's, so nothing has to be copied: the new station has it with its next sync."
            }
            ul {
                @for fault in &along.faults { li { "open fault: " (clean(fault)) } }
                @if along.faults.is_empty() { li { "no open fault" } }
                @if along.aboard.is_empty() { li { "no numbered gear and no bag is on it" } }
                @else { li { "aboard, and going along: " (clean(&along.aboard.join(", "))) } }
            }
        }
    }
}

/// One bag for another, by their numbers.
fn swap(facts: &MoveFacts<'_>, page: &WorkPage<'_>) -> Markup {
    html! {
        section aria-labelledby="swap" {
            h2 id="swap" { "A spare bag for one on a craft" }
            @if facts.bags.is_empty() || facts.spares.is_empty() {
                p {
                    @if facts.bags.is_empty() { "No bag is on a craft here." }
                    @else { "No spare bag is known here: a bag that is on no craft." }
                }
            } @else {
                form.work method="post" action="/move" {
                    (hidden(page))
                    (named(("for", "Bag that is taken off"), facts.bags, page))
                    (named(("spare", "Spare bag that takes its place"), facts.spares, page))
                    p.hint { "The bag that is taken off goes to where the spare one was." }
                    (press("Record the swap", page))
                }
            }
        }
    }
}

fn named((name, label): (&str, &str), all: &[Thing], page: &WorkPage<'_>) -> Markup {
    let options: Vec<(String, String)> = all
        .iter()
        .map(|one| (one.name.clone(), one.words.clone()))
        .collect();
    one_of((name, label), "choose", &options, page.form)
}
