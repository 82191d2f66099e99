//! A count: number keys, plus and minus, or typed. It begins empty, and only what a person states is
//! entered: ‘all 4 there’ is such a statement.

use maud::{Markup, html};
use sponson_readiness::ids::LineId;

use super::typed::{Keys, Typed, bare, key, text, typed};
use super::{Round, words};

/// Most keys for single numbers: two rows on a phone.
const KEYS_MAX: u32 = 10;

pub(super) fn count(
    round: &Round<'_>,
    line: &str,
    item: &LineId,
    (wanted, dated): (u32, bool),
) -> Markup {
    let field = format!("{line}.count");
    let label = words::item(round.standard, item);
    html! {
        legend {
            (label)
            @if wanted > 0 { " " small { "wanted " (wanted) } }
        }
        div.keys {
            @for number in keys(wanted) { (key(round, &field, &number.to_string(), &number.to_string())) }
            @if wanted > 0 { (key(round, &field, &wanted.to_string(), &all(wanted))) }
            span.step-keys {
                button.key.step type="button" data-step="-1" data-of=(field) aria-label="one fewer" { "−" }
                (bare(round, Typed {
                    field: &field, line, label: &format!("Number of {label}"), hint: "", keys: Keys::Digits,
                }))
                button.key.step type="button" data-step="1" data-of=(field) aria-label="one more" { "+" }
            }
        }
        @if dated { (dates(round, line)) }
        (bad(round, line))
    }
}

/// Numbers with a key of their own, beside the one that is wanted.
fn keys(wanted: u32) -> std::ops::Range<u32> {
    if wanted == 0 {
        0..3
    } else {
        0..wanted.min(KEYS_MAX)
    }
}

fn all(wanted: u32) -> String {
    match wanted {
        1 => "1 there".to_owned(),
        2 => "both there".to_owned(),
        _ => format!("all {wanted} there"),
    }
}

fn dates(round: &Round<'_>, line: &str) -> Markup {
    typed(
        round,
        Typed {
            field: &format!("{line}.dates"),
            line,
            label: "Dates on them",
            hint: "2027-03, 03/27 or Mar 2027; 2 x 2027-03, 1 x 2026-11; made 2024-05",
            keys: Keys::Letters,
        },
    )
}

fn bad(round: &Round<'_>, line: &str) -> Markup {
    let field = format!("{line}.bad");
    html! {
        details.bad open[!text(round, &field).is_empty()] {
            summary { "Some are not fit for use" }
            (typed(round, Typed {
                field: &field, line, label: "Of these not fit for use", hint: "", keys: Keys::Digits,
            }))
        }
    }
}
