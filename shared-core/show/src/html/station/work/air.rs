//! Air added to a part, or let out of it.

use maud::{Markup, html};

use super::super::entry::{Entry, Keys, entry, not_recorded, one_of, taps, taps_needed};
use super::{OfCraft, WorkPage, hidden, press, top};

/// What the page knows of the craft.
#[derive(Clone, Copy, Debug)]
pub struct AirFacts<'a> {
    /// The craft.
    pub craft: OfCraft<'a>,
    /// Parts that hold air: id, and words with the wanted gauge.
    pub parts: &'a [(String, String)],
    /// Numbers of pumps and cylinders that are known here.
    pub sources: &'a [String],
    /// How gauges are written, for example `psi`.
    pub unit: &'a str,
}

const BY: [(&str, &str); 6] = [
    ("hand-pump", "Hand pump"),
    ("foot-pump", "Foot pump"),
    ("electric-pump", "Electric pump"),
    ("cylinder", "Cylinder"),
    ("breathing-set", "Breathing set"),
    ("compressor", "Compressor"),
];

const FIELDS: [&str; 9] = [
    "part",
    "done",
    "before",
    "after",
    "by",
    "with",
    "cylinder-after",
    "air",
    "observed",
];

/// The page.
#[must_use]
pub fn air_body(facts: &AirFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let gauge = format!(
        "for example 3.0{}; a bare number is {}",
        facts.unit, facts.unit
    );
    let sources: Vec<(String, String)> = facts
        .sources
        .iter()
        .map(|one| (one.clone(), one.clone()))
        .collect();
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
        (top("air", Some(&facts.craft), page))
        p { "Without this a weekly top-up hides a leak for ever." }
        (not_recorded(&FIELDS, page.form))
        form.work method="post" action={ "/air/" (facts.craft.id) } {
            (hidden(page))
            (one_of(("part", "Part"), "choose", facts.parts, page.form))
            (taps_needed(("done", "What was done"), &[("added", "Air added"), ("let-out", "Air let out")], page.form))
            (text("before", "Gauge before", &gauge))
            (text("after", "Gauge afterwards", &gauge))
            (taps(("by", "Where the air came from"), &BY, page.form))
            @if !sources.is_empty() {
                (one_of(("with", "Number of the pump or cylinder"), "not said", &sources, page.form))
            }
            (text("cylinder-after", "Cylinder's gauge afterwards", "for example 3900psi; only for a numbered cylinder"))
            (text("air", "Temperature that the craft stood in", "for example 46F or 8C; may stay empty"))
            (text("observed", "When, if not just now", "local time, for example 2026-03-14 18:30; may stay empty"))
            (press("Record the air", page))
        }
    }
}
