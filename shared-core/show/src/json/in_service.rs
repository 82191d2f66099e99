//! The list by which a craft is placed in service: `sponson.place-in-service/1`, described in
//! `answer-schema.md`.

use serde::Serialize;
use sponson_readiness::answer::{CraftAnswer, Step, StepState};
use sponson_readiness::moment::Moment;

use crate::context::Context;
use crate::sentence::{finding_text, to_do_text};
use crate::table::step_command;
use crate::units::print;
use crate::words;

/// Name and version of the form.
pub const IN_SERVICE_SCHEMA: &str = "sponson.place-in-service/1";

#[derive(Serialize)]
pub(super) struct InService {
    schema: &'static str,
    craft: String,
    as_of: String,
    readiness: &'static str,
    steps: Vec<StepForm>,
    caution: &'static str,
}

#[derive(Serialize)]
struct StepForm {
    step: &'static str,
    text: &'static str,
    state: &'static str,
    event: Option<String>,
    at: Option<String>,
    open: Vec<Open>,
    minutes: Option<u32>,
    command: Option<String>,
}

#[derive(Serialize)]
struct Open {
    rule: &'static str,
    effect: &'static str,
    text: String,
    what_to_do: Vec<String>,
}

pub(super) fn form(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> InService {
    InService {
        schema: IN_SERVICE_SCHEMA,
        craft: craft.number.clone(),
        as_of: print::rfc3339(as_of),
        readiness: craft.readiness.id(),
        steps: craft
            .in_service
            .iter()
            .map(|one| step(one, craft, as_of, ctx))
            .collect(),
        caution: crate::caution(),
    }
}

fn step(step: &Step, craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> StepForm {
    let (event, at) = match &step.state {
        StepState::Done { event, at } => (
            Some(event.to_string()),
            print::is_known(*at).then(|| print::rfc3339(*at)),
        ),
        StepState::Clear | StepState::Open => (None, None),
    };
    let open = step.open.iter().map(|finding| Open {
        rule: finding.rule.id(),
        effect: finding.effect.id(),
        text: finding_text(finding, as_of, ctx),
        what_to_do: finding
            .to_do
            .iter()
            .map(|one| to_do_text(one, &finding.subject, ctx))
            .collect(),
    });
    StepForm {
        step: step.step.id(),
        text: words::step(step.step),
        state: step.state.id(),
        event,
        at,
        open: open.collect(),
        minutes: step.minutes,
        command: (!step.is_done()).then(|| step_command(step.step, craft)),
    }
}
