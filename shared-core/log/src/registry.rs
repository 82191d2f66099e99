//! The registry: which keys may sign what, the stations, the standards and the policy.
//!
//! A fold of the registry events. Only the root key admits working keys, and only an admitted
//! working key writes anything else here. The fold is made in an order of its own (the root's
//! chain, then each working key's in the order of admission), so that the order of arrival, a late
//! end of a working key, or a chain that parts leads every replica to the same registry.

mod facts;
mod fold;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};

use bytes::Bytes;
use prost::Message as _;
use sponson_proto::event::v1::{self as wire, IfNotUnderstood, Kind, Role};

use crate::chains::{Chain, Chains};
use crate::event::SignedEvent;
use crate::ids::{CountyId, Digest, EventId, Key, SubjectId};
use crate::trust;
pub use facts::{AdmittedKey, KeyEnd, StandardText, StationFacts};

/// What the registry says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Registry {
    county: CountyId,
    root: Option<Key>,
    facts: Facts,
    /// Every registry event held, by key and place: what the facts are folded from.
    held: BTreeMap<Key, BTreeMap<(u64, EventId), Held>>,
    /// Where the chains of working keys part, as far as folded.
    parted: BTreeMap<Key, u64>,
}

/// A registry event as it waits to be folded.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Held {
    kind: Kind,
    version: u32,
    if_not_understood: IfNotUnderstood,
    /// The station that it is about, if it is about one.
    station: Option<SubjectId>,
    payload: Bytes,
    outcome: Applied,
}

/// The result of the fold.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Facts {
    keys: BTreeMap<Key, AdmittedKey>,
    /// Ends of keys, also of keys that are admitted later in the order of the fold.
    ends: BTreeMap<Key, KeyEnd>,
    /// Keys that the root key ended.
    ended_by_root: BTreeSet<Key>,
    /// Working keys in the order in which the root admitted them.
    working: Vec<Key>,
    stations: BTreeMap<SubjectId, StationFacts>,
    standards: BTreeMap<EventId, StandardText>,
    policy: Option<(EventId, String)>,
    /// Events in force.
    applied: u64,
}

/// What applying an event did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Applied {
    /// It is no registry kind, and the registry is as before.
    NotForRegistry,
    /// The registry changed.
    Changed,
    /// It is understood, but nothing follows from it: a key that is admitted already, a role for a
    /// key that is not, an event applied before.
    Unchanged,
    /// It is a registry kind, but its key may not write the registry: nothing changed.
    NotEntitled,
    /// A registry kind or version that this replica does not know, or a payload that it cannot
    /// read: nothing changed.
    NotUnderstood,
}

/// What an event of the root key says about the working keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum WorkingKey {
    /// This key is one from now on.
    Admitted(Key),
    /// This key is none any more.
    Ended(Key),
}

/// Whether a kind number belongs to the registry.
#[must_use]
pub fn is_registry_kind(kind: i32) -> bool {
    Kind::try_from(kind).is_ok_and(trust::is_registry)
}

impl Registry {
    /// The registry of a county of which only the id is known.
    #[must_use]
    pub const fn new(county: CountyId) -> Self {
        Self {
            county,
            root: None,
            facts: Facts::new(),
            held: BTreeMap::new(),
            parted: BTreeMap::new(),
        }
    }

    /// Applies one event; to be called for every event that is kept, after it was added to the
    /// chains. Events of each chain come in its order; beyond that any order leads to the same
    /// registry.
    pub fn apply(&mut self, event: &SignedEvent, chains: &Chains) -> Applied {
        let header = event.header();
        if header.county != self.county {
            return Applied::NotEntitled;
        }
        if self.is_root(&header.key) {
            self.root = Some(header.key);
        }
        match Held::of(event) {
            Some(held) => self.keep(event, held, chains),
            None if self.unsettled(event, chains) => self.refold(chains),
            None => Applied::NotForRegistry,
        }
    }

    /// The registry of only those events for which `counts` says yes; `chains` holds the same.
    #[must_use]
    pub fn only(&self, chains: &Chains, counts: impl Fn(&EventId) -> bool) -> Self {
        let mut only = Self::new(self.county);
        for (key, held) in &self.held {
            let counted = held.iter().filter(|((_, id), _)| counts(id));
            let counted: BTreeMap<_, _> = counted
                .map(|(place, held)| (*place, held.clone()))
                .collect();
            if !counted.is_empty() {
                only.held.insert(*key, counted);
            }
        }
        // The root key is known by the first event of it, of whatever kind.
        only.root = self.root.filter(|root| chains.get(root).is_some());
        only.refold(chains);
        only
    }

    /// The county.
    #[must_use]
    pub const fn county(&self) -> CountyId {
        self.county
    }

    /// The root key, once an event of it was applied.
    #[must_use]
    pub const fn root(&self) -> Option<Key> {
        self.root
    }

    /// Whether a key is the county's root key: the county's id is made from it.
    #[must_use]
    pub fn is_root(&self, key: &Key) -> bool {
        self.root.map_or_else(
            || CountyId::of_root(key) == self.county,
            |root| root == *key,
        )
    }

    /// Whether a key writes the registry and signs checkpoints now: admitted as the county's own
    /// and not ended.
    #[must_use]
    pub fn is_working_key(&self, key: &Key) -> bool {
        self.facts.working.contains(key) && !self.facts.ends.contains_key(key)
    }

    /// The county's working keys that are not ended.
    pub fn working_keys(&self) -> impl Iterator<Item = Key> + '_ {
        let working = self.facts.working.iter();
        working.copied().filter(|key| self.is_working_key(key))
    }

    /// What is known of a key.
    #[must_use]
    pub fn key(&self, key: &Key) -> Option<&AdmittedKey> {
        self.facts.keys.get(key)
    }

    /// All admitted keys.
    #[must_use]
    pub const fn keys(&self) -> &BTreeMap<Key, AdmittedKey> {
        &self.facts.keys
    }

    /// The station whose device holds a key.
    #[must_use]
    pub fn station_of(&self, key: &Key) -> Option<SubjectId> {
        self.key(key).and_then(|admitted| admitted.station)
    }

    /// The admitted key whose device makes connections with a TLS key.
    #[must_use]
    pub fn key_of_tls(&self, tls_key: &Digest) -> Option<(Key, &AdmittedKey)> {
        self.facts
            .keys
            .iter()
            .find(|(_, admitted)| {
                admitted.tls_key.as_ref() == Some(tls_key) && admitted.ended.is_none()
            })
            .map(|(key, admitted)| (*key, admitted))
    }

    /// Roles of a key for its event at a seq; none when it is not admitted.
    #[must_use]
    pub fn roles_at(&self, key: &Key, seq: u64) -> Option<&[Role]> {
        let admitted = self.facts.keys.get(key)?;
        let newest = admitted.roles.iter().rev().find(|(from, _)| *from <= seq);
        Some(newest.map_or(&[], |(_, roles)| roles))
    }

    /// Stations.
    #[must_use]
    pub const fn stations(&self) -> &BTreeMap<SubjectId, StationFacts> {
        &self.facts.stations
    }

    /// Every adopted revision of every standard, by event.
    #[must_use]
    pub const fn standards(&self) -> &BTreeMap<EventId, StandardText> {
        &self.facts.standards
    }

    /// The newest standard of every model: the highest revision, ties by event id.
    #[must_use]
    pub fn newest_standards(&self) -> BTreeMap<&str, &StandardText> {
        let mut newest: BTreeMap<&str, &StandardText> = BTreeMap::new();
        for standard in self.facts.standards.values() {
            newest
                .entry(&standard.model)
                .and_modify(|held| {
                    if standard.revision >= held.revision {
                        *held = standard;
                    }
                })
                .or_insert(standard);
        }
        newest
    }

    /// Events of the county's own keys that this version cannot read and whose writer did not say
    /// that they can be passed over: one may end a key or set a limit.
    pub fn not_understood(&self) -> impl Iterator<Item = EventId> + '_ {
        // What other keys wrote of these kinds is held as well, and says nothing.
        let writers = self.root.iter().chain(&self.facts.working);
        let held = writers.filter_map(|key| self.held.get(key)).flatten();
        held.filter(|(_, held)| {
            held.outcome == Applied::NotUnderstood
                && held.if_not_understood != IfNotUnderstood::Ignore
        })
        .map(|((_, id), _)| *id)
    }

    /// The policy in force, and the event that set it.
    #[must_use]
    pub const fn policy(&self) -> Option<&(EventId, String)> {
        self.facts.policy.as_ref()
    }

    /// How many registry events are in force.
    #[must_use]
    pub const fn applied(&self) -> u64 {
        self.facts.applied
    }

    fn keep(&mut self, event: &SignedEvent, held: Held, chains: &Chains) -> Applied {
        let key = event.header().key;
        let place = (event.header().seq, event.id());
        let waiting = self.held.entry(key).or_default();
        if waiting.contains_key(&place) {
            return Applied::Unchanged;
        }
        let newest = waiting
            .last_key_value()
            .is_none_or(|(last, _)| *last < place);
        waiting.insert(place, held);
        let unsettled = self.unsettled(event, chains);
        if newest && !unsettled && self.writes_last(&key) {
            self.step(key, place, chains);
        } else if unsettled || self.is_root(&key) || self.facts.working.contains(&key) {
            let refolded = self.refold(chains);
            if refolded == Applied::Changed {
                return refolded;
            }
        }
        let kept = self.held.get(&key).and_then(|held| held.get(&place));
        kept.map_or(Applied::Unchanged, |held| held.outcome)
    }

    /// Whether an event changes which part of a working key's chain is good: the chain parts.
    fn unsettled(&self, event: &SignedEvent, chains: &Chains) -> bool {
        let key = event.header().key;
        let parted = chains.get(&key).and_then(Chain::parted_at);
        self.facts.working.contains(&key) && parted != self.parted.get(&key).copied()
    }

    /// Whether nothing is folded after the events of a key.
    fn writes_last(&self, key: &Key) -> bool {
        let mut after = self.facts.working.iter().skip_while(|other| *other != key);
        after.next().is_some() && after.all(|other| !self.held.contains_key(other))
    }
}

impl Held {
    fn of(event: &SignedEvent) -> Option<Self> {
        let header = event.header();
        let kind = Kind::try_from(header.kind).ok()?;
        let station = header
            .subjects
            .first()
            .filter(|subject| subject.kind == wire::SubjectType::Station);
        trust::is_registry(kind).then(|| Self {
            kind,
            version: header.kind_version,
            if_not_understood: header.if_not_understood,
            station: station.map(|subject| subject.id),
            payload: event.payload().clone(),
            outcome: Applied::NotEntitled,
        })
    }
}

/// What an event says about the working keys, when it is the root's.
pub(crate) fn working_key_change(event: &SignedEvent) -> Option<WorkingKey> {
    let header = event.header();
    if CountyId::of_root(&header.key) != header.county || header.kind_version != 1 {
        return None;
    }
    let payload = event.payload().clone();
    if header.kind == Kind::KeyAdmitted as i32 {
        let admitted = wire::KeyAdmitted::decode(payload).ok()?;
        let county = admitted.roles.contains(&(Role::County as i32));
        let key = Key::parse("key", &admitted.key).ok()?;
        return county.then_some(WorkingKey::Admitted(key));
    }
    if header.kind == Kind::KeyEnded as i32 {
        let ended = wire::KeyEnded::decode(payload).ok()?;
        return Key::parse("key", &ended.key).ok().map(WorkingKey::Ended);
    }
    None
}
