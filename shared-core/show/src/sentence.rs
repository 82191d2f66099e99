//! Findings, limits and to-dos as plain sentences for people who know boats.
//!
//! One sentence, no capital, no full stop, so that it can stand behind a dash or a colon. It says
//! what the answer holds and concludes nothing of its own.

mod air;
mod asked_back;
pub mod callout;
mod disagreement;
mod figure;
pub mod gauges;
pub mod leaks;
mod measure;
mod rule;
mod to_do;
mod walk;

use std::collections::BTreeSet;

use sponson_readiness::answer::{CraftAnswer, Effect, Finding, Limit, Rule, Subject};
use sponson_readiness::event::PartPlace;
use sponson_readiness::ids::MissionId;
use sponson_readiness::moment::Moment;

use crate::clean::clean;
use crate::context::Context;
use crate::units::print;
use crate::words;

pub use air::{air_from_text, air_needed_text, part_air_text};
pub use asked_back::asked_back_text;
pub(crate) use disagreement::side_text;
pub use disagreement::{differ_text, settle_command, settle_text, stated_text, until_text};
pub use figure::{figure_text, figures};
pub use measure::{measure_text, required_text};
pub(crate) use to_do::to_do_short;
pub use to_do::to_do_text;
pub use walk::stop_text;

/// A finding as one sentence. `as_of` is the moment that was judged: lengths of time run to it.
#[must_use]
pub fn finding_text(finding: &Finding, as_of: Moment, ctx: &Context) -> String {
    rule::text(finding, as_of, ctx)
}

/// A limit as one sentence.
#[must_use]
pub fn limit_text(limit: &Limit, ctx: &Context) -> String {
    match limit {
        Limit::TopUp(part) => format!(
            "add air to {} before power is used",
            words_of(part.as_str())
        ),
        Limit::LetOut(part) => {
            format!("let air out of {} before it warms", words_of(part.as_str()))
        }
        Limit::LetOutAtHome(part) => format!(
            "once back in the bay, let air out of {} before it warms",
            words_of(part.as_str())
        ),
        Limit::NoPower => "no power: the motor is not to be used".to_owned(),
        Limit::DaylightOnly => "by daylight and in clear weather only".to_owned(),
        Limit::NotFor(missions) => format!("not for {}", mission_list(missions, "or")),
        Limit::OnlyFor(missions, until) => format!(
            "only for {}, until {} (waiver)",
            mission_list(missions, "and"),
            ctx.local(*until)
        ),
        Limit::CrewOnly => "crew only: nobody to be brought aboard".to_owned(),
        Limit::Rig(minutes) => format!("to be rigged first: {minutes} min"),
        Limit::DoSoon(line) => format!("may go; see to {} soon", words_of(line.as_str())),
        Limit::Trips(trips) => format!("{trips} trips for the people to bring home"),
        Limit::Jackets => {
            "bring life jackets that fit the people to be brought home, by body weight".to_owned()
        }
        Limit::Crew(least) => format!("only with a crew of at least {least}: call in more"),
        Limit::Operator(level) => {
            format!("only with an operator of level {} aboard", words_of(level))
        }
    }
}

/// A limit of one craft as one sentence, in the words of the standard where a finding has them.
/// Power that only waits for air is said to.
#[must_use]
pub fn craft_limit_text(limit: &Limit, craft: &CraftAnswer, ctx: &Context) -> String {
    let mut causes = craft
        .why
        .iter()
        .filter(|finding| finding.effect == Effect::Limit(limit.clone()))
        .peekable();
    if let (Limit::DoSoon(_), Some(finding)) = (limit, causes.peek()) {
        return format!(
            "may go; see to soon: {}",
            subject_text(&finding.subject, ctx)
        );
    }
    let waits = *limit == Limit::NoPower && causes.peek().is_some();
    if waits && causes.all(|finding| finding.rule == Rule::PressureLow) {
        return "no power until the part that holds the transom is topped up".to_owned();
    }
    limit_text(limit, ctx)
}

/// What a finding is about, in words.
#[must_use]
pub fn subject_text(subject: &Subject, ctx: &Context) -> String {
    match subject {
        Subject::Craft => "the craft".to_owned(),
        Subject::Part(id, label) => label_or(label, id.as_str()),
        Subject::Line(id, label) => label_or(label, id.as_str()),
        Subject::Fault(_, part, place, label) => {
            format!(
                "{}{}",
                label_or(label, part.as_str()),
                place_text(*place, ctx)
            )
        }
        Subject::Gear(id, number) => label_or(number, &format!("gear {:.8}", id.to_string())),
        Subject::Station(id, name) if name.is_empty() => ctx.station(*id),
        Subject::Station(_, name) => clean(name),
    }
}

/// When a craft was last checked: `checked 9 h ago`; `not checked since 2026-02-20 10:15` where the
/// check is too old, or the craft was used after it.
#[must_use]
pub fn checked_text(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> String {
    let Some(checked) = craft.checked_at else {
        return "no full check known".to_owned();
    };
    if !print::is_known(checked) {
        return "checked at a time that is not known".to_owned();
    }
    let outdated = |finding: &Finding| {
        let about_age = matches!(finding.rule, Rule::CheckStale | Rule::UsedSinceCheck);
        about_age && finding.effect == Effect::Unproven
    };
    if craft.why.iter().any(outdated) {
        format!("not checked since {}", ctx.local_and_age(checked, as_of))
    } else {
        format!("checked {}", print::ago(as_of.since(checked)))
    }
}

/// Where on a part: `, port, 4 ft forward of the transom, upper face`; nothing when not said.
fn place_text(place: PartPlace, ctx: &Context) -> String {
    let side = place.side.map(|side| words::side(side).to_owned());
    let along = place
        .from_transom_mm
        .map(|mm| format!("{} forward of the transom", print::length(mm, ctx.units)));
    let face = place.face.map(|face| words::face(face).to_owned());
    [side, along, face]
        .into_iter()
        .flatten()
        .map(|piece| format!(", {piece}"))
        .collect()
}

/// A label of the standard; the id in words when there is none.
fn label_or(label: &str, id: &str) -> String {
    if label.trim().is_empty() {
        words_of(id)
    } else {
        clean(label)
    }
}

/// An id of the standard as words: `tube-1` as `tube 1`.
pub(crate) fn words_of(id: &str) -> String {
    clean(id).replace(['-', '_'], " ")
}

fn mission_list(missions: &BTreeSet<MissionId>, joint: &str) -> String {
    let names: Vec<String> = missions.iter().map(|m| words_of(m.as_str())).collect();
    match names.split_last() {
        None => "any mission".to_owned(),
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} {joint} {last}", others.join(", ")),
    }
}

#[cfg(test)]
mod tests;
