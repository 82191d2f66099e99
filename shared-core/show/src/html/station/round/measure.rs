//! What is asked once: the air, how long the craft stood in it, the gauge, how it is kept; fuel,
//! meters, cylinders, and what is aboard.

use maud::{Markup, html};
use sponson_readiness::ids::{PartId, SubjectId};
use sponson_readiness::standard::TemperatureUnit;

use super::typed::{Keys, Typed, chosen, key, text, typed};
use super::{Round, names, said, words};
use crate::clean::clean;

/// Times that are entered with one tap.
const STOOD: [&str; 4] = ["30 min", "1 h", "2 h", "12 h"];

/// Gauges that are entered with one tap; more than that are typed.
const GAUGES_MAX: usize = 4;

fn alone(round: &Round<'_>, field: &str, label: &str, hint: &str, keys: Keys) -> Markup {
    typed(
        round,
        Typed {
            field,
            line: field,
            label,
            hint,
            keys,
        },
    )
}

pub(super) fn air(round: &Round<'_>) -> Markup {
    let unit = match round.ctx.units.temperature {
        TemperatureUnit::F => "°F",
        TemperatureUnit::C => "°C",
    };
    html! {
        legend.unseen { "Air" }
        (alone(round, "air", &format!("Air that the craft stands in, {unit}"), "", Keys::Letters))
    }
}

pub(super) fn stood(round: &Round<'_>) -> Markup {
    html! {
        legend { "How long it has stood in that air" }
        div.keys {
            @for time in STOOD { (key(round, "stood", time, time)) }
            span.step-keys {
                (super::typed::bare(round, Typed {
                    field: "stood", line: "stood", label: "Another time", hint: "", keys: Keys::Letters,
                }))
            }
        }
    }
}

pub(super) fn gauge(round: &Round<'_>) -> Markup {
    html! {
        legend { "Which gauge" }
        div.keys {
            @for number in round.gauges.iter().take(GAUGES_MAX) {
                (key(round, "gauge", number, &clean(number)))
            }
            span.step-keys {
                (super::typed::bare(round, Typed {
                    field: "gauge", line: "gauge", label: "Number of the gauge", hint: "", keys: Keys::Letters,
                }))
            }
        }
    }
}

/// Behind a word: hardly any check has it, and it is no line to be looked at.
pub(super) fn ambient(round: &Round<'_>) -> Markup {
    let is_open = !text(round, "ambient").is_empty() || !text(round, "elevation").is_empty();
    let one = |field: &str, label: &str, hint: &str| {
        let keys = Keys::Letters;
        typed(
            round,
            Typed {
                field,
                line: "ambient",
                label,
                hint,
                keys,
            },
        )
    };
    html! {
        details.more data-line="ambient" open[is_open] {
            summary { "Not at the county's usual height" }
            (one("elevation", "Elevation of this place", "1200 ft"))
            (one("ambient", "Or pressure of the air", "29.2 inHg, 990 mbar"))
            (said::said(round, "ambient"))
        }
    }
}

pub(super) fn stowage(round: &Round<'_>) -> Markup {
    html! {
        legend { "How it is kept" }
        div.choices {
            (chosen(round, "stowage", "stowage",
                &[("rigged", "Rigged"), ("inflated", "Inflated"), ("rolled", "Rolled")]))
        }
    }
}

/// When and by whom a paper sheet was filled.
pub(super) fn of_paper(round: &Round<'_>) -> Markup {
    let one = |field: &str, label: &str, hint: &str| {
        let markup = alone(round, field, label, hint, Keys::Letters);
        html! { fieldset.line data-line=(field) data-proving=(field) { (markup) (said::said(round, field)) } }
    };
    html! {
        (one("observed", "When it was checked, as the sheet says", "2026-03-14 08:30"))
        (one("observed-by", "Member number of whoever checked", ""))
    }
}

pub(super) fn fuel(round: &Round<'_>, tank: Option<SubjectId>) -> Markup {
    let number = tank.map(|tank| names::number(round, tank));
    let line = format!("fuel.{}", number.as_deref().unwrap_or("craft"));
    let field = |end: &str| format!("{line}.{end}");
    let one = |end: &str, label: &str, hint: &str| {
        typed(
            round,
            Typed {
                field: &field(end),
                line: &line,
                label,
                hint,
                keys: Keys::Letters,
            },
        )
    };
    let is_more = !text(round, &field("mix")).is_empty();
    html! {
        legend { "Fuel" @if let Some(number) = &number { " in tank " (clean(number)) } }
        div.pair {
            (one("amount", "How much", "3 gal, 12 L"))
            (one("filled", "Filled on", "2026-03-01, 03/26"))
        }
        details.more open[is_more] {
            summary { "Mixed with oil" }
            (one("mix", "Petrol to oil", "50:1"))
        }
    }
}

pub(super) fn meter(round: &Round<'_>, motor: Option<SubjectId>) -> Markup {
    let number = motor.map(|motor| names::number(round, motor));
    let field = format!("meter.{}", number.as_deref().unwrap_or("craft"));
    let label = match &number {
        Some(number) => format!("Engine meter of motor {}, hours", clean(number)),
        None => "Engine meter, hours".to_owned(),
    };
    html! {
        legend.unseen { (label) }
        (alone(round, &field, &label, "121.5 h", Keys::Letters))
    }
}

pub(super) fn cylinder(round: &Round<'_>, gear: SubjectId) -> Markup {
    let number = names::number(round, gear);
    let label = format!("Gauge of {}", clean(&number));
    html! {
        legend.unseen { (label) }
        (alone(round, &format!("cylinder.{number}"), &label, "200 bar, 3000 psi", Keys::Letters))
    }
}

pub(super) fn aboard(round: &Round<'_>, gear: SubjectId, part: Option<&PartId>) -> Markup {
    let number = names::number(round, gear);
    let field = format!("aboard.{number}");
    html! {
        legend {
            (clean(&number)) " is aboard"
            @if let Some(part) = part { " " small { (words::part(round.standard, part)) } }
        }
        div.choices.two { (chosen(round, &field, &field, &[("yes", "Yes"), ("no", "No")])) }
    }
}
