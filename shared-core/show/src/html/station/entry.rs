//! Entries of the station's forms: one label and one thing to enter each, made for gloves. What was
//! wrong with an entry stands under it. Nothing is filled in that nobody entered.

use maud::{Markup, html};

use super::super::form::FormValues;
use crate::clean::clean;

/// An entry of one line.
#[derive(Clone, Copy, Debug)]
pub struct Entry<'a> {
    /// Name of the field.
    pub name: &'a str,
    /// Label.
    pub label: &'a str,
    /// What to write; empty for nothing.
    pub hint: &'a str,
    /// Which keys a tablet offers.
    pub keys: Keys,
}

/// Which keys a tablet offers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Keys {
    /// Letters and digits.
    #[default]
    All,
    /// Whole numbers.
    Digits,
}

impl Keys {
    const fn mode(self) -> Option<&'static str> {
        match self {
            Self::All => None,
            Self::Digits => Some("numeric"),
        }
    }
}

/// A field of one line.
#[must_use]
pub fn entry(one: &Entry<'_>, form: &FormValues) -> Markup {
    let Entry { name, label, .. } = *one;
    html! {
        div.field {
            label for=(id("f", name)) { (clean(label)) }
            input id=(id("f", name)) name=(name) value=(form.first(name)) inputmode=[one.keys.mode()]
                aria-describedby=[described(name, one.hint, form)] aria-invalid=[invalid(name, form)]
                autocomplete="off" autocapitalize="none" spellcheck="false";
            (beneath(name, one.hint, form))
        }
    }
}

/// A field of several lines.
#[must_use]
pub fn words(name: &str, label: &str, hint: &str, form: &FormValues) -> Markup {
    html! {
        div.field {
            label for=(id("f", name)) { (label) }
            textarea id=(id("f", name)) name=(name) rows="2" aria-describedby=[described(name, hint, form)]
                aria-invalid=[invalid(name, form)] autocomplete="off" { (form.first(name)) }
            (beneath(name, hint, form))
        }
    }
}

/// One of a few, each a tap; the first says that nothing was said.
#[must_use]
pub fn taps((name, legend): (&str, &str), of: &[(&str, &str)], form: &FormValues) -> Markup {
    taps_of((name, legend), Some("not said"), of, form)
}

/// One of a few, one of which must be said.
#[must_use]
pub fn taps_needed((name, legend): (&str, &str), of: &[(&str, &str)], form: &FormValues) -> Markup {
    taps_of((name, legend), None, of, form)
}

fn taps_of(
    (name, legend): (&str, &str),
    none: Option<&str>,
    of: &[(&str, &str)],
    form: &FormValues,
) -> Markup {
    let given = form.first(name);
    let none = none.map(|words| ("", words));
    let all = none.iter().chain(of).enumerate();
    html! {
        fieldset.choice id=(id("f", name)) aria-describedby=[described(name, "", form)] {
            legend { (legend) }
            div.taps {
                @for (number, (value, words)) in all {
                    @let id = format!("{}-{number}", id("f", name));
                    span.tap {
                        input type="radio" name=(name) id=(id) value=(value) checked[*value == given];
                        label for=(id) { (clean(words)) }
                    }
                }
            }
            (beneath(name, "", form))
        }
    }
}

/// Yes by a tap; nothing else said.
#[must_use]
pub fn tick(name: &str, label: &str, form: &FormValues) -> Markup {
    let is_ticked = !form.first(name).is_empty();
    html! {
        div.field {
            span.tap {
                input type="checkbox" id=(id("f", name)) name=(name) value="yes" checked[is_ticked]
                    aria-describedby=[described(name, "", form)];
                label for=(id("f", name)) { (clean(label)) }
            }
            (beneath(name, "", form))
        }
    }
}

/// Any of several, under one name.
#[must_use]
pub fn ticks(name: &str, legend: &str, of: &[String], form: &FormValues) -> Markup {
    html! {
        fieldset.choice id=(id("f", name)) aria-describedby=[described(name, "", form)] {
            legend { (legend) }
            div.taps {
                @for (number, value) in of.iter().enumerate() {
                    @let id = format!("{}-{number}", id("f", name));
                    span.tap {
                        input type="checkbox" name=(name) id=(id) value=(value) checked[form.has(name, value)];
                        label for=(id) { (clean(value)) }
                    }
                }
            }
            (beneath(name, "", form))
        }
    }
}

/// One of many; what was given stands among them even where it is none of them.
#[must_use]
pub fn one_of(
    (name, label): (&str, &str),
    none: &str,
    of: &[(String, String)],
    form: &FormValues,
) -> Markup {
    let given = form.first(name);
    let is_listed = of.iter().any(|(value, _)| value == given);
    html! {
        div.field {
            label for=(id("f", name)) { (label) }
            select id=(id("f", name)) name=(name) aria-describedby=[described(name, "", form)]
                aria-invalid=[invalid(name, form)] {
                option value="" { (none) }
                @for (value, words) in of {
                    option value=(value) selected[value == given] { (clean(words)) }
                }
                @if !given.is_empty() && !is_listed { option value=(given) selected { (clean(given)) } }
            }
            (beneath(name, "", form))
        }
    }
}

/// What was wrong, above a form: what is of no one field of it, and how many fields have something.
#[must_use]
pub fn not_recorded(fields: &[&str], form: &FormValues) -> Markup {
    let faults = form.faults();
    let is_shown = |name: &str| {
        fields.iter().any(|field| {
            name == *field
                || field
                    .strip_suffix('*')
                    .is_some_and(|it| name.starts_with(it))
        })
    };
    let apart = faults.iter().filter(|fault| !is_shown(fault.name()));
    html! {
        @if !faults.is_empty() {
            div.faults role="alert" id="faults" tabindex="-1" {
                p { strong { "Not recorded yet." } " Nothing was kept of this." }
                ul {
                    @for fault in apart { li { (clean(fault.words())) } }
                    @for fault in faults.iter().filter(|fault| is_shown(fault.name())) {
                        li { a href={ "#" (id("f", fault.name())) } { (clean(fault.words())) } }
                    }
                }
            }
        }
    }
}

/// An id of a field's element: names hold numbers of gear, which may have blanks in them.
fn id(of: &str, name: &str) -> String {
    let plain = name.chars().map(|c| {
        if c.is_alphanumeric() || ".-_@".contains(c) {
            c
        } else {
            '_'
        }
    });
    let plain: String = plain.collect();
    format!("{of}-{plain}")
}

fn described(name: &str, hint: &str, form: &FormValues) -> Option<String> {
    let fault = form.fault(name).map(|_| id("e", name));
    let hint = (!hint.is_empty()).then(|| id("h", name));
    let ids: Vec<String> = fault.into_iter().chain(hint).collect();
    (!ids.is_empty()).then(|| ids.join(" "))
}

fn invalid(name: &str, form: &FormValues) -> Option<&'static str> {
    form.fault(name).map(|_| "true")
}

fn beneath(name: &str, hint: &str, form: &FormValues) -> Markup {
    html! {
        @if let Some(fault) = form.fault(name) { p.fault id=(id("e", name)) { (clean(fault)) } }
        @if !hint.is_empty() { p.hint id=(id("h", name)) { (hint) } }
    }
}
