//! People: the crew that the craft's station can raise, and whether an operator among them holds
//! the level that the mission wants.
//!
//! | known of the station at the asked moment | effect |
//! |---|---|
//! | nothing | crew not known: a note |
//! | no crew, or fewer persons than the least crew | as the policy says (`crew_short`) |
//! | the asker names a crew | that one is judged instead of the station's |
//! | a level is wanted and no operator is named | a note |
//! | none of those named holds it, or it has lapsed | as the policy says (`operator_short`) |
//!
//! The boat is judged by what is known of the boat; who goes is decided by whoever is in charge.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::facts::Facts;
use super::place;
use super::sides::{counts_against, is_trusted};
use crate::answer::{Action, CrewsAt, Effect, Finding, Limit, Measure, Rule, Subject};
use crate::dates;
use crate::event::{Crews, MemberLevel, Severity};
use crate::ids::{EventId, SubjectId};
use crate::moment::Moment;
use crate::record::{Record, Side, Sides};
use crate::standard::RuleEffect;

/// What a station can raise at a moment, by its record: of the statements that stand for it, the
/// least of each. None when no trusted one does.
#[must_use]
pub fn crews_at(station: &Record, as_of: Moment) -> Option<CrewsAt> {
    let standing = standing(station, as_of);
    let said = || standing.iter().map(|side| &side.value);
    let first = said().next()?;
    let named_by_all = |member: &&String| said().all(|crews| crews.operators.contains(member));
    Some(CrewsAt {
        crews: said().map(|crews| crews.crews).min()?,
        persons: said().filter_map(|crews| crews.persons).min(),
        until: said().map(|crews| crews.until).min()?,
        operators: first
            .operators
            .iter()
            .filter(named_by_all)
            .cloned()
            .collect(),
        evidence: standing.iter().map(|side| side.origin.event).collect(),
    })
}

/// Statements that stand for a moment; none when no trusted one does.
fn standing(station: &Record, as_of: Moment) -> Vec<&Side<Crews>> {
    let covers = |side: &&Side<Crews>| side.value.from <= as_of && as_of < side.value.until;
    let mut standing: Vec<_> = station.crews.iter().filter(covers).collect();
    if !standing.iter().any(|side| is_trusted(&side.origin)) {
        return Vec::new();
    }
    standing.retain(|side| counts_against(&side.origin));
    standing
}

/// The same, by the station's id.
pub(super) fn crews_of(
    records: &BTreeMap<SubjectId, Record>,
    station: SubjectId,
    as_of: Moment,
) -> Option<CrewsAt> {
    crews_at(records.get(&station)?, as_of)
}

/// What the craft's station can raise; none when stations differ about where the craft is.
pub(super) fn of_craft(facts: &Facts<'_>) -> Option<CrewsAt> {
    match place::stations(facts.record).as_slice() {
        [station] => crews_of(facts.county.records, *station, facts.asked.as_of),
        _ => None,
    }
}

/// The crew of each station that the craft is said to be at.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let asked = facts.asked.crew.count;
    found.extend(asked.and_then(|count| short_as_asked(facts, count)));
    for station in place::stations(facts.record) {
        let name = match facts.county.stations.get(&station) {
            Some(known) => known.name.clone(),
            None => station.to_string(),
        };
        let subject = Subject::Station(station, name);
        match crews_of(facts.county.records, station, facts.asked.as_of) {
            None if asked.is_some() => {}
            None => found.push(not_known(station, subject)),
            Some(crews) => {
                if asked.is_none() {
                    found.extend(short(facts, &crews, &subject));
                }
                let record = facts.county.records.get(&station);
                let sides = record.into_iter();
                for side in sides.flat_map(|record| standing(record, facts.asked.as_of)) {
                    for finding in operators(facts, side, &subject) {
                        if !found.contains(&finding) {
                            found.push(finding);
                        }
                    }
                }
            }
        }
    }
}

fn not_known(station: SubjectId, subject: Subject) -> Finding {
    Finding::own(Rule::CrewNotKnown, Severity::Minor, Effect::Note, subject)
        .needing(Action::SayCrews(station), None)
}

/// A crew that the asker named, fewer than the least.
fn short_as_asked(facts: &Facts<'_>, count: u32) -> Option<Finding> {
    (count < facts.least_crew()).then(|| too_few(facts, count, Subject::Craft))
}

/// Fewer than the least crew: no crew at all, or fewer persons in all of them.
fn short(facts: &Facts<'_>, crews: &CrewsAt, subject: &Subject) -> Option<Finding> {
    let persons = if crews.crews == 0 {
        0
    } else {
        let least = facts.least_crew();
        crews.persons.filter(|persons| *persons < least)?
    };
    let finding = too_few(facts, persons, subject.clone());
    Some(finding.evidence(crews.evidence.iter().copied()))
}

fn too_few(facts: &Facts<'_>, persons: u32, subject: Subject) -> Finding {
    let least = facts.least_crew();
    let effect = effect(facts.county.policy.people.crew_short, Limit::Crew(least));
    Finding::own(Rule::CrewShort, Severity::Restrictive, effect, subject)
        .measured(Measure::Persons(persons))
        .at_least(Measure::Persons(least))
        .needing(Action::AskStation, None)
}

fn effect(rule: RuleEffect, limit: Limit) -> Effect {
    match rule {
        RuleEffect::Note => Effect::Note,
        RuleEffect::Unproven => Effect::Unproven,
        RuleEffect::NotReady => Effect::NotReady,
        RuleEffect::Limit
        | RuleEffect::NoPower
        | RuleEffect::DaylightOnly
        | RuleEffect::CrewOnly
        | RuleEffect::NotForMission => Effect::Limit(limit),
    }
}

/// Whether one of the operators whom a statement names holds the level now. Each statement is judged
/// alone: one that names nobody does not hide another that names somebody whose level has lapsed.
fn operators(facts: &Facts<'_>, side: &Side<Crews>, subject: &Subject) -> Vec<Finding> {
    let Some(wanted) = facts.operator_level() else {
        return Vec::new();
    };
    let finding = |rule, severity, effect| {
        Finding::own(rule, severity, effect, subject.clone())
            .at_least(Measure::Word(wanted.to_owned()))
    };
    let stated = side.origin.event;
    let named = &side.value.operators;
    if named.is_empty() {
        let finding = finding(Rule::OperatorNotNamed, Severity::Minor, Effect::Note);
        return vec![finding.evidence([stated])];
    }
    let policy = &facts.county.policy.people;
    let held: Vec<Held> = named
        .iter()
        .flat_map(|member| levels_of(facts, member))
        .collect();
    let words: BTreeSet<&String> = held.iter().map(|level| &level.word).collect();
    let reach = |level: &&Held| policy.reaches(&level.word, wanted);
    let (current, lapsed): (Vec<&Held>, Vec<&Held>) = held
        .iter()
        .filter(reach)
        .partition(|level| level.is_current(facts.day));
    let effect = if current.is_empty() {
        effect(policy.operator_short, Limit::Operator(wanted.to_owned()))
    } else {
        Effect::Note
    };
    if current.is_empty() && lapsed.is_empty() {
        let words = words.into_iter().cloned().map(Measure::Word).collect();
        let finding = finding(Rule::OperatorLevelShort, Severity::Restrictive, effect)
            .measured(Measure::Sides(words))
            .evidence([stated])
            .needing(Action::AskLead, None);
        return vec![finding];
    }
    let lapsed = lapsed.into_iter().map(|level| {
        finding(
            Rule::OperatorLevelLapsed,
            Severity::Restrictive,
            effect.clone(),
        )
        .measured(level.measure())
        .evidence(level.evidence.iter().copied())
        .needing(Action::AskLead, None)
    });
    lapsed.collect()
}

/// A level of one member, the worst of what is stated.
pub(super) struct Held {
    pub(super) member: String,
    pub(super) word: String,
    /// Last day on which it is current; none when it has no end.
    pub(super) until: Option<NaiveDate>,
    pub(super) evidence: Vec<EventId>,
}

impl Held {
    /// Member, level, last day.
    fn measure(&self) -> Measure {
        let measured = [
            Some(Measure::Word(self.member.clone())),
            Some(Measure::Word(self.word.clone())),
            self.until.map(Measure::Date),
        ];
        Measure::Sides(measured.into_iter().flatten().collect())
    }

    pub(super) fn is_current(&self, day: NaiveDate) -> bool {
        self.until.is_none_or(|until| day <= until)
    }
}

/// Levels that trusted statements give a member; of several ends of one level the earliest.
pub(super) fn levels_of(facts: &Facts<'_>, member: &str) -> Vec<Held> {
    let mut levels: BTreeMap<String, Vec<&Side<MemberLevel>>> = BTreeMap::new();
    let records = facts.index.member(member).iter();
    for side in records.flat_map(|record| record.levels.values().flat_map(Sides::iter)) {
        if side.value.member.trim().eq_ignore_ascii_case(member.trim()) {
            let word = side.value.level.trim().to_ascii_lowercase();
            levels.entry(word).or_default().push(side);
        }
    }
    levels.retain(|_, sides| sides.iter().any(|side| is_trusted(&side.origin)));
    levels
        .into_iter()
        .map(|(word, mut sides)| {
            sides.retain(|side| counts_against(&side.origin));
            Held {
                member: member.to_owned(),
                word,
                until: sides
                    .iter()
                    .filter_map(|side| last_day(facts, &side.value))
                    .min(),
                evidence: sides.iter().map(|side| side.origin.event).collect(),
            }
        })
        .collect()
}

/// A mark that no calendar has is over.
fn last_day(facts: &Facts<'_>, level: &MemberLevel) -> Option<NaiveDate> {
    let until = level.until?;
    Some(dates::last_day(until, facts.county.policy.marks).unwrap_or(NaiveDate::MIN))
}
