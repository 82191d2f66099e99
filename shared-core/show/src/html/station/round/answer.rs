//! A question: yes and no as two large buttons; not applicable opens its why.

use maud::{Markup, html};
use sponson_readiness::ids::LineId;

use super::typed::{Keys, Typed, chosen, text, typed};
use super::{Round, words};

const WHY_NOT: [(&str, &str); 3] = [
    ("could not look", "Could not look at it now"),
    ("not fitted", "This craft does not have it"),
    ("not used here", "Not used at this station"),
];

pub(super) fn answer(round: &Round<'_>, line: &LineId) -> Markup {
    let field = format!("answer.{}", line.as_str());
    let now = text(round, &field);
    let is_why = WHY_NOT.iter().any(|(value, _)| *value == now);
    let note = format!("{field}.note");
    let mut questions = round.standard.questions.iter();
    let question = questions.find(|question| question.id == *line);
    let is_fault = question.is_some_and(|question| question.no_is_fault);
    html! {
        legend { (words::question(round.standard, line)) }
        div.choices.two { (chosen(round, &field, &field, &[("yes", "Yes"), ("no", "No")])) }
        details.neither open[is_why] {
            summary { "Neither" }
            div.choices { (chosen(round, &field, &field, &WHY_NOT)) }
            @if !now.is_empty() { (super::typed::key(round, &field, "", "Take it out")) }
        }
        div.if-no {
            @if is_fault {
                p { "‘No’ stays open as a fault until somebody signs it off." }
            }
            (typed(round, Typed {
                field: &note, line: &field, label: "What is wrong", hint: "", keys: Keys::Letters,
            }))
            @if !is_fault {
                a.big href="#new-fault" data-fault-here { "Write it down as a fault, with its place" }
            }
        }
    }
}
