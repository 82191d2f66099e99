//! What is derived from the rows and kept in memory: where every event stands, the chains, the
//! registry, the county log's tree, the events of each subject and its heads.
//!
//! Rebuilt from the rows when a store is opened; nothing here is a truth of its own.

mod beginnings;
mod dismissals;
mod earlier;
mod for_all;
mod known;
mod numbers;
mod pictures;
mod places;
mod redactions;
mod starts;
mod subjects;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use sponson_log::chains::Chains;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{CountyId, EventId, Key, SubjectId};
use sponson_log::registry::{Applied, Registry, is_registry_kind};
use sponson_log::trust::stands;
use sponson_proto::event::v1::Kind;

pub(crate) use beginnings::Beginnings;
pub(crate) use dismissals::Dismissals;
pub(crate) use earlier::SameTrust;
use for_all::ForAll;
pub(crate) use known::Known;
use known::KnownEvents;
pub(crate) use pictures::Pictures;
pub(crate) use places::{Disowned, Places, is_after};
pub(crate) use redactions::Redactions;
pub(crate) use starts::{Starts, is_same_clock};
pub(crate) use subjects::SubjectEvents;

use crate::errors::RowError;
use crate::parse::Times;
use crate::store::Store;
use crate::store::rows::{RowKey, damaged};

/// The index.
#[derive(Debug)]
pub(crate) struct Index {
    /// Shared with the earlier indexes that are made of this one.
    known: Arc<KnownEvents>,
    /// The registry.
    pub(crate) registry: Registry,
    /// The chains.
    pub(crate) chains: Chains,
    /// Places in the county log.
    pub(crate) places: Places,
    /// Events of each subject.
    pub(crate) subjects: BTreeMap<SubjectId, SubjectEvents>,
    /// What the lead dismissed.
    pub(crate) dismissals: Dismissals,
    /// Contents beside events that the lead had removed.
    pub(crate) redactions: Redactions,
    /// Pictures that events commit to.
    pub(crate) pictures: Pictures,
    /// Starts of devices, and whether the clock was set in them.
    pub(crate) starts: Starts,
    /// Beginnings of county logs.
    pub(crate) beginnings: Beginnings,
    /// Events that belong to no record and hold the whole county.
    for_all: ForAll,
    /// Kinds that this replica reads as an older version would: not at all.
    pub(crate) not_known: BTreeSet<i32>,
}

/// What adding an event did to what was known of others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Touched {
    /// Its own subjects at most.
    Own,
    /// How other events are read may have changed.
    Trust,
}

impl Index {
    /// The index of an empty store.
    pub(crate) fn new(county: CountyId) -> Self {
        Self {
            known: Arc::default(),
            registry: Registry::new(county),
            chains: Chains::default(),
            places: Places::default(),
            subjects: BTreeMap::new(),
            dismissals: Dismissals::default(),
            redactions: Redactions::default(),
            pictures: Pictures::default(),
            starts: Starts::default(),
            beginnings: Beginnings::default(),
            for_all: ForAll::default(),
            not_known: BTreeSet::new(),
        }
    }

    /// Reads all rows of a store.
    pub(crate) fn load(county: CountyId, store: &Store) -> Result<Self, RowError> {
        let mut index = Self::new(county);
        for row in store.events() {
            let (number, event) = row?;
            if number != index.size() {
                let key = RowKey::Event(index.size()).bytes();
                return Err(damaged(&key, "it is missing"));
            }
            index.link(&event);
            index.add(&event);
        }
        for (number, received) in store.places()? {
            let Some(known) = index.at(number) else {
                let key = RowKey::Event(number).bytes();
                return Err(damaged(
                    &key,
                    "it has a place in the county log but is missing",
                ));
            };
            index.places.push(number, known.id, received);
        }
        index.recount(|_| true);
        Ok(index)
    }

    /// Counts an event for its device's start, when it stands in the good part of its chain: what
    /// comes after the end of a key casts no doubt on what came before. Says whether it shows that
    /// the clock was set.
    fn count_start(&mut self, number: u64) -> bool {
        let Some(known) = self.at(number) else {
            return false;
        };
        let place = (known.seq, known.id);
        stands(&self.registry, &self.chains, &known.key, place) && self.starts.add(&known)
    }

    /// Counts again what rests on trust, after it has changed, over the events that count.
    pub(crate) fn recount(&mut self, counts: impl Fn(u64) -> bool) {
        self.recount_for_all();
        self.starts = Starts::default();
        for number in (0..self.size()).filter(|number| counts(*number)) {
            self.count_start(number);
        }
    }

    /// Times of an event, with what its device's start says against its clock.
    pub(crate) fn times(&self, key: &Key, times: Times) -> Times {
        if self.starts.was_set(key, &times.boot_id()) {
            times.doubted()
        } else {
            times
        }
    }

    /// How many events are held; the number of the next one.
    pub(crate) fn size(&self) -> u64 {
        self.known.size()
    }

    /// Number of an event that is held.
    pub(crate) fn number(&self, id: &EventId) -> Option<u64> {
        self.known.number(id)
    }

    /// Ids of all events, in the order of keeping.
    pub(crate) fn ids(&self) -> impl Iterator<Item = EventId> + '_ {
        self.known.ids()
    }

    /// Numbers of the events that the registry reads.
    pub(crate) fn registry_numbers(&self) -> impl Iterator<Item = u64> + '_ {
        self.known.registry().iter().copied()
    }

    /// What is known of an event.
    pub(crate) fn get(&self, id: &EventId) -> Option<Known> {
        self.at(self.number(id)?)
    }

    /// What is known of the event of a number.
    pub(crate) fn at(&self, number: u64) -> Option<Known> {
        self.known.at(number)
    }

    /// Puts an event into its chain; those after it in a batch are then seen to fit.
    pub(crate) fn link(&mut self, event: &SignedEvent) -> Touched {
        let key = &event.header().key;
        let parted = |chains: &Chains| chains.get(key).and_then(|chain| chain.parted_at());
        let before = parted(&self.chains);
        self.chains.add(event);
        // Within what was called good already, the branch that is good may only show now.
        let admitted = self.registry.key(key);
        let end = admitted.and_then(|admitted| admitted.ended);
        let settles = end.is_some_and(|end| event.header().seq <= end.last_good_seq);
        if parted(&self.chains) == before && !settles {
            Touched::Own
        } else {
            Touched::Trust
        }
    }

    /// Adds an event that was linked, as the next number.
    pub(crate) fn add(&mut self, event: &SignedEvent) -> Touched {
        let number = self.size();
        let header = event.header();
        Arc::make_mut(&mut self.known).push(event);
        self.places.unproven.insert(number);
        self.beginnings.add(number, event);
        let registry = is_registry_kind(header.kind);
        for subject in &header.subjects {
            let events = self.subjects.entry(subject.id).or_default();
            events.add(number, event.id(), subject, registry);
        }
        let applied = self.registry.apply(event, &self.chains);
        self.redactions.add(event);
        self.pictures.add(number, event);
        let dismisses = self.dismissals.add(event, &self.registry, &self.chains);
        let sets_clock = self.count_start(number);
        self.take_for_all(number, event);
        if dismisses || sets_clock || (applied == Applied::Changed && changes_trust(header.kind)) {
            Touched::Trust
        } else {
            Touched::Own
        }
    }

    /// Puts the chains back to what the rows say, after a batch was linked but not kept.
    pub(crate) fn relink(&mut self, store: &Store) -> Result<(), RowError> {
        let mut chains = Chains::default();
        for row in store.events() {
            let (_, event) = row?;
            chains.add(&event);
        }
        self.chains = chains;
        Ok(())
    }

    /// Heads of a subject over all events that are held, at most so many, the newest kept first.
    pub(crate) fn heads(&self, subject: &SubjectId, at_most: usize) -> Vec<EventId> {
        let Some(events) = self.subjects.get(subject) else {
            return Vec::new();
        };
        let mut heads: Vec<u64> = events.heads().filter_map(|id| self.number(id)).collect();
        heads.sort_unstable_by(|a, b| b.cmp(a));
        heads.truncate(at_most);
        let ids = heads.into_iter().filter_map(|number| self.at(number));
        ids.map(|known| known.id).collect()
    }
}

/// Whether a change of the registry by an event of this kind can change how others are read. A
/// station's name and the settings for judging cannot.
fn changes_trust(kind: i32) -> bool {
    kind != Kind::StationRegistered as i32 && kind != Kind::Policy as i32
}
