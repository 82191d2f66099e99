//! Light, wind, current and towing: what of the asked job the craft may not do.
//!
//! A line whose effect is 'by daylight only' is judged with the light of the job where the effect
//! is worked out (`verdict`); here it is said from when lights are needed. A limit that the boat
//! standard does not set is said, and changes nothing.

use super::facts::Facts;
use crate::answer::{Effect, Finding, Measure, Rule, Subject};
use crate::conditions::Tow;
use crate::event::Severity;
use crate::ids::LineId;
use crate::standard::{Limits, RuleEffect, Towing};

/// Wind, current and towing against the limits of the boat standard.
pub(super) fn limits(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let limits = facts.limits();
    let given = &facts.asked.conditions;
    let over = |rule, asked: Option<u32>, most: Option<u32>| {
        let (asked, most) = (asked?, most?);
        (asked > most).then(|| {
            let finding = of_limits(facts, rule, Effect::NotReady);
            finding
                .measured(Measure::SpeedMmS(asked))
                .at_most(Measure::SpeedMmS(most))
        })
    };
    found.extend(over(Rule::WindOver, given.wind_mm_s, limits.wind_mm_s));
    found.extend(over(
        Rule::CurrentOver,
        given.current_mm_s,
        limits.current_mm_s,
    ));
    if given.tow == Tow::Yes && limits.tow == Some(Towing::No) {
        found.push(of_limits(facts, Rule::TowNotAllowed, Effect::NotReady));
    }
    found.extend(not_set(facts, &limits));
}

/// What was asked and the boat standard sets no limit to.
fn not_set(facts: &Facts<'_>, limits: &Limits) -> Option<Finding> {
    let given = &facts.asked.conditions;
    let asked = [
        (
            "wind",
            given.wind_mm_s.is_some() && limits.wind_mm_s.is_none(),
        ),
        (
            "current",
            given.current_mm_s.is_some() && limits.current_mm_s.is_none(),
        ),
        ("towing", given.tow == Tow::Yes && limits.tow.is_none()),
    ];
    let open: Vec<Measure> = asked
        .into_iter()
        .filter(|(_, open)| *open)
        .map(|(what, _)| Measure::Word(what.to_owned()))
        .collect();
    if open.is_empty() {
        return None;
    }
    let finding = Finding::own(
        Rule::LimitNotSet,
        Severity::Minor,
        Effect::Note,
        Subject::Craft,
    );
    Some(finding.measured(Measure::Sides(open)))
}

fn of_limits(facts: &Facts<'_>, rule: Rule, effect: Effect) -> Finding {
    match &facts.standard.limits.cited {
        Some(cited) => Finding::cited(rule, Severity::Restrictive, effect, Subject::Craft, cited),
        None => Finding::own(rule, Severity::Restrictive, effect, Subject::Craft),
    }
}

/// From when lights are needed, where a line that allows only daylight keeps the craft from the
/// job: as bad as the worst of those lines.
pub(super) fn lights(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let Some(from) = facts.asked.lights.from() else {
        return;
    };
    let by_daylight =
        |finding: &&Finding| finding.effect >= Effect::Unproven && is_daylight_only(facts, finding);
    let kept_back: Vec<&Finding> = found.iter().filter(by_daylight).collect();
    let Some(effect) = kept_back.iter().map(|finding| finding.effect.clone()).max() else {
        return;
    };
    let finding = Finding::own(
        Rule::LightsNeeded,
        Severity::Restrictive,
        effect,
        Subject::Craft,
    )
    .measured(Measure::Moment(from))
    .evidence(kept_back.iter().flat_map(|it| it.evidence.iter().copied()));
    let mut to_do: Vec<_> = kept_back.iter().flat_map(|it| it.to_do.clone()).collect();
    to_do.sort();
    to_do.dedup();
    found.push(Finding { to_do, ..finding });
}

/// Whether the boat standard says 'by daylight only' of what was found of a line.
fn is_daylight_only(facts: &Facts<'_>, finding: &Finding) -> bool {
    let Subject::Line(id, _) = &finding.subject else {
        return false;
    };
    effect_of(facts, id, finding.rule) == Some(RuleEffect::DaylightOnly)
}

fn effect_of(facts: &Facts<'_>, id: &LineId, rule: Rule) -> Option<RuleEffect> {
    let sheet = facts.standard;
    let question = sheet.questions.iter().find(|line| line.id == *id);
    if let Some(line) = question {
        return Some(if rule == Rule::LineNo {
            line.no
        } else {
            line.unanswered
        });
    }
    if let Some(item) = sheet.items.iter().find(|item| item.id == *id) {
        return Some(item.short);
    }
    let line = sheet.inspections.iter().find(|line| line.id == *id)?;
    Some(if rule == Rule::InspectionFailed {
        line.failed
    } else if rule == Rule::InspectionNeverDone {
        line.never
    } else {
        line.overdue
    })
}
