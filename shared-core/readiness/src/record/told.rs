//! The statements of one subject one after another, as the fold takes them, for whoever looks back on
//! more than a record keeps.

use super::corrected::{Power, Statement, statements};
use super::order::History;
use super::{Origin, Past};
use crate::event::{Event, Payload, SubjectSeen, Trust};
use crate::ids::{EventId, FaultId, SubjectId};

/// One event of a subject, corrections taken in.
pub(crate) enum Told<'s, 'a> {
    /// It says something.
    Said(Said<'s, 'a>),
    /// Nothing stands at its place any more.
    Withdrawn(EventId),
    /// A correction that may not replace its original, and stands beside it.
    Beside(EventId),
    /// A correction for which nobody vouches.
    Unconfirmed(EventId),
}

/// What stands at the place of an event.
pub(crate) struct Said<'s, 'a> {
    statement: &'s Statement<'a>,
    past: Past<'s>,
}

/// Tells the events of a subject in fold order.
pub(crate) fn tell<'a>(
    subject: SubjectId,
    events: impl IntoIterator<Item = &'a Event>,
    mut hear: impl FnMut(Told<'_, 'a>),
) {
    let mut history = History::sort(subject, events);
    let stated = statements(&mut history);
    for (place, here) in stated.iter().enumerate() {
        let event = history.events[place];
        if matches!(event.payload, Payload::Correction { .. }) {
            if event.trust != Trust::Trusted {
                hear(Told::Unconfirmed(event.id));
            }
            continue;
        }
        // The original's own words, or what replaced them, come before what stands beside.
        let own = here.iter().position(|it| it.origin.event == event.id);
        let main = own.unwrap_or(0);
        if here.is_empty() {
            hear(Told::Withdrawn(event.id));
        }
        for (at, statement) in here.iter().enumerate() {
            if at == main {
                let past = history.past(place);
                hear(Told::Said(Said { statement, past }));
            } else if statement.origin.trust == Trust::Trusted {
                hear(Told::Beside(statement.origin.event));
            }
        }
    }
}

impl<'s, 'a> Said<'s, 'a> {
    /// Where it comes from.
    pub(crate) const fn origin(&self) -> &'s Origin {
        &self.statement.origin
    }

    /// What it says.
    pub(crate) const fn payload(&self) -> &'a Payload {
        self.statement.payload
    }

    /// Whom it is about.
    pub(crate) const fn subjects(&self) -> &'a [SubjectSeen] {
        self.statement.subjects
    }

    /// Whether it may end or grant anything.
    pub(crate) fn relieves(&self) -> bool {
        self.statement.power == Power::Relieves
    }

    /// Whether it ends a fault or a statement that it names, as in the record.
    pub(crate) fn may_end(&self, named: &FaultId) -> bool {
        self.relieves() && self.past.saw_as_it_stands(named)
    }
}
