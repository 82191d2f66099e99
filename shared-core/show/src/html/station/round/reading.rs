//! A gauge reading: as found, as left, and air added by what.

use maud::{Markup, html};
use sponson_readiness::ids::PartId;
use sponson_readiness::walk::Wanted;

use super::typed::{Keys, Typed, chosen, listed, text, typed};
use super::{Round, words};
use crate::units::print;

/// What adds air, as the journal of a check names it.
const ADDED_BY: [(&str, &str); 6] = [
    ("hand pump", "hand pump"),
    ("foot pump", "foot pump"),
    ("electric pump", "electric pump"),
    ("cylinder", "cylinder"),
    ("breathing set", "breathing set"),
    ("compressor", "compressor"),
];

pub(super) fn reading(round: &Round<'_>, part: &PartId, wanted: Wanted, valves: bool) -> Markup {
    let line = format!("reading.{}", part.as_str());
    let units = round.ctx.units;
    let unit = print::pressure_unit(units);
    let field = |end: &str| format!("{line}.{end}");
    let one = |field: &str, label: &str, hint: &str, keys: Keys| {
        typed(
            round,
            Typed {
                field,
                line: &line,
                label,
                hint,
                keys,
            },
        )
    };
    html! {
        legend {
            (words::part(round.standard, part)) " "
            small {
                "wanted " (print::pressure_number(wanted.low_pa, units)) " to " (print::pressure(wanted.high_pa, units))
            }
        }
        div.pair {
            (one(&field("found"), &format!("Found, {unit}"), "", Keys::Decimal))
            (one(&field("left"), &format!("Left, {unit}"), "", Keys::Decimal))
        }
        div.if-left { (listed(round, (&field("added-by"), &line), "Air added by", &ADDED_BY)) }
        details.more open[is_more(round, &line)] {
            summary { "More about this reading" }
            @if valves {
                p.label { "Valves to the next chamber" }
                div.choices.two {
                    (chosen(round, &field("valves"), &line, &[("shut", "Shut"), ("open", "Open")]))
                }
            }
            (one(&field("fabric"), "Temperature of the fabric", "where you measured it", Keys::Letters))
            (one(&field("since"), "Time since it was inflated", "within the last hour: 20 min", Keys::Letters))
        }
    }
}

fn is_more(round: &Round<'_>, line: &str) -> bool {
    let mut ends = ["valves", "fabric", "since"].iter();
    ends.any(|end| !text(round, &format!("{line}.{end}")).is_empty())
}
