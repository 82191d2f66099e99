//! The county's end of a sync: what the service around the sync core does, without a network.

use prost::Message as _;
use sponson_log::begun::LogBegun;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::ids::{EventId, Key, LogId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_log::sync::county::{ReplyParts, Request, heard, held_tails, proof_sizes, reply};
use sponson_proto::event::v1::Kind;
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest, Refusal};
use sponson_replica::{Kept, Now, Replica, StoreError};

/// What came of one request.
#[derive(Debug)]
pub(crate) struct Exchanged {
    pub(crate) reply: ExchangeReply,
    pub(crate) new: Vec<EventId>,
    pub(crate) checkpoint: Checkpoint,
    /// The log that it began, since it was put back to an older state.
    pub(crate) begun: Option<LogBegun>,
    /// Events that it got back with the time at which it had stored them.
    pub(crate) back: usize,
}

/// Why there is no reply.
#[derive(Debug)]
pub(crate) enum NoReply {
    /// The store failed.
    Store(StoreError),
    /// The county is wrong.
    Broken(String),
}

/// The station that a key belongs to, while the county lets it in.
pub(crate) fn let_in(county: &Replica, key: &Key) -> Option<SubjectId> {
    let admitted = county.registry().key(key)?;
    admitted.station.filter(|_| admitted.ended.is_none())
}

/// One round: notices that it was put back, keeps, and only then answers from one state of the
/// log. `drawn` counts what it drew: each log that it begins has an id and a writer of its own.
pub(crate) fn exchange(
    county: &mut Replica,
    station: SubjectId,
    request: &[u8],
    now: &Now,
    drawn: &mut u8,
) -> Result<Exchanged, NoReply> {
    let unix_ms = now.unix_ms;
    let broken = |error: &dyn std::fmt::Display| NoReply::Broken(error.to_string());
    let request = ExchangeRequest::decode(request).map_err(|error| broken(&error))?;
    let mut asked = Request::open(county.county(), request).map_err(|error| broken(&error))?;
    let begun = notice(county, &mut asked, now, drawn).map_err(NoReply::Store)?;
    let kept = keep(county, &mut asked, station, unix_ms).map_err(NoReply::Store)?;
    let Some(checkpoint) = county.checkpoint(unix_ms) else {
        return Err(broken(&"the county gives no checkpoint"));
    };
    if asked.is_beyond(checkpoint.log, checkpoint.size) {
        return Err(broken(&"the county does not hold what it signed"));
    }
    let first = asked.first(checkpoint.log);
    let entries = match asked.entries_bytes_max {
        0 => Vec::new(),
        bytes_max => county.entries(first, bytes_max, &|event| {
            event.header().kind != Kind::LogBegun as i32 && asked.holds(event, county.chains())
        }),
    };
    let path = proof_sizes(first, entries.len(), checkpoint.size)
        .and_then(|(old, new)| county.tree().consistency(old, new));
    let parts = ReplyParts {
        checkpoint: &checkpoint,
        entries,
        path: path.unwrap_or_default(),
        held: held_tails(&asked, county.chains()),
        refusals: refusals(&asked, &kept),
        root_events: county.root_events(),
        received_unix_ms: unix_ms,
        sent_unix_ms: unix_ms,
    };
    let end = first.saturating_add(parts.entries.len() as u64);
    let mut reply = reply(&asked, parts);
    if end == checkpoint.size {
        reply.heard = heard(county.heard_directly());
    }
    if asked.is_all_held(checkpoint.log, county.chains()) {
        county.heard(station, unix_ms).map_err(NoReply::Store)?;
    }
    let stored = &asked.stored_before;
    let back = kept.new.iter().filter(|id| stored.contains_key(id)).count();
    Ok(Exchanged {
        reply,
        new: kept.new,
        checkpoint,
        begun,
        back,
    })
}

/// Looks at the checkpoint that a station shows: when the county signed it and does not hold what
/// it says, it was put back to an older state, and begins another log.
fn notice(
    county: &mut Replica,
    asked: &mut Request,
    now: &Now,
    drawn: &mut u8,
) -> Result<Option<LogBegun>, StoreError> {
    let root_events = std::mem::take(&mut asked.root_events);
    let news = root_events.into_iter();
    let news: Vec<_> = news.filter(|event| !county.holds(&event.id())).collect();
    if !news.is_empty() {
        county.keep(news, ChunkSource::Station, now.unix_ms)?;
    }
    let shown = asked.checkpoint.as_ref();
    let Some(shown) = shown.filter(|shown| !county.holds_what_it_signed(shown)) else {
        return Ok(None);
    };
    let (log, writer) = draws(drawn);
    county.begin_log(log, &writer, shown, now).map(Some)
}

/// The id of another log, and a key that signed nothing before.
pub(crate) fn draws(drawn: &mut u8) -> (LogId, DeviceKey) {
    *drawn += 1;
    let mut seed = [0xee; 32];
    seed[0] = *drawn;
    (LogId::from_bytes([*drawn; 16]), DeviceKey::from_seed(seed))
}

/// Keeps the events of a request; those that the county had stored before keep their time.
fn keep(
    county: &mut Replica,
    asked: &mut Request,
    station: SubjectId,
    unix_ms: i64,
) -> Result<Kept, StoreError> {
    let events = std::mem::take(&mut asked.events);
    let signed = asked.checkpoint.as_ref();
    if signed.is_none_or(|shown| !county.registry().is_working_key(&shown.key)) {
        asked.stored_before.clear();
    }
    let stored = &asked.stored_before;
    let kept = county.keep_stored(events, stored, ChunkSource::Station, unix_ms)?;
    let back = kept.new.iter().filter(|id| stored.contains_key(id)).count();
    county.note_back(station, back as u64, unix_ms)?;
    Ok(kept)
}

fn refusals(asked: &Request, kept: &Kept) -> Vec<Refusal> {
    let unfit = kept.refused.iter().map(|refused| Refusal {
        event_id: refused.id.to_bytes(),
        reason: refused.reason.to_owned(),
        detail: refused.detail.clone(),
        missing: refused.missing.iter().map(|id| id.to_bytes()).collect(),
    });
    asked.refusals().into_iter().chain(unfit).collect()
}
