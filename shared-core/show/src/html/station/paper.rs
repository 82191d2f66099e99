//! Entering a filled sheet of paper: every line of the sheet under its number, one form, by keyboard.
//!
//! It works without script: all fields are sent at once and kept. With its script, `paper.js`, Enter
//! goes to the next field, and each field is kept as soon as one leaves it. Nothing stands in a field
//! that nobody entered.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::super::form::FormValues;
use super::paper_lines::{BoxKind, PaperBox, PaperLine, PaperSource, fault_boxes, paper_stops};
use super::{StationFacts, station_frame_with};
use crate::clean::clean;

/// The script of the page.
pub const PAPER_SCRIPT: &str = include_str!("paper.js");

/// Fields above the lines: when it was observed, and who checked.
const ABOVE: [(&str, &str, &str); 2] = [
    (
        "observed-by",
        "Checked by, member number as on the paper",
        "",
    ),
    (
        "observed",
        "When it was checked, as on the paper",
        "for example 2026-03-14 08:30",
    ),
];

/// Faults for which the page has room: two more than the sheet.
const FAULTS: usize = 6;

/// A sheet that is entered.
#[derive(Clone, Copy, Debug)]
pub struct PaperEntry<'a> {
    /// Number of the craft.
    pub number: &'a str,
    /// Path of the craft's own page.
    pub craft_path: &'a str,
    /// Path of this page, which takes the form.
    pub path: &'a str,
    /// Path of its script.
    pub script: &'a str,
    /// Lines are made from this.
    pub source: PaperSource<'a>,
    /// What stands in the fields, and what was refused.
    pub form: &'a FormValues,
    /// What hardly makes sense, by the field.
    pub asked: &'a BTreeMap<String, PaperAsked>,
    /// Lines that a full check would leave out, once it was tried; recording all the same is offered.
    pub left_out: &'a [String],
    /// Whether anything of it is kept already.
    pub kept: bool,
}

/// What hardly makes sense, and how to stand by it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperAsked {
    /// Why, a sentence; empty where it was refused and said so.
    pub words: String,
    /// The field that, with `yes` in it, lets it stand.
    pub stand_by: String,
}

/// The page.
#[must_use]
pub fn paper_page(facts: &StationFacts, entry: &PaperEntry<'_>) -> String {
    let title = format!("Enter a filled sheet: {}", clean(entry.number));
    station_frame_with(&title, facts, &[entry.script], &body(facts, entry))
}

fn body(facts: &StationFacts, entry: &PaperEntry<'_>) -> Markup {
    let stops = paper_stops(&entry.source);
    html! {
        h1 { "Enter a filled sheet: " (clean(entry.number)) }
        p {
            "Enter what is written, in the order of the sheet; what is empty there stays empty. "
            "Sheet " (clean(entry.source.standard.model.as_str())) ", revision "
            (entry.source.standard.revision) ": another revision may have other lines."
        }
        (refused(entry))
        @match (&facts.page.token, &facts.member) {
            (Some(token), Some(member)) => form.paper-entry method="post" action=(entry.path) data-paper {
                input type="hidden" name="token" value=(token);
                (above(entry, member))
                @for stop in &stops {
                    section.paper-stop {
                        h2 { (stop.label) }
                        @for line in &stop.lines { (line_of(line, entry)) }
                    }
                }
                (faults(entry))
                (ending(entry))
            },
            (_, None) => p { "Say who you are first: " a href="/who" { "Who are you?" } },
            (None, _) => p { "Nothing can be entered from here." },
        }
    }
}

/// What was refused, each a way to its field.
fn refused(entry: &PaperEntry<'_>) -> Markup {
    let faults = entry.form.faults();
    html! {
        @if !faults.is_empty() {
            div.faults role="alert" id="faults" tabindex="-1" {
                p { strong { "Not recorded yet." } " What could be read is kept." }
                ul {
                    @for fault in faults {
                        li { a href={ "#" (id(fault.name())) } { (clean(fault.words())) } }
                    }
                }
            }
        }
    }
}

fn above(entry: &PaperEntry<'_>, member: &str) -> Markup {
    html! {
        section.paper-stop {
            h2 { "Whose check" }
            div.paper-line {
                span.paper-words { "Entered now by member " (clean(member)) ". " a href="/who" { "Not you?" } }
            }
            @for (name, label, hint) in ABOVE {
                div.paper-line {
                    label.paper-words for=(id(name)) { (label) }
                    (input(name, hint, BoxKind::Words, entry))
                }
            }
            div.paper-line {
                label.paper-words for=(id("extent")) { "How much of the sheet was done" }
                (choice("extent", &EXTENTS, entry))
            }
        }
    }
}

/// How much was checked.
const EXTENTS: [(&str, &str); 3] = [
    ("full", "all of it: a full check"),
    ("short", "a short check between runs"),
    ("part", "some lines"),
];

fn line_of(line: &PaperLine, entry: &PaperEntry<'_>) -> Markup {
    let group = format!("l-{}", line.number);
    html! {
        @if !line.boxes.is_empty() {
            div.paper-line role="group" aria-labelledby=(group) {
                span.paper-words id=(group) {
                    b { (line.number) } " " (line.words)
                    @if !line.wanted.is_empty() { " " span.paper-wanted { "(" (line.wanted) ")" } }
                }
                @for one in &line.boxes { (field(one, entry)) }
            }
        }
    }
}

fn faults(entry: &PaperEntry<'_>) -> Markup {
    html! {
        section.paper-stop {
            h2 { "Faults found" }
            @for fault in 1..=FAULTS {
                @let group = format!("l-fault-{fault}");
                div.paper-line role="group" aria-labelledby=(group) {
                    span.paper-words id=(group) { b { "Fault " (fault) } }
                    @for one in &fault_boxes(fault) { (field(one, entry)) }
                }
            }
            div.paper-line {
                label.paper-words for=(id("note")) { "Anything else" }
                (input("note", "", BoxKind::Words, entry))
            }
        }
    }
}

/// One box of the sheet as a field, with what belongs in it above.
fn field(one: &PaperBox, entry: &PaperEntry<'_>) -> Markup {
    let caption = match (one.caption.as_str(), one.kind) {
        ("", BoxKind::Ticks(_)) => "crossed",
        ("", _) => "written",
        (caption, _) => caption,
    };
    html! {
        span.paper-field {
            label for=(id(&one.field)) { (caption) }
            @match one.kind {
                BoxKind::Ticks(of) | BoxKind::OneOf(of) => (choice(&one.field, of, entry)),
                kind => (input(&one.field, "", kind, entry)),
            }
        }
    }
}

fn input(name: &str, hint: &str, kind: BoxKind, entry: &PaperEntry<'_>) -> Markup {
    let (mode, class) = match kind {
        BoxKind::Count => ("numeric", "paper-count"),
        BoxKind::Quantity => ("decimal", "paper-quantity"),
        BoxKind::Number => ("text", "paper-number"),
        BoxKind::Dates | BoxKind::Words | BoxKind::Ticks(_) | BoxKind::OneOf(_) => {
            ("text", "paper-text")
        }
    };
    html! {
        input class=(class) id=(id(name)) name=(name) value=(entry.form.first(name)) inputmode=(mode)
            autocomplete="off" autocapitalize="none" spellcheck="false" enterkeyhint="next"
            aria-invalid=[entry.form.fault(name).map(|_| "true")]
            aria-describedby=[said_of(name, hint, entry)];
        (beneath(name, hint, entry))
    }
}

/// One of a few: a letter chooses it.
fn choice(name: &str, of: &[(&str, &str)], entry: &PaperEntry<'_>) -> Markup {
    let given = entry.form.first(name);
    let is_listed = of.iter().any(|(value, _)| *value == given);
    html! {
        select id=(id(name)) name=(name) aria-invalid=[entry.form.fault(name).map(|_| "true")]
            aria-describedby=[said_of(name, "", entry)] {
            option value="" { "–" }
            @for (value, words) in of { option value=(value) selected[*value == given] { (words) } }
            @if !given.is_empty() && !is_listed { option value=(given) selected { (clean(given)) } }
        }
        (beneath(name, "", entry))
    }
}

fn said_of(name: &str, hint: &str, entry: &PaperEntry<'_>) -> Option<String> {
    let is_said =
        !hint.is_empty() || entry.form.fault(name).is_some() || entry.asked.contains_key(name);
    is_said.then(|| format!("e-{}", id(name)))
}

/// What was wrong with it, what is asked back, how to write it.
fn beneath(name: &str, hint: &str, entry: &PaperEntry<'_>) -> Markup {
    let fault = entry.form.fault(name);
    let asked = entry.asked.get(name);
    html! {
        @if said_of(name, hint, entry).is_some() {
            span.paper-said id={ "e-" (id(name)) } {
                @if let Some(fault) = fault { strong { (clean(fault)) } " " }
                @if let Some(asked) = asked { (clean(&asked.words)) }
                @if !hint.is_empty() { (hint) }
            }
        }
        @if let Some(asked) = asked {
            span.paper-stands {
                input type="checkbox" id=(id(&asked.stand_by)) name=(asked.stand_by) value="yes"
                    checked[entry.form.has(&asked.stand_by, "yes")];
                label for=(id(&asked.stand_by)) { "It stands so on the paper" }
            }
        }
    }
}

fn ending(entry: &PaperEntry<'_>) -> Markup {
    html! {
        section.paper-stop {
            h2 { "Record it" }
            @if !entry.left_out.is_empty() {
                p {
                    "A full check leaves these out: "
                    @for (place, line) in entry.left_out.iter().enumerate() {
                        @if place > 0 { ", " }
                        (clean(line))
                    }
                    "."
                }
            }
            p {
                "It is marked as from paper, with who checked and who entered it, and stands at the time "
                "of the paper: it does not beat what was read since."
            }
            p.paper-buttons {
                button name="do" value="keep" { "Keep" }
                " "
                button name="do" value="record" { "Record this check" }
                @if !entry.left_out.is_empty() {
                    " " button name="do" value="record-all-the-same" { "Record all the same" }
                }
                @if entry.kept { " " button name="do" value="drop" { "Drop what was entered" } }
            }
            p { a href=(entry.craft_path) { "To the craft" } }
        }
    }
}

/// An id of a field: names have marks that no id may have.
fn id(name: &str) -> String {
    let mut id = "f-".to_owned();
    for letter in name.chars() {
        if letter.is_ascii_alphanumeric() || letter == '-' {
            id.push(letter);
        } else {
            id.push_str(&format!("_{:x}_", u32::from(letter)));
        }
    }
    id
}
