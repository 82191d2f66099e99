//! Where sides differ: shown, never settled here. The checks count the worse.

use crate::answer::{Action, Disagreement, Effect, Finding, Measure, Rule, Subject};
use crate::engine::facts::{Facts, number};
use crate::event::{AnswerValue, Author, ItemCount, Reading, Severity};
use crate::ids::{EventId, LineId, SubjectId};
use crate::record::{PartReadings, Placement, Record, Sides};

/// Values of the craft, and of gear and bags said to be at it, that differ by side.
pub(in crate::engine) fn disagreements(facts: &Facts<'_>) -> Vec<Disagreement> {
    let craft = facts.record.subject;
    let gear = facts.index.gear_at(craft).iter();
    let kept = gear.chain(facts.index.bags_at(craft));
    let mut all = Vec::new();
    of_record(facts, facts.record, Subject::Craft, &mut all);
    for kept in kept {
        let subject = kept.record.subject;
        let about = Subject::Gear(subject, number(Some(kept.record), subject));
        of_record(facts, kept.record, about, &mut all);
    }
    all
}

/// A finding for each value of the craft itself on which sides differ; it changes nothing, since
/// the worse side has counted. Where a thing is has a rule of its own.
pub(in crate::engine) fn sides_differ(
    disagreements: &[Disagreement],
    craft: SubjectId,
    found: &mut Vec<Finding>,
) {
    let own = disagreements.iter().filter(|one| one.subject == craft);
    for one in own.filter(|one| one.about != Subject::Craft) {
        let measures = one.sides.iter().map(|(measure, _, _)| measure.clone());
        let finding = Finding::own(
            Rule::SidesDiffer,
            Severity::Minor,
            Effect::Note,
            one.about.clone(),
        )
        .measured(Measure::Sides(measures.collect()))
        .evidence(one.sides.iter().map(|(_, _, event)| *event))
        .needing(Action::Settle, None);
        found.push(finding);
    }
}

fn of_record(facts: &Facts<'_>, record: &Record, whole: Subject, all: &mut Vec<Disagreement>) {
    let mut add = |about: Subject, sides: Vec<_>| {
        all.push(Disagreement {
            subject: record.subject,
            number: number(Some(record), record.subject),
            about,
            sides,
        });
    };
    if is_elsewhere_by_a_side(record) {
        let name = |at: &Placement| Measure::Word(facts.place_name(at.at));
        add(whole.clone(), measured(&record.place, name));
    }
    if record.number.is_disputed() {
        add(
            whole,
            measured(&record.number, |number| Measure::Word(number.clone())),
        );
    }
    for (part, readings) in &record.readings {
        if gauges_differ(readings) {
            let gauge = |reading: &Reading| Measure::GaugePa(reading.gauge_pa);
            add(facts.part(part), measured(&readings.standing, gauge));
        }
    }
    for ((line, _), sides) in &record.counts {
        if sides.is_disputed() {
            let count = |count: &ItemCount| Measure::Count(count.count);
            add(subject_of(facts, line), measured(sides, count));
        }
    }
    for (line, sides) in &record.answers {
        if sides.is_disputed() {
            let word = |answer: &AnswerValue| answer_word(*answer);
            add(subject_of(facts, line), measured(sides, word));
        }
    }
}

/// Sides that agree on the place but not on the part are no dispute about where a thing is.
fn is_elsewhere_by_a_side(record: &Record) -> bool {
    let mut places = record.place.0.iter().map(|side| side.value.at);
    let first = places.next();
    places.any(|at| Some(at) != first)
}

/// Two people who read the same gauge value do not differ.
fn gauges_differ(readings: &PartReadings) -> bool {
    let mut gauges = readings.standing.0.iter().map(|side| side.value.gauge_pa);
    let first = gauges.next();
    gauges.any(|gauge_pa| Some(gauge_pa) != first)
}

fn measured<T>(
    sides: &Sides<T>,
    measure: impl Fn(&T) -> Measure,
) -> Vec<(Measure, Author, EventId)> {
    let sides = sides.0.iter();
    sides
        .map(|side| {
            let origin = &side.origin;
            (measure(&side.value), origin.author.clone(), origin.event)
        })
        .collect()
}

fn answer_word(answer: AnswerValue) -> Measure {
    match answer {
        AnswerValue::Yes => Measure::Word("yes".to_owned()),
        AnswerValue::No => Measure::Word("no".to_owned()),
        AnswerValue::NotApplicable(why) => Measure::NotLooked(why),
    }
}

fn subject_of(facts: &Facts<'_>, line: &LineId) -> Subject {
    let items = facts.standard.items.iter();
    let items = items.map(|item| (&item.id, &item.label));
    let questions = facts.standard.questions.iter();
    let mut lines = items.chain(questions.map(|question| (&question.id, &question.label)));
    let label = lines.find(|(id, _)| *id == line).map(|(_, label)| label);
    Subject::Line(line.clone(), label.unwrap_or(&line.0).clone())
}
