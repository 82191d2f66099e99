//! The form that sends a candidate. It never refuses, and what was shown is kept with it.

use maud::{Markup, html};
use sponson_readiness::answer::{Candidate, CountyAnswer};

use super::facts::PageFacts;
use crate::table::short_number;

/// The form; nothing where nothing may be changed from here.
pub(super) fn assign(one: &Candidate, answer: &CountyAnswer, facts: &PageFacts) -> Markup {
    let Some(token) = facts.token.as_ref().filter(|_| facts.offers.may_assign) else {
        return html! {};
    };
    let number = short_number(&one.number);
    let id = one.craft;
    html! {
        details.assign id={ "a-" (id) } {
            summary { "Assign " (number) }
            form method="post" action={ "/craft/" (id) "/assign" } {
                input type="hidden" name="token" value=(token);
                input type="hidden" name="query" value=(facts.query);
                input type="hidden" name="as_of_unix_ms" value=(answer.asked.as_of.0);
                input type="hidden" name="known_size" value=(answer.known_by.size);
                input type="hidden" name="known_beyond" value=(answer.known_by.beyond);
                div.field {
                    label for={ "i-" (id) } { "Incident" }
                    input id={ "i-" (id) } name="incident" required autocomplete="off";
                }
                div.field {
                    label for={ "n-" (id) } { "Why this one" }
                    input id={ "n-" (id) } name="note" autocomplete="off" aria-describedby={ "nh-" (id) };
                    p.hint id={ "nh-" (id) } { "may stay empty; kept with what stands here now, and your number" }
                }
                p.press { button.main { "Assign " (number) } }
            }
        }
    }
}
