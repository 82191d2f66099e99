//! Beginnings of county logs that are held: which log followed which, why, and on whose word.

use std::collections::BTreeSet;

use sponson_log::begun::{BegunReason, LogBegun};
use sponson_log::event::SignedEvent;
use sponson_log::ids::{Key, LogId};
use sponson_log::registry::Registry;
use sponson_proto::event::v1::Kind;

/// Beginnings, whoever signed them; a county has a handful in its life.
#[derive(Clone, Debug, Default)]
pub(crate) struct Beginnings(Vec<Beginning>);

/// One beginning.
#[derive(Clone, Debug)]
pub(crate) struct Beginning {
    /// Number of the event.
    pub(crate) number: u64,
    /// What it says.
    pub(crate) begun: LogBegun,
    /// The working key on whose word it is, if it is one.
    word_of: Key,
}

impl Beginnings {
    /// Takes an event as the next number. One that nobody vouches for says nothing.
    pub(super) fn add(&mut self, number: u64, event: &SignedEvent) {
        if event.header().kind != Kind::LogBegun as i32 {
            return;
        }
        let Ok(begun) = LogBegun::read(event) else {
            return;
        };
        if begun.check_word(event, |_| true).is_ok() {
            let word_of = begun.vouched_by.unwrap_or(event.header().key);
            self.0.push(Beginning {
                number,
                begun,
                word_of,
            });
        }
    }

    /// The beginning whose event has a number.
    pub(crate) fn of(&self, number: u64) -> Option<&Beginning> {
        self.0.iter().find(|it| it.number == number)
    }

    /// Logs that were left for another, and logs that were shown and not held.
    pub(crate) fn left(&self, registry: &Registry) -> BTreeSet<LogId> {
        let worth = self.0.iter().filter(|it| {
            let admitted = registry.key(&it.word_of);
            admitted.is_some_and(|_| registry.is_working_key(&it.word_of))
        });
        let mut left = BTreeSet::new();
        for it in worth {
            left.insert(it.begun.old_log);
            if let BegunReason::Shown { log, .. } = it.begun.reason {
                left.insert(log);
            }
        }
        left
    }

    /// Whether a key vouched for a beginning: then it does not know how far it signed, and signs no
    /// event any more.
    pub(crate) fn vouched(&self, key: &Key) -> bool {
        self.0.iter().any(|it| it.begun.vouched_by == Some(*key))
    }
}
