//! An invented county: root key, working key, policy, one boat standard, two stations.

use sponson_log::event::{Header, SignedEvent, Subject};
use sponson_log::ids::{EventId, Key, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_made::{county, meeting, said, signed};
use sponson_proto::event::v1::{self as wire, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::event::SubjectKind;
use sponson_replica::{NewEvent, Replica};
use tempfile::TempDir;

pub(crate) use county::{
    CRAFT, DAY, MINUTE, MODEL, MOTOR, NORTH, SOUTH, START, county_id, county_subject, key, north,
    now, root, south, stranger, working,
};
pub(crate) use meeting::next_run;
pub(crate) use said::{about, event};

/// Bytes of one chunk of a sync: small, so that a sync takes several.
const CHUNK: usize = 4_096;

/// The sheet and the policy as they were when the answers of this version were written down: each is
/// an entry of the log, so another text is another log.
pub(crate) const SHEET: &str = include_str!("../golden-answers/inflatable-14.toml");
const POLICY: &str = include_str!("../golden-answers/policy.toml");

/// A replica and its folder.
pub(crate) struct Placed {
    pub(crate) replica: Replica,
    pub(crate) folder: TempDir,
}

impl Placed {
    pub(crate) fn append(&mut self, event: NewEvent, unix_ms: i64) -> EventId {
        let appended = self.replica.append(event, &now(unix_ms));
        appended.expect("the event is right").id
    }

    /// Closes and opens the store again.
    pub(crate) fn reopen(self, key: DeviceKey) -> Self {
        let Self { replica, folder } = self;
        drop(replica);
        let replica = Replica::open(folder.path(), key).expect("the store opens again");
        Self { replica, folder }
    }

    /// All events held, in order.
    pub(crate) fn events(&self) -> Vec<SignedEvent> {
        let lines = self
            .replica
            .log_page(None, sponson_replica::Page::Newest, 1_000);
        let lines = lines.expect("rows are whole").into_iter();
        lines.map(|line| line.event).collect()
    }

    /// Open faults of all things.
    pub(crate) fn open_faults(&mut self) -> usize {
        let entries = self.replica.catalogue().entries;
        entries.iter().map(|entry| entry.faults.len()).sum()
    }

    /// Canonical bytes of the records of things: all but that of the county as a whole.
    pub(crate) fn thing_bytes(&mut self) -> Vec<Vec<u8>> {
        let records = self.replica.records().values();
        let things = records.filter(|record| record.kind != SubjectKind::County);
        things.map(|record| record.canonical()).collect()
    }

    /// Canonical bytes of all records.
    pub(crate) fn record_bytes(&mut self) -> Vec<Vec<u8>> {
        let records = self.replica.records().values();
        records.map(|record| record.canonical()).collect()
    }
}

/// The county, founded: the root admits the working key, which writes the registry.
pub(crate) fn found() -> Placed {
    let mut county = empty_county();
    let first = vec![root_admits(working().key())];
    let admitted = county.replica.keep(first, ChunkSource::Own, START);
    assert_eq!(admitted.expect("the store is whole").new.len(), 1);
    for (minute, event) in (1..).zip(said::registry(POLICY, SHEET)) {
        county.append(event, START + minute * MINUTE);
    }
    county
}

/// The county's store before its first event.
pub(crate) fn empty_county() -> Placed {
    let folder = tempfile::tempdir().expect("a folder");
    let replica = Replica::create(folder.path(), &county::founding(), working());
    let replica = replica.expect("a new store");
    Placed { replica, folder }
}

/// A station that holds nothing yet.
pub(crate) fn join(key: DeviceKey) -> Placed {
    let folder = tempfile::tempdir().expect("a folder");
    let replica = Replica::create(folder.path(), &county::joining(), key);
    let replica = replica.expect("a new store");
    Placed { replica, folder }
}

/// Everything that a sync does, without the wire.
pub(crate) fn sync(station: &mut Placed, county: &mut Placed, unix_ms: i64) {
    meeting::sync(&mut station.replica, &mut county.replica, CHUNK, unix_ms);
}

/// The first event of the root's chain. It names the craft, as it did when the golden answers were
/// written down.
pub(crate) fn root_admits(key: Key) -> SignedEvent {
    sign(&root(), 1, None, Kind::KeyAdmitted, said::county_key(key))
}

/// An event signed without a replica, about the craft.
pub(crate) fn sign(
    key: &DeviceKey,
    seq: u64,
    previous: Option<EventId>,
    kind: Kind,
    payload: Vec<u8>,
) -> SignedEvent {
    let header = Header {
        seq,
        previous,
        subjects: vec![Subject {
            id: CRAFT,
            kind: SubjectType::Craft,
            seen: Vec::new(),
        }],
        ..signed::header(key.key(), kind, None)
    };
    signed::sign(header, payload, key)
}

pub(crate) fn admit(key: &DeviceKey, station: SubjectId) -> NewEvent {
    admit_as(key, station, &said::ALL_ROLES)
}

pub(crate) fn admit_as(key: &DeviceKey, station: SubjectId, roles: &[Role]) -> NewEvent {
    said::admit(key.key(), station, roles)
}

pub(crate) fn end(key: &DeviceKey, last_good: Option<(u64, EventId)>) -> NewEvent {
    said::end(key.key(), last_good)
}

pub(crate) fn craft_registered(number: &str, station: SubjectId) -> NewEvent {
    let plate = said::plate((900_000, 1_200_000));
    said::craft_registered(CRAFT, (number, MODEL), station, plate)
}

pub(crate) fn reading(gauge_pa: i64) -> NewEvent {
    event(Kind::Check, &said::reading(gauge_pa))
}

pub(crate) fn fault(class: &str) -> NewEvent {
    let fault = said::fault(("tube-2", class), wire::Severity::Major);
    event(Kind::Fault, &fault)
}

pub(crate) fn sign_off(fault: EventId) -> NewEvent {
    event(Kind::SignOff, &said::sign_off(fault))
}

pub(crate) fn note(text: &str) -> NewEvent {
    NewEvent {
        texts: vec![(String::new(), text.to_owned(), [5; 16])],
        ..event(Kind::Note, &wire::Note {})
    }
}

pub(crate) fn out_of_service() -> NewEvent {
    event(Kind::OutOfService, &said::out_of_service())
}
