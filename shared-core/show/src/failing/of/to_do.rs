//! What is proposed by the lead's rules, and what was decided.

use sponson_readiness::answer::Basis;
use sponson_readiness::event::LeadAction;
use sponson_readiness::history::Decided;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::keeps_failing::{Proposal, RuleMet, Setting};

use super::Scope;
use crate::clean::clean;
use crate::failing::names::{Past, action, severity};
use crate::failing::said::by_chance;
use crate::failing::{DecidedSaid, ToDoSaid};
use crate::sentence::words_of;
use crate::units::print;

/// One proposal.
pub(super) fn said(proposal: &Proposal, past: &Past<'_>) -> ToDoSaid {
    let (id, typed, words) = action(proposal.action);
    let about = past.about(&proposal.about);
    ToDoSaid {
        action: id,
        typed,
        title: format!("{}: {about}", capital(words)),
        about,
        decides: past.decides_about(&proposal.about),
        reasons: reasons(proposal),
        rule: rule(proposal.action, &proposal.rule),
        setting: format!("recurring.{}", setting(proposal.rule.setting)),
        evidence: proposal.evidence.clone(),
        decided: proposal.decided.as_ref().map(|it| decision(it, past)),
        since: u32::try_from(proposal.since.len()).unwrap_or(u32::MAX),
    }
}

/// Why: what was found by the rule, how it stands now, what else it would be enough for.
fn reasons(proposal: &Proposal) -> Vec<String> {
    let open = match (proposal.open.len(), proposal.evidence.len()) {
        (0, 1) => "the fault behind it is signed off".to_owned(),
        (0, all) => format!("all {all} faults behind it are signed off"),
        (1, 1) => "the fault behind it is open".to_owned(),
        (open, all) => format!("{open} of the {all} faults behind it open"),
    };
    let worst = format!("the worst is {}", severity(proposal.worst));
    let also = proposal.also.iter();
    let also: Vec<&str> = also.map(|met| action(met.action).2).collect();
    let also = (!also.is_empty()).then(|| format!("enough also to {}", also.join(", to ")));
    let since = match proposal.since.len() {
        0 => None,
        since => Some(format!(
            "{} since it was decided",
            print::count(i64::try_from(since).unwrap_or(i64::MAX), "fault")
        )),
    };
    let found = found(&proposal.rule);
    [Some(found), Some(format!("{open}; {worst}")), also, since]
        .into_iter()
        .flatten()
        .collect()
}

/// What was found.
fn found(rule: &RuleMet) -> String {
    let p = u32::try_from(rule.measured).unwrap_or(u32::MAX);
    match rule.setting {
        Setting::RepairAgainAfter
        | Setting::MakerAfter
        | Setting::TakeOutAfter
        | Setting::CondemnAfter => failed(rule.measured) + &within(rule),
        Setting::HoldFaults => {
            let faults = print::count(i64::try_from(rule.measured).unwrap_or(i64::MAX), "fault");
            let on = rule
                .units
                .map_or_else(String::new, |(on, _)| format!(" on {on} of them"));
            format!("{faults}{on}, apart from the rest")
        }
        Setting::Apart => format!("fails more often than the rest: {}", by_chance(p)),
        Setting::GettingWorse => format!("getting worse: {}", by_chance(p)),
    }
}

fn failed(repairs: u64) -> String {
    match repairs {
        1 => "1 repair there did not hold".to_owned(),
        repairs => format!("{repairs} repairs there did not hold"),
    }
}

fn within(rule: &RuleMet) -> String {
    let days = rule.within_days;
    days.map_or_else(String::new, |days| {
        format!(" within {}", print::count(i64::from(days), "day"))
    })
}

/// The rule as the lead set it, with where it stands and whence it comes.
fn rule(of: LeadAction, rule: &RuleMet) -> String {
    let limit = u32::try_from(rule.limit).unwrap_or(u32::MAX);
    let says = match rule.setting {
        Setting::RepairAgainAfter
        | Setting::MakerAfter
        | Setting::TakeOutAfter
        | Setting::CondemnAfter => {
            let repairs = print::count(i64::from(limit), "repair");
            format!("from {repairs} on that did not hold{}", within(rule))
        }
        Setting::HoldFaults => {
            let faults = print::count(i64::from(limit), "fault");
            let on = rule.units;
            let on = on.map_or_else(String::new, |(_, least)| format!(" on {least} or more"));
            format!("from {faults} on{on}, apart from the rest")
        }
        Setting::Apart | Setting::GettingWorse => {
            format!("where chance alone does it at most {}", by_chance(limit))
        }
    };
    format!(
        "{} {says} (policy, recurring.{}; {}: {})",
        action(of).2,
        setting(rule.setting),
        basis(rule.basis),
        rule.source
    )
}

const fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Law => "law",
        Basis::Maker => "maker",
        Basis::Agency => "agency",
        Basis::Trade => "trade",
    }
}

const fn setting(setting: Setting) -> &'static str {
    match setting {
        Setting::RepairAgainAfter => "repair_again_after",
        Setting::MakerAfter => "maker_after",
        Setting::TakeOutAfter => "take_out_after",
        Setting::CondemnAfter => "condemn_after",
        Setting::HoldFaults => "hold_faults",
        Setting::Apart => "false_alarms_percent",
        Setting::GettingWorse => "trend_percent",
    }
}

/// What was decided, the newest first.
pub(super) fn decisions(scope: &Scope<'_>) -> Vec<DecidedSaid> {
    let of_it = |one: &&Decided| {
        let on_it = scope.craft.is_some_and(|id| one.subjects.contains(&id));
        on_it || scope.any_on(&one.faults)
    };
    let all = scope.past.history.decisions.iter().rev();
    all.filter(of_it)
        .map(|one| decision(one, scope.past))
        .collect()
}

fn decision(one: &Decided, past: &Past<'_>) -> DecidedSaid {
    let (id, _, words) = action(one.action);
    let about = about(one, past);
    let about = match about.is_empty() {
        true => String::new(),
        false => format!(": {about}"),
    };
    DecidedSaid {
        event: one.event,
        at: one.at,
        member: clean(&one.by.member),
        action: id,
        text: format!("{words}{about}"),
        faults: one.faults.clone(),
    }
}

fn about(one: &Decided, past: &Past<'_>) -> String {
    let subjects = one.subjects.iter();
    let things = subjects.filter(|id| is_thing(**id, past));
    let mut pieces: Vec<String> = things.map(|id| past.thing(*id)).collect();
    if !one.model.is_empty() {
        pieces.push(clean(&one.model));
    }
    if !one.batch.is_empty() {
        pieces.push(format!("batch {}", clean(&one.batch)));
    }
    let on = one.subjects.first().copied();
    pieces.extend(one.part.as_ref().map(|part| past.spot(part, one.place, on)));
    pieces.join(", ")
}

/// A decision about a model is recorded about the county, which has no number.
fn is_thing(id: SubjectId, past: &Past<'_>) -> bool {
    past.history.crafts.contains_key(&id) || past.history.gear.contains_key(&id)
}

/// With a capital, for the beginning of a line.
fn capital(text: &str) -> String {
    let mut letters = words_of(text);
    if let Some(first) = letters.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    letters
}
