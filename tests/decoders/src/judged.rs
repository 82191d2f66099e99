//! What is accepted is judged: events of a device that was let in and signs what it likes, and
//! sheets of a lead. Whatever parses folds, is judged and is shown.

use bytes::Bytes;
use sponson_log::event::{Clock, Draft, Header, SignedEvent, Subject};
use sponson_log::ids::{EventId, SubjectId};
use sponson_made::signed;
use sponson_proto::event::v1::{self as wire, Kind, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::answer::{CountyAnswer, TogetherAsked};
use sponson_readiness::conditions::{Conditions, Position};
use sponson_readiness::engine::Question;
use sponson_readiness::ids::MissionId;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;
use sponson_replica::{NewEvent, Replica};
use sponson_show::{Context, json, table};

use crate::county::{self, BAG, CRAFT, DAY, MINUTE, MODEL, MOTOR, NORTH, OTHER_CRAFT, START, Who};
use crate::said::{refused, shown};
use crate::sheets::sheet;
use crate::synced::verifies;

/// Events of one run.
const EVENTS_MAX: usize = 12;

/// In a payload, 31 such bytes and a number stand for the id of the county's entry of that number.
const STANDS_FOR: u8 = 0xee;

/// One event as a fuzzer writes it.
struct Written<'a> {
    kind: i32,
    version: u32,
    subjects: u8,
    how: u8,
    payload: &'a [u8],
}

/// Bytes of what stands before a payload.
const HEAD: usize = 6;

fn next<'a>(rest: &mut &'a [u8]) -> Option<Written<'a>> {
    let (head, after) = rest.split_first_chunk::<HEAD>()?;
    let length = usize::from(u16::from_be_bytes([head[4], head[5]])).min(after.len());
    let (payload, after) = after.split_at(length);
    *rest = after;
    Some(Written {
        kind: i32::from(head[0]),
        version: u32::from(head[1]),
        subjects: head[2],
        how: head[3],
        payload,
    })
}

/// Subjects by the bits of a byte, the first by its upper half.
fn subjects(bits: u8) -> Vec<(SubjectId, SubjectType)> {
    let county = SubjectId::from_bytes(*county::county_id().as_bytes());
    let all = [
        (CRAFT, SubjectType::Craft),
        (MOTOR, SubjectType::Gear),
        (BAG, SubjectType::Bag),
        (NORTH, SubjectType::Station),
        (OTHER_CRAFT, SubjectType::Craft),
        (county, SubjectType::County),
        (SubjectId::from_bytes([0x51; 16]), SubjectType::Shelf),
        (SubjectId::from_bytes([0x71; 16]), SubjectType::Member),
    ];
    let first = all[usize::from(bits >> 4) % all.len()];
    let rest = all.iter().enumerate().filter(|(at, _)| bits >> at & 1 == 1);
    let rest = rest.map(|(_, subject)| *subject).filter(|it| *it != first);
    std::iter::once(first).chain(rest.take(3)).collect()
}

/// Puts the ids of entries in where bytes stand for them.
fn with_ids(payload: &[u8], ids: &[EventId]) -> Bytes {
    let mut bytes = payload.to_vec();
    let mut at = 0;
    while let Some(place) = bytes.get_mut(at..at + EventId::LEN) {
        let (number, before) = place.split_last().expect("an id is not empty");
        let id = ids.get(usize::from(*number) % ids.len().max(1));
        match id.filter(|_| before.iter().all(|byte| *byte == STANDS_FOR)) {
            Some(id) => {
                place.copy_from_slice(id.as_bytes());
                at += EventId::LEN;
            }
            None => at += 1,
        }
    }
    bytes.into()
}

/// The chain of one device, and what of each subject it has seen.
struct Device {
    who: Who,
    seq: u64,
    head: Option<EventId>,
}

impl Device {
    fn of(county: &Replica, who: Who) -> Self {
        let chain = county.chains().get(&county::key(who).key());
        let head = chain.and_then(|chain| chain.heads().iter().next());
        Self {
            who,
            seq: head.map_or(0, |(_, seq)| *seq),
            head: head.map(|(id, _)| *id),
        }
    }

    /// Signs what was written. Bits of `how`: 0x01 it has seen the newest events, 0x02 observed
    /// earlier, 0x04 a clock far ahead, 0x08 a clock at the end of time.
    fn sign(&mut self, written: &Written<'_>, ids: &[EventId], at: i64) -> Option<SignedEvent> {
        let newest: Vec<EventId> = ids.iter().rev().take(2).copied().collect();
        let seen = if written.how & 1 == 1 {
            newest
        } else {
            Vec::new()
        };
        let subject = |(id, kind)| Subject {
            id,
            kind,
            seen: seen.clone(),
        };
        let unix_ms = match written.how & 0x0c {
            0 => at,
            0x04 => at + 400 * DAY,
            0x08 => i64::MAX,
            _ => i64::MIN,
        };
        let key = county::key(self.who);
        let last = self.head.map(|head| (self.seq, head));
        let header = Header {
            kind: written.kind,
            kind_version: written.version,
            subjects: subjects(written.subjects)
                .into_iter()
                .map(subject)
                .collect(),
            clock: Clock {
                unix_ms,
                utc_offset_min: -360,
                boot_id: [3; 16],
                monotonic_ms: 5,
            },
            observed: (written.how & 2 == 2).then_some((at - 10 * DAY, at - 9 * DAY)),
            member: "1042".to_owned(),
            ..signed::header(key.key(), Kind::Note, last)
        };
        let draft = Draft {
            header,
            payload: with_ids(written.payload, ids),
            beside: Vec::new(),
        };
        let event = SignedEvent::sign(draft, &key).ok()?;
        self.seq += 1;
        self.head = Some(event.id());
        Some(event)
    }
}

/// Events of two stations' devices, kept, folded, judged and shown. Each has a head of six bytes:
/// kind, version, subjects, how it was written (0x80: by the other station), and two of length.
///
/// # Panics
/// When what was folded step by step is not what is folded from the rows, or the engine or what
/// shows its answer fails.
pub fn kept_events(data: &[u8]) {
    let disk = county::county_disk();
    let mut replica = Replica::open_simulated(&disk, county::key(Who::Working));
    let replica = replica.as_mut().expect("the county opens");
    let mut devices = [Who::North, Who::South].map(|who| Device::of(replica, who));
    let mut ids = ids(replica);
    let mut rest = data;
    for minute in 0..EVENTS_MAX {
        let Some(written) = next(&mut rest) else {
            break;
        };
        let at = START + 3 * DAY + i64::try_from(minute).unwrap_or(0) * MINUTE;
        let device = &mut devices[usize::from(written.how >> 7)];
        let Some(event) = device.sign(&written, &ids, at) else {
            continue;
        };
        let kept = replica.keep(vec![event], ChunkSource::Station, at);
        let kept = kept.expect("the disk is whole");
        ids.extend(kept.new);
        for not_kept in kept.refused {
            refused(&not_kept.detail);
        }
        // So that each is a step from what was judged before.
        let _ = replica.records();
    }
    verifies(replica);
    let stepped = judged(replica);
    let mut opened = Replica::open_simulated(&disk, county::key(Who::Working));
    let opened = opened.as_mut().expect("what was written opens");
    assert_eq!(records(replica), records(opened), "stepped, and folded");
    assert_eq!(stepped, judged(opened), "stepped, and folded");
}

fn ids(replica: &Replica) -> Vec<EventId> {
    let lines = replica.log_page(None, sponson_replica::Page::Newest, 1_000);
    let lines = lines.expect("rows are whole").into_iter();
    lines.map(|line| line.event.id()).collect()
}

fn records(replica: &mut Replica) -> Vec<Vec<u8>> {
    let records = replica.records().values();
    records.map(|record| record.canonical()).collect()
}

/// Questions of several sorts, each answered and shown.
fn judged(replica: &mut Replica) -> Vec<CountyAnswer> {
    let now = Moment(START + 3 * DAY + 60 * MINUTE);
    let general = Question::general(now, now);
    let night = Question {
        mission: Some(MissionId::from("flood")),
        air_mc: Some(-15_000),
        water_mc: Some(2_000),
        elevation_mm: Some(1_500_000),
        conditions: Conditions {
            wind_mm_s: Some(9_000),
            current_mm_s: Some(2_500),
            position: Some(Position {
                lat_e7: 449_000_000,
                lon_e7: -1_032_000_000,
            }),
            ..general.conditions.clone()
        },
        together: Some(TogetherAsked::default()),
        ..general.clone()
    };
    let long_after = Question::general(Moment(now.0 + 4_000 * DAY), now);
    let _ = replica.catalogue();
    let _ = replica.history(&general);
    let answers: Vec<CountyAnswer> = [general, night, long_after]
        .iter()
        .map(|question| replica.ask(question))
        .collect();
    for answer in &answers {
        shown_ways(answer);
    }
    answers
}

fn shown_ways(answer: &CountyAnswer) {
    let context = Context::default();
    shown(&table::county_report(answer, &context));
    for craft in &answer.craft {
        shown(&table::craft_report(craft, &answer.asked, &context));
    }
    let text = json::to_string(answer, &context);
    assert!(text.starts_with('{'), "{text}");
}

/// A boat standard that the county adopts, by which two craft are judged. The first byte says with
/// what the craft were checked.
///
/// # Panics
/// When a sheet that was taken cannot be judged by.
pub fn judged_by_sheet(data: &[u8]) {
    let Some((which, text)) = sheet(data) else {
        return;
    };
    let Ok(standard) = Standard::parse(text) else {
        return;
    };
    if standard.model.as_str() != MODEL {
        return;
    }
    let mut county = county::county();
    let payload = wire::BoatStandard {
        model: MODEL.to_owned(),
        revision: standard.revision,
        format: 1,
        text: text.to_owned(),
    };
    let of_county = SubjectId::from_bytes(*county::county_id().as_bytes());
    let adopted = NewEvent {
        kind: wire::Kind::BoatStandard,
        kind_version: 1,
        payload: prost::Message::encode_to_vec(&payload),
        subjects: vec![(of_county, SubjectType::County)],
        observed: None,
        member: String::new(),
        texts: Vec::new(),
    };
    if let Err(error) = county.append(adopted, &county::now(START + 3 * DAY)) {
        refused(&sponson_show::clean(&error.to_string()));
        return;
    }
    if which % 2 == 1 {
        let parts = standard.parts.iter().take(8);
        let mut check = county::reading(20_000);
        let first = check.readings.remove(0);
        check.readings = parts
            .map(|part| wire::Reading {
                part: part.id.as_str().to_owned(),
                ..first.clone()
            })
            .collect();
        let payload = prost::Message::encode_to_vec(&check);
        let checked = NewEvent {
            kind: wire::Kind::Check,
            kind_version: 1,
            payload,
            subjects: vec![(CRAFT, SubjectType::Craft)],
            observed: None,
            member: "1042".to_owned(),
            texts: Vec::new(),
        };
        let _ = county.append(checked, &county::now(START + 3 * DAY + MINUTE));
    }
    let _ = judged(&mut county);
}
