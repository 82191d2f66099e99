//! Forms by which a craft is assigned and released. Assigning never refuses: what was shown goes along.

use maud::{Markup, html};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer, Status};

use crate::clean::clean;
use crate::html::facts::PageFacts;
use crate::words;

pub(super) fn forms(answer: &CountyAnswer, craft: &CraftAnswer, facts: &PageFacts) -> Markup {
    let Some(token) = facts.token.as_ref().filter(|_| facts.offers.may_assign) else {
        return html! {};
    };
    let hidden = html! {
        input type="hidden" name="token" value=(token);
        input type="hidden" name="query" value=(facts.query);
    };
    html! {
        section aria-labelledby="assign" {
            h2 id="assign" { "Assign, release" }
            p {
                "It is " (words::status(&craft.status)) ". What this page shows is kept with it, and "
                "the number of the member who is signed in. The county's device signs it: the log "
                "proves that device, and the number is what this page was told."
            }
            form method="post" action={ "/craft/" (craft.id) "/assign" } {
                (hidden)
                input type="hidden" name="as_of_unix_ms" value=(answer.asked.as_of.0);
                input type="hidden" name="known_size" value=(answer.known_by.size);
                input type="hidden" name="known_beyond" value=(answer.known_by.beyond);
                (field("assign-incident", "incident", "Incident", Wanted::Yes))
                (field("assign-note", "note", "Why this craft", Wanted::No))
                button { "Assign " (clean(&craft.number)) }
            }
            @if matches!(craft.status, Status::Assigned { .. }) {
                form method="post" action={ "/craft/" (craft.id) "/release" } {
                    (hidden)
                    (field("release-note", "note", "Why", Wanted::No))
                    button { "Release " (clean(&craft.number)) }
                }
            }
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Wanted {
    Yes,
    No,
}

fn field(id: &str, name: &str, label: &str, wanted: Wanted) -> Markup {
    // An incident has at most 64 bytes in the log; a line of words beside it has room to spare.
    let longest = match wanted {
        Wanted::Yes => "64",
        Wanted::No => "200",
    };
    html! {
        div class="field" {
            label for=(id) { (label) @if wanted == Wanted::No { " (if you like)" } }
            input id=(id) name=(name) required[wanted == Wanted::Yes] maxlength=(longest)
                autocomplete="off";
        }
    }
}
