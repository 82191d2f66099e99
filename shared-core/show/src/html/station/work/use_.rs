//! After use: what the craft did on the water, and what is owed before it is ready again.

use maud::{Markup, html};

use super::super::entry::{Entry, Keys, entry, not_recorded, one_of, taps, tick, words};
use super::due::{Due, done_forms};
use super::{OfCraft, WorkPage, hidden, press, top};
use crate::clean::clean;

/// What the page knows of the craft.
#[derive(Clone, Copy, Debug)]
pub struct UseFacts<'a> {
    /// The craft.
    pub craft: OfCraft<'a>,
    /// Incidents that it is assigned to.
    pub assigned: &'a [String],
    /// Numbers of what has a meter: its motors, else the craft itself.
    pub meters: &'a [String],
    /// Kit of its boat standard: id and words.
    pub items: &'a [(String, String)],
    /// Missions of its boat standard.
    pub missions: &'a [String],
    /// What is owed before it is ready again.
    pub owed: &'a [Due],
}

const WATERS: [(&str, &str); 3] = [
    ("fresh", "Fresh"),
    ("salt", "Salt"),
    ("polluted", "Polluted or flood"),
];

const FIELDS: [&str; 12] = [
    "time",
    "engine",
    "meter.*",
    "water",
    "capsized",
    "motor-immersed",
    "hard",
    "used-up.*",
    "mission",
    "note",
    "release",
    "observed",
];

/// The page: the form, and what is owed.
#[must_use]
pub fn use_body(facts: &UseFacts<'_>, page: &WorkPage<'_>) -> Markup {
    html! {
        (top("after use", Some(&facts.craft), page))
        (owed(facts, page))
        section aria-labelledby="used" {
            h2 id="used" { "How it was used" }
            (not_recorded(&FIELDS, page.form))
            form.work method="post" action={ "/use/" (facts.craft.id) } {
                (hidden(page))
                (times(facts, page))
                (what_happened(facts, page))
                (used_up(facts, page))
                (words("note", "Anything else", "may stay empty", page.form))
                (free(facts, page))
                (press("Record this use", page))
            }
        }
    }
}

/// What is owed, each with a button by which it is done.
fn owed(facts: &UseFacts<'_>, page: &WorkPage<'_>) -> Markup {
    html! {
        @if !facts.owed.is_empty() {
            section aria-labelledby="owed" {
                h2 id="owed" { "Owed before it is ready again" }
                (done_forms(&facts.craft, facts.owed, "use", page))
                p { a.tapped href={ "/craft/" (facts.craft.id) } { "Then the full check" } }
            }
        }
    }
}

fn times(facts: &UseFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let time = Entry {
        name: "time",
        label: "How long on the water",
        hint: "for example 90min or 1 h 30 min",
        keys: Keys::All,
    };
    let observed = Entry {
        name: "observed",
        label: "When it came back, if not just now",
        hint: "local time, for example 2026-03-14 18:30; may stay empty",
        keys: Keys::All,
    };
    html! {
        (entry(&time, page.form))
        @for meter in facts.meters {
            @let name = format!("meter.{meter}");
            @let label = format!("Meter of {meter} now");
            (entry(&Entry { name: &name, label: &label, hint: "for example 113.6h; may stay empty", keys: Keys::All }, page.form))
        }
        (entry(&observed, page.form))
    }
}

fn what_happened(facts: &UseFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let missions: Vec<(&str, &str)> = facts
        .missions
        .iter()
        .map(|it| (it.as_str(), it.as_str()))
        .collect();
    html! {
        (taps(("water", "Water that it was in"), &WATERS, page.form))
        (tick("capsized", "It capsized", page.form))
        (tick("motor-immersed", "Its motor was under water", page.form))
        (tick("hard", "Hard use: many starts and shifts, heavy loads, dirty water", page.form))
        @if missions.len() > 6 {
            (one_of(("mission", "Mission"), "not said", &owned(facts.missions), page.form))
        } @else if !missions.is_empty() {
            (taps(("mission", "Mission"), &missions, page.form))
        }
    }
}

fn owned(all: &[String]) -> Vec<(String, String)> {
    all.iter().map(|one| (one.clone(), one.clone())).collect()
}

fn used_up(facts: &UseFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let name = |id: &str| format!("used-up.{id}");
    let is_given = |(id, _): &(String, String)| {
        let name = name(id);
        !page.form.first(&name).is_empty() || page.form.fault(&name).is_some()
    };
    html! {
        @if !facts.items.is_empty() {
            details open[facts.items.iter().any(is_given)] {
                summary { "What was used up or lost" }
                p.hint { "How many of each; leave the others empty." }
                @for item in facts.items {
                    @let name = name(&item.0);
                    (entry(&Entry { name: &name, label: &item.1, hint: "", keys: Keys::Digits }, page.form))
                }
            }
        }
    }
}

/// Releasing it with the same press, where it is assigned.
fn free(facts: &UseFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let incidents: Vec<String> = facts.assigned.iter().map(|it| clean(it)).collect();
    let label = format!("Release it from {} too", incidents.join(" and from "));
    html! {
        @if !incidents.is_empty() {
            (tick("release", &label, page.form))
        } @else if let Some(fault) = page.form.fault("release") {
            p.fault id="e-release" { (clean(fault)) }
        }
    }
}
