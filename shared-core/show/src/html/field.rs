//! One field of a form: its label, what to write, and what was wrong with what was written.

use maud::{Markup, html};

use super::form::FormValues;
use crate::clean::clean;

/// A field of one line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Field {
    pub(super) name: &'static str,
    pub(super) label: &'static str,
    pub(super) hint: &'static str,
    /// Id of a list of suggestions; empty for none.
    pub(super) list: &'static str,
}

/// A field of one line with its label.
pub(super) fn field(one: &Field, form: &FormValues) -> Markup {
    field_with(one, form.first(one.name), form)
}

/// The same, with this value in it.
pub(super) fn field_with(one: &Field, value: &str, form: &FormValues) -> Markup {
    let name = one.name;
    let fault = form.fault(name);
    let list = (!one.list.is_empty()).then_some(one.list);
    html! {
        div.field {
            label for=(id(name)) { (one.label) }
            input id=(id(name)) name=(name) value=(value) list=[list]
                aria-describedby=(described(name, fault)) aria-invalid=[invalid(fault)]
                autocomplete="off" autocapitalize="none" spellcheck="false";
            (beneath(name, one.hint, fault))
        }
    }
}

/// A field of several lines.
pub(super) fn long_field(name: &str, label: &str, hint: &str, form: &FormValues) -> Markup {
    let fault = form.fault(name);
    html! {
        div.field {
            label for=(id(name)) { (label) }
            textarea id=(id(name)) name=(name) rows="2" aria-describedby=(described(name, fault))
                aria-invalid=[invalid(fault)] autocomplete="off" spellcheck="false" {
                (form.first(name))
            }
            (beneath(name, hint, fault))
        }
    }
}

/// One of several; what was given stands among them even where it is none of them.
///
/// `id` and `name` differ where another field has the same name.
pub(super) fn choice(
    (of, name): (&str, &str),
    label: &str,
    none: &str,
    options: &[(&str, &str)],
    form: &FormValues,
) -> Markup {
    let fault = form.fault(name);
    let alone = of == name;
    let listed = |given: &str| options.iter().any(|(value, _)| *value == given);
    let given = form.find(name, |value| alone || listed(value));
    let other = !given.is_empty() && !listed(given);
    html! {
        div.field {
            label for=(id(of)) { (label) }
            select id=(id(of)) name=(name) aria-describedby=[fault.map(|_| fault_id(name))]
                aria-invalid=[invalid(fault)] {
                option value="" { (none) }
                @for (value, words) in options {
                    option value=(value) selected[*value == given] { (clean(words)) }
                }
                @if other { option value=(given) selected { (clean(given)) } }
            }
            @if let Some(fault) = fault.filter(|_| alone) { p.fault id=(fault_id(name)) { (clean(fault)) } }
        }
    }
}

/// Any of several.
pub(super) fn checks(name: &str, values: &[String], form: &FormValues) -> Markup {
    let fault = form.fault(name);
    html! {
        div.checks id=(id(name)) {
            @for (number, value) in (1_usize..).zip(values) {
                @let id = format!("f-{name}-{number}");
                span.check {
                    input type="checkbox" id=(id) name=(name) value=(value)
                        checked[form.has(name, value)] aria-describedby=[fault.map(|_| fault_id(name))];
                    label for=(id) { (value) }
                }
            }
        }
        @if let Some(fault) = fault { p.fault id=(fault_id(name)) { (clean(fault)) } }
    }
}

/// Suggestions for a field.
pub(super) fn suggestions(id: &str, values: &[(String, String)]) -> Markup {
    html! {
        datalist id=(id) {
            @for (value, words) in values { option value=(value) { (clean(words)) } }
        }
    }
}

fn beneath(name: &str, hint: &str, fault: Option<&str>) -> Markup {
    html! {
        @if let Some(fault) = fault { p.fault id=(fault_id(name)) { (clean(fault)) } }
        p.hint id=(hint_id(name)) { (hint) }
    }
}

fn described(name: &str, fault: Option<&str>) -> String {
    match fault {
        Some(_) => format!("{} {}", fault_id(name), hint_id(name)),
        None => hint_id(name),
    }
}

fn invalid(fault: Option<&str>) -> Option<&'static str> {
    fault.map(|_| "true")
}

fn id(name: &str) -> String {
    format!("f-{name}")
}

fn hint_id(name: &str) -> String {
    format!("h-{name}")
}

fn fault_id(name: &str) -> String {
    format!("e-{name}")
}
