//! The county's end of a sync: what the service around the sync core does, without a network.

use prost::Message as _;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::ids::{EventId, Key, SubjectId};
use sponson_log::sync::county::{ReplyParts, Request, heard, held_tails, proof_sizes, reply};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest, Refusal};
use sponson_replica::{Kept, Replica, StoreError};

/// What came of one request.
#[derive(Debug)]
pub(crate) struct Exchanged {
    pub(crate) reply: ExchangeReply,
    pub(crate) new: Vec<EventId>,
    pub(crate) checkpoint: Checkpoint,
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

/// One round: keeps, and only then answers from one state of the log.
pub(crate) fn exchange(
    county: &mut Replica,
    station: SubjectId,
    request: &[u8],
    unix_ms: i64,
) -> Result<Exchanged, NoReply> {
    let broken = |error: &dyn std::fmt::Display| NoReply::Broken(error.to_string());
    let request = ExchangeRequest::decode(request).map_err(|error| broken(&error))?;
    let mut asked = Request::open(county.county(), request).map_err(|error| broken(&error))?;
    let events = std::mem::take(&mut asked.events);
    let kept = county
        .keep(events, ChunkSource::Station, unix_ms)
        .map_err(NoReply::Store)?;
    let Some(checkpoint) = county.checkpoint(unix_ms) else {
        return Err(broken(&"the county gives no checkpoint"));
    };
    let shown = asked.checkpoint.as_ref();
    let is_held = shown.is_none_or(|shown| county.holds_what_it_signed(shown));
    if !is_held || asked.is_beyond(checkpoint.log, checkpoint.size) {
        return Err(broken(&"the county does not hold what it signed"));
    }
    let first = asked.first(checkpoint.log);
    let entries = county.entries(first, asked.entries_bytes_max, &|event| {
        asked.holds(event, county.chains())
    });
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
    Ok(Exchanged {
        reply,
        new: kept.new,
        checkpoint,
    })
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
