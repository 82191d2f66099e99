//! Who can go: every craft with its readiness, the fit and free first.
//!
//! One line for each craft that cannot go, so that a county of 500 stays one page; the whole why
//! stands on the craft's own page.

use maud::{Markup, html};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer, Readiness, Status};

use super::candidates::who_can_go;
use super::facts::PageFacts;
use super::lists::sheet;
use super::marks::{legend, readiness_mark};
use super::top::sentence;
use crate::context::Context;
use crate::table::{Group, headline, is_silent, not_for_mission, reasons, short_number};
use crate::without::taken;
use crate::words;
use sponson_readiness::ids::SubjectId;

/// Numbers that the summary names; of more it says how many.
const NAMED_MAX: usize = 24;

/// Reasons in one line, of a craft that cannot go; 300 bytes a craft make 150 KB of 500.
const REASONS_MAX: usize = 2;

/// Characters of those reasons.
const REASON_LENGTH_MAX: usize = 140;

/// Bytes that the question may take in the links of a list with a line for each craft; beyond them
/// a line leads to the craft without the question, and the page says so.
const LINKS_MAX: usize = 60_000;

/// Who can go: to the call-out, where one was asked.
pub(super) fn who(answer: &CountyAnswer, ctx: &Context, facts: &PageFacts) -> Markup {
    if let Some(callout) = &answer.callout {
        return who_can_go(answer, callout, ctx, facts);
    }
    html! {
        section.who aria-labelledby="who" {
            h2 id="who" data-as-of=(sheet(answer, ctx)) { "Who can go" }
            (summary(answer))
            @if answer.craft.is_empty() { p { "No craft is registered here yet." } }
            @else { (legend()) }
            @for group in Group::ALL { (of_group(group, answer, ctx, facts)) }
            (taken_away(answer, ctx))
        }
    }
}

/// How many, and which, before anything else is said of them.
fn summary(answer: &CountyAnswer) -> Markup {
    html! {
        ul.sum {
            @for group in Group::ALL {
                @let craft: Vec<&CraftAnswer> = group.of_answer(answer).collect();
                @if !craft.is_empty() {
                    li { b { (craft.len()) } span { (group.short()) (names(&craft, answer)) } }
                }
            }
        }
        @if answer.craft.iter().any(|one| is_silent(one, &answer.stations)) {
            p.soft { "* its station has not been heard for long" }
        }
        @if !answer.craft.is_empty() && answer.craft.iter().all(not_for_mission) {
            p.mind { "No boat standard here lists this mission: is it spelt right?" }
        }
    }
}

fn names(craft: &[&CraftAnswer], answer: &CountyAnswer) -> String {
    if craft.len() > NAMED_MAX {
        return String::new();
    }
    let marked = craft.iter().map(|one| marked(one, answer));
    format!(": {}", marked.collect::<Vec<_>>().join(", "))
}

fn marked(craft: &CraftAnswer, answer: &CountyAnswer) -> String {
    let star = if is_silent(craft, &answer.stations) {
        "*"
    } else {
        ""
    };
    format!("{}{star}", short_number(&craft.number))
}

fn of_group(group: Group, answer: &CountyAnswer, ctx: &Context, facts: &PageFacts) -> Markup {
    let all: Vec<&CraftAnswer> = group.of_answer(answer).collect();
    let (condemned, all): (Vec<_>, Vec<_>) = all
        .into_iter()
        .partition(|one| one.status == Status::Condemned);
    let (unlisted, all): (Vec<_>, Vec<_>) = all.into_iter().partition(|one| not_for_mission(one));
    let count = all.len() + condemned.len() + unlisted.len();
    html! {
        @if count > 0 {
            h3 { (heading(group)) " (" (count) ")" }
            ul.craft { @for one in all { (row(one, answer, ctx, facts)) } }
            (named("Not for this mission by the boat standard", &unlisted))
            (named("Condemned", &condemned))
        }
    }
}

const fn heading(group: Group) -> &'static str {
    match group {
        Group::CanGo => "Can go",
        Group::WithLimits => "Can go, with limits",
        Group::NotFree => "Fit, but not free",
        Group::LookFirst => "Not checked: go and look first",
        Group::CannotGo => "Cannot go",
    }
}

/// Craft that the answer is given without.
pub(super) fn taken_away(answer: &CountyAnswer, ctx: &Context) -> Markup {
    html! {
        @if !answer.taken_away.is_empty() {
            h3 { "Taken away for this answer (" (answer.taken_away.len()) ")" }
            ul { @for one in &answer.taken_away { li { (taken(one, ctx)) } } }
        }
    }
}

fn named(what: &str, craft: &[&CraftAnswer]) -> Markup {
    let numbers: Vec<String> = craft.iter().map(|one| short_number(&one.number)).collect();
    html! { @if !numbers.is_empty() { p { (what) ": " (numbers.join(", ")) "." } } }
}

/// One craft: a line of its own, and what limits it or keeps it back.
pub(super) fn row(
    craft: &CraftAnswer,
    answer: &CountyAnswer,
    ctx: &Context,
    facts: &PageFacts,
) -> Markup {
    let as_of = answer.asked.as_of;
    let why = reasons(craft, as_of, ctx);
    html! {
        li {
            (readiness_mark(craft.readiness))
            a href=(list_link(facts, craft.id, answer)) { (short_number(&craft.number)) }
            " " b { (words::readiness(craft.readiness)) }
            "; " (headline(craft, &answer.stations, as_of, ctx))
            @if fit(craft) {
                @if !why.is_empty() { ul { @for one in &why { li { (sentence(one)) } } } }
            } @else { (in_short(&why)) }
        }
    }
}

const fn fit(craft: &CraftAnswer) -> bool {
    match craft.readiness {
        Readiness::Ready | Readiness::ReadyWithLimits => true,
        Readiness::Unproven | Readiness::NotReady => false,
    }
}

/// The worst reasons in one line; how many more there are.
fn in_short(why: &[String]) -> String {
    let shown = why
        .iter()
        .take(REASONS_MAX)
        .map(|one| cut(one, REASON_LENGTH_MAX));
    let shown: Vec<String> = shown.collect();
    let more = match why.len().saturating_sub(REASONS_MAX) {
        0 => String::new(),
        more => format!("; and {more} more"),
    };
    match shown.as_slice() {
        [] => String::new(),
        shown => format!(". {}{more}", sentence(&shown.join("; "))),
    }
}

/// The first words of a text that is longer than so many characters.
pub(super) fn cut(text: &str, length_max: usize) -> String {
    if text.chars().count() <= length_max {
        return text.to_owned();
    }
    let short: String = text.chars().take(length_max).collect();
    let at_word = short
        .rsplit_once(' ')
        .map_or(short.as_str(), |(head, _)| head);
    format!("{at_word} ...")
}

/// The link to a craft from a list with a line for each.
pub(super) fn list_link(facts: &PageFacts, craft: SubjectId, answer: &CountyAnswer) -> String {
    let bytes = facts.query.len().saturating_mul(answer.craft.len());
    match bytes > LINKS_MAX {
        true => format!("/craft/{craft}"),
        false => facts.craft(craft),
    }
}
