//! The first page of a station: a craft by its number, checks under way, the craft that are here.

use maud::{Markup, html};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer, Effect, Finding, Status};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;

use super::StationFacts;
use super::work::{craft_ways, station_ways};
use crate::clean::clean;
use crate::context::Context;
use crate::html::marks::readiness_mark;
use crate::html::top::sentence;
use crate::sentence::{checked_text, finding_text, to_do_short};
use crate::table::standing;
use crate::units::print;
use crate::words;

/// What the first page shows.
#[derive(Clone, Copy, Debug)]
pub struct Home<'a> {
    /// The answer for now, without a mission.
    pub answer: &'a CountyAnswer,
    /// How to show it.
    pub ctx: &'a Context,
    /// This station; none when it is not known yet.
    pub here: Option<SubjectId>,
    /// Checks under way, the one that changed last first.
    pub under_way: &'a [UnderWayHere],
    /// Whether a phone can be let in from this page.
    pub lets_in: bool,
    /// What whoever reads it has to know of this copy of the log.
    pub notes: &'a [String],
}

/// A check under way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnderWayHere {
    /// The craft.
    pub craft: SubjectId,
    /// Its number when the check was begun.
    pub number: String,
    /// Where it goes on.
    pub href: String,
    /// Which check, in words: `full check`.
    pub what: String,
    /// Member number of whoever began it.
    pub begun_by: String,
    /// When anything was last entered.
    pub changed: Moment,
}

/// Its body.
#[must_use]
pub fn home(shown: &Home<'_>, facts: &StationFacts) -> Markup {
    let (here, elsewhere): (Vec<_>, Vec<_>) = shown
        .answer
        .craft
        .iter()
        .partition(|craft| shown.here.is_some_and(|it| craft.stations.contains(&it)));
    html! {
        h1 { "Craft at this station" }
        @for note in shown.notes { p.mind { (clean(note)) } }
        (find())
        (under_way(shown, facts))
        section aria-labelledby="here" {
            h2 id="here" { "Here" }
            @if here.is_empty() {
                p { "No craft is known to be at this station. One of another station is found by its number." }
            } @else {
                ul.craft-list { @for craft in here { li { (one(craft, shown, facts)) } } }
            }
        }
        @if !elsewhere.is_empty() { (others(&elsewhere, shown, facts)) }
        p.ways { a href="/due" { "What comes due here in the next weeks" } }
        (station_ways())
        @if shown.lets_in {
            p.ways { a href="/let-in" { "Let a phone in" } }
        }
    }
}

/// The form that finds a craft: by its number as it is painted, or by the figure in it alone.
fn find() -> Markup {
    html! {
        form.find method="get" action="/find" role="search" {
            label for="number" { "Number of the craft" }
            div.row {
                input id="number" name="number" type="text" autocomplete="off" autocapitalize="off"
                    spellcheck="false" enterkeyhint="go" maxlength="64" required;
                button { "Go to it" }
            }
        }
    }
}

fn under_way(shown: &Home<'_>, facts: &StationFacts) -> Markup {
    html! {
        @if !shown.under_way.is_empty() {
            section aria-labelledby="under-way" {
                h2 id="under-way" { "Under way" }
                ul.craft-list {
                    @for check in shown.under_way {
                        li {
                            a.go href=(check.href) { "Go on: " (clean(&check.number)) ", " (check.what) }
                            p {
                                "Begun by member " (clean(&check.begun_by)) "; last entered "
                                (print::ago(facts.page.rendered.since(check.changed))) "."
                            }
                        }
                    }
                }
            }
        }
    }
}

fn one(craft: &CraftAnswer, shown: &Home<'_>, facts: &StationFacts) -> Markup {
    let as_of = shown.answer.asked.as_of;
    html! {
        h3 {
            a href=(facts.page.craft(craft.id)) {
                (readiness_mark(craft.readiness)) " " (clean(&craft.number)) ": "
                (words::readiness(craft.readiness))
            }
        }
        p { (sentence(&checked_text(craft, as_of, shown.ctx))) "." }
        @if let Some(first) = first(craft, as_of, shown.ctx) { p { b { "First: " } (first) } }
        (check(craft, facts))
    }
}

/// What needs doing before anything else: the worst finding that says what to do.
fn first(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> Option<String> {
    let counts = |finding: &&Finding| finding.effect != Effect::Note;
    let finding = craft.why.iter().find(counts)?;
    let what = finding_text(finding, as_of, ctx);
    let to_do = finding.to_do.first();
    let to_do = to_do.map(|it| to_do_short(it, &finding.subject, ctx));
    Some(match to_do {
        Some(to_do) => format!("{what}: {to_do}."),
        None => format!("{what}."),
    })
}

/// Begins a check of a craft, or goes on with the one under way; asks first who it is.
#[must_use]
pub fn check(craft: &CraftAnswer, facts: &StationFacts) -> Markup {
    let action = format!("/craft/{}/check", craft.id);
    html! {
        @match (&facts.page.token, &facts.member) {
            (Some(token), Some(_)) => {
                form.check method="post" action=(action) {
                    input type="hidden" name="token" value=(token);
                    button.main name="kind" value="full" aria-label={ "Check " (clean(&craft.number)) } {
                        "Check"
                    }
                    button name="kind" value="short"
                        aria-label={ "Short check between runs of " (clean(&craft.number)) } {
                        "Short check between runs"
                    }
                }
            }
            _ => p.ways { a href={ "/who?back=/craft/" (craft.id) } { "Say who you are, then check it" } },
        }
    }
}

fn others(all: &[&CraftAnswer], shown: &Home<'_>, facts: &StationFacts) -> Markup {
    html! {
        section aria-labelledby="elsewhere" {
            h2 id="elsewhere" { "At other stations" }
            details id="others" {
                summary { (all.len()) " craft" }
                ul.craft-list {
                    @for craft in all {
                        li {
                            a.go href=(facts.page.craft(craft.id)) {
                                (readiness_mark(craft.readiness)) " " (clean(&craft.number)) ": "
                                (words::readiness(craft.readiness))
                            }
                            p { (sentence(&standing(craft, shown.answer.asked.as_of, shown.ctx))) "." }
                        }
                    }
                }
            }
        }
    }
}

/// What can be done with a craft at the station.
#[must_use]
pub fn craft_do(craft: &CraftAnswer, facts: &StationFacts) -> Markup {
    let id = craft.id.to_string();
    let is_assigned = matches!(craft.status, Status::Assigned { .. });
    html! {
        section.do aria-label={ "What to do with " (clean(&craft.number)) } {
            (check(craft, facts))
            (craft_ways(&id, is_assigned))
            ul.rows {
                li { a.tapped href={ "/sheet/" (id) } { "Sheet to print" } }
                li { a.tapped href={ "/paper/" (id) } { "Enter a filled sheet" } }
                li { a.tapped href={ "/label/" (id) } { "Label" } }
            }
        }
    }
}
