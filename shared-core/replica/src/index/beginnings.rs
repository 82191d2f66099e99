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
    /// The key of the event.
    key: Key,
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
                key: event.header().key,
            });
        }
    }

    /// The beginning whose event has a number.
    pub(crate) fn of(&self, number: u64) -> Option<&Beginning> {
        self.0.iter().find(|it| it.number == number)
    }

    /// Logs that were left on the way to a log, one after the other, and logs that were shown
    /// there and not held. A beginning that does not lead to it says nothing: it may be of a log
    /// that was lost, and leave the very log in which a county that was put back stands again.
    pub(crate) fn left(&self, own: LogId, registry: &Registry) -> BTreeSet<LogId> {
        let worth = self.0.iter();
        let worth: Vec<&LogBegun> = worth
            .filter(|it| registry.is_working_key(&it.word_of))
            .map(|it| &it.begun)
            .collect();
        let mut left = BTreeSet::new();
        let mut from = vec![own];
        while let Some(log) = from.pop() {
            for begun in worth.iter().filter(|begun| begun.log == log) {
                let shown = match begun.reason {
                    BegunReason::Shown { log, .. } => Some(log),
                    BegunReason::Restored | BegunReason::NotKnown => None,
                };
                let before = shown.into_iter().chain([begun.old_log]);
                from.extend(before.filter(|before| *before != own && left.insert(*before)));
            }
        }
        left
    }

    /// Whether a key does not know how far it signed, and signs no event any more: it vouched for a
    /// beginning because of what it had signed itself, or a key that took over from it. What a key
    /// signed that the root admitted beside it says nothing of its own chain.
    pub(crate) fn doubted(&self, key: &Key, registry: &Registry) -> bool {
        let mut vouched = self.0.iter().filter(|it| it.begun.vouched_by == Some(*key));
        vouched.any(|it| match &it.begun.reason {
            BegunReason::Shown { key: shown, .. } => came_after(registry, *key, *shown),
            BegunReason::Restored | BegunReason::NotKnown => true,
        })
    }

    /// Whether a key was used to begin a log on a working key's word: it is no device's.
    pub(crate) fn is_of_a_beginning(&self, key: &Key) -> bool {
        let mut vouched = self.0.iter().filter(|it| it.begun.vouched_by.is_some());
        vouched.any(|it| it.key == *key)
    }
}

/// Whether a key is another, or took over from it, or from one that did.
fn came_after(registry: &Registry, first: Key, mut later: Key) -> bool {
    // As many steps as there are keys: what replaces what may run in a circle.
    for _ in 0..=registry.keys().len() {
        if later == first {
            return true;
        }
        let replaces = registry.key(&later).and_then(|it| it.replaces);
        match replaces {
            Some((before, _)) => later = before,
            None => return false,
        }
    }
    false
}
