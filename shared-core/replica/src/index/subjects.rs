//! The events of one subject, and which of them no other event had seen.

use std::collections::BTreeSet;

use sponson_log::event::Subject;
use sponson_log::ids::EventId;

use crate::parse::subject_kind;

/// The events of one subject.
#[derive(Clone, Debug, Default)]
pub(crate) struct SubjectEvents {
    numbers: Vec<u64>,
    heads: BTreeSet<EventId>,
    recorded: bool,
}

impl SubjectEvents {
    /// Adds an event. Those of the registry belong to no record and are no heads.
    pub(super) fn add(&mut self, number: u64, id: EventId, subject: &Subject, registry: bool) {
        if self.numbers.last() != Some(&number) {
            self.numbers.push(number);
        }
        if registry {
            return;
        }
        for seen in &subject.seen {
            self.heads.remove(seen);
        }
        self.heads.insert(id);
        self.recorded |= subject_kind(subject.kind).is_some();
    }

    /// Those of its events for which `counts` says yes, for folding: without heads.
    pub(super) fn only(&self, counts: impl Fn(u64) -> bool) -> Self {
        let numbers = self.numbers.iter().copied();
        Self {
            numbers: numbers.filter(|number| counts(*number)).collect(),
            heads: BTreeSet::new(),
            recorded: self.recorded,
        }
    }

    /// Numbers of its events, ascending.
    pub(crate) fn numbers(&self) -> &[u64] {
        &self.numbers
    }

    /// Events of it that no other had seen.
    pub(crate) fn heads(&self) -> impl Iterator<Item = &EventId> {
        self.heads.iter()
    }

    /// Whether an event speaks of it as of a thing that has a record.
    pub(crate) const fn recorded(&self) -> bool {
        self.recorded
    }
}
