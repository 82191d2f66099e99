//! Entries that this version does not understand and that belong to no record: they hold the whole
//! county, since nobody can tell here whom they are about.
//!
//! An entry of the registry is about keys, stations, sheets and settings, and names no craft. One of a
//! later sort may name only things of a sort that is not known here, or nothing at all.
//!
//! What is needed of each is noted when it is added: an answer reads no row for them, and takes as
//! long whether there are ten or a hundred thousand. Whoever floods the log with them gains nothing.

use std::collections::BTreeSet;

use sponson_log::event::{Header, SignedEvent};
use sponson_log::ids::EventId as LogEventId;
use sponson_log::trust::{Stands, Trust};
use sponson_proto::event::v1::{IfNotUnderstood, Kind};
use sponson_readiness::ids::EventId;

use super::Index;
use crate::errors::RowError;
use crate::parse::{Interpreter, Parsed, subject_kind, to_trade_event};
use crate::store::Store;

/// How many are named: as many as a record names of its own.
const NAMED_MAX: usize = 64;

/// Events beside the registry that belong to no record and ask to hold.
#[derive(Clone, Debug, Default)]
pub(super) struct ForAll {
    /// All of them, in the order of keeping.
    asking: Vec<Asking>,
    /// Those that were not dismissed: the 64 with the smallest ids, so that every replica that holds
    /// the same names the same.
    holding: BTreeSet<LogEventId>,
}

/// One event that asks to hold.
#[derive(Clone, Debug)]
struct Asking {
    number: u64,
    /// Kinds of the events that it corrects: whoever may not sign those may not correct them.
    corrects: BTreeSet<i32>,
}

/// Whether an event names nothing that has a record.
fn of_no_record(header: &Header) -> bool {
    let mut subjects = header.subjects.iter();
    !subjects.any(|subject| subject_kind(subject.kind).is_some())
}

impl Index {
    /// Events that this version does not understand, whose writer asked to hold, and that no record
    /// holds. At most 64.
    pub(crate) fn not_understood(&self) -> BTreeSet<EventId> {
        let registry = self.registry.not_understood();
        let others = self.for_all.holding.iter().copied();
        let all = registry.chain(others).take(NAMED_MAX);
        all.map(to_trade_event).collect()
    }

    /// Takes an event that was added as this number.
    pub(super) fn take_for_all(&mut self, number: u64, event: &SignedEvent) {
        let Some(asking) = self.asks_for_all(number, event) else {
            return;
        };
        self.for_all.hold_unless_dismissed(self.holds_all(&asking));
        self.for_all.asking.push(asking);
    }

    /// Looks again at which were dismissed, after trust has changed.
    pub(super) fn recount_for_all(&mut self) {
        let mut again = ForAll::default();
        for asking in &self.for_all.asking {
            again.hold_unless_dismissed(self.holds_all(asking));
        }
        self.for_all.holding = again.holding;
    }

    /// Reads all rows again, after another set of kinds is known.
    pub(crate) fn read_for_all(&mut self, store: &Store) -> Result<(), RowError> {
        self.for_all = ForAll::default();
        for row in store.events() {
            let (number, event) = row?;
            self.take_for_all(number, &event);
        }
        Ok(())
    }

    /// Those whose events count.
    pub(super) fn earlier_for_all(&self, counts: impl Fn(u64) -> bool) -> ForAll {
        let asking = self.for_all.asking.iter();
        ForAll {
            asking: asking.filter(|it| counts(it.number)).cloned().collect(),
            holding: BTreeSet::new(),
        }
    }

    fn asks_for_all(&self, number: u64, event: &SignedEvent) -> Option<Asking> {
        let header = event.header();
        if self.at(number)?.is_registry() || !of_no_record(header) {
            return None;
        }
        let asks = match Interpreter(self).payload(event) {
            Ok(Parsed::NotKnown) => header.if_not_understood != IfNotUnderstood::Ignore,
            Ok(Parsed::Trade(_) | Parsed::Registry) => false,
            Err(_) => true,
        };
        asks.then(|| Asking {
            number,
            corrects: self.corrects(event),
        })
    }

    fn corrects(&self, event: &SignedEvent) -> BTreeSet<i32> {
        if event.header().kind != Kind::Correction as i32 {
            return BTreeSet::new();
        }
        let named = event.payload_references();
        let originals = named.iter().filter_map(|id| self.get(id));
        originals.map(|known| known.kind).collect()
    }

    /// The id of an event that asks to hold, unless it was dismissed.
    fn holds_all(&self, asking: &Asking) -> Option<LogEventId> {
        let known = self.at(asking.number)?;
        let stands = Stands {
            key: known.key,
            seq: known.seq,
            id: known.id,
            kind: known.kind,
        };
        let corrects = asking.corrects.iter().copied();
        let trust = Interpreter(self).trust_at(&stands, corrects);
        let dismissed =
            trust != Trust::Trusted && self.dismissals.cover(&stands, &self.registry, &self.chains);
        (!dismissed).then_some(known.id)
    }
}

impl ForAll {
    fn hold_unless_dismissed(&mut self, id: Option<LogEventId>) {
        self.holding.extend(id);
        if self.holding.len() > NAMED_MAX {
            self.holding.pop_last();
        }
    }
}
