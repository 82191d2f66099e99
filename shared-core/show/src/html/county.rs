//! The county's page, in the order of need: who can go, what is short, what is overdue, where
//! stations differ, which stations were heard, the map.

use maud::html;
use sponson_readiness::answer::CountyAnswer;

use super::ask::ask;
use super::facts::PageFacts;
use super::form::FormValues;
use super::frame::frame;
use super::lists::{differ, map, overdue, rests_on, short, stations};
use super::top::top;
use super::who::who;
use crate::context::Context;

/// The page of one answer. `form` is what was asked, as it came.
#[must_use]
pub fn county_page(
    answer: &CountyAnswer,
    ctx: &Context,
    facts: &PageFacts,
    form: &FormValues,
) -> String {
    let body = html! {
        div.county {
            (top(answer, ctx, facts))
            (ask(answer.stations.as_slice(), facts, form))
            (who(answer, ctx, facts))
            div.lists {
                (short(answer, ctx))
                (overdue(answer, ctx))
                (differ(answer, ctx))
                (stations(answer, ctx))
            }
            (map(answer, ctx, facts))
            (rests_on(answer, facts))
        }
    };
    frame("Who can go", facts, &body)
}

/// The page of a question that was refused: the form with what is wrong beside each field, and no
/// answer, so that nobody takes the answer to another question for this one.
#[must_use]
pub fn refused_page(facts: &PageFacts, form: &FormValues) -> String {
    let body = html! {
        section.top {
            h1 { "Not answered yet" }
            p.mind role="alert" {
                "Something in the question cannot be read, so there is no answer to it. "
                "What is wrong stands beside each field."
            }
        }
        (ask(&[], facts, form))
    };
    frame("Not answered", facts, &body)
}
