//! What the lead decided about faults that come again, and what became of it: as text for a terminal
//! and as JSON, `sponson.decisions/1`, described in `decisions-schema.md`. Both say the same.

use serde::Serialize;
use sponson_readiness::event::LeadAction;
use sponson_readiness::history::{Decided, DecidedSince, Done, History};
use sponson_readiness::ids::{EventId, FaultId, SubjectId};

use crate::context::Context;
use crate::table::columns;
use crate::table::lines::Lines;
use crate::units::print;
use crate::{caution, clean};

/// Name and version of the form.
pub const DECISIONS_SCHEMA: &str = "sponson.decisions/1";

/// Digits of an event in its short name, by which commands find it.
const SHORT_DIGITS: usize = 8;

/// A decision in words, as a lead says it.
#[must_use]
pub const fn action_text(action: LeadAction) -> &'static str {
    match action {
        LeadAction::RepairAgain => "repair it again",
        LeadAction::SendToMaker => "send it to the maker",
        LeadAction::TakeOut => "take it out of service",
        LeadAction::Condemn => "condemn it",
        LeadAction::Hold => "hold all of them",
        LeadAction::Watch => "watch it",
    }
}

/// The word of a decision that does not change, as commands take it.
#[must_use]
pub const fn action_word(action: LeadAction) -> &'static str {
    match action {
        LeadAction::RepairAgain => "repair-again",
        LeadAction::SendToMaker => "send-to-maker",
        LeadAction::TakeOut => "take-out",
        LeadAction::Condemn => "condemn",
        LeadAction::Hold => "hold",
        LeadAction::Watch => "watch",
    }
}

/// The short name of a fault, `1a2b3c4d-0`.
#[must_use]
pub fn fault_name(fault: &FaultId) -> String {
    format!("{}-{}", event_name(fault.event), fault.ordinal)
}

fn event_name(event: EventId) -> String {
    format!("{:.SHORT_DIGITS$}", event.to_string())
}

/// What a decision is about: numbers, else model and batch; then the part.
#[must_use]
pub fn about_text(decided: &Decided, history: &History) -> String {
    let numbers = decided.subjects.iter().map(|id| number(*id, history));
    let named = [("model", &decided.model), ("batch", &decided.batch)];
    let named = named
        .iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(name, value)| format!("{name} {}", clean(value)));
    let part = decided.part.iter().map(|part| clean(part.as_str()));
    numbers
        .chain(named)
        .chain(part)
        .collect::<Vec<_>>()
        .join(", ")
}

fn number(id: SubjectId, history: &History) -> String {
    let craft = history.crafts.get(&id).map(|it| &it.number);
    let number = craft.or_else(|| history.gear.get(&id).map(|it| &it.number));
    let known = number.filter(|number| !number.is_empty());
    known.map_or_else(
        || format!("#{:.SHORT_DIGITS$}", id.to_string()),
        |it| clean(it),
    )
}

/// What became of a decision, as far as the log tells.
#[must_use]
pub fn since_text(since: &DecidedSince<'_>, ctx: &Context) -> String {
    let done = match since.done {
        Done::Yes(at, _) => format!("done {}", print::local_day(at, ctx.utc_offset_min)),
        Done::Before => "it stood so already".to_owned(),
        Done::NotYet => "not done yet".to_owned(),
        Done::NotTold => String::new(),
    };
    let again = match since.again.as_slice() {
        [] => "none of it since".to_owned(),
        [one] => format!("again once: {}", fault_name(one)),
        several => {
            let names: Vec<String> = several.iter().map(fault_name).collect();
            format!("again {} times: {}", several.len(), names.join(", "))
        }
    };
    let said: Vec<String> = [done, again]
        .into_iter()
        .filter(|it| !it.is_empty())
        .collect();
    said.join("; ")
}

/// All decisions for a terminal, the newest first.
#[must_use]
pub fn decisions_report(history: &History, ctx: &Context) -> String {
    let decisions = history.decided_since();
    if decisions.is_empty() {
        return "nothing was decided about faults that come again".to_owned();
    }
    let rows: Vec<Vec<String>> = decisions
        .iter()
        .map(|since| {
            let decided = since.decided;
            vec![
                event_name(decided.event),
                print::local_day(decided.at, ctx.utc_offset_min),
                about_text(decided, history),
                action_text(decided.action).to_owned(),
                since_text(since, ctx),
            ]
        })
        .collect();
    let table = columns(&["name", "day", "about", "decided", "since"], &rows);
    let mut closing = Lines::default();
    closing.wrapped("", 0, caution());
    let closing = closing.into_text();
    format!(
        "{}\n\nWhy, and what it rests on: log NAME. What came again is what was found since\n\
         at the same part; it need not have the same cause.\n{}",
        table.trim_end(),
        closing
    )
}

#[derive(Serialize)]
struct DecisionsForm {
    schema: &'static str,
    until: String,
    decisions: Vec<DecisionForm>,
    left_out: u64,
    caution: &'static str,
}

#[derive(Serialize)]
struct DecisionForm {
    event: String,
    at: String,
    member: String,
    action: &'static str,
    craft_or_gear: Vec<NamedForm>,
    model: Option<String>,
    batch: Option<String>,
    part: Option<String>,
    faults: Vec<String>,
    done: &'static str,
    done_at: Option<String>,
    done_by: Option<String>,
    again: Vec<String>,
    text: String,
}

#[derive(Serialize)]
struct NamedForm {
    number: String,
    id: String,
}

/// All decisions as JSON, the newest first.
#[must_use]
pub fn decisions_json(history: &History, ctx: &Context) -> String {
    let decisions = history.decided_since();
    let form = DecisionsForm {
        schema: DECISIONS_SCHEMA,
        until: print::rfc3339(history.until),
        decisions: decisions.iter().map(|it| form(it, history, ctx)).collect(),
        left_out: history.left_out.count(),
        caution: caution(),
    };
    crate::json::written(&form)
}

fn form(since: &DecidedSince<'_>, history: &History, ctx: &Context) -> DecisionForm {
    let decided = since.decided;
    let given = |word: &String| Some(word.clone()).filter(|word| !word.is_empty());
    let (done, at, by) = match since.done {
        Done::Yes(at, by) => ("yes", Some(at), by),
        Done::Before => ("before", None, None),
        Done::NotYet => ("not_yet", None, None),
        Done::NotTold => ("not_told", None, None),
    };
    let things = decided.subjects.iter().map(|id| NamedForm {
        number: number(*id, history),
        id: id.to_string(),
    });
    let whole = |fault: &FaultId| format!("{}-{}", fault.event, fault.ordinal);
    DecisionForm {
        event: decided.event.to_string(),
        at: print::rfc3339(decided.at),
        member: decided.by.member.clone(),
        action: action_word(decided.action),
        craft_or_gear: things.collect(),
        model: given(&decided.model),
        batch: given(&decided.batch),
        part: decided.part.as_ref().map(|part| part.as_str().to_owned()),
        faults: decided.faults.iter().map(whole).collect(),
        done,
        done_at: at.map(print::rfc3339),
        done_by: by.map(|event| event.to_string()),
        again: since.again.iter().map(whole).collect(),
        text: format!(
            "{}: {}; {}",
            about_text(decided, history),
            action_text(decided.action),
            since_text(since, ctx)
        ),
    }
}
