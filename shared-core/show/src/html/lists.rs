//! Lists over the county: what is short, what is overdue, where stations differ, which were heard,
//! the map, what the answer rests on.

use maud::{Markup, html};
use sponson_readiness::answer::CountyAnswer;

use super::facts::PageFacts;
use super::top::last_heard;
use crate::clean::clean;
use crate::context::Context;
use crate::table::{due_table, kit_table};

pub(super) fn short(answer: &CountyAnswer) -> Markup {
    html! { section.short aria-labelledby="short" { h2 id="short" { "What is short" } pre { (kit_table(&answer.missing_kit)) } } }
}

pub(super) fn overdue(answer: &CountyAnswer, ctx: &Context) -> Markup {
    html! { section.overdue aria-labelledby="overdue" { h2 id="overdue" { "What is overdue" } pre { (due_table(&answer.overdue, ctx)) } } }
}

pub(super) fn differ(answer: &CountyAnswer, _ctx: &Context) -> Markup {
    html! { section.differ aria-labelledby="differ" { h2 id="differ" { "Where stations differ" } p { (answer.disagreements.len()) } } }
}

pub(super) fn stations(answer: &CountyAnswer, ctx: &Context) -> Markup {
    html! {
        section.stations aria-labelledby="stations" {
            h2 id="stations" { "Stations heard" }
            ul { @for one in &answer.stations { li { (clean(&one.name)) ": " (last_heard(one, answer, ctx)) } } }
        }
    }
}

pub(super) fn map(facts: &PageFacts) -> Markup {
    html! { @if let Some(map) = &facts.map { section.map aria-labelledby="map" { h2 id="map" { "Map" } (map) } } }
}

pub(super) fn rests_on(answer: &CountyAnswer) -> Markup {
    html! { p.rests { (crate::table::rests_text(answer)) } }
}
