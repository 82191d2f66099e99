//! Questions of the check: answered no, not answered, answered too long ago.
//!
//! 'Not fitted' and 'not used here' answer a line, save one whose 'no' is disabling: nobody waves
//! away a stop switch. Where the standard's motor is not fitted its lines may be waved away.

use super::facts::{Facts, MOTOR};
use super::freshness::proof_ms;
use super::sides::{counts_against, trusted, untrusted};
use super::verdict;
use crate::answer::{Action, Effect, Finding, Measure, Rule, Subject};
use crate::event::{AnswerValue, NotApplicable, Severity};
use crate::record::{Origin, Side, Sides};
use crate::standard::{Question, RuleEffect};

/// Every question that the asked mission asks.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    for line in &facts.standard.questions {
        let asked = verdict::is_asked(&line.missions, line.no, facts.mission());
        if asked && line.asked_from.is_none_or(|from| facts.day >= from) {
            one(facts, line, found);
        }
    }
}

fn one(facts: &Facts<'_>, line: &Question, found: &mut Vec<Finding>) {
    let answers = facts.record.answers.get(&line.id);
    if line.no_is_fault {
        open_noes(facts, line, found);
    } else {
        standing_no(facts, line, answers, found);
    }
    not_answered(facts, line, answers, found);
}

/// A 'no' that opened a fault stays until a sign-off names it, whatever was answered since.
fn open_noes(facts: &Facts<'_>, line: &Question, found: &mut Vec<Finding>) {
    let mut open = facts.bodies();
    open.retain(|body| body.kind == facts.record.kind);
    for (id, side) in open.into_iter().flat_map(|body| &body.open_noes) {
        if side.value == line.id {
            let finding =
                no(facts, line, &side.origin).needing(Action::RepairAndSignOff(*id), None);
            found.push(finding);
        }
    }
}

/// The worse of the sides: one 'no' is a no.
fn standing_no(
    facts: &Facts<'_>,
    line: &Question,
    answers: Option<&Sides<AnswerValue>>,
    found: &mut Vec<Finding>,
) {
    let sides = answers.into_iter().flat_map(|sides| &sides.0);
    let noes: Vec<&Side<AnswerValue>> =
        sides.filter(|side| side.value == AnswerValue::No).collect();
    let sure = noes.iter().find(|side| counts_against(&side.origin));
    if let Some(side) = sure.or_else(|| noes.first()) {
        let look = Action::Look(line.id.clone());
        found.push(no(facts, line, &side.origin).needing(look, line.minutes));
    }
}

fn no(facts: &Facts<'_>, line: &Question, origin: &Origin) -> Finding {
    about(facts, line, Rule::LineNo, line.no)
        .evidence([origin.event])
        .weighed_by(origin)
}

/// Never answered, could not be looked at, or answered longer ago than a check proves.
fn not_answered(
    facts: &Facts<'_>,
    line: &Question,
    answers: Option<&Sides<AnswerValue>>,
    found: &mut Vec<Finding>,
) {
    let sides = answers.into_iter();
    let blind = sides
        .clone()
        .flat_map(|sides| trusted(sides).chain(untrusted(sides)))
        .find_map(|side| Some((side, proves_nothing(facts, line, side.value)?)));
    let oldest_ms = sides
        .flat_map(trusted)
        .map(|side| facts.age_ms(&side.origin))
        .max();
    let proof_ms = proof_ms(&facts.standard.check);
    let finding = about(facts, line, Rule::LineNotAnswered, line.unanswered);
    let finding = match line.unanswered {
        // In the dark it is not known whether there are lights: go and look.
        RuleEffect::DaylightOnly => finding.at_most_unproven(),
        RuleEffect::Note
        | RuleEffect::Limit
        | RuleEffect::NoPower
        | RuleEffect::CrewOnly
        | RuleEffect::NotForMission
        | RuleEffect::Unproven
        | RuleEffect::NotReady => finding,
    };
    let finding = match (blind, oldest_ms) {
        (Some((side, why)), _) => finding
            .measured(Measure::NotLooked(why))
            .evidence([side.origin.event]),
        (None, Some(age_ms)) if age_ms <= proof_ms => return,
        (None, Some(age_ms)) => finding.aged(age_ms).at_most(Measure::SpanMs(proof_ms)),
        (None, None) => finding,
    };
    let finding = match (
        oldest_ms,
        facts.is_newer_than_check(&line.id, line.asked_from),
    ) {
        (None, true) if blind.is_none() => finding.noted(),
        (Some(_) | None, true | false) => finding,
    };
    // A check that is missing or too old as a whole says so once.
    if blind.is_none() && facts.freshness.says_it_all() && finding.effect <= Effect::Unproven {
        return;
    }
    found.push(finding.needing(Action::Look(line.id.clone()), line.minutes));
}

/// Why an answer does not show that the line is as it should be.
fn proves_nothing(
    facts: &Facts<'_>,
    line: &Question,
    answer: AnswerValue,
) -> Option<NotApplicable> {
    let AnswerValue::NotApplicable(why) = answer else {
        return None;
    };
    let of_motor = line
        .part
        .as_ref()
        .is_some_and(|part| part.as_str() == MOTOR);
    let waved_away = line.severity == Severity::Disabling && (!of_motor || facts.motor().is_some());
    match why {
        NotApplicable::CouldNotLook => Some(why),
        NotApplicable::NotFitted | NotApplicable::NotUsedHere => waved_away.then_some(why),
    }
}

fn about(facts: &Facts<'_>, line: &Question, rule: Rule, effect: RuleEffect) -> Finding {
    let effect = facts.effect(effect, &line.id, &line.missions);
    let subject = Subject::Line(line.id.clone(), line.label.clone());
    Finding::cited(rule, line.severity, effect, subject, &line.cited)
}
