//! What somebody with a key that counts, and bad intent or a bad clock, can make of a craft.

mod correcting;
mod strangers;
mod time;

use prost::Message as _;
use sponson_log::carry::{MAGIC, frame};
use sponson_log::event::{CheckpointHeld, Clock, Header, SignedEvent, Subject};
use sponson_log::ids::{EventId, LogId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_made::signed;
use sponson_proto::carry::v1::carry_record::What;
use sponson_proto::carry::v1::{CarryRecord, CarryStart, CountyRun};
use sponson_proto::event::v1::{self as wire, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::CountyEntry;
use sponson_proto::sync::v1::county_entry::What as EntryWhat;
use sponson_readiness::answer::Rule;
use sponson_readiness::moment::Moment;
use sponson_replica::NewEvent;

use crate::asking::question;
use crate::county::{
    CRAFT, DAY, MINUTE, NORTH, Placed, SOUTH, START, admit, county_id, craft_registered, end,
    event, fault, found, join, key, north, reading, sign_off, south, stranger, sync,
};

const YEAR: i64 = 365 * DAY;

/// A header as a device of no honest maker might write it.
fn header(key: &DeviceKey, last: Option<(u64, EventId)>, kind: Kind) -> Header {
    Header {
        subjects: vec![subject(CRAFT, Vec::new())],
        clock: clock(START + DAY),
        ..signed::header(key.key(), kind, last)
    }
}

const fn clock(unix_ms: i64) -> Clock {
    Clock {
        unix_ms,
        utc_offset_min: 0,
        boot_id: [1; 16],
        monotonic_ms: 1,
    }
}

const fn subject(id: SubjectId, seen: Vec<EventId>) -> Subject {
    Subject {
        id,
        kind: SubjectType::Craft,
        seen,
    }
}

const fn held(unix_ms: i64) -> CheckpointHeld {
    CheckpointHeld {
        log: LogId::from_bytes([0xaa; 16]),
        size: 3,
        unix_ms,
    }
}

fn signed(key: &DeviceKey, header: Header, payload: Vec<u8>) -> SignedEvent {
    signed::sign(header, payload, key)
}

fn keep(to: &mut Placed, events: Vec<SignedEvent>, unix_ms: i64) {
    let kept = to.replica.keep(events, ChunkSource::Station, unix_ms);
    assert_eq!(kept.expect("the store is whole").refused, []);
}

fn rules(placed: &mut Placed, unix_ms: i64) -> Vec<Rule> {
    let answer = placed.replica.ask(&question(unix_ms));
    let craft = answer.craft.first().expect("the craft is known");
    craft.why.iter().map(|finding| finding.rule).collect()
}

fn correction(original: EventId, restated: Option<Vec<u8>>) -> NewEvent {
    let payload = wire::Correction {
        original: original.to_bytes(),
        r#type: match restated {
            Some(_) => wire::CorrectionType::Restated as i32,
            None => wire::CorrectionType::Withdrawn as i32,
        },
        payload: restated.unwrap_or_default().into(),
        kind_version: 1,
    };
    event(Kind::Correction, &payload)
}

/// Admits a key at a station with some roles only.
fn admit_as(key: &DeviceKey, station: SubjectId, roles: &[Role]) -> NewEvent {
    let mut event = admit(key, station);
    let payload = wire::KeyAdmitted::decode(event.payload.as_slice());
    let mut payload = payload.expect("just encoded");
    payload.roles = roles.iter().map(|role| *role as i32).collect();
    event.payload = payload.encode_to_vec();
    event
}

/// A county with the craft, and a tablet beside the lead's that has these roles.
fn with_tablet(roles: &[Role]) -> (Placed, Placed, Placed) {
    let mut county = found();
    county.append(admit_as(&key(5), SOUTH, roles), START + 20 * MINUTE);
    let mut lead = join(north());
    lead.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut lead, &mut county, START + DAY);
    let mut tablet = join(key(5));
    sync(&mut tablet, &mut county, START + DAY);
    (county, lead, tablet)
}
