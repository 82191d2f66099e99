//! Requests of the local service, read at the door, and pages of the log.

use sponson_log::event::SignedEvent;
use sponson_log::ids::SubjectId;
use sponson_log::trust::{Trust, Unconfirmed};
use sponson_proto::event::v1::{Kind, SubjectType};
use sponson_proto::service::v1 as wire;
use sponson_readiness::ids::SubjectId as TradeSubjectId;
use sponson_replica::{LogLine, NewEvent, Now, Page, Removed, Replica};
use std::collections::BTreeMap;

use crate::clock::Entropy;
use crate::limits::MESSAGE_BYTES_MAX;
use crate::refusal::{Refusal, row_damaged};

/// Greatest page of the log.
pub(super) const PAGE_LINES_MAX: usize = 1000;

/// About how many bytes of a page are events: half a message leaves room for names, and for one
/// event of the greatest size more.
const PAGE_BYTES: usize = MESSAGE_BYTES_MAX / 2;

/// Reads what a person wants recorded.
pub(super) fn event(request: wire::AppendRequest, entropy: &Entropy) -> Result<NewEvent, Refusal> {
    let kind = i32::try_from(request.kind)
        .ok()
        .and_then(|number| Kind::try_from(number).ok())
        .filter(|kind| *kind != Kind::Unspecified)
        .ok_or_else(|| {
            Refusal::field(
                format!("kind {} is not known to this service", request.kind),
                "use the program of the service's version",
            )
        })?;
    let subjects = request.subjects.iter().map(append_subject);
    Ok(NewEvent {
        kind,
        kind_version: request.kind_version,
        payload: request.payload.into(),
        subjects: subjects.collect::<Result<_, _>>()?,
        observed: request
            .observed
            .map(|observed| (observed.from_unix_ms, observed.to_unix_ms)),
        member: request.member,
        texts: request
            .texts
            .into_iter()
            .map(|text| (text.belongs_to, text.text, entropy.draw()))
            .collect(),
    })
}

fn append_subject(subject: &wire::AppendSubject) -> Result<(SubjectId, SubjectType), Refusal> {
    let id = SubjectId::parse("subject id", &subject.id)
        .map_err(|error| Refusal::field(error.to_string(), "look the subject up by its number"))?;
    let kind = SubjectType::try_from(subject.r#type)
        .ok()
        .filter(|kind| *kind != SubjectType::Unspecified)
        .ok_or_else(|| {
            Refusal::field(
                format!("subject type {} is not known", subject.r#type),
                "say whether it is a craft, gear, a bag, a shelf or a station",
            )
        })?;
    Ok((id, kind))
}

/// Reads the subject of a log request; none for all.
pub(super) fn subject(bytes: &[u8]) -> Result<Option<SubjectId>, Refusal> {
    SubjectId::parse_optional("subject", bytes)
        .map_err(|error| Refusal::field(error.to_string(), "look the subject up by its number"))
}

/// Reads a page token.
pub(super) fn page_token(token: &str) -> Result<Page, Refusal> {
    if token.is_empty() {
        return Ok(Page::Newest);
    }
    let number = token.strip_prefix("before-").and_then(|n| n.parse().ok());
    number.map(Page::Before).ok_or_else(|| {
        Refusal::field(
            "page_token is not one that this service gave".to_owned(),
            "begin again with the first page",
        )
    })
}

/// A page of the log: the newest lines first page, older ones after; newest last in each.
pub(super) fn log(
    replica: &mut Replica,
    subject: Option<SubjectId>,
    page: Page,
    lines: usize,
) -> Result<wire::LogReply, Refusal> {
    let mut found = replica
        .log_page(subject.as_ref(), page, lines)
        .map_err(|error| row_damaged(&error))?;
    let whole = found.len() < lines;
    let left_off = keep_newest(&mut found);
    let numbers = numbers(replica);
    let next_page_token = match found.first() {
        Some(first) if first.number > 0 && (!whole || left_off) => {
            format!("before-{}", first.number)
        }
        Some(_) | None => String::new(),
    };
    Ok(wire::LogReply {
        lines: found
            .into_iter()
            .map(|line| log_line(replica, &numbers, line))
            .collect(),
        next_page_token,
    })
}

/// Leaves off the oldest lines beyond what a message holds; says whether there were any.
fn keep_newest(lines: &mut Vec<LogLine>) -> bool {
    let mut bytes = 0;
    let kept = lines
        .iter()
        .rev()
        .take_while(|line| {
            let before = bytes;
            bytes += prost::Message::encoded_len(&line.event.to_wire());
            before < PAGE_BYTES
        })
        .count();
    let cut = lines.len() - kept;
    lines.drain(..cut);
    cut > 0
}

/// Painted numbers and names, by subject.
pub(super) fn numbers(replica: &mut Replica) -> BTreeMap<TradeSubjectId, String> {
    let entries = replica.catalogue().entries.into_iter();
    entries
        .map(|entry| {
            (
                TradeSubjectId::from_bytes(*entry.id.as_bytes()),
                entry.number,
            )
        })
        .collect()
}

pub(super) fn log_line(
    replica: &Replica,
    numbers: &BTreeMap<TradeSubjectId, String>,
    line: LogLine,
) -> wire::LogLine {
    let header = line.event.header();
    let subjects = header.subjects.iter();
    wire::LogLine {
        event_id: line.event.id().to_bytes(),
        number: line.number,
        kind: header.kind.unsigned_abs(),
        station: station_of(replica, &line.event),
        member: header.member.clone(),
        claimed_unix_ms: header.clock.unix_ms,
        received_unix_ms: line.received_unix_ms,
        subjects: subjects
            .clone()
            .map(|subject| wire::AppendSubject {
                id: subject.id.to_bytes(),
                r#type: subject.kind.into(),
            })
            .collect(),
        numbers: subjects
            .map(|subject| {
                let id = TradeSubjectId::from_bytes(*subject.id.as_bytes());
                numbers.get(&id).cloned().unwrap_or_default()
            })
            .collect(),
        unconfirmed: unconfirmed(line.trust).to_owned(),
        seq: header.seq,
        event: Some(line.event.to_wire()),
        removed: line.removed.iter().map(removed_text).collect(),
    }
}

fn removed_text((index, removed): (&u16, &Removed)) -> wire::RemovedText {
    wire::RemovedText {
        index: u32::from(*index),
        unix_ms: removed.unix_ms,
        by: removed.by.to_bytes(),
    }
}

/// Name of the station whose key signed an event; `county` for the county's own keys.
fn station_of(replica: &Replica, event: &SignedEvent) -> String {
    let registry = replica.registry();
    let key = event.header().key;
    if registry.root() == Some(key) {
        return "county".to_owned();
    }
    match registry.key(&key).map(|admitted| admitted.station) {
        None if header_kind(event) == Some(Kind::LogBegun) => "county".to_owned(),
        None => String::new(),
        Some(None) => "county".to_owned(),
        Some(Some(station)) => registry
            .stations()
            .get(&station)
            .map(|facts| facts.name.clone())
            .unwrap_or_default(),
    }
}

fn header_kind(event: &SignedEvent) -> Option<Kind> {
    Kind::try_from(event.header().kind).ok()
}

const fn unconfirmed(trust: Trust) -> &'static str {
    match trust {
        Trust::Trusted => "",
        Trust::Unconfirmed(Unconfirmed::NotAdmitted) => "the device is not admitted yet",
        Trust::Unconfirmed(Unconfirmed::NoRole) => "the device may not record this",
        Trust::Unconfirmed(Unconfirmed::AfterEnd) => "the lead ended the device's key before this",
        Trust::Unconfirmed(Unconfirmed::Parted) => {
            "the device was restored or copied: the lead must confirm this"
        }
    }
}

/// What is known against the device's clock.
pub(super) fn clock_doubt(replica: &Replica, now: &Now) -> Option<wire::ClockDoubt> {
    let doubt = replica.clock_worth(now).doubt;
    Some(wire::ClockDoubt {
        doubt: doubt.id().to_owned(),
        by_ms: doubt.by_ms()?,
        device_unix_ms: now.unix_ms,
        newest_unix_ms: replica.newest_shown(),
    })
}

/// At the county: the clocks of stations, in order of their names.
pub(super) fn station_clocks(replica: &Replica) -> Vec<wire::StationClock> {
    let registered = replica.registry().stations();
    let clocks = replica.about().station_clocks.into_iter();
    let mut clocks: Vec<wire::StationClock> = clocks
        .map(|(station, clock)| wire::StationClock {
            station: station.to_bytes(),
            name: registered
                .get(&station)
                .map_or_else(String::new, |facts| facts.name.clone()),
            county_minus_device_ms: clock.apart_ms(),
            heard_unix_ms: clock.received_unix_ms,
            engine_version: clock.program.engine_version,
            program_version: clock.program.version,
        })
        .collect();
    clocks.sort_by(|one, other| one.name.cmp(&other.name));
    clocks
}
