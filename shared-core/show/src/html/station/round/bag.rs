//! A bag: its seal and the earliest date on its tag first; its lines where the seal was broken or is
//! another, or where it never had one.

use maud::{Markup, html};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::walk::Stop;

use super::progress::{in_bag, is_opened};
use super::typed::{Keys, Typed, typed};
use super::{Round, line, names};
use crate::clean::clean;

pub(super) fn seal(round: &Round<'_>, bag: SubjectId) -> Markup {
    let number = names::number(round, bag);
    let name = format!("seal.{number}");
    let is_sealed = round.sealed.contains(&bag);
    html! {
        legend { "Seal of bag " (clean(&number)) }
        (typed(round, Typed {
            field: &format!("{name}.number"),
            line: &name,
            label: if is_sealed { "Number on the seal" } else { "Number of the seal that you put on" },
            hint: if is_sealed { "as it stands on the seal, unbroken" } else { "only once all is counted; may stay empty" },
            keys: Keys::Letters,
        }))
        (typed(round, Typed {
            field: &format!("{name}.earliest"),
            line: &name,
            label: "Earliest date on its tag",
            hint: "",
            keys: Keys::Letters,
        }))
    }
}

/// What is counted in a bag.
pub(super) fn counts(round: &Round<'_>, stop: &Stop, bag: SubjectId) -> Markup {
    let lines = stop.lines.iter().filter(|line| in_bag(line, bag));
    let lines = html! { @for one in lines { (line::one(round, stop, one)) } };
    let is_sealed = round.sealed.contains(&bag);
    html! {
        @if is_sealed {
            details.in-bag data-sealed open[is_opened(round, stop, bag)] {
                summary { "No seal, or it is broken or another: count it all" }
                (lines)
            }
        } @else {
            (lines)
        }
    }
}
