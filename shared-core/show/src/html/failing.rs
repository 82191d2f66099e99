//! What keeps failing as a page: what to do first, then the groups, each with its plain line; its
//! statistics are one step behind. And one group with its faults, repairs and decisions.
//!
//! It says what [`Failing`] holds. The form to decide is shown to the lead alone.

mod decide;
mod figures;
mod group;
mod lists;

use maud::{Markup, html};

use super::facts::PageFacts;
use super::field::{Field, choice, field};
use super::form::FormValues;
use super::frame::frame;
use super::top::sentence;
use crate::clean::clean;
use crate::context::Context;
use crate::failing::{Failing, GroupSaid, ToDoSaid};
use crate::table::{decided_text, faults_headline, what_to_do_title};

pub use group::faults_group_page;

/// Path of the page.
pub const FAULTS: &str = "/faults";

/// Path of the page of one group.
pub const FAULTS_GROUP: &str = "/faults/group";

/// Field of a group's key.
pub const GROUP: &str = "group";

const BY: [(&str, &str); 11] = [
    ("place", "part and place, on all craft of a model"),
    ("craft-place", "part and place, on each craft"),
    ("craft", "craft"),
    ("class", "what is wrong"),
    ("fabric", "fabric"),
    ("batch", "maker's batch"),
    ("method", "how it was repaired"),
    ("glue", "batch of glue"),
    ("station", "station"),
    ("model", "model"),
    ("gear", "numbered gear"),
];

const PER: [(&str, &str); 3] = [
    ("days", "days in the county"),
    ("hours", "engine hours"),
    ("uses", "uses"),
];

const FIELDS: [Field; 3] = [
    Field {
        name: "from",
        label: "Found from this day on",
        hint: "for example 2025-01-01; all that is held when empty",
        list: "",
    },
    Field {
        name: "as-of",
        label: "As it stood at",
        hint: "for example 2026-03-14 08:30; now when empty",
        list: "",
    },
    Field {
        name: "craft",
        label: "Only one craft",
        hint: "its number; all when empty",
        list: "",
    },
];

/// The page; `form` is what was asked.
#[must_use]
pub fn faults_page(
    failing: &Failing,
    ctx: &Context,
    facts: &PageFacts,
    form: &FormValues,
) -> String {
    let body = html! {
        div.failing {
            section.top aria-labelledby="faults" {
                h1 id="faults" { "What keeps failing" }
                p.zone { (faults_headline(failing, ctx)) }
                @for note in &facts.notes { p.mind { (clean(note)) } }
                p { b { (failing.summary) } }
                p { (failing.usual.line) }
                p.caution { (crate::caution()) }
            }
            (asked(form))
            (to_do(failing, ctx, facts))
            (groups(failing, facts))
            (lists::failed_repairs(failing, ctx))
            (lists::decided(failing.decided.iter(), failing, ctx))
            (rests_on(failing, facts))
        }
    };
    frame("What keeps failing", facts, &body)
}

/// The page of a question that cannot be answered as it is.
#[must_use]
pub fn faults_refused_page(facts: &PageFacts, form: &FormValues) -> String {
    let body = html! {
        div.failing {
            section.top aria-labelledby="faults" {
                h1 id="faults" { "What keeps failing" }
                ul.faults {
                    @for fault in form.faults() { li { (clean(fault.words())) } }
                }
            }
            (asked(form))
        }
    };
    frame("What keeps failing", facts, &body)
}

fn asked(form: &FormValues) -> Markup {
    html! {
        section.ask aria-labelledby="ask" {
            h2 id="ask" { "What to look at" }
            details id="ask-form" open[!form.faults().is_empty()] {
                summary { "Put together by, counted against, since when" }
                form id="question" method="get" action=(FAULTS) {
                    div.pairs {
                        (choice(("by", "by"), "Put together by", "part and place, on all craft of a model", &BY, form))
                        (choice(("per", "per"), "Counted against", "days in the county", &PER, form))
                    }
                    @for one in &FIELDS { (field(one, form)) }
                    p.press { button.main { "Show" } " " a href=(FAULTS) { "All, by part and place" } }
                }
            }
        }
    }
}

fn to_do(failing: &Failing, ctx: &Context, facts: &PageFacts) -> Markup {
    html! {
        section aria-labelledby="what-to-do" {
            h2 id="what-to-do" { (what_to_do_title(failing)) }
            @if failing.to_do.is_empty() {
                p { "Nothing meets a rule that the lead set." }
            } @else {
                p.soft {
                    "Proposed by the rules that the lead set, the most urgent first. Nothing happens by itself: "
                    "the lead decides."
                }
                ol.to-do {
                    @for (at, one) in failing.to_do.iter().enumerate() {
                        li { (proposed(at, one, failing, ctx, facts)) }
                    }
                }
            }
        }
    }
}

/// One thing to do, with why, the rule, what it rests on, and the form to decide it.
fn proposed(
    at: usize,
    one: &ToDoSaid,
    failing: &Failing,
    ctx: &Context,
    facts: &PageFacts,
) -> Markup {
    let id = format!("do-{}", at + 1);
    html! {
        h3 id=(id) { (clean(&one.title)) }
        ul { @for reason in &one.reasons { li { (sentence(&clean(reason))) } } }
        p.soft { "Rule: " (clean(&one.rule)) }
        (lists::evidence(&one.evidence, failing, ctx, &one.title))
        @match &one.decided {
            Some(decided) => p {
                b { "Decided: " } (clean(&decided_text(decided, ctx)))
                @if one.since > 0 { "; failed again since" } "."
            },
            None => p { "Not decided yet." },
        }
        @if one.waits() { (decide::form((&id, &one.title), Some(one.typed), &one.decides, &one.evidence, facts)) }
    }
}

fn groups(failing: &Failing, facts: &PageFacts) -> Markup {
    html! {
        section aria-labelledby="groups" {
            h2 id="groups" { (sentence(&format!("by {}", failing.by_text))) }
            @if failing.groups.is_empty() { p { "No fault was counted." } }
            ol.groups {
                @for group in &failing.groups { li { (in_the_list(group, failing, facts)) } }
            }
        }
    }
}

fn in_the_list(group: &GroupSaid, failing: &Failing, facts: &PageFacts) -> Markup {
    html! {
        h3 { a href=(group_link(group, facts)) { (clean(&group.label)) } }
        p {
            @if group.stands_out { b { (sentence(&group.line)) } } @else { (sentence(&group.line)) }
            @if !group.trend.is_empty() { "; " (group.trend) } "."
        }
        details {
            summary { "Figures of " (clean(&group.label)) }
            (figures::table(&group.figures, &format!("Figures of {}", group.label)))
            p.soft { (failing.figures_text) }
        }
    }
}

fn rests_on(failing: &Failing, facts: &PageFacts) -> Markup {
    let files = [
        ("/faults.json", "Everything as JSON"),
        ("/faults.csv", "Faults, as CSV"),
        ("/repairs.csv", "Repairs and whether they held, as CSV"),
        ("/what_to_do.csv", "What to do, as CSV"),
    ];
    html! {
        section.rests aria-labelledby="rests" {
            h2 id="rests" { "What this rests on" }
            @for note in &failing.notes { p { (clean(note)) } }
            details {
                summary { "Figures of the whole county" }
                (figures::table(&failing.usual.figures, "Figures of the whole county"))
            }
            ul.files { @for (path, words) in files { li { a href=(asked_at(path, facts)) { (words) } } } }
        }
    }
}

/// A path with what was asked, but for the group.
fn asked_at(path: &str, facts: &PageFacts) -> String {
    let is_group = |pair: &&str| pair.split_once('=').is_some_and(|(name, _)| name == GROUP);
    let pairs = facts.query.split('&').filter(|pair| !is_group(pair));
    let query: Vec<&str> = pairs.collect();
    let query = query.join("&");
    PageFacts {
        query,
        ..facts.clone()
    }
    .link(path)
}

/// The address of a group's page.
fn group_link(group: &GroupSaid, facts: &PageFacts) -> String {
    let path = asked_at(FAULTS_GROUP, facts);
    let gap = if path.contains('?') { '&' } else { '?' };
    format!("{path}{gap}{GROUP}={}", encoded(&group.key))
}

/// A value of an address: RFC 3986, unreserved characters stay.
fn encoded(text: &str) -> String {
    let one = |byte: u8| match byte {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
            char::from(byte).to_string()
        }
        byte => format!("%{byte:02X}"),
    };
    text.bytes().map(one).collect()
}
