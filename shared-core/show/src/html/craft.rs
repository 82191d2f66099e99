//! A craft's own page: its readiness with all of its why, the craft from above, pressures, air, load,
//! kit, dates, what was recorded of it, and what proves that.
//!
//! It says what the answer and the log hold; it judges nothing and asks nobody.

use maud::{Markup, html};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer};
use sponson_readiness::ids::EventId;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;

use super::facts::PageFacts;
use super::frame::frame;
use super::marks::readiness_mark;
use super::top::{given, sentence};
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::craft_limit_text;
use crate::svg::plan::plan;
use crate::table::standing;
use crate::units::print;
use crate::words;

mod carried;
mod figures;
mod forms;
mod history;
mod pictures;
mod proof;
mod why;

pub use pictures::{PictureShown, ShownPlace};

/// What the page of a craft shows beside the answer.
#[derive(Clone, Copy, Debug)]
pub struct CraftFacts<'a> {
    /// The boat standard of its model in force; none when there is none.
    pub standard: Option<&'a Standard>,
    /// What was recorded of it, the newest first.
    pub history: &'a [Entry],
    /// Older entries are held that are not in `history`.
    pub has_older: bool,
    /// Whether the server gives proof files.
    pub proofs: Proofs,
    /// Pictures of its faults and checks: of open faults first, then the newest.
    pub pictures: &'a [PictureShown],
    /// What can be done with it where the page is shown; stands behind the head.
    pub ways: Option<&'a Markup>,
    /// Where its record to print is; none where no such page is served.
    pub record_href: Option<&'a str>,
    /// Where everything that was read of its chambers is; none where no such page is served.
    pub readings_href: Option<&'a str>,
}

/// An entry of the log about the craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The event.
    pub id: EventId,
    /// When, as claimed.
    pub at: Moment,
    /// The station; empty for the county's own.
    pub station: String,
    /// Member number; empty when not given.
    pub member: String,
    /// What it says, in words.
    pub what: String,
    /// How it stands.
    pub standing: Standing,
}

/// How an entry stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// The county has stored it.
    Received,
    /// Not stored by the county yet.
    Waiting,
    /// It relieves nothing: its key does not count, or has no such role.
    Unconfirmed,
}

/// Whether the proof file of an entry can be had at `/entry/ID/proof`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proofs {
    /// It can.
    Served,
    /// Only by the command.
    ByCommand,
}

/// The page of one craft of an answer.
#[must_use]
pub fn craft_page(
    answer: &CountyAnswer,
    craft: &CraftAnswer,
    ctx: &Context,
    facts: &PageFacts,
    of_craft: &CraftFacts<'_>,
) -> String {
    let number = clean(&craft.number);
    let body = craft_body(answer, craft, ctx, facts, of_craft);
    frame(
        &format!("{number}: {}", words::readiness(craft.readiness)),
        facts,
        &body,
    )
}

/// What stands in the page of one craft of an answer.
#[must_use]
pub fn craft_body(
    answer: &CountyAnswer,
    craft: &CraftAnswer,
    ctx: &Context,
    facts: &PageFacts,
    of_craft: &CraftFacts<'_>,
) -> Markup {
    html! {
        div class="craft-page" {
            (head(answer, craft, ctx, facts))
            @if let Some(ways) = of_craft.ways { (ways) }
            (limits(craft, ctx))
            (why::why(craft, answer.asked.as_of, ctx, of_craft.proofs))
            (drawn(craft, ctx, of_craft.standard))
            (pictures::pictures(of_craft.pictures, ctx))
            (figures::pressures(craft, answer.asked.as_of, ctx))
            (figures::air(craft, ctx))
            (figures::load(craft, ctx))
            (figures::crew(craft, ctx))
            (carried::kit(answer, craft, ctx, of_craft.standard))
            (carried::dates(answer, craft, ctx))
            (forms::forms(answer, craft, facts))
            (history::history(of_craft, ctx))
            (proof::proof(answer, craft, of_craft.proofs))
        }
    }
}

fn head(answer: &CountyAnswer, craft: &CraftAnswer, ctx: &Context, facts: &PageFacts) -> Markup {
    let as_of = answer.asked.as_of;
    let here = |id| craft.stations.contains(&id);
    let silent = answer
        .stations
        .iter()
        .filter(|one| one.silent && here(one.id));
    html! {
        section class="top" aria-labelledby="craft" {
            h1 class="craft-head" id="craft" {
                (readiness_mark(craft.readiness))
                (clean(&craft.number)) ": " (words::readiness(craft.readiness))
            }
            p class="zone" {
                "As of " time datetime=(print::rfc3339(as_of)) { (ctx.local(as_of)) } " ("
                (print::offset(ctx.utc_offset_min)) ")"
            }
            @for one in silent {
                p class="mind" {
                    strong { (clean(&one.name)) " is not heard for long" }
                    ": what it did with this craft since is not known here. "
                    (sentence(&super::top::last_heard(one, answer, ctx))) "."
                }
            }
            p { (sentence(&standing(craft, as_of, ctx))) "." }
            p { (minutes(craft)) }
            (given(&answer.asked, ctx))
            p class="caution" { (crate::caution()) }
            p { a href=(facts.link("/")) { "All craft of the county" } }
        }
    }
}

fn minutes(craft: &CraftAnswer) -> String {
    use sponson_readiness::answer::Readiness;
    match (craft.readiness, craft.minutes_to_ready) {
        (Readiness::Ready, _) => "Nothing is to be done before it goes.".to_owned(),
        (Readiness::ReadyWithLimits, Some(0)) => {
            "It can go as it is, with the limits below.".to_owned()
        }
        (_, Some(minutes)) => {
            format!("What is to be done before it goes takes {minutes} min of work.")
        }
        (_, None) => "What would make it go is no matter of known minutes: see below.".to_owned(),
    }
}

fn limits(craft: &CraftAnswer, ctx: &Context) -> Markup {
    html! {
        @if !craft.limits.is_empty() {
            section aria-labelledby="limits" {
                h2 id="limits" { "Limits" }
                ul {
                    @for limit in &craft.limits { li { (sentence(&craft_limit_text(limit, craft, ctx))) } }
                }
            }
        }
    }
}

fn drawn(craft: &CraftAnswer, ctx: &Context, standard: Option<&Standard>) -> Markup {
    html! {
        section aria-labelledby="plan" {
            h2 id="plan" { "From above" }
            @match standard {
                Some(standard) => (plan(standard, craft, ctx)),
                None => p {
                    "Not drawn: model " (clean(craft.model.as_str()))
                    " has no boat standard here. Have the lead adopt one."
                },
            }
        }
    }
}
