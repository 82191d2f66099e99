//! The round: one page on which a crew goes round a craft, stop by stop, in the order of its walk.
//!
//! Pure: the walk, the sheet, what was entered, what was reckoned and asked back in; markup out. Every
//! stop is a form of its own, so that it works without script; with it each field is kept when it
//! changes. Nothing is filled in that nobody entered. What the server has to know:
//!
//! - `POST /check/ID/enter` has `token`, `stop`, `was` (the form's fields as they were shown, as a
//!   query string), fields by name, and `go` with the stop to come back at.
//! - `GET /check/ID` with `accept: application/json` gives [`RoundState`].
//! - `POST /check/ID/record` and `/drop` have `token`; `record` has `all_the_same` where lines were left
//!   out.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use sponson_readiness::ids::{StopId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;
use sponson_readiness::walk::{Stop, Walk, WalkLine};

use crate::clean::clean;
use crate::context::Context;
use crate::sentence::stop_text;
use crate::svg::plan::plan_for_walk;
use crate::units::print;

mod answer;
mod bag;
mod count;
mod end;
mod fault;
mod line;
mod measure;
mod names;
mod picture;
mod progress;
mod reading;
mod said;
mod state;
mod typed;
mod words;

pub use end::{Ended, Ending, EventOfRound, LeftOut, ended, ending};
pub use names::line_of_field;
pub use progress::{Progress, StopProgress, left_out_lines, progress};
pub use state::{RoundState, round_state};

/// The script of the round.
pub const ROUND_SCRIPT: &str = include_str!("round.js");

/// A check under way, as its page shows it.
#[derive(Clone, Copy, Debug)]
pub struct Round<'a> {
    /// Id of the check under way.
    pub id: &'a str,
    /// Number of the craft.
    pub craft: &'a str,
    /// The craft.
    pub craft_id: SubjectId,
    /// What it is to become.
    pub kind: RoundKind,
    /// Whether a paper sheet is entered.
    pub from_paper: bool,
    /// Who began it, and when.
    pub begun: (&'a str, Moment),
    /// Whoever looks at the page.
    pub member: &'a str,
    /// Proves that a form is of this page; none when nothing may be entered.
    pub token: Option<&'a str>,
    /// The sheet.
    pub standard: &'a Standard,
    /// The walk.
    pub walk: &'a Walk,
    /// Numbers of bags and gear.
    pub names: &'a BTreeMap<SubjectId, String>,
    /// Numbers of the gauges of this station.
    pub gauges: &'a [String],
    /// Bags that were last left under a seal.
    pub sealed: &'a BTreeSet<SubjectId>,
    /// What was entered, by name of the field.
    pub fields: &'a BTreeMap<String, Entry>,
    /// How many entries there were.
    pub entries: u64,
    /// Why fields were refused that were not kept, by name, with what was typed.
    pub refused: &'a BTreeMap<String, Refused>,
    /// What was reckoned, by line.
    pub figures: &'a BTreeMap<String, Vec<String>>,
    /// What is asked back.
    pub asked: &'a [AskedLine],
    /// A number that no fault of this check has yet.
    pub new_fault: u32,
    /// Units and local time.
    pub ctx: &'a Context,
}

/// What a check is to become.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RoundKind {
    /// All that the sheet asks.
    Full,
    /// Between runs.
    Short,
    /// Some lines.
    Part,
    /// A new craft, over days.
    FittingOut,
}

/// A field as it was entered last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// As typed.
    pub text: String,
    /// Member number.
    pub who: String,
    /// When.
    pub at: Moment,
    /// What another member had entered there before: text and member.
    pub before: Option<(String, String)>,
}

/// A field that was not kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// As typed.
    pub text: String,
    /// The value, the limit and what to do.
    pub why: String,
    /// The field that, with `yes` in it, lets it stand.
    pub stand_by: Option<String>,
}

/// Something that is asked back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AskedLine {
    /// The field.
    pub field: String,
    /// What does not make sense, in words.
    pub text: String,
    /// The field that stands by it; none when it can only be corrected.
    pub affirm: Option<String>,
}

/// The body of the page.
#[must_use]
pub fn round(round: &Round<'_>) -> Markup {
    let counted = progress(round);
    html! {
        div.round id="round" data-check=(round.id) data-member=(round.member) data-entries=(round.entries) {
            (head(round))
            (overview(round, &counted))
            @for (place, stop) in (1_usize..).zip(&round.walk.stops) {
                (one_stop(round, stop, place, &counted))
            }
            (to_the_end(round, &counted))
            (bar(round, &counted))
        }
    }
}

fn head(round: &Round<'_>) -> Markup {
    let (who, at) = round.begun;
    html! {
        h1 { (clean(round.craft)) ": " (words::kind(round.kind)) }
        p.zone {
            (clean(&round.standard.label)) ". Begun " (round.ctx.local(at)) " by member " (clean(who)) "."
            @if round.from_paper { " From a paper sheet." }
        }
        @if round.token.is_none() {
            p.mind { "You may look at this check. To enter anything, say who you are." }
        }
        noscript {
            p.mind { "Without script nothing is kept until you press ‘Keep and go on’ at each stop." }
        }
        p.mind.unsent id="unsent" hidden {}
    }
}

fn overview(round: &Round<'_>, counted: &Progress) -> Markup {
    let stops = round.walk.stops.iter().zip(&counted.stops);
    let done = stops.filter(|(_, one)| one.of > 0 && one.done == one.of);
    let done: BTreeSet<StopId> = done.map(|(stop, _)| stop.id.clone()).collect();
    html! {
        details.stops-over id="stops" open[counted.done == 0] {
            summary { "All stops" }
            (plan_for_walk(round.standard, round.walk, &done, round.ctx))
            ol.stops-list {
                @for (stop, one) in round.walk.stops.iter().zip(&counted.stops) {
                    li {
                        a href={ "#stop-" (stop.id.as_str()) } {
                            span { (stop_text(&stop.label)) }
                            " "
                            @if one.of > 0 { span.of data-stop-count=(stop.id.as_str()) { (words::of(one.done, one.of)) } }
                        }
                    }
                }
                li { a href="#end" { "The end" } }
            }
        }
    }
}

fn one_stop(round: &Round<'_>, stop: &Stop, place: usize, counted: &Progress) -> Markup {
    let id = stop.id.as_str();
    let next = round.walk.stops.get(place).map(|next| next.id.as_str());
    let one = counted.stops.get(place - 1).copied().unwrap_or_default();
    html! {
        section.stop id={ "stop-" (id) } data-stop=(id) aria-labelledby={ "s-" (id) } {
            p.stop-place { "Stop " (place) " of " (round.walk.stops.len()) }
            h2 id={ "s-" (id) } tabindex="-1" { (stop_text(&stop.label)) }
            @if one.of > 0 { p.of data-stop-count=(id) { (words::of(one.done, one.of)) } }
            form.enter method="post" action={ "/check/" (round.id) "/enter" } autocomplete="off" {
                (typed::hidden(round, id, &names::fields_of_stop(round, stop)))
                (line::lines(round, stop))
                @if round.token.is_some() { (on(next, stop)) }
            }
            @if stop.lines.contains(&WalkLine::Faults) { (picture::form(round)) }
        }
    }
}

/// What ends a stop.
fn on(next: Option<&str>, stop: &Stop) -> Markup {
    let has_faults = stop.lines.contains(&WalkLine::Faults);
    html! {
        p.press {
            button.main name="go" value=(next.unwrap_or("end")) {
                @if next.is_some() { "Keep and go on" } @else { "Keep and go to the end" }
            }
            @if !has_faults { a.big href="#new-fault" data-fault-here { "Something wrong here" } }
        }
    }
}

fn to_the_end(round: &Round<'_>, counted: &Progress) -> Markup {
    html! {
        section.stop.end id="end" data-stop="end" aria-labelledby="s-end" {
            h2 id="s-end" tabindex="-1" { "The end" }
            p { span data-all-count { (words::of(counted.done, counted.of)) } ". What was left out is shown before anything is recorded." }
            p.press { a.big.main href={ "/check/" (round.id) "/end" } { "See what it comes to" } }
            @if let Some(token) = round.token {
                details.drop {
                    summary { "Drop this check" }
                    form method="post" action={ "/check/" (round.id) "/drop" } {
                        input type="hidden" name="token" value=(token);
                        p { "Nothing of it is recorded then, and what everybody entered is gone." }
                        p.press { button { "Drop it" } }
                    }
                }
            }
        }
    }
}

/// Where one stands, and the next stop, in reach of a thumb.
fn bar(round: &Round<'_>, counted: &Progress) -> Markup {
    let next = counted.next.and_then(|place| round.walk.stops.get(place));
    html! {
        div.bar id="bar" {
            p {
                span.at id="at" hidden {}
                span data-all-count { (words::of(counted.done, counted.of)) }
                " " span.told id="told" role="status" {}
            }
            @match next {
                Some(stop) => a.big.main id="next" href={ "#stop-" (stop.id.as_str()) } {
                    "Next: " (stop_text(&stop.label))
                },
                None => a.big.main id="next" href="#end" { "To the end" },
            }
        }
    }
}

/// A moment as an entry shows it: the time, with the day where it is not that of `begun`.
fn moment(round: &Round<'_>, at: Moment) -> String {
    let local = print::local(at, round.ctx.utc_offset_min);
    let begun = print::local(round.begun.1, round.ctx.utc_offset_min);
    match (local.split_once(' '), begun.split_once(' ')) {
        (Some((day, time)), Some((of, _))) if day == of => time.to_owned(),
        _ => local,
    }
}

#[cfg(test)]
mod tests;
