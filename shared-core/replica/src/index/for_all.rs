//! Entries that this version does not understand and that belong to no record: they hold the whole
//! county, since nobody can tell here whom they are about.
//!
//! An entry of the registry is about keys, stations, sheets and settings, and names no craft. One of a
//! later sort may name only things of a sort that is not known here, or nothing at all.

use std::collections::BTreeSet;

use sponson_log::event::Header;
use sponson_readiness::event::Payload;
use sponson_readiness::ids::EventId;

use super::Index;
use crate::parse::{Interpreter, subject_kind, to_trade_event};
use crate::store::Store;

/// How many are named: as many as a record names of its own.
const NAMED_MAX: usize = 64;

/// Whether an event names nothing that has a record.
pub(super) fn of_no_record(header: &Header) -> bool {
    let mut subjects = header.subjects.iter();
    !subjects.any(|subject| subject_kind(subject.kind).is_some())
}

impl Index {
    /// Events that this version does not understand, whose writer asked to hold, and that no record
    /// holds. At most 64.
    pub(crate) fn not_understood(&self, store: &Store) -> BTreeSet<EventId> {
        let registry = self.registry.not_understood().map(to_trade_event);
        let others = self.of_no_record.iter();
        let others = others.filter_map(|number| self.holds_all(store, *number));
        registry.chain(others).take(NAMED_MAX).collect()
    }

    /// The id of an event that has no record, when it asks to hold. One whose row was damaged since
    /// the store was opened does.
    fn holds_all(&self, store: &Store, number: u64) -> Option<EventId> {
        let id = to_trade_event(self.at(number)?.id);
        let Ok(event) = store.event(number) else {
            return Some(id);
        };
        let read = Interpreter(self).event(&event, self.places.received(number))?;
        matches!(read.payload, Payload::NotUnderstood { hold: true }).then_some(id)
    }
}
