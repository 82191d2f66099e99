//! How old what is known about a craft is: checks, and uses since.
//!
//! Choices of this engine, common practice without a source. A full check past its interval but
//! within its grace is a note; past the grace the craft is unproven. A use after which nobody has
//! looked makes it unproven; a short check after it keeps it going between runs, and the full one is
//! owed on release: what that does the sheet says (`released`).

mod in_parts;

pub(super) use in_parts::InParts;

use super::facts::Facts;
use super::sides::trusted;
use crate::answer::{Action, Effect, Finding, Measure, Rule, Subject};
use std::collections::BTreeSet;

use super::after_use;
use crate::dates::DAY_MS;
use crate::event::{Extent, Severity};
use crate::ids::LineId;
use crate::moment::Moment;
use crate::record::Record;
use crate::standard::{CheckRule, Standard};

/// Name of the full check where a limit says that it is owed.
const FULL_CHECK: &str = "full-check";

/// When the craft was last looked at, at the earliest.
pub(super) struct Freshness {
    /// Newest full check, whole or in parts.
    pub(super) full_at: Option<Moment>,
    /// Newest full or short check, whole or in parts.
    pub(super) any_at: Option<Moment>,
    /// The parts of the newest full check, where it was done so.
    pub(super) in_parts: Option<InParts>,
    /// What that means.
    pub(super) state: CheckState,
}

/// State of the full check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CheckState {
    /// Never done.
    Never,
    /// Within its interval.
    Fresh,
    /// Past it, within the grace.
    Owed,
    /// Past the grace.
    Stale,
}

impl Freshness {
    pub(super) fn new(record: &Record, standard: &Standard, as_of: Moment, now: Moment) -> Self {
        let newest = |extent| {
            let sides = record.checks.get(&extent)?;
            trusted(sides)
                .map(|side| side.origin.interval.earliest(now))
                .max()
        };
        let full_at = newest(Extent::Full);
        Self {
            full_at,
            any_at: full_at.max(newest(Extent::Short)),
            in_parts: None,
            state: state(full_at, &standard.check, as_of),
        }
    }

    /// The same with checks that were done in parts.
    pub(super) fn with_parts(facts: &Facts<'_>) -> Self {
        let Self {
            full_at, any_at, ..
        } = facts.freshness;
        let in_parts = in_parts::full(facts, full_at);
        let full_at = full_at.max(in_parts.as_ref().map(|parts| parts.at));
        let any_at = any_at.max(full_at);
        let short_at = in_parts::short(facts, any_at).map(|parts| parts.at);
        Self {
            full_at,
            any_at: any_at.max(short_at),
            in_parts,
            state: state(full_at, &facts.standard.check, facts.asked.as_of),
        }
    }

    /// Whether the full check alone already makes the craft unproven, so that lines that are
    /// merely old add nothing.
    pub(super) fn says_it_all(&self) -> bool {
        match self.state {
            CheckState::Never | CheckState::Stale => true,
            CheckState::Fresh | CheckState::Owed => false,
        }
    }
}

fn state(full_at: Option<Moment>, rule: &CheckRule, as_of: Moment) -> CheckState {
    let Some(full_at) = full_at else {
        return CheckState::Never;
    };
    let age_ms = as_of.since(full_at);
    if age_ms <= i64::from(rule.every_days) * DAY_MS {
        CheckState::Fresh
    } else if age_ms <= proof_ms(rule) {
        CheckState::Owed
    } else {
        CheckState::Stale
    }
}

/// For how long a check proves what it saw, milliseconds.
pub(super) fn proof_ms(rule: &CheckRule) -> i64 {
    (i64::from(rule.every_days) + i64::from(rule.grace_days)) * DAY_MS
}

/// Full check never done or too old; used since.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    full_check(facts, found);
    in_parts(facts, found);
    used_since(facts, found);
}

/// A full check that was done in parts names its entries.
fn in_parts(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let Some(parts) = &facts.freshness.in_parts else {
        return;
    };
    let (rule, severity) = (Rule::CheckedInParts, Severity::Minor);
    let finding = Finding::own(rule, severity, Effect::Note, Subject::Craft);
    let age_ms = facts.asked.as_of.since(parts.at).max(0);
    found.push(finding.aged(age_ms).evidence(parts.entries.clone()));
}

fn full_check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let rule = &facts.standard.check;
    // Disabling puts it first among what is unproven: it explains the rest.
    let (rule_id, severity, effect) = match facts.freshness.state {
        CheckState::Fresh => return,
        CheckState::Never => (Rule::NeverChecked, Severity::Disabling, Effect::Unproven),
        CheckState::Owed => (Rule::CheckStale, Severity::Minor, Effect::Note),
        CheckState::Stale => (Rule::CheckStale, Severity::Disabling, Effect::Unproven),
    };
    let mut finding = Finding::cited(rule_id, severity, effect, Subject::Craft, &rule.cited)
        .at_most(Measure::SpanMs(i64::from(rule.every_days) * DAY_MS))
        .needing(Action::FullCheck, Some(rule.minutes));
    if let Some(full_at) = facts.freshness.full_at
        && full_at > Moment(i64::MIN)
    {
        finding = finding.measured(Measure::SpanMs(facts.asked.as_of.since(full_at)));
    }
    if let Some(sides) = facts.record.checks.get(&Extent::Full) {
        finding = finding.evidence(trusted(sides).map(|side| side.origin.event));
    }
    found.push(finding);
}

fn used_since(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let since = |at: Option<Moment>| {
        let uses = facts.record.uses.iter();
        uses.filter(move |side| Some(side.origin.interval.latest(facts.now)) > at)
    };
    let Freshness {
        full_at, any_at, ..
    } = facts.freshness;
    let effect = match (since(any_at).next(), since(full_at).next()) {
        (Some(_), _) => Effect::Unproven,
        (None, Some(_)) if after_use::is_assigned(facts) => Effect::Note,
        (None, Some(_)) => facts.effect(
            facts.standard.check.released,
            &LineId::from(FULL_CHECK),
            &BTreeSet::new(),
        ),
        (None, None) => return,
    };
    let (severity, after) = if since(any_at).next().is_some() {
        (Severity::Major, any_at)
    } else {
        (Severity::Minor, full_at)
    };
    let subject = match effect {
        Effect::Limit(_) => Subject::Line(LineId::from(FULL_CHECK), String::new()),
        Effect::Note | Effect::Unproven | Effect::NotReady => Subject::Craft,
    };
    let minutes = Some(facts.standard.check.minutes);
    let finding = Finding::cited(
        Rule::UsedSinceCheck,
        severity,
        effect,
        subject,
        &facts.standard.check.cited,
    )
    .evidence(since(after).map(|side| side.origin.event))
    .needing(Action::FullCheck, minutes);
    found.push(finding);
}
