//! Something is wrong on a craft: what, how bad, and where on it.

use maud::{Markup, html};
use sponson_readiness::standard::{Standard, Units};

use super::super::entry::{Entry, Keys, entry, not_recorded, one_of, taps_needed, ticks, words};
use super::super::place::{PlaceAsked, place_picker};
use super::open_faults::{OpenFault, open_faults};
use super::{OfCraft, WorkPage, hidden, press, top};
use crate::clean::clean;

/// What the page knows of the craft.
#[derive(Clone, Copy, Debug)]
pub struct FaultFacts<'a> {
    /// The craft.
    pub craft: OfCraft<'a>,
    /// Its boat standard.
    pub standard: &'a Standard,
    /// How lengths are written.
    pub units: Units,
    /// Classes of fault that the trade knows.
    pub classes: &'a [&'a str],
    /// Numbers of the gear on it.
    pub gear: &'a [String],
    /// Faults that are open on it.
    pub open: &'a [OpenFault],
    /// Open faults like the one that was entered.
    pub like: &'a [LikeFault],
}

/// An open fault that may be the same defect.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LikeFault {
    /// Its short name.
    pub name: String,
    /// What it is, and where.
    pub what: String,
    /// When it was found, in words.
    pub found: String,
}

const SEVERITIES: [(&str, &str); 4] = [
    ("disabling", "Disabling: not fit to go"),
    ("restrictive", "Restrictive: rules out some missions"),
    ("major", "Major: repair it soon"),
    ("minor", "Minor: when convenient"),
];

const FIELDS: [&str; 11] = [
    "part",
    "class",
    "class-other",
    "severity",
    "side",
    "from-transom",
    "face",
    "mission",
    "gear",
    "note",
    "observed",
];

/// The page: the form, and what is open already.
#[must_use]
pub fn fault_body(facts: &FaultFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let here = format!("/fault/{}", facts.craft.id);
    let asked = PlaceAsked {
        prefix: "",
        link: Some(&here),
        units: facts.units,
    };
    html! {
        (top("a fault", Some(&facts.craft), page))
        (not_recorded(&FIELDS, page.form))
        form.work method="post" action=(here) {
            (hidden(page))
            (same(facts))
            section aria-labelledby="where" {
                h2 id="where" { "Where" }
                (place_picker(facts.standard, &asked, page.form))
            }
            section aria-labelledby="what" {
                h2 id="what" { "What" }
                (what(facts, page))
            }
            @if facts.like.is_empty() { (press("Record this fault", page)) }
        }
        section aria-labelledby="open" {
            h2 id="open" { "Open on it already" }
            (open_faults(&facts.craft, facts.open))
        }
    }
}

/// Asks whether it is one that is known.
fn same(facts: &FaultFacts<'_>) -> Markup {
    html! {
        @if !facts.like.is_empty() {
            div.mind role="alert" {
                p { strong { "The same as this one?" } " Nothing was recorded yet." }
                ul {
                    @for one in facts.like {
                        li { (clean(&one.what)) ", found " (clean(&one.found)) " (fault " (one.name) ")" }
                    }
                }
                div.press {
                    a.tapped href={ "/craft/" (facts.craft.id) } { "The same: leave it at that" }
                    button.main name="same" value="no" { "Another one: record it" }
                    button name="same" value="worse" { "The same and worse: record it anew" }
                }
            }
        }
    }
}

fn what(facts: &FaultFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let classes: Vec<(String, String)> = facts
        .classes
        .iter()
        .map(|one| ((*one).to_owned(), one.replace('-', " ")))
        .collect();
    let gear: Vec<(String, String)> = facts
        .gear
        .iter()
        .map(|one| (one.clone(), one.clone()))
        .collect();
    let missions: Vec<String> = facts
        .standard
        .missions
        .keys()
        .map(ToString::to_string)
        .collect();
    let other = Entry {
        name: "class-other",
        label: "Another word for it",
        hint: "one word, if none above fits",
        keys: Keys::All,
    };
    let observed = Entry {
        name: "observed",
        label: "When it was found, if not just now",
        hint: "local time, for example 2026-03-14 18:30; may stay empty",
        keys: Keys::All,
    };
    html! {
        (one_of(("class", "What is wrong"), "choose", &classes, page.form))
        (entry(&other, page.form))
        (taps_needed(("severity", "How bad"), &SEVERITIES, page.form))
        @if !missions.is_empty() {
            (ticks("mission", "Missions that it rules out, if restrictive; none means all", &missions, page.form))
        }
        @if !gear.is_empty() { (one_of(("gear", "On which gear"), "on the craft itself", &gear, page.form)) }
        (words("note", "In words", "what you saw; may stay empty", page.form))
        (entry(&observed, page.form))
    }
}
