//! What is due on a craft, each with the form by which it is recorded as done.

use maud::{Markup, html};
use sponson_readiness::answer::{Action, CraftAnswer, Effect};
use sponson_readiness::ids::LineId;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;

use super::super::entry::{Entry, Keys, entry, not_recorded, taps_needed, tick, words};
use super::{OfCraft, WorkPage, hidden, press, top};
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::finding_text;
use crate::units::print;

/// Something that is due.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due {
    /// Id of its line.
    pub line: String,
    /// In the standard's words.
    pub label: String,
    /// Why it is due now; empty when it is not.
    pub why: String,
    /// Minutes that it takes.
    pub minutes: Option<u32>,
    /// What is entered with it.
    pub needs: Needs,
}

/// What is entered when something is done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Needs {
    /// Nothing more.
    Nothing,
    /// The meter of the motor.
    Meter,
    /// How long the motor ran, at least so many seconds; and its meter.
    Run(u32),
    /// What was read on these parts at the beginning and at the end.
    Hold(Vec<HoldPart>),
}

/// A part that holds air.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HoldPart {
    /// Its id.
    pub id: String,
    /// In the standard's words.
    pub label: String,
}

/// What the page knows of the craft.
#[derive(Clone, Copy, Debug)]
pub struct DueFacts<'a> {
    /// The craft.
    pub craft: OfCraft<'a>,
    /// What is due now.
    pub due: &'a [Due],
    /// What else its boat standard asks for.
    pub others: &'a [Due],
    /// The line whose form is open.
    pub chosen: Option<&'a Due>,
}

/// What is due, from the answer; and all else that the boat standard asks for, in its order.
#[must_use]
pub fn due_of(
    craft: &CraftAnswer,
    standard: &Standard,
    as_of: Moment,
    ctx: &Context,
) -> (Vec<Due>, Vec<Due>) {
    let wants = |line: &LineId| {
        craft.why.iter().find(|finding| {
            let mut to_do = finding.to_do.iter();
            to_do.any(|one| one.action == Action::Inspect(line.clone()))
        })
    };
    let all = lines(standard).into_iter().map(|mut due| {
        let finding = wants(&LineId::from(due.line.as_str()));
        if let Some(finding) = finding {
            due.why = finding_text(finding, as_of, ctx);
            if finding.effect == Effect::Note {
                due.why.push_str(" (only noted)");
            }
        }
        due
    });
    all.partition(|due| !due.why.is_empty())
}

/// Every line of the sheet that is recorded as done.
fn lines(standard: &Standard) -> Vec<Due> {
    let inspections = standard.inspections.iter().map(|line| Due {
        line: line.id.to_string(),
        label: line.label.clone(),
        why: String::new(),
        minutes: None,
        needs: match (line.hold, line.run_least_s, line.every_engine_s) {
            (Some(_), ..) => Needs::Hold(airy(standard)),
            (None, Some(least_s), _) => Needs::Run(least_s),
            (None, None, Some(_)) => Needs::Meter,
            (None, None, None) => Needs::Nothing,
        },
    });
    let after_use = standard.after_use.iter().map(|line| Due {
        line: line.id.to_string(),
        label: line.label.clone(),
        why: String::new(),
        minutes: line.minutes,
        needs: Needs::Nothing,
    });
    inspections.chain(after_use).collect()
}

fn airy(standard: &Standard) -> Vec<HoldPart> {
    let parts = standard.parts.iter().filter(|part| part.pressure.is_some());
    let parts = parts.map(|part| HoldPart {
        id: part.id.to_string(),
        label: part.label.clone(),
    });
    parts.collect()
}

/// The page of what is due.
#[must_use]
pub fn due_body(facts: &DueFacts<'_>, page: &WorkPage<'_>) -> Markup {
    html! {
        (top("what is due", Some(&facts.craft), page))
        @if let Some(chosen) = facts.chosen {
            (one_form(&facts.craft, chosen, page))
        }
        section aria-labelledby="due" {
            h2 id="due" { "Due now" }
            @if facts.due.is_empty() { p { "Nothing is due." } }
            (done_forms(&facts.craft, facts.due, "inspect", page))
        }
        section aria-labelledby="others" {
            h2 id="others" { "Not due yet" }
            ul.rows { @for due in facts.others {
                li { a.tapped href={ "/inspect/" (facts.craft.id) "?inspection=" (due.line) "#done" } { (clean(&due.label)) } }
            } }
        }
    }
}

/// Each line with one button where nothing more is entered, else with a link to its form.
pub(super) fn done_forms(
    craft: &OfCraft<'_>,
    all: &[Due],
    back: &str,
    page: &WorkPage<'_>,
) -> Markup {
    html! {
        ul.rows {
            @for due in all {
                li {
                    p {
                        strong { (clean(&due.label)) }
                        @if let Some(minutes) = due.minutes { " (" (minutes) " min)" }
                    }
                    @if !due.why.is_empty() { p.hint { (clean(&due.why)) } }
                    div.press {
                        @if due.needs == Needs::Nothing && page.token.is_some() && page.member.is_some() {
                            form method="post" action={ "/inspect/" (craft.id) } {
                                (hidden(page))
                                input type="hidden" name="inspection" value=(due.line);
                                input type="hidden" name="result" value="passed";
                                input type="hidden" name="back" value=(back);
                                button.main aria-label={ "Done: " (clean(&due.label)) } { "Done" }
                            }
                        }
                        a.tapped href={ "/inspect/" (craft.id) "?inspection=" (due.line) "#done" } {
                            (words_of(&due.needs))
                            span.unseen { ": " (clean(&due.label)) }
                        }
                    }
                }
            }
        }
    }
}

const fn words_of(needs: &Needs) -> &'static str {
    match needs {
        Needs::Nothing => "With a note, or it failed",
        Needs::Meter => "Done, with the meter",
        Needs::Run(_) => "Done, with how long it ran",
        Needs::Hold(_) => "Done, with what was read",
    }
}

/// The form of one line.
fn one_form(craft: &OfCraft<'_>, due: &Due, page: &WorkPage<'_>) -> Markup {
    let fields = [
        "result",
        "meter",
        "ran",
        "note",
        "observed",
        "yes",
        "start.*",
        "end.*",
        "hours",
        "ambient-*",
    ];
    html! {
        section aria-labelledby="done" {
            h2 id="done" { (clean(&due.label)) }
            @if !due.why.is_empty() { p.hint { (clean(&due.why)) } }
            (not_recorded(&fields, page.form))
            form.work method="post" action={ "/inspect/" (craft.id) } {
                (hidden(page))
                input type="hidden" name="inspection" value=(due.line);
                (needed(&due.needs, page))
                (taps_needed(("result", "How it ended"), &[("passed", "Passed"), ("failed", "Failed")], page.form))
                @if matches!(due.needs, Needs::Hold(_)) {
                    (tick("yes", "Record it as it is, also where it contradicts itself", page.form))
                }
                (text(("observed", "When, if not just now"), "local time, for example 2026-03-14 18:30; may stay empty", page))
                (words("note", "Anything else", "may stay empty", page.form))
                (press("Record it", page))
            }
        }
    }
}

fn needed(needs: &Needs, page: &WorkPage<'_>) -> Markup {
    let meter = || {
        text(
            ("meter", "Meter of the motor now"),
            "for example 112.4h",
            page,
        )
    };
    html! {
        @match needs {
            Needs::Nothing => {}
            Needs::Meter => (meter()),
            Needs::Run(least_s) => {
                @let least = print::span(i64::from(*least_s) * 1_000);
                (text(("ran", "How long the motor ran"), &format!("at least {least}; for example 5min"), page))
                (meter())
            }
            Needs::Hold(parts) => {
                p.hint {
                    "Gauge and temperature at both ends, for example 260mbar@80F; leave a part empty that was not tested."
                }
                @for part in parts {
                    fieldset {
                        legend { (clean(&part.label)) }
                        (text((&format!("start.{}", part.id), "At the start"), "", page))
                        (text((&format!("end.{}", part.id), "At the end"), "", page))
                    }
                }
                (text(("hours", "Hours between"), "for example 24", page))
                (text(("ambient-start", "Barometer at the start"), "may stay empty", page))
                (text(("ambient-end", "Barometer at the end"), "may stay empty", page))
            }
        }
    }
}

fn text((name, label): (&str, &str), hint: &str, page: &WorkPage<'_>) -> Markup {
    let one = Entry {
        name,
        label,
        hint,
        keys: Keys::All,
    };
    entry(&one, page.form)
}
