//! Where coordinators, and those at the craft, did not know of each other: assigned to several
//! incidents, assigned and out of service, assigned and released.

use std::collections::BTreeSet;

use super::{Case, Scope, stated};
use crate::answer::{Differ, Disagreement, Measure, Said, Settle, Stated, Until};
use crate::ids::EventId;
use crate::record::Origin;

impl Scope<'_> {
    pub(super) fn assignments(&self, all: &mut Vec<Disagreement>) {
        self.assigned_twice(all);
        self.assigned_and_out(all);
        self.assigned_and_released(all);
    }

    fn assigned_twice(&self, all: &mut Vec<Disagreement>) {
        let mut done: BTreeSet<EventId> = BTreeSet::new();
        for id in self.record.apart.sent.keys() {
            if done.contains(id) {
                continue;
            }
            let together = self.elsewhere(*id);
            done.extend(&together);
            let sides: Vec<Stated> = together.iter().filter_map(|id| self.sent(id)).collect();
            if sides.len() > 1 {
                let craft = self.number();
                let settle = vec![Settle::Release(craft.clone()), Settle::Assign(craft)];
                all.push(self.assignment(Differ::AssignedTwice, Until::Assigned, settle, sides));
            }
        }
    }

    /// An assignment, those apart from it, and those apart from them.
    fn elsewhere(&self, first: EventId) -> BTreeSet<EventId> {
        let mut together = BTreeSet::from([first]);
        let mut next = vec![first];
        while let Some(id) = next.pop() {
            let apart = self.record.apart.sent.get(&id);
            for other in apart.into_iter().flat_map(|sent| &sent.elsewhere) {
                if together.insert(*other) {
                    next.push(*other);
                }
            }
        }
        together
    }

    fn assigned_and_out(&self, all: &mut Vec<Disagreement>) {
        for (id, apart) in &self.record.apart.sent {
            let out = apart.out.iter().filter_map(|id| self.record.out.get(id));
            let out = out.map(|side| {
                let said = Said::OutOfService(side.value);
                stated(Measure::Said(said), &side.origin)
            });
            let sides: Vec<Stated> = self.sent(id).into_iter().chain(out).collect();
            if sides.len() > 1 {
                let craft = self.number();
                let settle = vec![Settle::Return(craft.clone()), Settle::Release(craft)];
                let until = Until::OutOfService;
                all.push(self.assignment(Differ::AssignedAndOut, until, settle, sides));
            }
        }
    }

    fn assigned_and_released(&self, all: &mut Vec<Disagreement>) {
        for (id, apart) in &self.record.apart.sent {
            let said = |origin: &Origin| stated(Measure::Said(Said::Released), origin);
            let released = apart.released.iter().map(said);
            let sides: Vec<Stated> = self.sent(id).into_iter().chain(released).collect();
            if sides.len() > 1 {
                let craft = self.number();
                let settle = vec![Settle::Release(craft.clone()), Settle::Assign(craft)];
                let differ = Differ::AssignedAndReleased;
                all.push(self.assignment(differ, Until::Assigned, settle, sides));
            }
        }
    }

    /// An assignment that stands, as a side.
    fn sent(&self, id: &EventId) -> Option<Stated> {
        let side = self.record.assigned.get(id)?;
        let incident = Measure::Word(side.value.incident.clone());
        Some(stated(incident, &side.origin))
    }

    fn assignment(
        &self,
        differ: Differ,
        until: Until,
        settle: Vec<Settle>,
        sides: Vec<Stated>,
    ) -> Disagreement {
        let case = Case {
            differ,
            about: self.whole(),
            until,
            settle,
        };
        self.case(case, sides)
    }
}
