//! The end of a round: before it is recorded, what was left out, what is asked back and what it comes
//! to; after it, the same with who signed it and whether the county has it.

use maud::{Markup, html};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer, Finding, Rule};

use super::{AskedLine, Round, names, words};
use crate::clean::clean;
use crate::html::marks::readiness_mark;
use crate::html::top::sentence;
use crate::sentence::{craft_limit_text, finding_text, to_do_text};
use crate::table::{consequence, how_late};
use crate::units::print;

/// A line that has no entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// In words.
    pub label: String,
    /// Where on the round it is asked: an id of the page, without `#`.
    pub at: String,
}

/// Before it is recorded.
#[derive(Clone, Copy, Debug)]
pub struct Ending<'a> {
    /// Lines without an entry that a check of this kind asks.
    pub left_out: &'a [LeftOut],
    /// What keeps it from being recorded, in words, with the field.
    pub wrong: &'a [(String, String)],
    /// What it comes to were it recorded now; else why that cannot be said.
    pub as_if: Result<(&'a CountyAnswer, &'a CraftAnswer), &'a str>,
}

/// What became of a check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ended<'a> {
    /// Whether it was recorded; else it was dropped.
    pub is_recorded: bool,
    /// Member number of whoever ended it.
    pub by: &'a str,
    /// When, in words.
    pub at: String,
    /// Name of the device's station.
    pub station: &'a str,
    /// What was recorded.
    pub events: &'a [EventOfRound],
    /// Where to go on: path and words.
    pub next: &'a [(String, String)],
}

/// One thing that was recorded of a check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EventOfRound {
    /// Name of the event.
    pub id: String,
    /// What it is, in words.
    pub what: String,
    /// Member number under which it stands.
    pub member: String,
    /// Whether the county has it.
    pub is_synced: bool,
}

/// The body of the page before it is recorded.
#[must_use]
pub fn ending(round: &Round<'_>, ending: &Ending<'_>) -> Markup {
    let back = format!("/check/{}", round.id);
    html! {
        div.round.ending {
            h1 { (clean(round.craft)) ": the end of the " (words::kind(round.kind)) }
            p { a.big href=(back) { "Back to the round" } }
            (wrong(ending.wrong, &back))
            (left_out(ending.left_out, &back))
            (asked(round.asked, &back))
            @match ending.as_if {
                Ok((answer, craft)) => (comes_to(round, answer, craft, "Once it is recorded")),
                Err(why) => p.mind { "What it would come to is not known: " (clean(why)) },
            }
            (press(round, ending))
        }
    }
}

/// The body of the page after it ended, with the craft as it is now.
#[must_use]
pub fn ended(
    round: &Round<'_>,
    ended: &Ended<'_>,
    now: Option<(&CountyAnswer, &CraftAnswer)>,
) -> Markup {
    let what = if ended.is_recorded {
        "recorded"
    } else {
        "dropped"
    };
    html! {
        div.round.ended {
            h1 { (clean(round.craft)) ": " (words::kind(round.kind)) " " (what) }
            p { "By member " (clean(ended.by)) ", " (ended.at) "." }
            @if !ended.is_recorded { p { "Nothing of it was recorded." } }
            @if let Some((answer, craft)) = now { (comes_to(round, answer, craft, "As it is now")) }
            (signed(ended))
            @if !ended.next.is_empty() {
                ul.ways { @for (path, words) in ended.next { li { a.big href=(path) { (clean(words)) } } } }
            }
        }
    }
}

fn signed(ended: &Ended<'_>) -> Markup {
    html! {
        @if !ended.events.is_empty() {
            section aria-labelledby="signed" {
                h2 id="signed" { "Signed" }
                p { "By the device of " (clean(ended.station)) "." }
                ul {
                    @for one in ended.events {
                        li {
                            (clean(&one.what)) ", member " (clean(&one.member)) ": "
                            strong { @if one.is_synced { "the county has it" } @else { "waits for the county" } }
                            ". Event " span.entry { (one.id) } "."
                        }
                    }
                }
            }
        }
    }
}

fn wrong(wrong: &[(String, String)], back: &str) -> Markup {
    html! {
        @if !wrong.is_empty() {
            section aria-labelledby="wrong" {
                h2 id="wrong" { "To be corrected first" }
                ul {
                    @for (field, why) in wrong {
                        li {
                            (clean(why)) ". "
                            a href={ (back) "#" (names::id("l", names::line_of_field(field))) } { "Correct it" }
                        }
                    }
                }
            }
        }
    }
}

fn left_out(left_out: &[LeftOut], back: &str) -> Markup {
    let number = i64::try_from(left_out.len()).unwrap_or(i64::MAX);
    html! {
        section aria-labelledby="left-out" {
            h2 id="left-out" { "Left out" }
            @if left_out.is_empty() { p { "No line was left out." } }
            @else {
                p { (print::count(number, "line")) ". Each can still be looked at:" }
                ul.reach {
                    @for one in left_out { li { a href={ (back) "#" (one.at) } { (clean(&one.label)) } } }
                }
            }
        }
    }
}

fn asked(asked: &[AskedLine], back: &str) -> Markup {
    html! {
        @if !asked.is_empty() {
            section aria-labelledby="asked" {
                h2 id="asked" { "Asked back" }
                ul.reach {
                    @for one in asked {
                        li {
                            (clean(&one.text)) " "
                            a href={ (back) "#" (names::id("l", names::line_of_field(&one.field))) } {
                                "Look again"
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Readiness with its why, what to do now and what will be due.
fn comes_to(round: &Round<'_>, answer: &CountyAnswer, craft: &CraftAnswer, when: &str) -> Markup {
    let as_of = answer.asked.as_of;
    let (soon, why): (Vec<&Finding>, Vec<&Finding>) =
        craft.why.iter().partition(|one| is_soon(one.rule));
    let late: Vec<_> = answer
        .overdue
        .iter()
        .filter(|it| it.craft == craft.id)
        .collect();
    html! {
        section aria-labelledby="comes-to" {
            h2 id="comes-to" { (when) }
            p.comes-to {
                (readiness_mark(craft.readiness)) " " strong { (crate::words::readiness(craft.readiness)) }
            }
            p.caution { (crate::caution()) }
            @for limit in &craft.limits { p { (sentence(&craft_limit_text(limit, craft, round.ctx))) "." } }
            @if !why.is_empty() {
                h3 { "Why" }
                ul { @for one in &why { li { (sentence(&finding_text(one, as_of, round.ctx))) "." } } }
            }
            (to_do(round, craft))
            h3 { "Will be due" }
            @if late.is_empty() && soon.is_empty() { p { "Nothing soon, as far as is known here." } }
            @else {
                ul {
                    @for one in late {
                        li { (clean(&one.label)) ": " (how_late(one)) "; " (consequence(&one.effect, round.ctx)) }
                    }
                    @for one in soon { li { (sentence(&finding_text(one, as_of, round.ctx))) "." } }
                }
            }
        }
    }
}

fn to_do(round: &Round<'_>, craft: &CraftAnswer) -> Markup {
    let all = craft.why.iter().flat_map(|one| {
        let text = |to_do| to_do_text(to_do, &one.subject, round.ctx);
        one.to_do.iter().map(text)
    });
    let mut all: Vec<String> = all.collect();
    let mut seen = std::collections::BTreeSet::new();
    all.retain(|one| seen.insert(one.clone()));
    html! {
        h3 { "To do now" }
        @if all.is_empty() { p { "Nothing." } }
        @else { ul { @for one in &all { li { (sentence(one)) "." } } } }
    }
}

fn is_soon(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::InspectionDueSoon | Rule::KitExpiresSoon | Rule::CylinderDueSoon
    )
}

fn press(round: &Round<'_>, ending: &Ending<'_>) -> Markup {
    let is_whole = ending.left_out.is_empty() && round.asked.is_empty();
    html! {
        @if let Some(token) = round.token.filter(|_| ending.wrong.is_empty()) {
            form.record method="post" action={ "/check/" (round.id) "/record" } {
                input type="hidden" name="token" value=(token);
                input type="hidden" name="entries" value=(round.entries);
                @if !is_whole { input type="hidden" name="all_the_same" value="yes"; }
                p { "It is signed by this device, with your number: member " (clean(round.member)) "." }
                p.press {
                    button.main {
                        @if is_whole { "Record this check" } @else { "Record it all the same" }
                    }
                }
            }
        }
    }
}
