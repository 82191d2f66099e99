//! Controls of the round: a field that is typed, buttons of which one is chosen, keys that enter a
//! value with one tap. Nothing stands in them that nobody entered.

use maud::{Markup, html};

use super::{Round, names};
use crate::clean::clean;

/// A field that is typed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Typed<'a> {
    /// Name.
    pub(super) field: &'a str,
    /// Its line, beneath which it is said what becomes of it.
    pub(super) line: &'a str,
    /// In words.
    pub(super) label: &'a str,
    /// How to write it; may be empty.
    pub(super) hint: &'a str,
    /// Which keys a phone shows.
    pub(super) keys: Keys,
}

/// Which keys a phone shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Keys {
    Letters,
    Decimal,
    Digits,
}

impl Keys {
    const fn id(self) -> &'static str {
        match self {
            Self::Letters => "text",
            Self::Decimal => "decimal",
            Self::Digits => "numeric",
        }
    }
}

/// What stands in a field: as it was refused, else as it was entered.
pub(super) fn text<'a>(round: &Round<'a>, field: &str) -> &'a str {
    if let Some(refused) = round.refused.get(field) {
        return &refused.text;
    }
    round.fields.get(field).map_or("", |entry| &entry.text)
}

/// A field of one line with its label.
pub(super) fn typed(round: &Round<'_>, one: Typed<'_>) -> Markup {
    let id = names::id("f", one.field);
    let hint = (!one.hint.is_empty()).then(|| names::id("h", one.field));
    let said = names::id("y", one.line);
    let described = match &hint {
        Some(hint) => format!("{hint} {said}"),
        None => said,
    };
    html! {
        div.typed {
            label for=(id) { (one.label) }
            (input(round, one, &id, &described))
            @if let Some(hint) = &hint { p.hint id=(hint) { (one.hint) } }
        }
    }
}

fn input(round: &Round<'_>, one: Typed<'_>, id: &str, described: &str) -> Markup {
    let invalid = round.refused.contains_key(one.field).then_some("true");
    html! {
        input id=(id) name=(one.field) value=(text(round, one.field)) inputmode=(one.keys.id())
            autocomplete="off" autocapitalize="none" spellcheck="false" enterkeyhint="next"
            aria-describedby=(described) aria-invalid=[invalid] disabled[round.token.is_none()];
    }
}

/// A bare field within a group that names it.
pub(super) fn bare(round: &Round<'_>, one: Typed<'_>) -> Markup {
    let id = names::id("f", one.field);
    let described = names::id("y", one.line);
    html! {
        label.unseen for=(id) { (one.label) }
        (input(round, one, &id, &described))
    }
}

/// One of several as buttons: value and words.
pub(super) fn chosen(
    round: &Round<'_>,
    field: &str,
    line: &str,
    options: &[(&str, &str)],
) -> Markup {
    let now = text(round, field);
    html! {
        @for (value, words) in options {
            @let id = names::id("f", &format!("{field}-{}", value.replace(' ', "-")));
            span.pick {
                input type="radio" id=(id) name=(field) value=(value) checked[!now.is_empty() && now == *value]
                    aria-describedby=(names::id("y", line)) disabled[round.token.is_none()];
                label for=(id) { (words) }
            }
        }
    }
}

/// A key that enters a value with one tap; without script it sends the form.
pub(super) fn key(round: &Round<'_>, field: &str, value: &str, words: &str) -> Markup {
    let is_now = text(round, field) == value && !value.is_empty();
    html! {
        button.key name=(field) value=(value) aria-pressed=(is_now) disabled[round.token.is_none()] { (words) }
    }
}

/// One of many as a list.
pub(super) fn listed(
    round: &Round<'_>,
    (field, line): (&str, &str),
    label: &str,
    options: &[(&str, &str)],
) -> Markup {
    let now = text(round, field);
    let id = names::id("f", field);
    html! {
        div.typed {
            label for=(id) { (label) }
            select id=(id) name=(field) aria-describedby=(names::id("y", line)) disabled[round.token.is_none()] {
                option value="" { "–" }
                @for (value, words) in options {
                    option value=(value) selected[now == *value] { (clean(words)) }
                }
            }
        }
    }
}

/// What every form of a stop carries: the token, the stop, and the fields as they were shown, so that
/// a page that stands for long takes nothing back that somebody else entered meanwhile.
pub(super) fn hidden(round: &Round<'_>, stop: &str, shown: &[(&str, &str)]) -> Markup {
    html! {
        @if let Some(token) = round.token { input type="hidden" name="token" value=(token); }
        input type="hidden" name="stop" value=(stop);
        input type="hidden" name="was" value=(query(shown));
        // The first button of a form is the one that the enter key presses.
        button.default name="go" value=(stop) tabindex="-1" aria-hidden="true" { "Keep" }
    }
}

/// Fields as a query string.
fn query(fields: &[(&str, &str)]) -> String {
    let pairs = fields
        .iter()
        .map(|(name, value)| format!("{}={}", escaped(name), escaped(value)));
    let pairs: Vec<String> = pairs.collect();
    pairs.join("&")
}

fn escaped(text: &str) -> String {
    use std::fmt::Write as _;
    let mut out = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            // Writing to a String cannot fail.
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}
