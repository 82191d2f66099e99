//! Who signs the golden events, when, and about what.

use bytes::Bytes;
use prost::Message;
use sponson_log::event::{
    Beside, CheckpointHeld, Clock, Draft, Header, SignedEvent, Subject, commitment,
};
use sponson_log::ids::{CountyId, EventId, Key, LogId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{
    BesideContent, BesideType, DateMark, FaultRef, IfNotUnderstood, Kind, SubjectType,
};

/// The county's working key; here it is the root as well.
pub(crate) fn county_key() -> DeviceKey {
    DeviceKey::from_seed(*b"golden files: county key, seed 1")
}

/// The key of the station's tablet.
pub(crate) fn station_key() -> DeviceKey {
    DeviceKey::from_seed(*b"golden files: tablet key, seed 2")
}

/// A key that begins a county log and signs nothing else.
pub(crate) fn beginning_key() -> DeviceKey {
    DeviceKey::from_seed(*b"golden files: log begun, seed 3 ")
}

/// The county.
pub(crate) fn county() -> CountyId {
    CountyId::of_root(&county_key().key())
}

/// So many hours after 2026-03-02T12:00:00Z, milliseconds since 1970.
pub(crate) const fn time(hours: i64) -> i64 {
    1_772_452_800_000 + hours * 3_600_000
}

/// A subject's id: 16 bytes with its ordinal at the end.
pub(crate) const fn subject_id(ordinal: u8) -> SubjectId {
    let mut bytes = *b"golden subject  ";
    bytes[15] = ordinal;
    SubjectId::from_bytes(bytes)
}

/// The station that owns everything here.
pub(crate) const STATION: SubjectId = subject_id(1);
/// The craft.
pub(crate) const CRAFT: SubjectId = subject_id(2);
/// Its motor.
pub(crate) const MOTOR: SubjectId = subject_id(3);
/// Its bag.
pub(crate) const BAG: SubjectId = subject_id(4);
/// The station's shelf.
pub(crate) const SHELF: SubjectId = subject_id(5);
/// The gauge in use.
pub(crate) const GAUGE: SubjectId = subject_id(6);
/// The fuel tank.
pub(crate) const TANK: SubjectId = subject_id(7);
/// The member who records.
pub(crate) const MEMBER: SubjectId = subject_id(8);
/// The pump in use.
pub(crate) const PUMP: SubjectId = subject_id(10);
/// The craft's inflatable floor.
pub(crate) const FLOOR: SubjectId = subject_id(11);
/// A gauge that was registered twice.
pub(crate) const GAUGE_AGAIN: SubjectId = subject_id(12);
/// A bag beside it.
pub(crate) const SPARE_BAG: SubjectId = subject_id(13);
/// A cylinder.
pub(crate) const CYLINDER: SubjectId = subject_id(14);
/// The county as a subject.
pub(crate) const COUNTY: SubjectId = subject_id(9);

/// A date mark.
pub(crate) fn date(year: u32, month: u32, day: u32) -> Option<DateMark> {
    Some(DateMark { year, month, day })
}

/// A subject of which nothing has been seen.
pub(crate) const fn about(id: SubjectId, kind: SubjectType) -> Subject {
    Subject {
        id,
        kind,
        seen: Vec::new(),
    }
}

/// The craft as only subject.
pub(crate) fn craft() -> Vec<Subject> {
    vec![about(CRAFT, SubjectType::Craft)]
}

/// A content beside the body: sort, what it belongs to, bytes.
pub(crate) type Content = (BesideType, &'static str, &'static [u8]);

/// One event of the story.
pub(crate) struct Written {
    /// Its kind.
    pub(crate) kind: Kind,
    /// The event.
    pub(crate) event: SignedEvent,
    /// Whether a payload decodes to the message that was written.
    pub(crate) reads_back: Box<dyn Fn(&Bytes) -> bool>,
}

/// The events so far.
#[derive(Default)]
pub(crate) struct Story {
    /// In the order in which they were signed.
    pub(crate) written: Vec<Written>,
    /// Version in which the next events are written; none for the first.
    pub(crate) version: Option<u32>,
}

impl Story {
    /// Id of the event of a kind that was written before.
    pub(crate) fn id(&self, kind: Kind) -> EventId {
        let written = self.written.iter().find(|it| it.kind == kind);
        written.expect("it comes earlier in the story").event.id()
    }

    /// A fault of the event of a kind that was written before.
    pub(crate) fn fault(&self, kind: Kind, ordinal: u32) -> FaultRef {
        FaultRef {
            event: self.id(kind).to_bytes(),
            ordinal,
        }
    }

    /// Signs an event of the county's chain.
    pub(crate) fn county<M>(&mut self, kind: Kind, payload: M, subjects: Vec<Subject>)
    where
        M: Message + Default + PartialEq + 'static,
    {
        self.sign(&county_key(), kind, payload, subjects, &[]);
    }

    /// Signs the first event of a key that begins a county log.
    pub(crate) fn beginning<M>(&mut self, kind: Kind, payload: M)
    where
        M: Message + Default + PartialEq + 'static,
    {
        self.sign(&beginning_key(), kind, payload, Vec::new(), &[]);
    }

    /// Signs an event of the station's chain.
    pub(crate) fn station<M>(&mut self, kind: Kind, payload: M, subjects: Vec<Subject>)
    where
        M: Message + Default + PartialEq + 'static,
    {
        self.sign(&station_key(), kind, payload, subjects, &[]);
    }

    /// Signs an event of the station's chain, with contents beside it.
    pub(crate) fn station_with<M>(
        &mut self,
        kind: Kind,
        payload: M,
        subjects: Vec<Subject>,
        contents: &[Content],
    ) where
        M: Message + Default + PartialEq + 'static,
    {
        self.sign(&station_key(), kind, payload, subjects, contents);
    }

    fn sign<M>(
        &mut self,
        key: &DeviceKey,
        kind: Kind,
        payload: M,
        subjects: Vec<Subject>,
        contents: &[Content],
    ) where
        M: Message + Default + PartialEq + 'static,
    {
        let contents: Vec<_> = (0..).zip(contents).map(|(i, it)| beside(i, *it)).collect();
        let (beside, carried) = contents.into_iter().unzip();
        let mut header = self.header(key.key(), kind, subjects);
        header.beside = beside;
        let draft = Draft {
            header,
            payload: payload.encode_to_vec().into(),
            beside: carried,
        };
        let event = SignedEvent::sign(draft, key).expect("it keeps the limits");
        self.written.push(Written {
            kind,
            event,
            reads_back: Box::new(move |bytes| M::decode(bytes.clone()).as_ref() == Ok(&payload)),
        });
    }

    fn header(&self, key: Key, kind: Kind, mut subjects: Vec<Subject>) -> Header {
        for subject in &mut subjects {
            subject.seen.extend(self.newest_of(subject.id));
        }
        let mut chain = self
            .written
            .iter()
            .filter(|it| it.event.header().key == key);
        let before = chain.next_back();
        let minutes = i64::try_from(self.written.len()).expect("a short story");
        Header {
            county: county(),
            key,
            seq: before.map_or(1, |it| it.event.header().seq + 1),
            previous: before.map(|it| it.event.id()),
            kind: kind as i32,
            kind_version: self.version.unwrap_or(1),
            if_not_understood: IfNotUnderstood::Hold,
            subjects,
            clock: Clock {
                unix_ms: time(0) + minutes * 60_000,
                utc_offset_min: -360,
                boot_id: *b"golden boot no.1",
                monotonic_ms: 81_000 + minutes.unsigned_abs() * 60_000,
            },
            checkpoint: Some(CheckpointHeld {
                log: LogId::from_bytes(*b"golden log no. 1"),
                size: 12,
                unix_ms: time(-1),
            }),
            observed: Some((time(-2), time(-1))),
            member: "M-214".to_owned(),
            beside: Vec::new(),
        }
    }

    /// The newest event of a subject, which is its only head in a story without forks.
    fn newest_of(&self, subject: SubjectId) -> Option<EventId> {
        let concerns = |it: &&Written| {
            let mut subjects = it.event.header().subjects.iter();
            subjects.any(|one| one.id == subject)
        };
        self.written.iter().rfind(concerns).map(|it| it.event.id())
    }
}

fn beside(index: u32, (kind, belongs_to, content): Content) -> (Beside, BesideContent) {
    let salt = *b"golden salt no.1";
    let committed = Beside {
        commitment: commitment(&salt, content),
        kind,
        size: u32::try_from(content.len()).expect("a short content"),
        belongs_to: belongs_to.to_owned(),
    };
    let carried = BesideContent {
        index,
        salt: Bytes::copy_from_slice(&salt),
        content: Bytes::from_static(content),
    };
    (committed, carried)
}
