//! Inspections by calendar and by engine hours, whichever comes first.
//!
//! Due days count from the day of the inspection, at its early end. Engine hours come from meter
//! readings; without a reading at the inspection only the calendar counts. Hard use since the
//! inspection halves what the sheet says, and a note says so. An inspection of a part that numbered
//! gear serves as is read from the gear's own record where that has any, so that it travels with the
//! motor or the trailer; one that was about gear which served before says nothing.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::facts::Facts;
use super::holding::{self, Held, Nothing};
use super::motor;
use super::sides::is_trusted;
use crate::answer::{Action, Effect, Finding, Measure, Overdue, Rule, Subject};
use crate::dates::{self, Margins, PastDue, Stage};
use crate::event::Severity;
use crate::ids::{EventId, PartId};
use crate::leak::HoldTold;
use crate::moment::Moment;
use crate::record::{Inspection, Side};
use crate::standard::{HardUse, InspectionLine, RuleEffect};

/// Every inspection of the standard.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>, overdue: &mut Vec<Overdue>) {
    for line in &facts.standard.inspections {
        if line.asked_from.is_none_or(|from| facts.day >= from) {
            one(facts, line, found, overdue);
        }
    }
}

fn one(
    facts: &Facts<'_>,
    line: &InspectionLine,
    found: &mut Vec<Finding>,
    overdue: &mut Vec<Overdue>,
) {
    let sides = sides_of(facts, line);
    let state = State::worst(facts, line, &sides);
    found.extend(state.finding(facts, line));
    found.extend(state.used_hard(line));
    overdue.extend(state.overdue(facts, line));
    let doubts = sides
        .iter()
        .copied()
        .filter(|side| !is_trusted(&side.origin));
    for side in doubts.filter(|side| !side.value.passed) {
        let failed = State::Failed(side).finding(facts, line);
        found.extend(failed.map(|finding| finding.weighed_by(&side.origin)));
    }
}

/// How a line stands on the asked day, by what is trusted: what the answer says of it and when it
/// comes due. Looking ahead asks here too.
pub(super) fn stands<'a>(facts: &Facts<'a>, line: &InspectionLine) -> State<'a> {
    State::worst(facts, line, &sides_of(facts, line))
}

/// What was stated of an inspection: where numbered gear serves as its part, by the gear's own
/// record if that has any; else by the craft's, less what was about gear that served before.
fn sides_of<'a>(facts: &Facts<'a>, line: &InspectionLine) -> Vec<&'a Side<Inspection>> {
    let part = line.part.as_ref();
    let mut parts = facts.standard.parts.iter();
    let gear = parts
        .find(|it| Some(&it.id) == part)
        .and_then(|part| facts.fitted(part));
    if let Some(own) = gear.and_then(|gear| gear.inspections.get(&line.id)) {
        return own.iter().collect();
    }
    let by_craft = facts.record.inspections.get(&line.id).into_iter().flatten();
    let is_of_other = |side: &&Side<Inspection>| {
        gear.is_some_and(|gear| {
            let index = facts.index;
            index.is_about_other_gear(side.origin.event, gear.subject)
        })
    };
    by_craft.filter(|side| !is_of_other(side)).collect()
}

/// What one statement of an inspection means on the asked day.
pub(super) enum State<'a> {
    /// Nobody trusted did it.
    Never,
    /// It failed.
    Failed(&'a Side<Inspection>),
    /// A run that was not long enough.
    TooShort(&'a Side<Inspection>, u32, u32),
    /// A part lost too much in the hold test.
    Lost(&'a Side<Inspection>, HoldTold),
    /// The hold test proves nothing, and why, of which parts.
    ProvesNothing(&'a Side<Inspection>, Nothing, Vec<PartId>),
    /// It passed, and comes due again.
    Passed(&'a Side<Inspection>, Due),
}

/// How far from due.
pub(super) struct Due {
    /// Due day, with the days since then: negative before it.
    pub(super) day: Option<(NaiveDate, i64)>,
    /// Engine seconds past due: negative before it.
    pub(super) engine_s: Option<i64>,
    /// Uses for which the intervals are halved.
    pub(super) hard_use: Vec<EventId>,
}

impl<'a> State<'a> {
    /// Of several statements the worst.
    fn worst(facts: &Facts<'_>, line: &InspectionLine, sides: &[&'a Side<Inspection>]) -> Self {
        let trusted = sides.iter().copied();
        let trusted = trusted.filter(|side| is_trusted(&side.origin));
        let states = trusted.map(|side| State::of(facts, line, side));
        let worst = states.max_by_key(|state| state.rank(facts, line));
        worst.unwrap_or(State::Never)
    }

    fn of(facts: &Facts<'_>, line: &InspectionLine, side: &'a Side<Inspection>) -> Self {
        if !side.value.passed {
            return State::Failed(side);
        }
        if let (Some(ran_s), Some(least_s)) = (side.value.run_s, line.run_least_s)
            && ran_s < least_s
        {
            return State::TooShort(side, ran_s, least_s);
        }
        match holding::judge(facts, line, &side.value) {
            Held::NotMeasured | Held::Passed => {}
            Held::Lost(told) => return State::Lost(side, told),
            Held::Nothing(why, parts) => return State::ProvesNothing(side, why, parts),
        }
        let done = side.origin.interval.earliest(facts.now);
        let hard_use = match line.hard_use {
            HardUse::HalvesNothing => Vec::new(),
            HardUse::HalvesHours | HardUse::HalvesBoth => motor::hard_use_since(facts, done),
        };
        let is_hard = !hard_use.is_empty();
        let anchor = dates::day(done, facts.county.policy.utc_offset_min);
        let day = line.due_after(anchor, is_hard);
        let day = day.map(|due| (due, facts.day.signed_duration_since(due).num_days()));
        let every_s = line.engine_interval_s(is_hard);
        let engine_s = every_s
            .zip(side.value.engine_s)
            .and_then(|(every_s, at_s)| motor::past_due_s(facts, every_s, at_s));
        State::Passed(
            side,
            Due {
                day,
                engine_s,
                hard_use,
            },
        )
    }

    /// Larger is worse: first what it does, then how long overdue.
    fn rank(&self, facts: &Facts<'_>, line: &InspectionLine) -> (Option<Effect>, i64) {
        let over = match self {
            State::Never
            | State::Failed(_)
            | State::TooShort(..)
            | State::Lost(..)
            | State::ProvesNothing(..) => i64::MAX,
            State::Passed(_, due) => due.day.map_or(i64::MIN, |(_, days)| days),
        };
        (
            self.finding(facts, line).map(|finding| finding.effect),
            over,
        )
    }

    fn finding(&self, facts: &Facts<'_>, line: &InspectionLine) -> Option<Finding> {
        let (rule, severity, effect) = match self {
            State::Never => (
                Rule::InspectionNeverDone,
                line.severity,
                effect(facts, line, never(facts, line)),
            ),
            State::ProvesNothing(..) => (
                Rule::HoldProvesNothing,
                line.severity,
                effect(facts, line, never(facts, line)),
            ),
            State::Failed(_) | State::Lost(..) => (
                Rule::InspectionFailed,
                line.severity,
                effect(facts, line, line.failed),
            ),
            // As if it had not been done.
            State::TooShort(..) => (
                Rule::InspectionTooShort,
                line.severity,
                effect(facts, line, line.never),
            ),
            State::Passed(_, due) => match due.stage(line) {
                Stage::InTime => return None,
                Stage::Soon => (Rule::InspectionDueSoon, Severity::Minor, Effect::Note),
                Stage::Grace => (Rule::InspectionOverdue, Severity::Minor, Effect::Note),
                Stage::Over => (
                    Rule::InspectionOverdue,
                    line.severity,
                    effect(facts, line, line.overdue),
                ),
            },
        };
        let subject = Subject::Line(line.id.clone(), line.label.clone());
        let mut finding = Finding::cited(rule, severity, effect, subject, &line.cited)
            .needing(Action::Inspect(line.id.clone()), line.minutes);
        match self {
            State::Never => {}
            State::Failed(side) => finding.evidence.push(side.origin.event),
            State::TooShort(side, ran_s, least_s) => {
                let span = |seconds: u32| Measure::SpanMs(i64::from(seconds) * 1_000);
                finding.evidence.push(side.origin.event);
                finding = finding.measured(span(*ran_s)).at_least(span(*least_s));
            }
            State::Lost(side, told) => {
                finding.evidence.push(side.origin.event);
                finding = finding
                    .measured(Measure::GaugePa(told.lost_pa))
                    .at_most(Measure::GaugePa(told.limit_pa));
            }
            State::ProvesNothing(side, why, parts) => {
                finding.evidence.push(side.origin.event);
                let parts = parts
                    .iter()
                    .map(|part| Measure::Word(part_label(facts, part)));
                let why = Measure::Word(why.id().to_owned());
                finding =
                    finding.measured(Measure::Sides([why].into_iter().chain(parts).collect()));
            }
            State::Passed(side, due) => {
                finding.evidence.push(side.origin.event);
                finding.measured = due.measure().filter(|_| !is_timeless(facts, side));
            }
        }
        Some(finding)
    }

    /// That hard use is why it is due already; said only once it is.
    fn used_hard(&self, line: &InspectionLine) -> Option<Finding> {
        let State::Passed(_, due) = self else {
            return None;
        };
        if due.hard_use.is_empty() || due.stage(line) == Stage::InTime {
            return None;
        }
        let subject = Subject::Line(line.id.clone(), line.label.clone());
        let finding = Finding::cited(
            Rule::UsedHard,
            Severity::Minor,
            Effect::Note,
            subject,
            &line.cited,
        );
        let finding = finding.evidence(due.hard_use.iter().copied());
        Some(match line.every_engine_s {
            Some(every_s) => finding
                .measured(Measure::EngineS(every_s / 2))
                .at_most(Measure::EngineS(every_s)),
            None => finding,
        })
    }

    /// What it adds to the list of what is overdue.
    pub(super) fn overdue(&self, facts: &Facts<'_>, line: &InspectionLine) -> Option<Overdue> {
        let timeless = match self {
            State::Passed(side, _) => is_timeless(facts, side),
            State::Never
            | State::Failed(_)
            | State::TooShort(..)
            | State::Lost(..)
            | State::ProvesNothing(..) => false,
        };
        let (rule_effect, due) = match self {
            State::Never | State::ProvesNothing(..) => (never(facts, line), None),
            State::Failed(_) | State::Lost(..) => return None,
            State::TooShort(..) => (line.never, None),
            State::Passed(_, due) => match due.stage(line) {
                Stage::InTime | Stage::Soon => return None,
                Stage::Grace => (RuleEffect::Note, Some(due)),
                Stage::Over => (line.overdue, Some(due)),
            },
        };
        let day = due
            .and_then(|due| due.day)
            .filter(|(_, days)| *days > 0 && !timeless);
        let engine_s = due
            .and_then(|due| due.engine_s)
            .and_then(|over_s| u64::try_from(over_s).ok())
            .filter(|over_s| *over_s > 0);
        Some(Overdue {
            craft: facts.record.subject,
            number: facts.number_of(facts.record.subject),
            inspection: line.id.clone(),
            label: line.label.clone(),
            due: day.map(|(due, _)| due),
            days_over: day.map(|(_, days)| days),
            engine_s_over: engine_s,
            effect: effect(facts, line, rule_effect),
        })
    }
}

/// A part in the standard's words.
fn part_label(facts: &Facts<'_>, id: &PartId) -> String {
    let part = facts.standard.parts.iter().find(|part| part.id == *id);
    part.map_or_else(|| id.0.clone(), |part| part.label.clone())
}

/// Whether nobody can show when it was done: it counts as done before any calendar.
pub(super) fn is_timeless(facts: &Facts<'_>, side: &Side<Inspection>) -> bool {
    side.origin.interval.earliest(facts.now) == Moment(i64::MIN)
}

impl Due {
    fn stage(&self, line: &InspectionLine) -> Stage {
        let past = PastDue {
            days: self.day.map(|(_, days)| days),
            engine_s: self.engine_s,
        };
        past.stage(Margins {
            soon_days: line.soon_days,
            grace_days: line.grace_days,
            soon_engine_s: line.soon_engine_s,
        })
    }

    fn measure(&self) -> Option<Measure> {
        let over_s = self.engine_s.and_then(|over_s| u64::try_from(over_s).ok());
        match (self.day, over_s.filter(|over_s| *over_s > 0)) {
            (Some((due, _)), None) => Some(Measure::Date(due)),
            (_, Some(over_s)) => Some(Measure::EngineS(over_s)),
            (None, None) => None,
        }
    }
}

/// What never having been done does: a new line has its grace, counted from its first day.
fn never(facts: &Facts<'_>, line: &InspectionLine) -> RuleEffect {
    let age_days = |from: NaiveDate| facts.day.signed_duration_since(from).num_days();
    match line.asked_from {
        Some(from) if age_days(from) <= i64::from(line.grace_days) => RuleEffect::Note,
        Some(_) | None => line.never,
    }
}

fn effect(facts: &Facts<'_>, line: &InspectionLine, effect: RuleEffect) -> Effect {
    facts.effect(effect, &line.id, &BTreeSet::new())
}
