//! Folding a whole history, and taking one more event without folding again.

use super::corrected::{Power, Statement, statements};
use super::effect::Effect;
use super::order::{History, seen_of};
use super::{Past, Record, keep};
use crate::event::{Event, Payload, SubjectKind, Trust};
use crate::ids::SubjectId;

/// What became of an event that a record was asked to take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[must_use]
pub enum Stepped {
    /// The record is what folding the longer history would give.
    Done,
    /// The event belongs among earlier ones: the record is as it was, and must be folded again.
    MustFold,
}

/// Adds up the events of one subject.
///
/// Events of other subjects are left out, and so are references to events that are not there.
/// Neither the order of the slice nor an event given twice makes a difference.
#[must_use]
pub fn fold(subject: SubjectId, kind: SubjectKind, events: &[Event]) -> Record {
    let mut history = History::sort(subject, events);
    let stated = statements(&mut history);
    let mut record = Record::new(subject, kind);
    for (place, here) in stated.iter().enumerate() {
        for statement in here {
            record.take(statement, history.past(place));
        }
        let event = history.events[place];
        if let Payload::Correction { restated, .. } = &event.payload {
            record.take_correction(event, restated.as_deref());
        }
        record.mark_seen(event);
    }
    record
}

impl Record {
    /// Takes an event that has seen every head of this record, as most have: it comes last in the
    /// order, so nothing before it changes. Not so a correction, which stands elsewhere.
    pub fn step(&mut self, event: &Event) -> Stepped {
        if event.subjects.iter().all(|seen| seen.id != self.subject) {
            return Stepped::Done;
        }
        let knows = |head| seen_of(self.subject, event).any(|seen| seen == head);
        let is_correction = matches!(event.payload, Payload::Correction { .. });
        if is_correction || !self.heads.iter().all(knows) {
            return Stepped::MustFold;
        }
        self.take(&Statement::of(event), Past::All);
        self.mark_seen(event);
        Stepped::Done
    }

    /// Applies a statement, and notes it as something to look into when it is not trusted.
    fn take(&mut self, statement: &Statement<'_>, past: Past<'_>) {
        if *statement.payload == Payload::Silent {
            return;
        }
        if statement.origin.trust != Trust::Trusted && !self.note_unconfirmed(statement) {
            return;
        }
        let past = match statement.power {
            Power::Relieves => past,
            Power::OnlyAdds => Past::Nothing,
        };
        Effect {
            record: self,
            statement,
            past,
        }
        .apply();
    }

    /// Notes an unconfirmed statement; false when there are too many to keep another.
    fn note_unconfirmed(&mut self, statement: &Statement<'_>) -> bool {
        let origin = &statement.origin;
        let full = self.unconfirmed.len() >= keep::UNCONFIRMED;
        if full && !self.unconfirmed.contains_key(&origin.event) {
            return false;
        }
        self.unconfirmed.insert(origin.event, origin.clone());
        true
    }

    /// Moves the heads on.
    fn mark_seen(&mut self, event: &Event) {
        for seen in seen_of(self.subject, event) {
            self.heads.remove(seen);
        }
        self.heads.insert(event.id);
        self.events += 1;
    }

    /// What a correction does at its own place, beside the statement that it leaves at its
    /// original's: only what makes a craft worse.
    fn take_correction(&mut self, event: &Event, restated: Option<&Payload>) {
        if event.trust != Trust::Trusted {
            self.note_unconfirmed(&Statement::of(event));
        }
        // The waiver that it names may come after its original's place; here it has been granted.
        if let Some(Payload::WaiverWithdrawn { waiver }) = restated {
            self.waivers.remove(waiver);
        }
        // What a newer replica restates may be of the same kind; nobody can tell here.
        if let Some(Payload::NotUnderstood { hold: true }) = restated {
            keep::first(&mut self.not_understood, event.id);
        }
    }
}
