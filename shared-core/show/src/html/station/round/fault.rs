//! Faults that were found: those written down, and a form for one more.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::typed::{Keys, Typed, chosen, listed, text, typed};
use super::{Round, picture, said};
use crate::clean::clean;
use crate::html::FormValues;
use crate::html::station::place::{PlaceAsked, place_picker};

/// Classes of fault that the trade knows; common practice, no source. Others are recorded too.
const CLASSES: [&str; 16] = [
    "leak",
    "tear",
    "puncture",
    "abrasion",
    "seam-open",
    "delamination",
    "crack",
    "corrosion",
    "loose",
    "missing",
    "broken",
    "worn",
    "blocked",
    "wet",
    "dead",
    "dirty",
];

const SEVERITIES: [(&str, &str); 4] = [
    ("disabling", "Disabling: not fit to go"),
    ("restrictive", "Restrictive: rules out some missions"),
    ("major", "Major: repair it soon"),
    ("minor", "Minor: when convenient"),
];

/// Numbers of the faults that were written down.
pub(super) fn numbers(round: &Round<'_>) -> Vec<u32> {
    let number = |field: &String| {
        field
            .strip_prefix("fault.")?
            .split('.')
            .next()?
            .parse()
            .ok()
    };
    let all: BTreeSet<u32> = round.fields.keys().filter_map(number).collect();
    all.into_iter().collect()
}

pub(super) fn faults(round: &Round<'_>) -> Markup {
    html! {
        div.faults-found id="faults-found" {
            @for number in numbers(round) { (written(round, number)) }
        }
        @if round.token.is_some() {
            details.new-fault id="new-fault" {
                summary { "Write down a fault" }
                (form(round, round.new_fault))
            }
        }
    }
}

fn written(round: &Round<'_>, number: u32) -> Markup {
    let said = |end: &str| clean(text(round, &format!("fault.{number}.{end}")));
    html! {
        details.fault-written {
            summary { "Fault: " (said("class")) " at " (said("part")) }
            (form(round, number))
        }
    }
}

fn form(round: &Round<'_>, number: u32) -> Markup {
    let line = format!("fault.{number}");
    let field = |end: &str| format!("{line}.{end}");
    let classes = CLASSES.map(|class| (class, class));
    let prefix = format!("{line}.");
    let asked = PlaceAsked {
        prefix: &prefix,
        link: None,
        units: round.ctx.units,
    };
    html! {
        fieldset.fault-form data-line=(line) data-fault=(number) disabled[round.token.is_none()] {
            legend.unseen { "Fault" }
            (place_picker(round.standard, &asked, &values(round, &prefix)))
            (listed(round, (&field("class"), &line), "What it is", &classes))
            p.label { "How bad" }
            div.choices { (chosen(round, &field("severity"), &line, &SEVERITIES)) }
            (typed(round, Typed {
                field: &field("note"), line: &line, label: "In words", hint: "", keys: Keys::Letters,
            }))
            (picture::taken(round, &prefix))
            (said::said(round, &line))
            p.press { button.big name="go" value="faults" { "Keep this fault" } }
        }
    }
}

fn values(round: &Round<'_>, prefix: &str) -> FormValues {
    let here = round
        .fields
        .iter()
        .filter(|(field, _)| field.starts_with(prefix));
    FormValues::of(here.map(|(field, entry)| (field.as_str(), entry.text.as_str())))
}
