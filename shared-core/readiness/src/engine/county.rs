//! The answer for the county: stations, craft, and the lists over all craft.

use std::collections::BTreeSet;

use super::asked::asked;
use super::callout::{self, Given};
use super::craft::{self, Answered};
use super::disagreements;
use super::facts::number;
use super::index::Index;
use super::people::crews_of;
use super::place;
use super::standing;
use super::together::together;
use super::{County, Question};
use crate::answer::{
    Asked, Callout, Candidate, CountyAnswer, ENGINE_VERSION, Overdue, StationHeard,
};
use crate::event::SubjectKind;
use crate::ids::SubjectId;
use crate::record::Record;
use crate::without::{TakenAway, TakenBy};

/// Answers a question about the county.
pub(super) fn answer(county: &County<'_>, question: &Question) -> CountyAnswer {
    let index = Index::new(county.records);
    let asked = asked(county.policy, question);
    let wanted = county.records.values().filter(|record| {
        // What cover is left, and who stands by, is told of one craft as well.
        let is_asked = question.callout.is_some() || is_asked(question, record.subject);
        record.kind == SubjectKind::Craft && is_asked
    });
    let wanted = wanted.filter(|record| taken_by(&index, question, record).is_none());
    let differ = disagreements::of_county(county, &index, question, &asked);
    let mut answered: Vec<Answered> = wanted
        .map(|record| craft::answer(county, &index, question, &asked, (record, &differ)))
        .collect();
    answered.sort_by(|one, other| {
        let key = |answered: &Answered| (answered.answer.number.clone(), answered.answer.id);
        key(one).cmp(&key(other))
    });
    let callout = call_out(county, question, &asked, (&index, &answered));
    answered.retain(|one| is_asked(question, one.answer.id));
    let together = question.together.as_ref().map(|asked| {
        let judged = answered.iter();
        let judged: Vec<_> = judged
            .filter_map(|one| Some((&one.answer, one.takes.as_ref()?)))
            .collect();
        together(county, question, asked, &judged)
    });
    let mut missing_kit = Vec::new();
    let mut overdue = Vec::new();
    let mut craft = Vec::new();
    for one in answered {
        craft.push(one.answer);
        missing_kit.extend(one.missing_kit);
        overdue.extend(one.overdue);
    }
    longest_first(&mut overdue);
    CountyAnswer {
        known_by: county.known_by.clone(),
        engine: ENGINE_VERSION,
        stations: stations(county, question),
        asked,
        craft,
        missing_kit,
        overdue,
        disagreements: differ,
        together,
        taken_away: taken_away(county, &index, question),
        callout,
    }
}

fn is_asked(question: &Question, craft: SubjectId) -> bool {
    question.craft.is_none_or(|id| id == craft)
}

fn call_out(
    county: &County<'_>,
    question: &Question,
    asked: &Asked,
    (index, answered): (&Index<'_>, &[Answered]),
) -> Option<Callout> {
    let given = Given {
        county,
        question,
        asked,
        callout: asked.callout.as_ref()?,
    };
    let mut callout = callout::answer(&given, index, answered);
    let is_asked = |it: &Candidate| is_asked(question, it.craft);
    callout.candidates.retain(is_asked);
    Some(callout)
}

/// Why a craft is taken away, if it is.
pub(super) fn taken_by(index: &Index<'_>, question: &Question, record: &Record) -> Option<TakenBy> {
    if question.without.is_nothing() {
        return None;
    }
    let same = index.same_as(record.subject).into_iter();
    question
        .without
        .takes(same.chain([record.subject]), &place::stations(record))
}

/// All craft that are taken away, also where one craft was asked for.
fn taken_away(county: &County<'_>, index: &Index<'_>, question: &Question) -> Vec<TakenAway> {
    let craft = county.records.values();
    let craft = craft.filter(|record| record.kind == SubjectKind::Craft);
    let taken = craft.filter_map(|record| {
        Some(TakenAway {
            craft: record.subject,
            number: number(Some(record), record.subject),
            stations: place::stations(record),
            by: taken_by(index, question, record)?,
        })
    });
    let mut taken: Vec<TakenAway> = taken.collect();
    taken.sort_by(|one, other| (&one.number, one.craft).cmp(&(&other.number, other.craft)));
    taken
}

/// The longest overdue first; then by engine time; what was never done last.
fn longest_first(overdue: &mut [Overdue]) {
    overdue.sort_by(|one, other| {
        let key = |line: &Overdue| (line.days_over, line.engine_s_over);
        key(other)
            .cmp(&key(one))
            .then_with(|| one.number.cmp(&other.number))
            .then_with(|| one.inspection.cmp(&other.inspection))
    });
}

fn stations(county: &County<'_>, question: &Question) -> Vec<StationHeard> {
    let hours = county.policy.silent_hours;
    let ordered: BTreeSet<_> = county
        .stations
        .iter()
        .map(|(id, station)| (station.name.as_str(), *id))
        .collect();
    ordered
        .into_iter()
        .filter_map(|(_, id)| {
            let station = county.stations.get(&id)?;
            Some(StationHeard {
                id,
                name: station.name.clone(),
                last_heard: station.last_heard,
                silent: standing::is_silent(station.last_heard, question.now, hours),
                crews: crews_of(county.records, id, question.as_of),
            })
        })
        .collect()
}
