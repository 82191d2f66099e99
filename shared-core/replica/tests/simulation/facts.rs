//! What counts, and what makes a craft unfit, found by counting events: slowly, from the county
//! log alone, without the registry, the chains, the trust and the fold that are tried here. What the
//! county went through (a log begun again, other working keys) is counted out as well.

use std::collections::{BTreeMap, BTreeSet};

use prost::Message as _;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, Key, SubjectId};
use sponson_log::trust::{may_sign, roles_for};
use sponson_proto::event::v1::{self as wire, Kind, Role, SubjectType};
use sponson_readiness::answer::Readiness;
use sponson_replica::LogLine;

use crate::said;
use crate::tally::Tally;

/// The events of a county log.
pub(crate) struct Facts<'a> {
    events: BTreeMap<EventId, &'a SignedEvent>,
    keys: BTreeMap<Key, Admitted>,
    /// The county's own keys, in the order in which the root admitted them.
    working: Vec<Key>,
    /// Where keys end, also those that were not admitted yet.
    ends: BTreeMap<Key, (u64, Option<EventId>)>,
}

/// What the registry says of one key.
struct Admitted {
    roles: Vec<(u64, Vec<Role>)>,
    /// The lowest seq at which two events stand.
    parts_at: Option<u64>,
}

impl<'a> Facts<'a> {
    pub(crate) fn of(lines: &'a [LogLine]) -> Self {
        let events = lines.iter().map(|line| (line.event.id(), &line.event));
        let mut facts = Self {
            events: events.collect(),
            keys: BTreeMap::new(),
            working: Vec::new(),
            ends: BTreeMap::new(),
        };
        facts.read_registry();
        facts
    }

    /// First what the root wrote, then what each working key wrote, in the order in which the root
    /// admitted them: each chain in its own order, as far as it is good.
    fn read_registry(&mut self) {
        for event in self.chain_of(&said::root_key()) {
            self.read(event);
        }
        for key in self.working.clone() {
            for event in self.chain_of(&key) {
                if self.is_good(event, &self.keys[&key]) {
                    self.read(event);
                }
            }
        }
    }

    /// Registry events of a key by seq, where two stand at one by id.
    fn chain_of(&self, key: &Key) -> Vec<&'a SignedEvent> {
        let events = self.events.values().copied();
        let of_key = events.filter(|event| event.header().key == *key && is_registry(event));
        let mut of_key: Vec<&SignedEvent> = of_key.collect();
        of_key.sort_by_key(|event| (event.header().seq, event.id()));
        of_key
    }

    fn read(&mut self, event: &SignedEvent) {
        let by_root = event.header().key == said::root_key();
        let payload = event.payload().as_ref();
        let kind = Kind::try_from(event.header().kind).expect("a kind of the registry");
        if kind == Kind::KeyAdmitted {
            let admitted = wire::KeyAdmitted::decode(payload).expect("written by the county");
            let key = Key::parse("key", &admitted.key).expect("written by the county");
            let parts_at = self.parts_at(&key);
            if by_root && !self.keys.contains_key(&key) {
                self.working.push(key);
            }
            self.keys.entry(key).or_insert(Admitted {
                roles: vec![(1, roles(&admitted.roles))],
                parts_at,
            });
        }
        if kind == Kind::RoleGiven {
            let given = wire::RoleGiven::decode(payload).expect("written by the county");
            let key = Key::parse("key", &given.key).expect("written by the county");
            if let Some(admitted) = self.keys.get_mut(&key) {
                admitted.roles.retain(|(from, _)| *from < given.from_seq);
                admitted.roles.push((given.from_seq, roles(&given.roles)));
            }
        }
        if kind == Kind::KeyEnded {
            let ended = wire::KeyEnded::decode(payload).expect("written by the county");
            let key = Key::parse("key", &ended.key).expect("written by the county");
            let last = EventId::parse_optional("last", &ended.last_good).expect("an id");
            // The newest end stands: the lead may have been wrong before. What the root ended is
            // only ever ended earlier.
            let wider = |end: &(u64, _)| by_root && end.0 <= ended.last_good_seq;
            if !self.ends.get(&key).is_some_and(wider) {
                self.ends.insert(key, (ended.last_good_seq, last));
            }
        }
    }

    fn parts_at(&self, key: &Key) -> Option<u64> {
        let mut seen = BTreeSet::new();
        let of_key = self.events.values().filter(|it| it.header().key == *key);
        of_key
            .map(|event| event.header().seq)
            .filter(|seq| !seen.insert(*seq))
            .min()
    }

    /// Whether an event may relieve anything.
    pub(crate) fn counts(&self, event: &SignedEvent) -> bool {
        let header = event.header();
        let kind = Kind::try_from(header.kind).expect("a known kind");
        if header.key == said::root_key() {
            return true;
        }
        if kind == Kind::LogBegun && self.is_vouched_for(event) {
            return true;
        }
        let Some(admitted) = self.keys.get(&header.key) else {
            return false;
        };
        let good = self.is_good(event, admitted);
        let newest = admitted
            .roles
            .iter()
            .rev()
            .find(|(from, _)| *from <= header.seq);
        let roles = newest.map_or(&[][..], |(_, roles)| roles.as_slice());
        let mut kinds = vec![header.kind];
        if kind == Kind::Correction {
            let named = event.payload_references();
            let originals = named.iter().filter_map(|id| self.events.get(id));
            kinds.extend(originals.map(|original| original.header().kind));
        }
        good && kinds.iter().all(|kind| may_sign(*kind, roles))
    }

    /// Whether an event stands in the good part of its chain.
    fn is_good(&self, event: &SignedEvent, admitted: &Admitted) -> bool {
        let header = event.header();
        match (self.ends.get(&header.key), admitted.parts_at) {
            (Some((_, last)), _) => last.is_some_and(|last| self.leads_to(&event.id(), last)),
            (None, Some(parts_at)) => header.seq < parts_at,
            (None, None) => true,
        }
    }

    /// Whether a working key that was not ended gave its word for the beginning of a log.
    fn is_vouched_for(&self, event: &SignedEvent) -> bool {
        let begun = wire::LogBegun::decode(event.payload().clone()).expect("made by the county");
        let by = Key::parse("working_key", &begun.working_key).ok();
        by.is_some_and(|by| self.working.contains(&by) && !self.ends.contains_key(&by))
    }

    /// Whether walking back from `from` along its chain comes by an event.
    fn leads_to(&self, event: &EventId, from: EventId) -> bool {
        let mut at = Some(from);
        while let Some(id) = at {
            if id == *event {
                return true;
            }
            at = self.events.get(&id).and_then(|it| it.header().previous);
        }
        false
    }

    /// The best that may be said of a craft, and why.
    pub(crate) fn at_best(&self, craft: &SubjectId, tally: &mut Tally) -> (Readiness, String) {
        if let Some(fault) = self.open_fault(craft) {
            tally.count("faults open at the end");
            return (Readiness::NotReady, format!("fault {fault} is open"));
        }
        if let Some(out) = self.out(craft) {
            tally.count("out of service at the end");
            return (Readiness::NotReady, format!("out of service by {out}"));
        }
        let doubtful = self.events.values().find(|event| {
            let kind = Kind::try_from(event.header().kind).expect("a known kind");
            !is_registry_kind(kind)
                && is_about(event, craft)
                && !self.counts(event)
                && !self.is_dismissed(event)
                && !self.is_corrected(event)
        });
        match doubtful {
            Some(event) => (Readiness::Unproven, format!("{} is in doubt", event.id())),
            None => (Readiness::Ready, String::new()),
        }
    }

    /// A disabling fault that counts, and that nothing which counts closes or corrects.
    fn open_fault(&self, craft: &SubjectId) -> Option<EventId> {
        let disabling = |event: &SignedEvent| {
            let fault = wire::Fault::decode(event.payload().clone());
            fault.is_ok_and(|fault| {
                let mut faults = fault.faults.iter();
                faults.any(|it| it.severity == wire::Severity::Disabling as i32)
            })
        };
        let found = self.that_stand(Kind::Fault, craft, &[Kind::SignOff]);
        found.filter(|it| disabling(it)).map(SignedEvent::id).next()
    }

    fn out(&self, craft: &SubjectId) -> Option<EventId> {
        let mechanical = |event: &SignedEvent| {
            let out = wire::OutOfService::decode(event.payload().clone());
            out.is_ok_and(|out| out.reason == wire::OutReason::Mechanical as i32)
        };
        let found = self.that_stand(Kind::OutOfService, craft, &[Kind::Returned]);
        found
            .filter(|it| mechanical(it))
            .map(SignedEvent::id)
            .next()
    }

    /// Statements of a kind that count, that no other of these kinds names, and that nobody
    /// corrected. Where an ending statement was corrected it is not said here what is true.
    fn that_stand(
        &self,
        kind: Kind,
        craft: &SubjectId,
        ends: &'a [Kind],
    ) -> impl Iterator<Item = &'a SignedEvent> {
        let of_kind = |event: &SignedEvent, kind: Kind| event.header().kind == kind as i32;
        let ending = |event: &SignedEvent| ends.iter().any(|kind| of_kind(event, *kind));
        let counted: Vec<&SignedEvent> = self
            .events
            .values()
            .copied()
            .filter(|event| self.counts(event))
            .collect();
        let mut named = BTreeSet::new();
        for event in &counted {
            if ending(event) || of_kind(event, Kind::Correction) {
                named.extend(event.payload_references());
            }
        }
        let unclear = counted.iter().any(|event| {
            of_kind(event, Kind::Correction)
                && event
                    .payload_references()
                    .iter()
                    .filter_map(|id| self.events.get(id))
                    .any(|original| ending(original))
        });
        let stand = counted.into_iter().filter(|event| {
            of_kind(event, kind) && is_first(event, craft) && !named.contains(&event.id())
        });
        stand.filter(|_| !unclear).collect::<Vec<_>>().into_iter()
    }

    /// Whether a correction that counts names an event: then its words stand instead, or nothing.
    fn is_corrected(&self, event: &SignedEvent) -> bool {
        self.events.values().any(|by| {
            by.header().kind == Kind::Correction as i32
                && by.payload_references().contains(&event.id())
                && self.counts(by)
        })
    }

    /// Whether the lead dismissed the tail in which an event stands.
    fn is_dismissed(&self, event: &SignedEvent) -> bool {
        self.events.values().any(|by| {
            if by.header().kind != Kind::Dismissed as i32 || !self.counts(by) {
                return false;
            }
            let message = wire::Dismissed::decode(by.payload().clone());
            let from = message
                .ok()
                .and_then(|message| EventId::parse("from", &message.from_event).ok());
            from.is_some_and(|from| self.leads_to(&from, event.id()))
        })
    }
}

fn is_registry_kind(kind: Kind) -> bool {
    roles_for(kind).is_empty()
}

fn is_registry(event: &SignedEvent) -> bool {
    is_registry_kind(Kind::try_from(event.header().kind).expect("a known kind"))
}

fn is_about(event: &SignedEvent, craft: &SubjectId) -> bool {
    let mut subjects = event.header().subjects.iter();
    subjects.any(|subject| subject.id == *craft && subject.kind == SubjectType::Craft)
}

fn is_first(event: &SignedEvent, craft: &SubjectId) -> bool {
    let first = event.header().subjects.first();
    first.is_some_and(|subject| subject.id == *craft)
}

fn roles(numbers: &[i32]) -> Vec<Role> {
    let known = numbers.iter();
    known.filter_map(|it| Role::try_from(*it).ok()).collect()
}
