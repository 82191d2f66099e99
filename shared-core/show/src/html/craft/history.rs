//! What was recorded of the craft: who, when, what, the newest first.

use maud::{Markup, html};
use sponson_readiness::ids::EventId;

use super::{CraftFacts, Entry, Proofs, Standing};
use crate::clean::clean;
use crate::context::{Context, EVIDENCE_DIGITS};

pub(super) fn history(of_craft: &CraftFacts<'_>, ctx: &Context) -> Markup {
    html! {
        section aria-labelledby="history" {
            h2 id="history" { "What was recorded" }
            @if let Some(href) = of_craft.record_href {
                p { a href=(href) { "The whole record of this craft, to print, with its signature" } }
            }
            @if let Some(href) = of_craft.readings_href {
                p { a href=(href) { "Everything that was read of its chambers, and what they lose" } }
            }
            @if of_craft.history.is_empty() { p { "Nothing is recorded of it here." } }
            @else {
                table {
                    caption {
                        "The newest first, at the times that were claimed"
                        @if of_craft.has_older { "; older entries: sponson-county log NUMBER" } "."
                    }
                    thead {
                        tr {
                            @for name in ["When", "What", "Who", "Entry"] { th scope="col" { (name) } }
                        }
                    }
                    tbody { @for one in of_craft.history { (row(one, of_craft.proofs, ctx)) } }
                }
            }
        }
    }
}

fn row(one: &Entry, proofs: Proofs, ctx: &Context) -> Markup {
    let station = if one.station.is_empty() {
        "county"
    } else {
        &one.station
    };
    let member = clean(&one.member);
    html! {
        tr {
            th scope="row" { (ctx.local(one.at)) }
            td {
                @match one.standing {
                    Standing::Received => "",
                    Standing::Waiting => { em { "not stored by the county yet" } ": " },
                    Standing::Unconfirmed => { strong { "unconfirmed" } ": " },
                }
                (clean(&one.what))
            }
            td data-what="Who" { (clean(station)) @if !member.is_empty() { ", member " (member) } }
            td data-what="Entry" { (entry_link(one.id, proofs)) }
        }
    }
}

/// An entry by the beginning of its id: a link to its proof file where the server has them.
pub(super) fn entry_link(id: EventId, proofs: Proofs) -> Markup {
    let whole = id.to_string();
    let short = &whole[..EVIDENCE_DIGITS];
    html! {
        @match proofs {
            Proofs::Served => a class="entry" href={ "/entry/" (whole) "/proof" }
                aria-label={ "proof of entry " (short) } { (short) },
            Proofs::ByCommand => span class="entry" { (short) },
        }
    }
}
