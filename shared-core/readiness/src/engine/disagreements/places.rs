//! Where a thing is, and under which number.

use std::collections::BTreeSet;

use super::{Case, Scope, number, stated, stated_all};
use crate::answer::{Differ, Disagreement, Measure, Settle, Stated, Subject, Until};
use crate::event::SubjectKind;
use crate::ids::{ModelId, SubjectId};

impl Scope<'_> {
    pub(super) fn places(&self, all: &mut Vec<Disagreement>) {
        self.place(all);
        self.own_number(all);
        if self.record.kind == SubjectKind::Craft {
            self.number_twice(all);
            self.model(all);
        }
    }

    /// Sides that agree on the place but not on the part are no dispute about where a thing is.
    fn place(&self, all: &mut Vec<Disagreement>) {
        let sides = &self.record.place;
        let places: BTreeSet<_> = sides.iter().map(|side| side.value.at).collect();
        if places.len() < 2 {
            return;
        }
        let (differ, until) = match self.record.kind {
            SubjectKind::Craft => (Differ::PlacedTwice, Until::Unproven),
            SubjectKind::Gear
            | SubjectKind::Bag
            | SubjectKind::Shelf
            | SubjectKind::Station
            | SubjectKind::County
            | SubjectKind::Member => (Differ::FoundTwice, Until::Nowhere),
        };
        let case = Case {
            differ,
            about: self.whole(),
            until,
            settle: vec![Settle::Place(self.number())],
        };
        let sides = stated_all(sides, |at| Measure::Word(self.place_name(at.at)));
        all.push(self.case(case, sides));
    }

    fn own_number(&self, all: &mut Vec<Disagreement>) {
        if !self.record.number.is_disputed() {
            return;
        }
        let case = Case {
            differ: Differ::Number,
            about: self.whole(),
            until: Until::Each,
            settle: vec![Settle::Renumber(vec![self.record.subject])],
        };
        let sides = stated_all(&self.record.number, |it| Measure::Word(it.clone()));
        all.push(self.case(case, sides));
    }

    /// Listed once, under the first of the craft.
    fn number_twice(&self, all: &mut Vec<Disagreement>) {
        let twins = self.index.same_as(self.record.subject);
        let others = self.index.others_with(self.record);
        let others = others.into_iter().filter(|id| {
            let other = self.county.records.get(id);
            !twins.contains(id) && other.is_none_or(|other| other.condemned.is_empty())
        });
        let others: Vec<SubjectId> = others.collect();
        let first = others.iter().all(|other| *other > self.record.subject);
        if others.is_empty() || !first || !self.record.condemned.is_empty() {
            return;
        }
        let craft: BTreeSet<SubjectId> = others.into_iter().chain([self.record.subject]).collect();
        let both: Vec<SubjectId> = craft.iter().copied().collect();
        let case = Case {
            differ: Differ::NumberTwice,
            about: Subject::Craft,
            until: Until::Each,
            settle: vec![Settle::Renumber(both.clone()), Settle::SameAs(both.clone())],
        };
        let sides = both.iter().flat_map(|id| self.carries(*id)).collect();
        let mut one = self.case(case, sides);
        one.craft = craft;
        all.push(one);
    }

    /// Who said that a craft carries the number, and where that craft is.
    fn carries(&self, craft: SubjectId) -> Vec<Stated> {
        let Some(record) = self.county.records.get(&craft) else {
            return Vec::new();
        };
        let places: BTreeSet<String> = record
            .place
            .iter()
            .map(|side| self.place_name(side.value.at))
            .collect();
        let id = format!("#{:.8}", craft.to_string());
        let named = [id].into_iter().chain(places);
        let places: Vec<Measure> = named.map(Measure::Word).collect();
        let own = number(Some(self.record), self.record.subject);
        let sides = record.number.iter();
        let carried = sides.filter(|side| side.value == own).take(1);
        carried
            .map(|side| stated(Measure::Sides(places.clone()), &side.origin))
            .collect()
    }

    fn model(&self, all: &mut Vec<Disagreement>) {
        let sides = &self.record.craft;
        let models: BTreeSet<&ModelId> = sides.iter().map(|side| &side.value.model).collect();
        if models.len() < 2 {
            return;
        }
        let case = Case {
            differ: Differ::Model,
            about: Subject::Craft,
            until: Until::Unproven,
            settle: vec![Settle::Lead],
        };
        let sides = stated_all(sides, |it| Measure::Word(it.model.0.clone()));
        all.push(self.case(case, sides));
    }
}
