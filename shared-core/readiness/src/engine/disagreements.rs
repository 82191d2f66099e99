//! Where sides differ, over all records: shown, never settled here. The checks count the worse.

mod assignments;
mod places;
mod statements;
mod values;

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::asked::asked;
use super::facts::{Facts, number};
use super::index::Index;
use super::{County, Question};
use crate::answer::{
    Action, Asked, Differ, Disagreement, Effect, Finding, Measure, Rule, Settle, Stated, Subject,
    Until,
};
use crate::dates;
use crate::event::{Place, Severity, SubjectKind};
use crate::ids::{LineId, PartId, SubjectId};
use crate::record::{Origin, Record, Side};
use crate::standard::Standard;

/// Every open disagreement at the asked moment, or those that concern the asked craft.
#[must_use]
pub fn disagreements(county: &County<'_>, question: &Question) -> Vec<Disagreement> {
    let index = Index::new(county.records);
    let asked = asked(county.policy, question);
    of_county(county, &index, question, &asked)
}

/// The same, where the index is there.
pub(super) fn of_county<'a>(
    county: &'a County<'a>,
    index: &'a Index<'a>,
    question: &Question,
    asked: &'a Asked,
) -> Vec<Disagreement> {
    let mut all: Vec<Disagreement> = Vec::new();
    for record in county.records.values() {
        all.extend(Scope::new(county, index, question, asked, record).all());
    }
    if let Some(craft) = question.craft {
        all.retain(|one| one.craft.contains(&craft));
    }
    all.sort_by(|one, other| {
        let key = |it: &Disagreement| (it.number.clone(), it.subject, it.differ);
        key(one)
            .cmp(&key(other))
            .then_with(|| one.about.cmp(&other.about))
    });
    all
}

/// A finding for each disagreement that concerns the craft; it changes nothing, since the worse
/// side has counted. What has a rule of its own says so there.
pub(super) fn sides_differ(all: &[Disagreement], craft: SubjectId, found: &mut Vec<Finding>) {
    let own = all.iter().filter(|one| one.craft.contains(&craft));
    for one in own.filter(|one| !has_own_rule(one.differ)) {
        let measures = one.sides.iter().map(|side| side.value.clone());
        let about = if one.about == Subject::Craft && one.subject != craft {
            Subject::Gear(one.subject, one.number.clone())
        } else {
            one.about.clone()
        };
        let mut finding = Finding::own(Rule::SidesDiffer, Severity::Minor, Effect::Note, about)
            .measured(Measure::Sides(measures.collect()))
            .evidence(one.sides.iter().map(|side| side.origin.event));
        for settle in &one.settle {
            finding = finding.needing(Action::Settle(settle.clone()), None);
        }
        found.push(finding);
    }
}

fn has_own_rule(differ: Differ) -> bool {
    match differ {
        Differ::PlacedTwice | Differ::FoundTwice | Differ::NumberTwice | Differ::Model => true,
        Differ::FaultAndSignOff
        | Differ::DefectTwice
        | Differ::NoThenYes
        | Differ::OutAndReturned
        | Differ::AssignedTwice
        | Differ::AssignedAndOut
        | Differ::AssignedAndReleased
        | Differ::Readings
        | Differ::Counts
        | Differ::KitMoved
        | Differ::Answers
        | Differ::Inspections
        | Differ::Stowage
        | Differ::Fuel
        | Differ::Number => false,
    }
}

/// One record, with what is needed to judge its sides.
struct Scope<'a> {
    county: &'a County<'a>,
    index: &'a Index<'a>,
    record: &'a Record,
    /// The county's day at the asked moment.
    day: NaiveDate,
    /// None for what is no craft, and for a craft whose standard is not known.
    facts: Option<Facts<'a>>,
}

/// What a disagreement is about, and what follows.
struct Case {
    differ: Differ,
    about: Subject,
    until: Until,
    settle: Vec<Settle>,
}

impl<'a> Scope<'a> {
    fn new(
        county: &'a County<'a>,
        index: &'a Index<'a>,
        question: &Question,
        asked: &'a Asked,
        record: &'a Record,
    ) -> Self {
        let facts = match record.kind {
            SubjectKind::Craft => Facts::new(county, index, question, asked, record),
            SubjectKind::Gear
            | SubjectKind::Bag
            | SubjectKind::Shelf
            | SubjectKind::Station
            | SubjectKind::County
            | SubjectKind::Member => None,
        };
        Self {
            county,
            index,
            record,
            day: dates::day(asked.as_of, county.policy.utc_offset_min),
            facts,
        }
    }

    fn all(&self) -> Vec<Disagreement> {
        let mut all = Vec::new();
        self.statements(&mut all);
        self.assignments(&mut all);
        self.values(&mut all);
        self.places(&mut all);
        all
    }

    fn case(&self, case: Case, sides: Vec<Stated>) -> Disagreement {
        Disagreement {
            subject: self.record.subject,
            number: self.number(),
            craft: self.craft(),
            differ: case.differ,
            about: case.about,
            sides,
            until: case.until,
            settle: case.settle,
        }
    }

    fn number(&self) -> String {
        number(Some(self.record), self.record.subject)
    }

    /// Craft that the record concerns: its own, or those that some side says it is at.
    fn craft(&self) -> BTreeSet<SubjectId> {
        if self.record.kind == SubjectKind::Craft {
            return BTreeSet::from([self.record.subject]);
        }
        let places = self.record.place.iter().map(|side| side.value.at);
        places.filter_map(craft_at).collect()
    }

    /// Number of the craft at which somebody has to look.
    fn craft_number(&self) -> String {
        match self.craft().first() {
            Some(craft) => number(self.county.records.get(craft), *craft),
            None => self.number(),
        }
    }

    fn whole(&self) -> Subject {
        match self.record.kind {
            SubjectKind::Craft => Subject::Craft,
            SubjectKind::Gear
            | SubjectKind::Bag
            | SubjectKind::Shelf
            | SubjectKind::Station
            | SubjectKind::County
            | SubjectKind::Member => Subject::Gear(self.record.subject, self.number()),
        }
    }

    /// The standard by which the record is judged, or that of the craft it is at.
    fn standard(&self) -> Option<&'a Standard> {
        if let Some(facts) = &self.facts {
            return Some(facts.standard);
        }
        let craft = self.craft();
        let record = self.county.records.get(craft.first()?)?;
        let model = &record.craft.0.first()?.value.model;
        self.county.standards.get(model)
    }

    fn part_label(&self, id: &PartId) -> String {
        let parts = self.standard().map(|standard| standard.parts.iter());
        let mut parts = parts.into_iter().flatten();
        let part = parts.find(|part| part.id == *id);
        part.map_or_else(|| id.0.clone(), |part| part.label.clone())
    }

    fn line(&self, line: &LineId) -> Subject {
        let label = self.standard().and_then(|standard| {
            let items = standard.items.iter().map(|it| (&it.id, &it.label));
            let questions = standard.questions.iter().map(|it| (&it.id, &it.label));
            let inspections = standard.inspections.iter().map(|it| (&it.id, &it.label));
            let mut lines = items.chain(questions).chain(inspections);
            lines.find(|(id, _)| *id == line).map(|(_, label)| label)
        });
        Subject::Line(line.clone(), label.unwrap_or(&line.0).clone())
    }

    fn place_name(&self, place: Place) -> String {
        match place {
            Place::Station(id) => match self.county.stations.get(&id) {
                Some(station) => station.name.clone(),
                None => id.to_string(),
            },
            Place::Craft(id) | Place::Shelf(id) => number(self.county.records.get(&id), id),
        }
    }
}

fn craft_at(place: Place) -> Option<SubjectId> {
    match place {
        Place::Craft(craft) => Some(craft),
        Place::Station(_) | Place::Shelf(_) => None,
    }
}

fn stated(value: Measure, origin: &Origin) -> Stated {
    Stated {
        value,
        origin: origin.clone(),
    }
}

fn stated_all<'s, T: 's>(
    sides: impl IntoIterator<Item = &'s Side<T>>,
    measure: impl Fn(&T) -> Measure,
) -> Vec<Stated> {
    let sides = sides.into_iter();
    sides
        .map(|side| stated(measure(&side.value), &side.origin))
        .collect()
}
