//! Desks that write events, each knowing only what it wrote or was told. They decide nothing.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::event::{
    AnswerValue, Author, Check, Event, FaultFound, ItemCount, LineAnswer, PartPlace, Payload,
    Reading, ReadingMoment, Severity, SubjectKind, SubjectSeen, Trust, Unconfirmed,
};
use sponson_readiness::ids::{EventId, FaultId, SubjectId};
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::{Record, Sides, fold};

pub(crate) const CRAFT: (SubjectId, SubjectKind) = (subject(1), SubjectKind::Craft);
pub(crate) const OTHER_CRAFT: (SubjectId, SubjectKind) = (subject(2), SubjectKind::Craft);
pub(crate) const BAG: (SubjectId, SubjectKind) = (subject(3), SubjectKind::Bag);
pub(crate) const MOTOR: (SubjectId, SubjectKind) = (subject(4), SubjectKind::Gear);

pub(crate) const fn subject(number: u8) -> SubjectId {
    SubjectId::from_bytes([number; 16])
}

/// What a desk may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Role {
    Crew,
    Lead,
    Stranger,
}

/// One writer, with the events that she holds.
#[derive(Clone, Debug)]
pub(crate) struct Desk {
    number: u8,
    role: Role,
    written: u16,
    /// Claimed time of the next event, milliseconds.
    pub(crate) clock: i64,
    pub(crate) held: BTreeMap<EventId, Event>,
}

impl Desk {
    pub(crate) fn new(number: u8, role: Role) -> Self {
        Self {
            number,
            role,
            written: 0,
            clock: 1_000,
            held: BTreeMap::new(),
        }
    }

    /// Writes about the craft.
    pub(crate) fn writes(&mut self, payload: Payload) -> EventId {
        self.writes_about(&[CRAFT], payload)
    }

    pub(crate) fn writes_about(
        &mut self,
        subjects: &[(SubjectId, SubjectKind)],
        payload: Payload,
    ) -> EventId {
        let subjects = subjects
            .iter()
            .map(|&(id, kind)| SubjectSeen {
                id,
                kind,
                seen: self.heads(id),
            })
            .collect();
        self.keeps(subjects, payload)
    }

    /// Writes about the craft without having seen anything, as old paper is entered.
    pub(crate) fn enters_old_paper(&mut self, payload: Payload) -> EventId {
        let (id, kind) = CRAFT;
        self.keeps(
            vec![SubjectSeen {
                id,
                kind,
                seen: Vec::new(),
            }],
            payload,
        )
    }

    fn keeps(&mut self, subjects: Vec<SubjectSeen>, payload: Payload) -> EventId {
        let id = self.next_id();
        let event = Event {
            id,
            author: Author {
                key: [self.number; 32],
                station: None,
                member: String::new(),
            },
            subjects,
            interval: Interval {
                early: None,
                late: None,
                claimed: Moment(self.clock),
            },
            trust: match self.role {
                Role::Crew | Role::Lead => Trust::Trusted,
                Role::Stranger => Trust::Unconfirmed(Unconfirmed::NotAdmitted),
            },
            may_sign_off: self.role == Role::Lead,
            payload,
        };
        self.held.insert(id, event);
        id
    }

    /// Ids in no particular order, as hashes are.
    fn next_id(&mut self) -> EventId {
        self.written += 1;
        let [low, high] = self.written.to_le_bytes();
        let mut bytes = [self.number; 32];
        bytes[0] = low.wrapping_mul(151) ^ self.number.wrapping_mul(73);
        bytes[1] = low;
        bytes[2] = high;
        EventId::from_bytes(bytes)
    }

    /// Newest events of a subject that the desk holds.
    pub(crate) fn heads(&self, of: SubjectId) -> Vec<EventId> {
        let about = || {
            self.held
                .values()
                .filter_map(|event| Some((event, seen(event, of)?)))
        };
        let seen: BTreeSet<EventId> = about()
            .flat_map(|(_, seen)| seen.seen.iter().copied())
            .collect();
        about()
            .map(|(event, _)| event.id)
            .filter(|id| !seen.contains(id))
            .collect()
    }

    /// The two tell each other all that they hold.
    pub(crate) fn meets(&mut self, other: &mut Self) {
        self.held.extend(other.held.clone());
        other.held.extend(self.held.clone());
    }

    pub(crate) fn events(&self) -> Vec<Event> {
        self.held.values().cloned().collect()
    }

    pub(crate) fn record(&self) -> Record {
        self.record_of(CRAFT)
    }

    pub(crate) fn record_of(&self, (id, kind): (SubjectId, SubjectKind)) -> Record {
        fold(id, kind, &self.events())
    }
}

fn seen(event: &Event, of: SubjectId) -> Option<&SubjectSeen> {
    event.subjects.iter().find(|seen| seen.id == of)
}

/// Two crews and a lead.
pub(crate) fn county() -> (Desk, Desk, Desk) {
    (
        Desk::new(1, Role::Crew),
        Desk::new(2, Role::Crew),
        Desk::new(3, Role::Lead),
    )
}

pub(crate) fn fault(part: &str) -> FaultFound {
    FaultFound {
        part: part.into(),
        place: PartPlace::default(),
        class: "leak".to_owned(),
        severity: Severity::Disabling,
        missions: Vec::new(),
        gear: None,
    }
}

pub(crate) const fn fault_id(event: EventId, ordinal: u32) -> FaultId {
    FaultId { event, ordinal }
}

pub(crate) fn count(item: &str, count: u32, bag: Option<SubjectId>) -> ItemCount {
    ItemCount {
        item: item.into(),
        count,
        unserviceable: 0,
        lots: Vec::new(),
        bag,
    }
}

pub(crate) fn reading(part: &str, moment: ReadingMoment, gauge_pa: i64) -> Reading {
    Reading {
        part: part.into(),
        moment,
        gauge_pa,
        gauge: None,
        air_mc: None,
        stood_s: None,
        fabric_mc: None,
        ambient_pa: None,
        elevation_mm: None,
        valves: None,
        since_inflating_s: None,
    }
}

pub(crate) fn counted(counts: Vec<ItemCount>) -> Payload {
    Payload::Check(Check {
        counts,
        ..Check::default()
    })
}

pub(crate) fn read(readings: Vec<Reading>) -> Payload {
    Payload::Check(Check {
        readings,
        ..Check::default()
    })
}

pub(crate) fn answered(line: &str, value: AnswerValue) -> Payload {
    let answers = vec![LineAnswer {
        line: line.into(),
        value,
    }];
    Payload::Check(Check {
        answers,
        ..Check::default()
    })
}

/// The values of all sides, in order of value.
pub(crate) fn values<T: Clone, K: Ord>(sides: &Sides<T>, key: impl Fn(&T) -> K) -> Vec<K> {
    let mut all: Vec<K> = sides.iter().map(|side| key(&side.value)).collect();
    all.sort();
    all
}

/// Faults that are open.
pub(crate) fn open(record: &Record) -> Vec<FaultId> {
    let is_open = |id: &FaultId| record.faults[id].closed.is_none();
    record.faults.keys().copied().filter(is_open).collect()
}
