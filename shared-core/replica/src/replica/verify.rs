//! Checking everything again: rows, ids, signatures, chains, references, the county log's root.

use std::collections::BTreeSet;

use sponson_log::chains::Chains;
use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId;
use sponson_log::tree::{Tree, leaf_hash};

use super::Replica;
use crate::store::rows::{key_text, unseal};
use crate::values::Verified;

/// Lines of what is wrong: more help nobody.
const WRONG_LINES_MAX: usize = 1_000;

/// A check on its way.
struct Check<'a> {
    replica: &'a Replica,
    seen: BTreeSet<EventId>,
    chains: Chains,
    found: Verified,
}

impl Replica {
    /// Checks every row, id, signature, chain, reference, leaf and root. `progress` is told how
    /// many events are done, of how many.
    pub fn verify(&self, progress: &mut dyn FnMut(u64, u64)) -> Verified {
        let mut check = Check {
            replica: self,
            seen: BTreeSet::new(),
            chains: Chains::default(),
            found: Verified::default(),
        };
        check.rows();
        let total = self.index.size();
        for number in 0..total {
            check.event(number);
            progress(number + 1, total);
        }
        check.partings();
        check.county_log();
        check.pictures();
        check.found
    }
}

impl Check<'_> {
    fn wrong(&mut self, line: String) {
        if self.found.wrong.len() < WRONG_LINES_MAX {
            self.found.wrong.push(line);
        }
    }

    fn rows(&mut self) {
        for row in self.replica.store.all_rows() {
            let checked = row.and_then(|(key, value)| {
                let known = key
                    .first()
                    .is_some_and(|letter| b"extuclm".contains(letter));
                unseal(&key, &value).map(|_| (!known).then(|| key_text(&key)))
            });
            match checked {
                Ok(None) => {}
                Ok(Some(unknown)) => self.wrong(format!("row {unknown} is of no known sort")),
                Err(error) => self.wrong(error.to_string()),
            }
        }
    }

    fn event(&mut self, number: u64) {
        let event = match self.replica.store.event(number) {
            Ok(event) => event,
            Err(error) => return self.wrong(error.to_string()),
        };
        self.found.events += 1;
        let id = event.id();
        if self
            .replica
            .index
            .at(number)
            .is_none_or(|known| known.id != id)
        {
            self.wrong(format!(
                "event {number} is {id}, another than when the store was opened"
            ));
        }
        if let Err(error) = event.verify() {
            self.wrong(format!("event {number} ({id}): {error}"));
        }
        self.stands(number, &event);
        let removed = self.replica.removed(&id);
        for content in event.beside() {
            let index = content.index;
            if u16::try_from(index).is_ok_and(|part| removed.contains_key(&part)) {
                self.wrong(format!(
                    "content {index} beside event {number} ({id}) was removed by the lead and is still here"
                ));
            }
        }
        self.chains.add(&event);
        if !self.seen.insert(id) {
            self.wrong(format!("event {number} ({id}) is held twice"));
        }
    }

    fn stands(&mut self, number: u64, event: &SignedEvent) {
        let seen = &self.seen;
        let fits = self
            .chains
            .fits(self.replica.county, event, |id| seen.contains(id));
        if let Err(error) = fits {
            self.wrong(format!("event {number} ({}): {error}", event.id()));
        }
    }

    fn pictures(&mut self) {
        let (about, wrong) = self.replica.verify_pictures();
        self.found.pictures = about.held;
        self.found.pictures_missing = about.missing;
        for line in wrong {
            self.wrong(line);
        }
    }

    fn partings(&mut self) {
        let mut parted = Vec::new();
        for (key, chain) in self.chains.iter() {
            self.found.chains += 1;
            // The end of its key says which branch is good: nothing is left to settle.
            let registry = &self.replica.index.registry;
            let settled = registry.key(key).is_some_and(|it| it.ended.is_some());
            parted.extend(chain.parted_at().filter(|_| !settled).map(|seq| {
                format!("chain of key {key} parts in two at seq {seq}: the lead must settle it")
            }));
        }
        self.found.parted = parted.len() as u64;
        for line in parted {
            self.wrong(line);
        }
    }

    fn county_log(&mut self) {
        let places = match self.replica.store.places() {
            Ok(places) => places,
            Err(error) => return self.wrong(error.to_string()),
        };
        let mut tree = Tree::default();
        let mut placed = BTreeSet::new();
        for (number, received) in places {
            let index = tree.size();
            let Some(known) = self.replica.index.at(number) else {
                return self.wrong(format!(
                    "place {index} names event {number}, which is missing"
                ));
            };
            if !placed.insert(number) {
                self.wrong(format!("event {number} stands twice in the county log"));
            }
            tree.append(leaf_hash(&known.id, received));
        }
        self.found.county_size = tree.size();
        if tree.edge().root() != self.replica.tree().edge().root() {
            self.wrong("places in the county log changed since the store was opened".to_owned());
        }
        self.checkpoint(&tree);
    }

    fn checkpoint(&mut self, tree: &Tree) {
        let Some(checkpoint) = &self.replica.checkpoint else {
            return;
        };
        let size = checkpoint.size;
        if tree.root_at(size) != Some(checkpoint.root) {
            self.wrong(format!(
                "the first {size} entries of the county log have another root than the county signed"
            ));
        }
        if !self.replica.registry().keys().contains_key(&checkpoint.key) {
            let key = checkpoint.key;
            self.wrong(format!(
                "checkpoint is signed by key {key}, which the registry lacks"
            ));
        }
    }
}
