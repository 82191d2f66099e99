//! The fold of the registry: one event at a time, in an order that does not depend on arrival.
//!
//! The root's chain comes first and is never judged by a parting: nobody stands above it, and
//! whoever holds the root key is the county. Then come the working keys, in the order in which the
//! root admitted them, each within the good part of its chain.

use prost::Message as _;
use sponson_proto::event::v1::{self as wire, KeyEndReason, Kind, Role};

use super::{AdmittedKey, Applied, Facts, Held, KeyEnd, Registry, StandardText, StationFacts};
use crate::chains::{Chain, Chains};
use crate::ids::{Digest, EventId, Key, SubjectId};
use crate::sign::admissible;
use crate::trust::within_good_part;

/// Greatest length of what people call a device, and of a station's name and call: a line.
const NAME_BYTES_MAX: usize = 64;

/// Who writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Writer {
    Root(Key),
    Working,
}

impl Registry {
    /// Folds everything again.
    pub(super) fn refold(&mut self, chains: &Chains) -> Applied {
        let before = std::mem::replace(&mut self.facts, Facts::new());
        let every = self.held.values_mut().flat_map(|held| held.values_mut());
        every.for_each(|held| held.outcome = Applied::NotEntitled);
        if let Some(root) = self.root {
            for (place, held) in self.held.get_mut(&root).into_iter().flatten() {
                held.outcome = self.facts.step(Writer::Root(root), place.1, held, chains);
            }
        }
        self.parted.clear();
        for key in self.facts.working.clone() {
            if let Some(parted) = chains.get(&key).and_then(Chain::parted_at) {
                self.parted.insert(key, parted);
            }
            let places: Vec<_> = self
                .held
                .get(&key)
                .map(|held| held.keys().copied().collect())
                .unwrap_or_default();
            for place in places {
                self.step(key, place, chains);
            }
        }
        if self.facts == before {
            Applied::Unchanged
        } else {
            Applied::Changed
        }
    }

    /// Folds the event of a working key at a place.
    pub(super) fn step(&mut self, key: Key, place: (u64, EventId), chains: &Chains) {
        let end = self.facts.ends.get(&key).copied();
        let good = within_good_part(end.as_ref(), chains, &key, place).is_ok();
        let held = self
            .held
            .get_mut(&key)
            .and_then(|held| held.get_mut(&place));
        if let Some(held) = held.filter(|_| good) {
            held.outcome = self.facts.step(Writer::Working, place.1, held, chains);
        }
    }
}

impl Facts {
    pub(super) const fn new() -> Self {
        Self {
            keys: std::collections::BTreeMap::new(),
            ends: std::collections::BTreeMap::new(),
            ended_by_root: std::collections::BTreeSet::new(),
            working: Vec::new(),
            stations: std::collections::BTreeMap::new(),
            standards: std::collections::BTreeMap::new(),
            policy: None,
            applied: 0,
        }
    }

    fn step(&mut self, writer: Writer, id: EventId, held: &Held, chains: &Chains) -> Applied {
        if held.version != 1 {
            return Applied::NotUnderstood;
        }
        let payload = held.payload.as_ref();
        let outcome = match (held.kind, writer) {
            (Kind::KeyAdmitted, _) => self.admit(writer, id, payload),
            (Kind::KeyEnded, _) => self.end(writer, payload),
            (Kind::StationRegistered, Writer::Working) => self.station(held.station, payload),
            (Kind::RoleGiven, Writer::Working) => self.give_role(payload, chains),
            (Kind::Policy, Writer::Working) => self.set_policy(id, payload),
            (Kind::BoatStandard, Writer::Working) => self.adopt(id, payload),
            // It says where a log begins, and nothing about keys, stations or standards.
            (Kind::LogBegun, Writer::Working) => Some(Applied::Unchanged),
            (_, Writer::Root(_) | Writer::Working) => Some(Applied::NotEntitled),
        };
        let outcome = outcome.unwrap_or(Applied::NotUnderstood);
        if outcome == Applied::Changed {
            self.applied += 1;
        }
        outcome
    }

    /// Admits a key. The first admission stands: a key admitted again keeps what it was given, so
    /// that no later event changes what an earlier one rested on. Roles change by `RoleGiven`.
    fn admit(&mut self, writer: Writer, id: EventId, payload: &[u8]) -> Option<Applied> {
        let admitted = wire::KeyAdmitted::decode(payload).ok()?;
        let key = Key::parse("key", &admitted.key).ok()?;
        let roles = known_roles(&admitted.roles)?;
        let county = roles.contains(&Role::County);
        let entitled = match writer {
            Writer::Root(root) => county && key != root,
            Writer::Working => !county,
        };
        if !entitled {
            return Some(Applied::NotEntitled);
        }
        if admissible(&key).is_err() {
            return None;
        }
        if admitted.device.len() > NAME_BYTES_MAX || admitted.member.len() > NAME_BYTES_MAX {
            return None;
        }
        let replaces = Key::parse_optional("replaces_key", &admitted.replaces_key).ok()?;
        let replaces_head = EventId::parse_optional("replaces_head", &admitted.replaces_head);
        let replaces_head = replaces_head.ok()?;
        let facts = AdmittedKey {
            station: SubjectId::parse_optional("station", &admitted.station).ok()?,
            roles: vec![(1, roles)],
            tls_key: Digest::parse_optional("tls_key_sha256", &admitted.tls_key_sha256).ok()?,
            replaces: replaces.map(|key| (key, replaces_head)),
            ended: self.ends.get(&key).copied(),
            device: admitted.device,
            epoch: admitted.epoch,
            admitted_by: id,
            member: admitted.member,
        };
        if self.keys.contains_key(&key) {
            return Some(Applied::Unchanged);
        }
        self.keys.insert(key, facts);
        if county {
            self.working.push(key);
        }
        Some(Applied::Changed)
    }

    /// Ends a key. Of several ends of a device's key in the county's own chain the newest stands:
    /// the lead may have named the wrong event, or learn later that more was good. An end by the
    /// root key, and that of a working key, is only ever narrowed: nobody who wrote with a key that
    /// was taken may give herself more.
    fn end(&mut self, writer: Writer, payload: &[u8]) -> Option<Applied> {
        let ended = wire::KeyEnded::decode(payload).ok()?;
        let key = Key::parse("key", &ended.key).ok()?;
        let last_good = EventId::parse_optional("last_good", &ended.last_good).ok()?;
        if last_good.is_some() != (ended.last_good_seq > 0) {
            return None;
        }
        let entitled = match writer {
            Writer::Root(root) => key != root,
            Writer::Working => !self.working.contains(&key),
        };
        if !entitled {
            return Some(Applied::NotEntitled);
        }
        let end = KeyEnd {
            last_good_seq: ended.last_good_seq,
            last_good,
            reason: KeyEndReason::try_from(ended.reason).unwrap_or(KeyEndReason::Unspecified),
        };
        let narrows = match writer {
            Writer::Root(_) => {
                self.ended_by_root.insert(key);
                true
            }
            Writer::Working => self.ended_by_root.contains(&key),
        };
        let unchanged = self.ends.get(&key).is_some_and(|before| {
            *before == end || (narrows && before.last_good_seq <= end.last_good_seq)
        });
        if unchanged {
            return Some(Applied::Unchanged);
        }
        self.ends.insert(key, end);
        if let Some(admitted) = self.keys.get_mut(&key) {
            admitted.ended = Some(end);
        }
        Some(Applied::Changed)
    }

    fn station(&mut self, station: Option<SubjectId>, payload: &[u8]) -> Option<Applied> {
        let registered = wire::StationRegistered::decode(payload).ok()?;
        if registered.name.len() > NAME_BYTES_MAX || registered.call.len() > NAME_BYTES_MAX {
            return None;
        }
        let facts = StationFacts {
            name: registered.name,
            position_e7: registered.latitude_e7.zip(registered.longitude_e7),
            elevation_mm: registered.elevation_mm,
            call: registered.call,
        };
        self.stations.insert(station?, facts);
        Some(Applied::Changed)
    }

    /// Gives roles from a seq on; what was given from there on before is replaced. The event before
    /// it is named by its hash, and stands where it is said to: it is held, since it is referred to.
    fn give_role(&mut self, payload: &[u8], chains: &Chains) -> Option<Applied> {
        let given = wire::RoleGiven::decode(payload).ok()?;
        let key = Key::parse("key", &given.key).ok()?;
        let roles = known_roles(&given.roles)?;
        let after = EventId::parse_optional("after", &given.after).ok()?;
        let before = given.from_seq.checked_sub(1)?;
        if (before == 0) != after.is_none() {
            return None;
        }
        let chain = chains.get(&key);
        let stands = |after: &EventId| chain.is_some_and(|chain| chain.contains(before, after));
        if !after.as_ref().is_none_or(stands) {
            return Some(Applied::Unchanged);
        }
        if roles.contains(&Role::County) || self.working.contains(&key) {
            return Some(Applied::NotEntitled);
        }
        let Some(admitted) = self.keys.get_mut(&key) else {
            return Some(Applied::Unchanged);
        };
        admitted.roles.retain(|(from, _)| *from < given.from_seq);
        admitted.roles.push((given.from_seq, roles));
        Some(Applied::Changed)
    }

    fn set_policy(&mut self, id: EventId, payload: &[u8]) -> Option<Applied> {
        let policy = wire::Policy::decode(payload).ok()?;
        if policy.format != 1 {
            return None;
        }
        self.policy = Some((id, policy.text));
        Some(Applied::Changed)
    }

    fn adopt(&mut self, id: EventId, payload: &[u8]) -> Option<Applied> {
        let standard = wire::BoatStandard::decode(payload).ok()?;
        let named = !standard.model.is_empty() && standard.model.len() <= NAME_BYTES_MAX;
        if standard.format != 1 || standard.revision == 0 || !named {
            return None;
        }
        let text = StandardText {
            model: standard.model,
            revision: standard.revision,
            text: standard.text,
        };
        self.standards.insert(id, text);
        Some(Applied::Changed)
    }
}

/// The roles that this version knows; none when there is not one.
fn known_roles(numbers: &[i32]) -> Option<Vec<Role>> {
    let known = numbers
        .iter()
        .filter_map(|number| Role::try_from(*number).ok());
    let mut roles: Vec<Role> = known.filter(|role| *role != Role::Unspecified).collect();
    roles.sort_unstable();
    roles.dedup();
    (!roles.is_empty()).then_some(roles)
}
