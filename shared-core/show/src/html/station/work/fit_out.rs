//! Fitting out a new craft: the same list that places it in service, as a walk over days. What was
//! recorded is in the log and ticked off by it; what was entered and is not recorded yet is kept by
//! the check under way of the kind `fitting-out`.

use maud::{Markup, html};
use sponson_readiness::answer::{CraftAnswer, Step, StepId, StepState};
use sponson_readiness::ids::EventId;
use sponson_readiness::moment::Moment;

use super::{OfCraft, WorkPage, hidden, top};
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::{finding_text, to_do_text};
use crate::words;

/// Lines of one open step: more are on the page of the craft.
const OPEN_MAX: usize = 8;

/// What the page knows of the craft.
#[derive(Clone, Copy, Debug)]
pub struct FitOutFacts<'a> {
    /// The craft.
    pub craft: OfCraft<'a>,
    /// The answer about it alone.
    pub answer: &'a CraftAnswer,
    /// The moment that was judged.
    pub as_of: Moment,
    /// Who did what was done.
    pub by: &'a [StepBy],
    /// Since when, and by whom, a check of its fitting out is under way, in words; none when none is.
    pub under_way: Option<&'a str>,
}

/// Who recorded the event that ticks a step off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepBy {
    /// The event.
    pub event: EventId,
    /// By whom and at which station, in words.
    pub who: String,
}

/// The page.
#[must_use]
pub fn fit_out_body(facts: &FitOutFacts<'_>, ctx: &Context, page: &WorkPage<'_>) -> Markup {
    let steps = &facts.answer.in_service;
    let done = steps.iter().filter(|step| step.is_done()).count();
    let next = steps.iter().position(|step| !step.is_done());
    html! {
        (top("fitting out", Some(&facts.craft), page))
        p {
            strong { (done) " of " (steps.len()) " steps done" } ", "
            (words::readiness(facts.answer.readiness)) ". "
            "What is done stays done: go on whenever there is time."
        }
        @if let Some(number) = next {
            p { a.tapped href={ "#step-" (number + 1) } { "Go on with step " (number + 1) } }
        } @else {
            p { "Every step is done." }
        }
        (under_way(facts, page))
        ol.steps {
            @for (number, step) in (1_usize..).zip(steps) {
                li id={ "step-" (number) } class=(if step.is_done() { "step-done" } else { "step-open" }) {
                    (one(facts, step, ctx))
                }
            }
        }
    }
}

/// Its check, begun or gone on with.
fn under_way(facts: &FitOutFacts<'_>, page: &WorkPage<'_>) -> Markup {
    html! {
        @if page.token.is_some() && page.member.is_some() {
            form.work method="post" action={ "/craft/" (facts.craft.id) "/check" } {
                (hidden(page))
                input type="hidden" name="kind" value="fitting-out";
                p.press {
                    button.main {
                        @if facts.under_way.is_some() { "Go on with its check" } @else { "Begin its check" }
                    }
                    @match facts.under_way {
                        Some(words) => span.hint { "under way, " (clean(words)) },
                        None => span.hint { "what is entered is kept over days until it is recorded" },
                    }
                }
            }
        }
    }
}

fn one(facts: &FitOutFacts<'_>, step: &Step, ctx: &Context) -> Markup {
    let what = words::step(step.step);
    html! {
        @match &step.state {
            StepState::Done { event, at } => {
                p { strong { "Done: " } (what) }
                p.hint { (by(facts, *event)) ", " (ctx.local(*at)) " (" (ctx.evidence(*event)) ")" }
            }
            StepState::Clear => p { strong { "Done: " } (what) " (nothing is open)" },
            StepState::Open => {
                p {
                    strong { "To do: " } (what)
                    @if let Some(minutes) = step.minutes { " (" (minutes) " min)" }
                }
                (open(facts, step, ctx))
                @match href(step.step, facts.craft.id) {
                    Some((href, words)) => p { a.tapped href=(href) { (words) span.unseen { " for: " (what) } } },
                    None => p.hint { "The lead does this at the county." },
                }
            }
        }
    }
}

fn by(facts: &FitOutFacts<'_>, event: EventId) -> Markup {
    let mut known = facts.by.iter();
    let who = known.find(|one| one.event == event);
    html! {
        @match who {
            Some(one) if !one.who.is_empty() => (clean(&one.who)),
            Some(_) | None => "by somebody who gave no number",
        }
    }
}

fn open(facts: &FitOutFacts<'_>, step: &Step, ctx: &Context) -> Markup {
    let more = step.open.len().saturating_sub(OPEN_MAX);
    html! {
        @if !step.open.is_empty() { ul {
            @for finding in step.open.iter().take(OPEN_MAX) {
                li {
                    (finding_text(finding, facts.as_of, ctx))
                    @for one in &finding.to_do { "; " (to_do_text(one, &finding.subject, ctx)) }
                }
            }
            @if more > 0 { li { "and " (more) " more, on the page of the craft" } }
        } }
    }
}

/// Where an open step is done; none for what only the lead does.
fn href(step: StepId, id: &str) -> Option<(String, &'static str)> {
    let (path, words) = match step {
        StepId::Registered | StepId::Plate => return None,
        StepId::Placed => (format!("/move?thing=%23{id}"), "Say where it is"),
        StepId::FirstInflation | StepId::FilledByHand => (
            format!("/air/{id}"),
            "Record the air, then read the gauge in its check",
        ),
        StepId::HoldTest | StepId::Valves | StepId::Inspections => {
            (format!("/inspect/{id}"), "Record it as done")
        }
        StepId::Motor => (format!("/move?to=%23{id}"), "Fit the motor"),
        StepId::ReCheck
        | StepId::SafetyLine
        | StepId::Numbers
        | StepId::Kit
        | StepId::FullCheck => (format!("/craft/{id}"), "In its check"),
        StepId::NothingOpen => (format!("/fault/{id}#open"), "See what is open"),
        StepId::Operators => ("/crews".to_owned(), "Say who can operate it"),
    };
    Some((path, words))
}
