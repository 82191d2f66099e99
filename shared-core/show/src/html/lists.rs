//! Lists over the county: what is short, what is overdue, where stations differ, which were heard,
//! the map, what the answer rests on and where to take it along.
//!
//! What is alike is said once: an item with the craft that lack it, an inspection with those that
//! are late.

use maud::{Markup, html};
use sponson_readiness::answer::{
    CountyAnswer, Disagreement, Effect, MissingKit, Overdue, StationHeard,
};

use super::facts::PageFacts;
use super::top::{last_heard, sentence};
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::{differ_text, settle_text, stated_text, until_text};
use crate::table::{consequence, how_late, label_or, rests_text, short_number};
use crate::units::print;
use crate::words;

/// Disagreements told with their sides; of more only the first line, with the rest in the files.
const DIFFER_MAX: usize = 24;

/// What is short, by item.
pub(super) fn short(answer: &CountyAnswer, ctx: &Context) -> Markup {
    let items = together(&answer.missing_kit, |one, other| {
        one.item == other.item && one.label == other.label
    });
    html! {
        section.short aria-labelledby="short" {
            h2 id="short" data-as-of=(sheet(answer, ctx)) { "What is short" }
            @if items.is_empty() { p { "Nothing that the boat standards ask for, as far as counted." } }
            @else {
                table {
                    thead { tr { th scope="col" { "Item" } th scope="col" { "Craft: counts of needed" } } }
                    tbody {
                        @for item in &items {
                            tr { th scope="row" { (item_label(item)) } td { (by_words(item, |it| (&it.number, lacks(it)))) } }
                        }
                    }
                }
            }
        }
    }
}

fn item_label(item: &[&MissingKit]) -> String {
    let first = item.first();
    first.map_or_else(String::new, |it| label_or(&it.label, it.item.as_str()))
}

fn lacks(one: &MissingKit) -> String {
    format!("{} of {}", one.have, one.need)
}

/// What is overdue, by inspection and by what that does.
pub(super) fn overdue(answer: &CountyAnswer, ctx: &Context) -> Markup {
    let lines = together(&answer.overdue, |one, other| {
        one.inspection == other.inspection
            && one.label == other.label
            && alike(&one.effect, &other.effect)
    });
    html! {
        section.overdue aria-labelledby="overdue" {
            h2 id="overdue" data-as-of=(sheet(answer, ctx)) { "What is overdue" }
            @if lines.is_empty() { p { "Nothing that is known here." } }
            @else {
                table {
                    thead { tr { th scope="col" { "Inspection or date" } th scope="col" { "Craft" } } }
                    tbody {
                        @for line in &lines {
                            tr {
                                th scope="row" { (inspection(line, ctx)) }
                                td { (by_words(line, |it| (&it.number, how_late(it)))) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn alike(one: &Effect, other: &Effect) -> bool {
    match (one, other) {
        (Effect::Limit(one), Effect::Limit(other)) => one.id() == other.id(),
        (one, other) => one == other,
    }
}

fn inspection(line: &[&Overdue], ctx: &Context) -> Markup {
    html! {
        @if let Some(first) = line.first() {
            (label_or(&first.label, first.inspection.as_str()))
            div.soft { (consequence(&first.effect, ctx)) }
        }
    }
}

/// What belongs together, in the order of the first of each.
fn together<T>(all: &[T], same: impl Fn(&T, &T) -> bool) -> Vec<Vec<&T>> {
    let mut groups: Vec<Vec<&T>> = Vec::new();
    for one in all {
        let of = |group: &&mut Vec<&T>| group.first().is_some_and(|first| same(first, one));
        match groups.iter_mut().find(of) {
            Some(group) => group.push(one),
            None => groups.push(vec![one]),
        }
    }
    groups
}

/// Craft of which the same is said, together before it: "11, 12: never done; 21: 3 days over".
fn by_words<T>(group: &[&T], said: impl Fn(&T) -> (&String, String)) -> String {
    let mut lines: Vec<(String, Vec<String>)> = Vec::new();
    for (number, words) in group.iter().map(|one| said(one)) {
        let number = short_number(number);
        match lines.iter_mut().find(|(held, _)| *held == words) {
            Some((_, numbers)) => numbers.push(number),
            None => lines.push((words, vec![number])),
        }
    }
    let lines = lines
        .iter()
        .map(|(words, numbers)| format!("{}: {words}", numbers.join(", ")));
    lines.collect::<Vec<_>>().join("; ")
}

/// Where stations differ: each side with who says so, what counts until then, what settles it.
pub(super) fn differ(answer: &CountyAnswer, ctx: &Context) -> Markup {
    html! {
        section.differ aria-labelledby="differ" {
            h2 id="differ" data-as-of=(sheet(answer, ctx)) { "Where stations differ" }
            @if answer.disagreements.is_empty() { p { "Nowhere, as far as is known here." } }
            ul.sides {
                @for (at, one) in answer.disagreements.iter().enumerate() {
                    (disagreement(one, at < DIFFER_MAX, ctx))
                }
            }
        }
    }
}

fn disagreement(one: &Disagreement, whole: bool, ctx: &Context) -> Markup {
    html! {
        li {
            b { (short_number(&one.number)) } ": " (differ_text(one, ctx))
            @if whole {
                ul { @for side in &one.sides { li { (stated_text(side, one, ctx)) } } }
                div { "Until then: " (until_text(one, ctx)) }
                @for settle in &one.settle { div { "To settle it: " (settle_text(settle)) } }
            }
        }
    }
}

/// Stations, when each was heard, and what crews it can raise.
pub(super) fn stations(answer: &CountyAnswer, ctx: &Context) -> Markup {
    html! {
        section.stations aria-labelledby="stations" {
            h2 id="stations" data-as-of=(sheet(answer, ctx)) { "Stations heard" }
            @if answer.stations.is_empty() { p { "No station is known here." } }
            @else {
                table {
                    thead {
                        tr {
                            th scope="col" { "Station" } th scope="col" { "Last heard" }
                            th scope="col" { "Crew" }
                        }
                    }
                    tbody { @for one in &answer.stations { (station(one, answer, ctx)) } }
                }
            }
        }
    }
}

fn station(one: &StationHeard, answer: &CountyAnswer, ctx: &Context) -> Markup {
    let crews = one.crews.as_ref();
    let crews = crews.map_or_else(|| "not known".to_owned(), |it| words::crews(it, ctx));
    let heard = last_heard(one, answer, ctx);
    html! {
        tr {
            th scope="row" { (clean(&one.name)) }
            td {
                @if one.silent { b { "Not for long: " } }
                (sentence(heard.trim_start_matches("last heard ")))
            }
            td { (crews) }
        }
    }
}

/// The map; nothing where there is none.
pub(super) fn map(answer: &CountyAnswer, ctx: &Context, facts: &PageFacts) -> Markup {
    html! {
        @if let Some(map) = &facts.map {
            section.land aria-labelledby="map" { h2 id="map" data-as-of=(sheet(answer, ctx)) { "Map" } (map) }
        }
    }
}

/// What the answer rests on, and the same answer for programs.
pub(super) fn rests_on(answer: &CountyAnswer, facts: &PageFacts) -> Markup {
    let files = [
        ("/answer.json", "Everything as JSON"),
        ("/who.csv", "Who can go, as CSV"),
        ("/short.csv", "What is short, as CSV"),
        ("/overdue.csv", "What is overdue, as CSV"),
        ("/disagreements.csv", "Where stations differ, as CSV"),
        ("/stations.csv", "Stations, as CSV"),
    ];
    html! {
        section.rests aria-labelledby="rests" {
            h2 id="rests" { "What this rests on" }
            p { (rests_text(answer)) }
            ul.files { @for (path, words) in files { li { a href=(facts.link(path)) { (words) } } } }
        }
    }
}

/// The moment of the answer, as it stands beside each heading on paper.
pub(super) fn sheet(answer: &CountyAnswer, ctx: &Context) -> String {
    let zone = print::offset(ctx.utc_offset_min);
    format!("as of {} ({zone})", ctx.local(answer.asked.as_of))
}
