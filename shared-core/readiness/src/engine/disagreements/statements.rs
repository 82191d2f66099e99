//! Statements of different kinds that did not know of each other: a fault and a sign-off, one
//! defect twice, 'no' and 'yes', out of service and a return.

use std::collections::{BTreeMap, BTreeSet};

use super::{Case, Scope, stated};
use crate::answer::{Differ, Disagreement, Measure, Said, Settle, Stated, Subject, Until};
use crate::event::AnswerValue;
use crate::ids::{FaultId, LineId};
use crate::record::{Origin, Side};

impl Scope<'_> {
    pub(super) fn statements(&self, all: &mut Vec<Disagreement>) {
        self.fault_and_sign_off(all);
        self.defect_twice(all);
        self.no_then_yes(all);
        self.out_and_returned(all);
    }

    fn fault_and_sign_off(&self, all: &mut Vec<Disagreement>) {
        for (id, sign_offs) in &self.record.apart.signed_off {
            let Some((about, fault)) = self.open(*id) else {
                continue;
            };
            let mut sides = vec![fault];
            let signed = |origin| stated(Measure::Said(Said::SignedOff), origin);
            sides.extend(sign_offs.iter().map(signed));
            let case = Case {
                differ: Differ::FaultAndSignOff,
                about,
                until: Until::FaultOpen,
                settle: vec![self.sign_off([*id])],
            };
            all.push(self.case(case, sides));
        }
    }

    fn defect_twice(&self, all: &mut Vec<Disagreement>) {
        let mut done: BTreeSet<FaultId> = BTreeSet::new();
        for id in self.record.apart.alike.keys() {
            if done.contains(id) {
                continue;
            }
            let together = self.alike(*id);
            done.extend(&together);
            let open: Vec<(FaultId, (Subject, Stated))> = together
                .into_iter()
                .filter_map(|id| Some((id, self.open(id)?)))
                .collect();
            let Some((_, (about, _))) = open.first() else {
                continue;
            };
            let case = Case {
                differ: Differ::DefectTwice,
                about: about.clone(),
                until: Until::FaultOpen,
                settle: vec![self.sign_off(open.iter().map(|(id, _)| *id))],
            };
            let sides: Vec<Stated> = open.into_iter().map(|(_, (_, side))| side).collect();
            if sides.len() > 1 {
                all.push(self.case(case, sides));
            }
        }
    }

    /// A fault, those like it, and those like them.
    fn alike(&self, first: FaultId) -> BTreeSet<FaultId> {
        let mut together = BTreeSet::from([first]);
        let mut next = vec![first];
        while let Some(id) = next.pop() {
            for other in self.record.apart.alike.get(&id).into_iter().flatten() {
                if together.insert(*other) {
                    next.push(*other);
                }
            }
        }
        together
    }

    fn no_then_yes(&self, all: &mut Vec<Disagreement>) {
        let mut noes: BTreeMap<&LineId, Vec<(FaultId, &Side<LineId>)>> = BTreeMap::new();
        for (id, side) in &self.record.open_noes {
            if self.no_is_fault(&side.value) {
                noes.entry(&side.value).or_default().push((*id, side));
            }
        }
        for (line, noes) in noes {
            let answers = self.record.answers.get(line).into_iter().flatten();
            let others = answers.filter(|side| side.value != AnswerValue::No);
            let others = others.map(|side| stated(answer(side.value), &side.origin));
            let others: Vec<Stated> = others.collect();
            if others.is_empty() {
                continue;
            }
            let ids = noes.iter().map(|(id, _)| *id);
            let case = Case {
                differ: Differ::NoThenYes,
                about: self.line(line),
                until: Until::FaultOpen,
                settle: vec![self.sign_off(ids)],
            };
            let noes = noes.iter();
            let mut sides: Vec<Stated> = noes
                .map(|(_, side)| stated(Measure::Said(Said::No), &side.origin))
                .collect();
            sides.extend(others);
            all.push(self.case(case, sides));
        }
    }

    /// Whether a 'no' to the line is a fault. Of a line of no known standard it is taken to be.
    pub(super) fn no_is_fault(&self, line: &LineId) -> bool {
        let Some(standard) = self.standard() else {
            return true;
        };
        let mut questions = standard.questions.iter();
        questions
            .find(|question| question.id == *line)
            .is_some_and(|question| question.no_is_fault)
    }

    fn out_and_returned(&self, all: &mut Vec<Disagreement>) {
        for (id, returns) in &self.record.apart.returned {
            let Some(out) = self.record.out.get(id) else {
                continue;
            };
            let said = Said::OutOfService(out.value);
            let mut sides = vec![stated(Measure::Said(said), &out.origin)];
            let back = |origin: &Origin| stated(Measure::Said(Said::Returned), origin);
            sides.extend(returns.iter().map(back));
            let case = Case {
                differ: Differ::OutAndReturned,
                about: self.whole(),
                until: Until::OutOfService,
                settle: vec![Settle::Return(self.number())],
            };
            all.push(self.case(case, sides));
        }
    }

    /// A fault or a 'no' that is open in this record; none for a fault on gear that keeps it
    /// itself.
    fn open(&self, id: FaultId) -> Option<(Subject, Stated)> {
        if let Some(side) = self.record.open_noes.get(&id) {
            let stated = stated(Measure::Said(Said::No), &side.origin);
            return self
                .no_is_fault(&side.value)
                .then(|| (self.line(&side.value), stated));
        }
        let state = self.record.faults.get(&id)?;
        let fault = &state.fault;
        let gear = fault.gear.filter(|gear| *gear != self.record.subject);
        let gear = gear.and_then(|gear| self.county.records.get(&gear));
        let kept_there = gear.is_some_and(|gear| gear.faults.contains_key(&id));
        if state.closed.is_some() || kept_there {
            return None;
        }
        let label = self.part_label(&fault.part);
        let about = Subject::Fault(id, fault.part.clone(), fault.place, label);
        let class = Measure::Word(fault.class.clone());
        Some((about, stated(class, &state.origin)))
    }

    fn sign_off(&self, faults: impl IntoIterator<Item = FaultId>) -> Settle {
        Settle::SignOff(self.craft_number(), faults.into_iter().collect())
    }
}

/// An answer as a side states it.
pub(super) fn answer(answer: AnswerValue) -> Measure {
    match answer {
        AnswerValue::Yes => Measure::Said(Said::Yes),
        AnswerValue::No => Measure::Said(Said::No),
        AnswerValue::NotApplicable(why) => Measure::NotLooked(why),
    }
}
