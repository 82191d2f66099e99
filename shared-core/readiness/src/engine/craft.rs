//! The answer for one craft: a table of contents of the checks, and what their findings add up to.

use std::collections::BTreeSet;

use super::facts::{Facts, number};
use super::index::Index;
use super::kit::{self, Stores};
use super::together::Takes;
use super::{County, Question};
use super::{
    after_use, air, disagreements, faults, freshness, fuel, gear, holds, in_service, inspections,
    leaks, load, motor, parts, people, place, questions, standing, table, verdict, weather,
};
use crate::answer::{
    Action, Asked, CraftAnswer, Disagreement, Effect, Finding, MissingKit, Overdue, Rule, Subject,
    ToDo,
};
use crate::event::Severity;
use crate::ids::ModelId;
use crate::moment::Moment;
use crate::record::Record;

/// The answer for one craft, with its share of the county's lists.
pub(super) struct Answered {
    pub(super) answer: CraftAnswer,
    pub(super) missing_kit: Vec<MissingKit>,
    pub(super) overdue: Vec<Overdue>,
    /// What it takes when it goes; none when nothing can be judged.
    pub(super) takes: Option<Takes>,
}

/// Answers for one craft.
pub(super) fn answer<'a>(
    county: &'a County<'a>,
    index: &'a Index<'a>,
    question: &Question,
    asked: &'a Asked,
    (record, differ): (&'a Record, &[Disagreement]),
) -> Answered {
    match Facts::new(county, index, question, asked, record) {
        Some(facts) => {
            let mut answered = judged(&facts, differ);
            if question.craft.is_some() {
                let answer = &mut answered.answer;
                answer.in_service = in_service::steps(&facts, &answer.why);
            }
            answered
        }
        None => no_standard(county, record),
    }
}

pub(super) fn judged(facts: &Facts<'_>, differ: &[Disagreement]) -> Answered {
    let record = facts.record;
    let mut found = Vec::new();
    let mut overdue = Vec::new();
    let stores = Stores::new(facts);

    standing::silent(facts, &mut found);
    for body in facts
        .bodies()
        .iter()
        .filter(|body| body.kind == record.kind)
    {
        standing::declared(body, &mut found);
    }
    standing::registration(facts, &mut found);
    standing::mission(facts, &mut found);
    weather::limits(facts, &mut found);
    doubts(facts, &mut found);
    place::check(facts, &mut found);
    disagreements::sides_differ(differ, record.subject, &mut found);
    freshness::check(facts, &mut found);
    after_use::check(facts, &mut found);
    standing::rolled(facts, &stores, &mut found);
    let pressures = parts::check(facts, &stores, &mut found);
    let air = air::check(facts, &stores, &pressures, &mut found, &mut overdue);
    leaks::check(facts, &mut found);
    faults::check(facts, &mut found);
    holds::check(facts, &mut found);
    holds::not_understood(facts.county, &mut found);
    motor::immersed(facts, &mut found);
    motor::over_plate(facts, &mut found);
    motor::on_manual(facts, &mut found);
    gear::check(facts, &mut found);
    fuel::check(facts, &mut found);
    kit::check(facts, &stores, &mut found, &mut overdue);
    inspections::check(facts, &mut found, &mut overdue);
    questions::check(facts, &mut found);
    let load = load::check(facts, &stores, &mut found);
    people::check(facts, &mut found);
    weather::lights(facts, &mut found);

    debug_assert!(in_table(&found), "not in the readiness table: {found:?}");
    sort(&mut found);
    Answered {
        answer: CraftAnswer {
            id: record.subject,
            number: number(Some(record), record.subject),
            model: facts.registered.model.clone(),
            stations: place::stations(record),
            readiness: verdict::readiness(&found),
            status: standing::status(record),
            limits: verdict::limits(&found),
            pressures,
            air,
            load,
            minutes_to_ready: minutes_to_ready(&found),
            checked_at: facts.freshness.full_at.filter(|at| *at > Moment(i64::MIN)),
            stowage: standing::stowage(record),
            crews: people::of_craft(facts),
            crew_least: facts.least_crew(),
            in_service: Vec::new(),
            why: found,
        },
        missing_kit: stores.missing(facts),
        overdue,
        takes: Some(Takes::of(facts)),
    }
}

/// Without registration or standard nothing can be judged: nothing shows that it is ready.
fn no_standard(county: &County<'_>, record: &Record) -> Answered {
    let model = record.craft.0.first().map(|side| side.value.model.clone());
    let mut found = vec![
        Finding::own(
            Rule::NoStandard,
            Severity::Disabling,
            Effect::Unproven,
            Subject::Craft,
        )
        .needing(Action::AskLead, None),
    ];
    let newer = model.as_ref();
    found.extend(newer.and_then(|model| holds::sheet_not_understood(county, model)));
    holds::not_understood(county, &mut found);
    standing::declared(record, &mut found);
    standing::doubts(record, &Subject::Craft, &mut found);
    debug_assert!(in_table(&found), "not in the readiness table: {found:?}");
    sort(&mut found);
    Answered {
        answer: CraftAnswer {
            id: record.subject,
            number: number(Some(record), record.subject),
            model: model.unwrap_or_else(|| ModelId(String::new())),
            stations: place::stations(record),
            readiness: verdict::readiness(&found),
            status: standing::status(record),
            limits: verdict::limits(&found),
            pressures: Vec::new(),
            air: None,
            load: None,
            minutes_to_ready: minutes_to_ready(&found),
            checked_at: None,
            stowage: standing::stowage(record),
            crews: None,
            crew_least: 0,
            in_service: Vec::new(),
            why: found,
        },
        missing_kit: Vec::new(),
        overdue: Vec::new(),
        takes: None,
    }
}

fn doubts(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    for body in facts.bodies() {
        let subject = if body.subject == facts.record.subject {
            Subject::Craft
        } else {
            Subject::Gear(body.subject, number(Some(body), body.subject))
        };
        standing::doubts(body, &subject, found);
    }
}

/// Whether every finding has an effect that the readiness table gives its rule.
fn in_table(found: &[Finding]) -> bool {
    found.iter().all(|finding| {
        let makes = table::Makes::of(&finding.effect);
        table::line(finding.rule).allows(makes)
    })
}

/// A silent station first, since it says how far to trust the rest; then the worst first.
fn sort(found: &mut [Finding]) {
    let severity_order = |effect: &Effect| match effect {
        Effect::NotReady => 0,
        Effect::Unproven => 1,
        Effect::Limit(_) => 2,
        Effect::Note => 3,
    };
    found.sort_by(|one, other| {
        let key = |finding: &Finding| {
            (
                finding.rule != Rule::StationSilent,
                severity_order(&finding.effect),
                finding.severity,
                finding.rule,
            )
        };
        key(one)
            .cmp(&key(other))
            .then_with(|| one.subject.cmp(&other.subject))
    });
}

/// Minutes of work that would lift what stands against going, and rig a rolled craft: 0 when
/// nothing does, none when something is no matter of minutes.
fn minutes_to_ready(found: &[Finding]) -> Option<u32> {
    Work::of(found.iter().filter(|it| stands_against(it))).minutes()
}

/// Whether a finding has to be lifted before the craft can go.
pub(super) fn stands_against(finding: &Finding) -> bool {
    match finding.effect {
        Effect::NotReady | Effect::Unproven => true,
        Effect::Limit(_) | Effect::Note => finding.rule == Rule::Rolled,
    }
}

/// What is to be done about findings. What is to be done twice is counted once; a full check takes
/// in every reading, count and look.
pub(super) struct Work<'f> {
    pub(super) to_do: BTreeSet<&'f ToDo>,
    /// Something is found that nothing known would lift.
    is_open: bool,
}

impl<'f> Work<'f> {
    pub(super) fn of(found: impl Iterator<Item = &'f Finding>) -> Self {
        let mut work = Self {
            to_do: BTreeSet::new(),
            is_open: false,
        };
        for finding in found {
            work.is_open |= finding.to_do.is_empty();
            work.to_do.extend(&finding.to_do);
        }
        let mut to_do = work.to_do.iter();
        if to_do.any(|one| one.action == Action::FullCheck) {
            work.to_do.retain(|one| !in_full_check(&one.action));
        }
        work
    }

    /// Minutes of all of it; none when something is no matter of known minutes.
    pub(super) fn minutes(&self) -> Option<u32> {
        let mut to_do = self.to_do.iter();
        let all = to_do.try_fold(0_u32, |sum, one| Some(sum.saturating_add(one.minutes?)));
        all.filter(|_| !self.is_open)
    }

    /// Minutes of what has known minutes.
    pub(super) fn at_least(&self) -> u32 {
        let known = self.to_do.iter().filter_map(|one| one.minutes);
        known.fold(0, u32::saturating_add)
    }
}

fn in_full_check(action: &Action) -> bool {
    match action {
        Action::ReadGauge(_) | Action::Count(_) | Action::Look(_) => true,
        Action::FindLeak(_)
        | Action::BringTo(..)
        | Action::BringToAtHome(..)
        | Action::Bring(..)
        | Action::Inspect(_)
        | Action::Refuel
        | Action::FullCheck
        | Action::RepairAndSignOff(_)
        | Action::WaitUntil(_)
        | Action::SettlePlace(_)
        | Action::Settle(_)
        | Action::Rig
        | Action::ReadCylinder(_)
        | Action::CountBag(_)
        | Action::Recharge
        | Action::Requalify
        | Action::AskStation
        | Action::RecordPlate
        | Action::Upgrade
        | Action::AskLead
        | Action::SayCrews(_)
        | Action::SignOffByAnother(_)
        | Action::Report => false,
    }
}
