//! What an event recorded here had seen: heads of its subjects, within what a body has room for.

use std::collections::BTreeSet;

use sponson_log::event::{SEEN_MAX, SUBJECTS_MAX, SignedEvent, Subject};
use sponson_log::ids::{EventId, SubjectId};
use sponson_log::trust::Trust;
use sponson_proto::event::v1::{Kind, SubjectType};

use super::super::Replica;
use crate::errors::RowError;
use crate::parse::Interpreter;
use crate::values::NewEvent;

/// Greatest number of heads that one event recorded here names, over all its subjects: 512 of 34
/// bytes are 17 KiB, and leave 47 KiB of a body. With the most subjects, 64, each has 8.
const SEEN_TOTAL_MAX: usize = 512;

/// So many heads every subject has room for.
const SHARE_LEAST: usize = SEEN_TOTAL_MAX / SUBJECTS_MAX;

impl Replica {
    /// The subjects, each with the heads that were seen of it. Whoever wrote many heads apart
    /// must not make an event too long to be recorded.
    pub(super) fn subjects_seen(&self, event: &NewEvent) -> Result<Vec<Subject>, RowError> {
        let observed_to = event.observed.map(|(_, to)| to);
        let about = self.with_twins(event);
        let mut subjects = Vec::with_capacity(about.len());
        for (id, kind) in &about {
            subjects.push(Subject {
                id: *id,
                kind: *kind,
                seen: self.seen(id, observed_to)?,
            });
        }
        let total: usize = subjects.iter().map(|subject| subject.seen.len()).sum();
        if total > SEEN_TOTAL_MAX {
            let share = SEEN_TOTAL_MAX / subjects.len().max(1);
            for subject in &mut subjects {
                subject.seen.truncate(share);
            }
        }
        Ok(subjects)
    }

    /// The subjects, and behind them what is registered as the same thing: so the event has seen
    /// what was recorded of either. A correction keeps the subjects of its original.
    fn with_twins(&self, event: &NewEvent) -> Vec<(SubjectId, SubjectType)> {
        let mut about = event.subjects.clone();
        if event.kind == Kind::Correction {
            return about;
        }
        for (id, kind) in &event.subjects {
            for twin in self.records.same_as(id) {
                let known = about.iter().any(|(other, _)| *other == twin);
                if !known && about.len() < SUBJECTS_MAX {
                    about.push((twin, *kind));
                }
            }
        }
        about
    }

    /// Heads of a subject over all events that are held. Of too many those come first that no
    /// trusted event had seen and that are trusted themselves: a flood of what counts for nothing
    /// must not keep this device from having seen what does.
    fn heads_seen(&self, subject: &SubjectId) -> Result<Vec<EventId>, RowError> {
        let newest = self.index.heads(subject, SEEN_MAX + 1);
        let Some(events) = self.index.subjects.get(subject) else {
            return Ok(newest);
        };
        if newest.len() <= SHARE_LEAST {
            return Ok(newest);
        }
        let mut trusted: Vec<EventId> = Vec::new();
        for number in events.numbers() {
            let Some(known) = self.index.at(*number).filter(|known| !known.is_registry()) else {
                continue;
            };
            let event = self.store.event(*number)?;
            if Interpreter(&self.index).trust(&event) == Trust::Trusted {
                let seen = seen_of(&event, subject);
                trusted.retain(|head| !seen.contains(head));
                trusted.push(known.id);
            }
        }
        trusted.reverse();
        trusted.truncate(SEEN_MAX);
        let held: BTreeSet<EventId> = trusted.iter().copied().collect();
        trusted.extend(newest.into_iter().filter(|head| !held.contains(head)));
        trusted.truncate(SEEN_MAX);
        Ok(trusted)
    }

    /// Newest events of a subject, as this device holds them. For something observed earlier:
    /// the newest of those that were observed by then, and of which all that they had seen was.
    fn seen(
        &self,
        subject: &SubjectId,
        observed_to: Option<i64>,
    ) -> Result<Vec<EventId>, RowError> {
        let Some(observed_to) = observed_to else {
            return self.heads_seen(subject);
        };
        let Some(events) = self.index.subjects.get(subject) else {
            return Ok(Vec::new());
        };
        let mut before = BTreeSet::new();
        let mut heads: Vec<EventId> = Vec::new();
        for number in events.numbers() {
            let Some(known) = self.index.at(*number) else {
                continue;
            };
            if known.times.claimed() > observed_to || known.is_registry() {
                continue;
            }
            let event = self.store.event(*number)?;
            let seen = seen_of(&event, subject);
            if seen.iter().all(|id| before.contains(id)) {
                before.insert(known.id);
                heads.retain(|head| !seen.contains(head));
                heads.push(known.id);
            }
        }
        Ok(heads.into_iter().rev().take(SEEN_MAX).collect())
    }
}

/// Heads of a subject that an event had seen.
fn seen_of(event: &SignedEvent, subject: &SubjectId) -> BTreeSet<EventId> {
    let subjects = event.header().subjects.iter();
    subjects
        .filter(|seen| seen.id == *subject)
        .flat_map(|seen| seen.seen.iter().copied())
        .collect()
}
