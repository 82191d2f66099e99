//! The devices of a county: their keys, how far what they recorded counts, and what does not.
//!
//! Counts and lists; what is to be done about a device is the lead's to say, by an event.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::chains::Chain;
use sponson_log::ids::{EventId, Key};
use sponson_log::trust::{Stands, Trust, trust_at};
use sponson_proto::event::v1::Kind;

use super::Replica;
use crate::errors::RowError;
use crate::parse::Interpreter;
use crate::values::{ChainView, Device, DismissFrom, Untrusted};

/// Most unconfirmed events that are listed of one chain: ten pages for a person to read.
const LISTED_MAX: usize = 200;

impl Replica {
    /// Every key that is admitted or has written anything here, in the order of keys.
    ///
    /// # Errors
    /// When a row is damaged.
    pub fn devices(&self) -> Result<Vec<Device>, RowError> {
        let registry = &self.index.registry;
        let written = self.index.chains.iter().map(|(key, _)| *key);
        let keys: BTreeSet<Key> = registry.keys().keys().copied().chain(written).collect();
        let begins = |key: &Key| self.index.beginnings.is_of_a_beginning(key);
        let keys = keys.into_iter();
        let keys = keys.filter(|key| !registry.is_root(key) && !begins(key));
        keys.map(|key| self.device(key)).collect()
    }

    fn device(&self, key: Key) -> Result<Device, RowError> {
        let chain = self.index.chains.get(&key);
        let heads = chain.map(|chain| chain.heads().clone()).unwrap_or_default();
        let received = heads.keys().filter_map(|id| self.place(id));
        let admitted = self.index.registry.key(&key).cloned();
        let by = admitted.as_ref().map(|admitted| admitted.admitted_by);
        Ok(Device {
            key,
            admitted_unix_ms: by.and_then(|id| self.place(&id)).map(|place| place.1),
            admitted,
            heard_unix_ms: received.map(|place| place.1).max(),
            heads: heads.into_iter().map(|(id, seq)| (seq, id)).collect(),
            parted: chain.and_then(Chain::parted_at),
            untrusted: self.untrusted(&key)?.counted(),
        })
    }

    /// The chain of one key: what stands at a seq, and what of it is unconfirmed.
    ///
    /// # Errors
    /// When a row is damaged.
    pub fn chain_view(&self, key: &Key, seq: u64) -> Result<ChainView, RowError> {
        let found = self.untrusted(key)?;
        let chain = self.index.chains.get(key);
        let at = chain.and_then(|chain| chain.at(seq));
        let lines = found.open.iter().chain(&found.late).take(LISTED_MAX);
        let lines: Result<Vec<_>, _> = lines.map(|(_, number)| self.line(*number)).collect();
        Ok(ChainView {
            at: at.into_iter().flatten().copied().collect(),
            lines: lines?,
            dismiss: chain.map_or_else(Vec::new, |chain| found.tails(chain)),
            untrusted: found.counted(),
        })
    }

    /// Unconfirmed events that came from a dismissed device after its dismissal, by key; those of
    /// which there are none are left out.
    ///
    /// # Errors
    /// When a row is damaged.
    pub fn after_dismissal(&self) -> Result<BTreeMap<Key, u64>, RowError> {
        let mut after = BTreeMap::new();
        for key in self.index.dismissals.keys() {
            let count = self.untrusted(&key)?.late.len() as u64;
            if count > 0 {
                after.insert(key, count);
            }
        }
        Ok(after)
    }

    /// How many events of the own chain count for nothing: unconfirmed, and dismissed.
    ///
    /// # Errors
    /// When a row is damaged.
    pub fn own_untrusted(&self) -> Result<Untrusted, RowError> {
        Ok(self.untrusted(&self.key())?.counted())
    }

    fn untrusted(&self, key: &Key) -> Result<Found, RowError> {
        let mut found = Found::default();
        let Some(chain) = self.index.chains.get(key) else {
            return Ok(found);
        };
        let (registry, chains) = (&self.index.registry, &self.index.chains);
        for (seq, id) in chain.events() {
            let Some(number) = self.index.number(id) else {
                continue;
            };
            let Some(known) = self.index.at(number) else {
                continue;
            };
            let stands = Stands {
                key: *key,
                seq,
                id: *id,
                kind: known.kind,
            };
            let trusted = trust_at(registry, chains, &stands) == Trust::Trusted;
            if trusted && !self.is_doubted_correction(known.kind, number)? {
                continue;
            }
            let dismissals = &self.index.dismissals;
            match dismissals.newest_over(&stands, registry, chains, |id| self.index.number(id)) {
                None => found.open.push(((seq, *id), number)),
                Some(dismissed) => {
                    found.dismissed += 1;
                    if number > dismissed {
                        found.late.push(((seq, *id), number));
                    }
                }
            }
        }
        Ok(found)
    }

    /// A correction needs the role of its original's kind as well, which its row tells.
    fn is_doubted_correction(&self, kind: i32, number: u64) -> Result<bool, RowError> {
        if kind != Kind::Correction as i32 {
            return Ok(false);
        }
        let event = self.store.event(number)?;
        Ok(Interpreter(&self.index).trust(&event) != Trust::Trusted)
    }
}

/// What of one chain is unconfirmed.
#[derive(Debug, Default)]
struct Found {
    /// What nobody dismissed, by seq: place and number.
    open: Vec<((u64, EventId), u64)>,
    dismissed: u64,
    /// Of those dismissed, kept after the newest dismissal that covers them.
    late: Vec<((u64, EventId), u64)>,
}

impl Found {
    const fn counted(&self) -> Untrusted {
        Untrusted {
            open: self.open.len() as u64,
            dismissed: self.dismissed,
            after_dismissal: self.late.len() as u64,
        }
    }

    /// Where to dismiss from, so that everything open or late is covered: one place a branch.
    fn tails(&self, chain: &Chain) -> Vec<DismissFrom> {
        let mut tails: Vec<DismissFrom> = Vec::new();
        let mut places: Vec<(u64, EventId)> = self.open.iter().map(|(place, _)| *place).collect();
        places.extend(self.late.iter().map(|(place, _)| *place));
        places.sort_unstable();
        for (seq, id) in &places {
            let covered = tails
                .iter()
                .any(|from| chain.on_branch(from.seq, &from.event, *seq, id));
            if !covered {
                tails.push(DismissFrom {
                    seq: *seq,
                    event: *id,
                });
            }
        }
        tails
    }
}
