//! Sides of one value: readings, counts, answers, inspections, how a craft is kept. Says which
//! side is the worse at the asked moment, as the checks judge it.

use super::statements::answer;
use super::{Case, Scope, stated, stated_all};
use crate::answer::{Differ, Disagreement, Measure, Said, Settle, Subject, Until};
use crate::engine::kit::{Stores, good_units};
use crate::engine::parts;
use crate::engine::sides::is_trusted;
use crate::event::{AnswerValue, Fuel, ItemCount, Stowage, SubjectKind};
use crate::ids::{LineId, PartId, SubjectId};
use crate::record::{Inspection, PartReadings, Side, Sides};
use crate::standard::{FUEL, FuelRule};

impl Scope<'_> {
    pub(super) fn values(&self, all: &mut Vec<Disagreement>) {
        for (part, readings) in &self.record.readings {
            self.readings(part, readings, all);
        }
        for ((line, bag), sides) in &self.record.counts {
            let bag = bag.and_then(|bag| self.county.records.get(&bag));
            // What was counted in a bag is in the bag's own record.
            if bag.is_none_or(|bag| !bag.counts.contains_key(&(line.clone(), None))) {
                self.counts(line, sides, all);
            }
        }
        self.kit_moved(all);
        for (line, sides) in &self.record.answers {
            self.answers(line, sides, all);
        }
        for (line, sides) in &self.record.inspections {
            self.inspections(line, sides, all);
        }
        self.stowage(all);
        for (tank, sides) in &self.record.fuel {
            self.fuel(*tank, sides, all);
        }
    }

    /// Two people who read the same gauge value do not differ.
    fn readings(&self, part: &PartId, readings: &PartReadings, all: &mut Vec<Disagreement>) {
        let beside = self.record.apart.beside_air.get(part);
        let sides = parts::gauge_sides(readings, beside);
        let mut gauges = sides.iter().map(|(gauge_pa, _)| *gauge_pa);
        let first = gauges.next();
        if !gauges.any(|gauge_pa| Some(gauge_pa) != first) {
            return;
        }
        let worst = self.facts.as_ref().and_then(|facts| {
            let stores = Stores::new(facts);
            parts::worst_side(facts, &stores, part)
        });
        let counts = sides
            .iter()
            .position(|(gauge_pa, origin)| Some((*gauge_pa, origin.event)) == worst);
        let case = Case {
            differ: Differ::Readings,
            about: Subject::Part(part.clone(), self.part_label(part)),
            until: counts.map_or(Until::Unproven, Until::Side),
            settle: vec![Settle::Check(self.number())],
        };
        let sides = sides
            .into_iter()
            .map(|(gauge_pa, origin)| stated(Measure::GaugePa(gauge_pa), origin));
        all.push(self.case(case, sides.collect()));
    }

    fn counts(&self, line: &LineId, sides: &Sides<ItemCount>, all: &mut Vec<Disagreement>) {
        if !sides.is_disputed() {
            return;
        }
        let good = |count: &ItemCount| self.good(line, count);
        let case = Case {
            differ: Differ::Counts,
            about: self.line(line),
            until: worst(sides, |count| std::cmp::Reverse(good(count))),
            settle: vec![Settle::Check(self.craft_number())],
        };
        let sides = stated_all(sides, |count| Measure::Count(good(count)));
        all.push(self.case(case, sides));
    }

    /// Units that count on the asked day.
    fn good(&self, line: &LineId, count: &ItemCount) -> u32 {
        let serviceable = count.count.saturating_sub(count.unserviceable);
        let items = self.standard().map(|standard| standard.items.iter());
        let item = items.into_iter().flatten().find(|item| item.id == *line);
        let marks = self.county.policy.marks;
        item.map_or(serviceable, |item| good_units(item, count, self.day, marks))
    }

    fn kit_moved(&self, all: &mut Vec<Disagreement>) {
        for (line, moves) in &self.record.apart.moved_off {
            let counts = self.record.counts.get(&(line.clone(), None));
            for moved in moves {
                let unseen_by = &moved.value.unseen_by;
                let counted: Vec<&Side<ItemCount>> = counts
                    .into_iter()
                    .flatten()
                    .filter(|side| unseen_by.contains(&side.origin.event))
                    .collect();
                let good = |count: &ItemCount| self.good(line, count);
                let Some(fewest) = counted.iter().map(|side| good(&side.value)).min() else {
                    continue;
                };
                let units = moved.value.units;
                let case = Case {
                    differ: Differ::KitMoved,
                    about: self.line(line),
                    until: Until::Units(fewest.saturating_sub(units)),
                    settle: vec![Settle::Check(self.number())],
                };
                let mut sides = stated_all(counted, |count| Measure::Count(good(count)));
                let away = Measure::Said(Said::MovedAway(units));
                sides.push(stated(away, &moved.origin));
                all.push(self.case(case, sides));
            }
        }
    }

    /// A 'no' that is a fault is told with the faults, and is over with its sign-off.
    fn answers(&self, line: &LineId, sides: &Sides<AnswerValue>, all: &mut Vec<Disagreement>) {
        let fault = self.no_is_fault(line);
        let told_there = |side: &&Side<AnswerValue>| fault && side.value == AnswerValue::No;
        let sides: Vec<&Side<AnswerValue>> =
            sides.iter().filter(|side| !told_there(side)).collect();
        let mut values = sides.iter().map(|side| side.value);
        let first = values.next();
        if !values.any(|value| Some(value) != first) {
            return;
        }
        let until = worst(sides.iter().copied(), |answer| match answer {
            AnswerValue::No => 2,
            AnswerValue::NotApplicable(_) => 1,
            AnswerValue::Yes => 0,
        });
        let case = Case {
            differ: Differ::Answers,
            about: self.line(line),
            until,
            settle: vec![Settle::Check(self.craft_number())],
        };
        let sides = stated_all(sides, |value| answer(*value));
        all.push(self.case(case, sides));
    }

    fn inspections(&self, line: &LineId, sides: &Sides<Inspection>, all: &mut Vec<Disagreement>) {
        let mut passed = sides.iter().map(|side| side.value.passed);
        let first = passed.next();
        if !passed.any(|passed| Some(passed) != first) {
            return;
        }
        let case = Case {
            differ: Differ::Inspections,
            about: self.line(line),
            until: worst(sides, |done| !done.passed),
            settle: vec![Settle::Inspect(self.craft_number(), line.clone())],
        };
        let result = |done: &Inspection| match done.passed {
            true => Measure::Said(Said::Passed),
            false => Measure::Said(Said::Failed),
        };
        all.push(self.case(case, stated_all(sides, result)));
    }

    fn stowage(&self, all: &mut Vec<Disagreement>) {
        let sides = &self.record.stowage;
        if !sides.is_disputed() || self.record.kind != SubjectKind::Craft {
            return;
        }
        let case = Case {
            differ: Differ::Stowage,
            about: Subject::Craft,
            until: worst(sides, |stowage| *stowage),
            settle: vec![Settle::Check(self.number())],
        };
        let word = |stowage: &Stowage| Measure::Word(stowage.id().to_owned());
        all.push(self.case(case, stated_all(sides, word)));
    }
}

impl Scope<'_> {
    /// What was seen of a numbered tank is in the tank's own record.
    fn fuel(&self, tank: Option<SubjectId>, sides: &Sides<Fuel>, all: &mut Vec<Disagreement>) {
        let kept_there = tank.and_then(|tank| self.county.records.get(&tank));
        if !sides.is_disputed() || kept_there.is_some_and(|tank| tank.fuel.contains_key(&None)) {
            return;
        }
        let rule = self.standard().and_then(|standard| standard.fuel.as_ref());
        let of_craft = rule.filter(|_| self.record.kind == SubjectKind::Craft);
        let line = |rule: &FuelRule| Subject::Line(LineId::from(FUEL), rule.label.clone());
        let about = of_craft.map_or_else(|| self.whole(), line);
        let case = Case {
            differ: Differ::Fuel,
            about,
            until: worst(sides, |fuel| std::cmp::Reverse(fuel.amount_ml)),
            settle: vec![Settle::Check(self.craft_number())],
        };
        let amount = |fuel: &Fuel| Measure::VolumeMl(u64::from(fuel.amount_ml));
        all.push(self.case(case, stated_all(sides, amount)));
    }
}

/// The place of the worst trusted side; of equal ones the first.
fn worst<'s, T: 's, K: Ord>(
    sides: impl IntoIterator<Item = &'s Side<T>>,
    badness: impl Fn(&T) -> K,
) -> Until {
    let trusted = sides.into_iter().enumerate();
    let trusted = trusted.filter(|(_, side)| is_trusted(&side.origin));
    let worst = trusted.max_by_key(|(at, side)| (badness(&side.value), std::cmp::Reverse(*at)));
    worst.map_or(Until::Unproven, |(at, _)| Until::Side(at))
}
