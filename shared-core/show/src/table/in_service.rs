//! The list by which a craft is placed in service: each step done, by what and when, or open, with what
//! to do and the command that records it.

use sponson_readiness::answer::{CraftAnswer, Step, StepId, StepState};
use sponson_readiness::moment::Moment;

use super::lines::Lines;
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::{finding_text, to_do_text};
use crate::units::print;
use crate::words;

/// Lines of one open step: more are for the report of the craft.
const OPEN_MAX: usize = 8;

/// The list for one craft, at most 80 columns wide.
#[must_use]
pub fn in_service_report(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> String {
    let mut lines = Lines::default();
    let steps = &craft.in_service;
    let done = steps.iter().filter(|step| step.is_done()).count();
    let head = format!(
        "{}: {done} of {} steps done, {}",
        clean(&craft.number),
        steps.len(),
        words::readiness(craft.readiness)
    );
    lines.wrapped("", 2, &head);
    lines.blank();
    for (number, step) in (1_usize..).zip(steps) {
        one(&mut lines, (number, step), craft, as_of, ctx);
    }
    lines.blank();
    lines.hanging("", crate::caution());
    lines.into_text()
}

fn one(
    lines: &mut Lines,
    (number, step): (usize, &Step),
    craft: &CraftAnswer,
    as_of: Moment,
    ctx: &Context,
) {
    let what = words::step(step.step);
    match &step.state {
        StepState::Done { event, at } => {
            let when = if print::is_known(*at) {
                format!(", {}", ctx.local(*at))
            } else {
                String::new()
            };
            let prefix = format!("[x] {number:>2}. ");
            lines.hanging(&prefix, &format!("{what}{when} ({})", ctx.evidence(*event)));
        }
        StepState::Clear => lines.hanging(&format!("[x] {number:>2}. "), what),
        StepState::Open => {
            let minutes = step
                .minutes
                .map(|minutes| format!(" ({minutes} min)"))
                .unwrap_or_default();
            lines.hanging(&format!("[ ] {number:>2}. "), &format!("{what}{minutes}"));
            open(lines, step, as_of, ctx);
            let command = step_command(step.step, craft);
            lines.hanging("          record with: ", &command);
        }
    }
}

fn open(lines: &mut Lines, step: &Step, as_of: Moment, ctx: &Context) {
    for finding in step.open.iter().take(OPEN_MAX) {
        let to_do = finding.to_do.iter();
        let to_do: Vec<String> = to_do
            .map(|one| to_do_text(one, &finding.subject, ctx))
            .collect();
        let text = finding_text(finding, as_of, ctx);
        let text = if to_do.is_empty() {
            text
        } else {
            format!("{text}: {}", to_do.join("; "))
        };
        lines.hanging("        - ", &text);
    }
    if let Some(more) = step
        .open
        .len()
        .checked_sub(OPEN_MAX)
        .filter(|more| *more > 0)
    {
        lines.hanging("        - ", &format!("and {more} more"));
    }
}

/// The command that records a step, to be typed as it stands but for the words in capitals.
#[must_use]
pub fn step_command(step: StepId, craft: &CraftAnswer) -> String {
    let craft = clean(&craft.number);
    match step {
        StepId::Registered | StepId::Plate => {
            "sponson-county bring-in --craft LIST.csv, with the plate's columns".to_owned()
        }
        StepId::Placed => format!("sponson move '{craft}' STATION"),
        StepId::FilledByHand => format!("sponson air '{craft}' PART added --by foot-pump"),
        StepId::HoldTest => format!("sponson inspect '{craft}' hold-test passed"),
        StepId::Inspections => format!("sponson inspect '{craft}' LINE passed"),
        StepId::Motor => format!("sponson move MOTOR '{craft}'"),
        StepId::FirstInflation | StepId::ReCheck | StepId::Kit | StepId::FullCheck => {
            format!("sponson check '{craft}'")
        }
        StepId::Valves | StepId::SafetyLine | StepId::Numbers => {
            format!("sponson check '{craft}', or sponson inspect '{craft}' LINE passed")
        }
        StepId::NothingOpen => format!("see sponson ready '{craft}' --why"),
        StepId::Operators => {
            "sponson crews NUMBER --persons NUMBER --operator MEMBER --until TIME".to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use sponson_readiness::answer::{Effect, Rule};

    use super::*;
    use crate::sample;

    #[test]
    fn the_list_as_read() {
        let county = sample::county();
        let mut craft = county.craft.first().expect("a craft").clone();
        let limited = sample::limited();
        let finding = limited.why.first().expect("a finding").clone();
        assert_ne!(
            (finding.rule, &finding.effect),
            (Rule::Assigned, &Effect::Note)
        );
        craft.in_service = vec![
            Step {
                step: StepId::Registered,
                state: StepState::Done {
                    event: sample::event(7),
                    at: sample::AS_OF,
                },
                open: Vec::new(),
                minutes: None,
            },
            Step {
                step: StepId::ReCheck,
                state: StepState::Open,
                open: vec![finding; 9],
                minutes: Some(3),
            },
            Step {
                step: StepId::NothingOpen,
                state: StepState::Clear,
                open: Vec::new(),
                minutes: None,
            },
        ];
        let text = in_service_report(&craft, sample::AS_OF, &sample::context());
        for part in [
            "Boat 3: 2 of 3 steps done, ready",
            "[x]  1. registered",
            "2026-03-14 08:30",
            "[ ]  2. ",
            "(3 min)",
            "and 1 more",
            "record with: sponson check 'Boat 3'",
            "[x]  3. ",
            "Advice only",
        ] {
            assert!(text.contains(part), "{part:?} in:\n{text}");
        }
        assert!(
            text.lines().all(|line| line.chars().count() <= 80),
            "{text}"
        );
    }
}
