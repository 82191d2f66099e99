//! The station's pages for what is done to a craft beside its boat check: use, faults, inspections,
//! air, out of service, moves, lending, crews, fitting out.
//!
//! Pure: what is known of the craft and what stood in the fields goes in, the part of a page between
//! the head and the foot comes out. Every form sends the token of its page and works without a script.

use maud::{Markup, html};

use super::super::craft::Standing;
use super::super::form::FormValues;
use crate::clean::clean;

mod air;
mod crews;
mod due;
mod fault;
mod fit_out;
mod lend;
mod mend;
mod moves;
mod open_faults;
mod service;
mod use_;

pub use air::{AirFacts, air_body};
pub use crews::{CrewsFacts, crews_body};
pub use due::{Due, DueFacts, HoldPart, Needs, due_body, due_of};
pub use fault::{FaultFacts, LikeFault, fault_body};
pub use fit_out::{FitOutFacts, StepBy, fit_out_body};
pub use lend::{LendFacts, lend_body};
pub use mend::{MendFacts, Mending, mend_body};
pub use moves::{GoesAlong, MoveFacts, Thing, move_body};
pub use open_faults::{OpenFault, open_faults};
pub use service::{OutNow, ServiceFacts, service_body};
pub use use_::{UseFacts, use_body};

/// What every page of work has.
#[derive(Clone, Copy, Debug)]
pub struct WorkPage<'a> {
    /// Proves that a form came from a page of ours; none when nothing may be recorded from here.
    pub token: Option<&'a str>,
    /// Member number of whoever records; none when nobody said.
    pub member: Option<&'a str>,
    /// Path of the page, to come back to.
    pub here: &'a str,
    /// Names this copy of a form, so that a second press of its button records nothing twice.
    pub once: &'a str,
    /// What was recorded just now.
    pub kept: &'a [Kept],
    /// What stood in the fields, and what was wrong with it.
    pub form: &'a FormValues,
}

/// The craft that a page is about.
#[derive(Clone, Copy, Debug)]
pub struct OfCraft<'a> {
    /// Its id, as addresses hold it.
    pub id: &'a str,
    /// Its painted number.
    pub number: &'a str,
}

/// Something that was recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Short name of the event.
    pub event: String,
    /// What it says, in words.
    pub what: String,
    /// How it stands.
    pub standing: Standing,
}

/// What can be recorded of a craft beside its check, each a link; after use first, where it is assigned.
#[must_use]
pub fn craft_ways(id: &str, is_assigned: bool) -> Markup {
    let after_use = ("/use/", "After use");
    let others = [
        ("/fault/", "A fault"),
        ("/inspect/", "What is due"),
        ("/air/", "Air added or let out"),
        ("/service/", "Out of service, or back"),
        ("/fit-out/", "Fitting out"),
    ];
    let first = is_assigned.then_some(after_use);
    let last = (!is_assigned).then_some(after_use);
    let all = first.into_iter().chain(others).chain(last);
    html! {
        nav.ways aria-label="What else is recorded of it" {
            ul.rows {
                @for (path, words) in all { li { a.tapped href={ (path) (id) } { (words) } } }
                li { a.tapped href={ "/move?thing=%23" (id) } { "It is somewhere else now" } }
            }
        }
    }
}

/// What can be recorded that is of no one craft, each a link.
#[must_use]
pub fn station_ways() -> Markup {
    let all = [
        ("/move", "Moves: craft, gear, bags"),
        ("/lend", "Loose kit lent or brought back"),
        ("/crews", "Crews that this station can raise"),
    ];
    html! {
        nav.ways aria-label="What else is recorded here" {
            ul.rows { @for (path, words) in all { li { a.tapped href=(path) { (words) } } } }
        }
    }
}

/// Begins a page of a craft: its title, the way back, what was recorded just now.
fn top(title: &str, craft: Option<&OfCraft<'_>>, page: &WorkPage<'_>) -> Markup {
    html! {
        h1 {
            @if let Some(craft) = craft { (clean(craft.number)) ": " }
            (title)
        }
        @if let Some(craft) = craft {
            p.back { a.tapped href={ "/craft/" (craft.id) } { "Back to " (clean(craft.number)) } }
        }
        (kept(page.kept))
    }
}

/// What was recorded, with the names of its events, and whether the county has it.
fn kept(all: &[Kept]) -> Markup {
    html! {
        @if !all.is_empty() {
            div.mind.kept role="status" {
                p { strong { "Recorded." } }
                ul {
                    @for one in all {
                        li {
                            (clean(&one.what)) " (event " (one.event) "), "
                            @match one.standing {
                                Standing::Waiting => "waiting to be sent",
                                Standing::Received => "the county has it",
                                Standing::Unconfirmed => "not confirmed: the county has to admit this device",
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What every form sends along.
fn hidden(page: &WorkPage<'_>) -> Markup {
    html! {
        @if let Some(token) = page.token { input type="hidden" name="token" value=(token); }
        @if !page.once.is_empty() { input type="hidden" name="once" value=(page.once); }
    }
}

/// The button that records, and who does.
fn press(words: &str, page: &WorkPage<'_>) -> Markup {
    html! {
        @match (page.token, page.member) {
            (Some(_), Some(member)) => {
                p.press {
                    button.main { (words) }
                    span.hint { "recorded by member " (clean(member)) }
                }
            }
            (_, None) => p.mind {
                "Nobody has said who records: " a.tapped href={ "/who?back=" (page.here) } { "say your member number" } " first."
            }
            (None, Some(_)) => p.mind { "Nothing can be recorded from here: sign in first." }
        }
    }
}
