//! The county's end of a sync: one round at a time, kept before it is acknowledged.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use sponson_log::checkpoint::Checkpoint;
use sponson_log::ids::{EventId, LogId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_log::sync::county::{
    ReplyParts, Request as Asked, RequestError, heard as heard_by_county, held_tails, proof_sizes,
    reply,
};
use sponson_proto::event::v1::Kind;
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest, Refusal as NotKept};
use sponson_replica::{Now, Replica, StationClock};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tonic::{Code, Request, Response, Status};

use crate::clock::{Clock, Entropy};
use crate::guard::Caller;
use crate::limits::{CHUNK_BYTES_MAX, EXCHANGES_MAX};
use crate::refusal::{Refusal, store_failed};
use crate::shared::Shared;
use crate::stubs::sync::sync_server::Sync;

/// A busy county asks for this pause: as long as a slow chunk takes.
const BUSY_PAUSE: Duration = Duration::from_secs(10);

/// The service.
#[derive(Clone, Debug)]
pub(super) struct ExchangeService {
    shared: Shared,
    pushing: Arc<Semaphore>,
}

impl ExchangeService {
    pub(super) fn new(shared: Shared) -> Self {
        Self {
            shared,
            pushing: Arc::new(Semaphore::new(EXCHANGES_MAX)),
        }
    }
}

/// A place for an exchange that brings events; reading alone needs none.
fn place(
    pushing: &Arc<Semaphore>,
    request: &ExchangeRequest,
) -> Result<Option<OwnedSemaphorePermit>, Refusal> {
    if request.events.is_empty() {
        return Ok(None);
    }
    match Arc::clone(pushing).try_acquire_owned() {
        Ok(permit) => Ok(Some(permit)),
        Err(_) => Err(Refusal::new(
            Code::Unavailable,
            "COUNTY_BUSY",
            format!("{EXCHANGES_MAX} stations are sending now, the most at a time"),
            format!("try again in {} seconds", BUSY_PAUSE.as_secs()),
        )
        .retry_after(BUSY_PAUSE)),
    }
}

#[tonic::async_trait]
impl Sync for ExchangeService {
    async fn exchange(
        &self,
        request: Request<ExchangeRequest>,
    ) -> Result<Response<ExchangeReply>, Status> {
        let received = self.shared.clock().now();
        let caller = request.extensions().get::<Caller>();
        let station = caller.and_then(|caller| caller.station);
        let brings = caller.is_some_and(Caller::brings_events);
        let request = request.into_inner();
        let place = place(&self.pushing, &request)?;
        let clock = self.shared.clock().clone();
        let entropy = self.shared.entropy().clone();
        let county = self
            .shared
            .call(|replica| replica.county())
            .await
            .map_err(Refusal::from)?;
        // Signatures are checked before the replica is asked for: others go on meanwhile.
        let mut asked = tokio::task::spawn_blocking(move || Asked::open(county, request))
            .await
            .map_err(|_| unexpected())?
            .map_err(refused)?;
        let turned_away = if brings {
            Vec::new()
        } else {
            asked.turn_away()
        };
        let reply = self
            .shared
            .call(move |replica| {
                let at = Moments { received, clock };
                let mut reply = exchange(replica, &mut asked, station, &at, &entropy)?;
                reply
                    .refusals
                    .extend(turned_away.into_iter().map(only_reads));
                heard(replica, station, &asked, &received)?;
                Ok::<_, Refusal>(reply)
            })
            .await
            .map_err(Refusal::from)??;
        drop(place);
        Ok(Response::new(reply))
    }
}

/// An event from a key that may only read.
fn only_reads(event: EventId) -> NotKept {
    NotKept {
        event_id: event.to_bytes(),
        reason: "KEY_ONLY_READS".to_owned(),
        detail: "this device may only read: ask the lead for a role that records".to_owned(),
        missing: Vec::new(),
    }
}

fn unexpected() -> Refusal {
    Refusal::new(
        Code::Internal,
        "UNEXPECTED",
        "the county met an unexpected fault",
        "nothing was kept; try again, and tell the county's operator",
    )
}

fn refused(error: RequestError) -> Refusal {
    match error {
        RequestError::OtherCounty { .. } => Refusal::new(
            Code::FailedPrecondition,
            "OTHER_COUNTY",
            error.to_string(),
            "check the county's address",
        ),
        RequestError::Unreadable { .. } | RequestError::TooMany { .. } => {
            Refusal::field(error.to_string(), "sync with the program of this version")
        }
    }
}

/// When a request came, and the clock that says when its reply goes.
#[derive(Debug)]
struct Moments {
    received: Now,
    clock: Clock,
}

/// Keeps what came, then says how far the county is.
fn exchange(
    replica: &mut Replica,
    asked: &mut Asked,
    station: Option<SubjectId>,
    at: &Moments,
    entropy: &Entropy,
) -> Result<ExchangeReply, Refusal> {
    let received = &at.received;
    notice(replica, asked, received, entropy)?;
    let mut refusals = asked.refusals();
    refusals.extend(keep(replica, asked, station, received)?);
    let checkpoint = replica
        .checkpoint(received.unix_ms)
        .ok_or_else(not_a_county)?;
    if asked.is_beyond(checkpoint.log, checkpoint.size) {
        return Err(behind(asked.size, checkpoint.size));
    }
    let first = asked.first(checkpoint.log);
    let entries = match asked.entries_bytes_max.min(CHUNK_BYTES_MAX) {
        0 => Vec::new(),
        bytes_max => replica.entries(first, bytes_max, &|event| {
            // How a log begins is always shown whole: the station checks whose word it is.
            event.header().kind != Kind::LogBegun as i32 && asked.holds(event, replica.chains())
        }),
    };
    let path = proof_sizes(first, entries.len(), checkpoint.size)
        .and_then(|(old, new)| replica.tree().consistency(old, new));
    let parts = ReplyParts {
        checkpoint: &checkpoint,
        entries,
        path: path.unwrap_or_default(),
        held: held_tails(asked, replica.chains()),
        refusals,
        root_events: replica.root_events(),
        received_unix_ms: received.unix_ms,
        sent_unix_ms: at.clock.now().unix_ms,
    };
    let end = first.saturating_add(parts.entries.len() as u64);
    let mut reply = reply(asked, parts);
    // Once in a sync of many chunks is enough.
    if end == checkpoint.size {
        reply.heard = heard_by_county(replica.heard_directly());
    }
    Ok(reply)
}

/// Looks at the checkpoint that a station shows. When the county signed it and does not hold what
/// it says, the county was put back to an older state: it begins another log.
fn notice(
    replica: &mut Replica,
    asked: &mut Asked,
    received: &Now,
    entropy: &Entropy,
) -> Result<(), Refusal> {
    let root_events = std::mem::take(&mut asked.root_events);
    let news: Vec<_> = root_events
        .into_iter()
        .filter(|event| !replica.holds(&event.id()))
        .collect();
    if !news.is_empty() {
        replica
            .keep(news, ChunkSource::Station, received.unix_ms)
            .map_err(|error| store_failed(&error))?;
    }
    let Some(shown) = &asked.checkpoint else {
        return Ok(());
    };
    begin_another_log(replica, shown, received, entropy)
}

/// Begins another log when the county does not hold what it signed.
pub(crate) fn begin_another_log(
    replica: &mut Replica,
    shown: &Checkpoint,
    now: &Now,
    entropy: &Entropy,
) -> Result<(), Refusal> {
    if replica.holds_what_it_signed(shown) {
        return Ok(());
    }
    let log = LogId::from_bytes(entropy.draw());
    let writer = DeviceKey::from_seed(entropy.draw());
    let begun = replica
        .begin_log(log, &writer, shown, now)
        .map_err(|error| store_failed(&error))?;
    tracing::error!(
        held = begun.old_tree.0,
        shown = shown.size,
        log = %begun.log,
        "the county was put back to an older state: it begins another log, and takes back what \
         stations hold; it signs no event until the root key admits another working key \
         (sponson-county renew-key)"
    );
    Ok(())
}

/// Keeps the events of a request; those that the county had stored before keep their time.
fn keep(
    replica: &mut Replica,
    asked: &mut Asked,
    station: Option<SubjectId>,
    received: &Now,
) -> Result<Vec<NotKept>, Refusal> {
    let events = std::mem::take(&mut asked.events);
    if events.is_empty() {
        return Ok(Vec::new());
    }
    let signed = asked.checkpoint.as_ref();
    let counts = signed.is_some_and(|shown| replica.registry().is_working_key(&shown.key));
    let stored_before = if counts {
        std::mem::take(&mut asked.stored_before)
    } else {
        BTreeMap::new()
    };
    let kept = replica
        .keep_stored(
            events,
            &stored_before,
            ChunkSource::Station,
            received.unix_ms,
        )
        .map_err(|error| store_failed(&error))?;
    let back = kept.new.iter().filter(|id| stored_before.contains_key(id));
    let back = u64::try_from(back.count()).unwrap_or(u64::MAX);
    if let Some(station) = station {
        replica
            .note_back(station, back, received.unix_ms)
            .map_err(|error| store_failed(&error))?;
    }
    let refused = kept.refused.into_iter().map(|refused| NotKept {
        event_id: refused.id.to_bytes(),
        reason: refused.reason.to_owned(),
        detail: refused.detail,
        missing: refused.missing.iter().map(|id| id.to_bytes()).collect(),
    });
    Ok(refused.collect())
}

/// Notes what a station's clock said and, once the county holds all that it has, that it was heard
/// just now.
fn heard(
    replica: &mut Replica,
    station: Option<SubjectId>,
    asked: &Asked,
    now: &Now,
) -> Result<(), Refusal> {
    let Some(station) = station else {
        return Ok(());
    };
    let clock = StationClock {
        sent_unix_ms: asked.sent_unix_ms,
        received_unix_ms: now.unix_ms,
        program: asked.program.clone(),
    };
    replica
        .note_station_clock(station, clock)
        .map_err(|error| store_failed(&error))?;
    let log = replica.log_id();
    if !log.is_some_and(|log| asked.is_all_held(log, replica.chains())) {
        return Ok(());
    }
    replica
        .heard(station, now.unix_ms)
        .map_err(|error| store_failed(&error))
}

fn behind(theirs: u64, ours: u64) -> Refusal {
    Refusal::new(
        Code::FailedPrecondition,
        "COUNTY_BEHIND",
        format!("the station holds {theirs} entries of the county log, the county only {ours}"),
        "tell the lead: the county went back to an older state, and this station holds no proof of it",
    )
}

fn not_a_county() -> Refusal {
    Refusal::new(
        Code::FailedPrecondition,
        "NOT_A_COUNTY",
        "this replica is not the county's",
        "check the address",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_busy_county_asks_for_a_pause_and_still_lets_stations_read() {
        let pushing = Arc::new(Semaphore::new(1));
        let reading = ExchangeRequest::default();
        let sending = ExchangeRequest {
            events: vec![sponson_proto::event::v1::Event::default()],
            ..ExchangeRequest::default()
        };
        let held = place(&pushing, &sending).expect("a place");
        let refused = Status::from(place(&pushing, &sending).expect_err("none left"));
        assert_eq!(crate::refusal::retry_after(&refused), Some(BUSY_PAUSE));
        assert!(
            place(&pushing, &reading)
                .expect("no place needed")
                .is_none()
        );
        drop(held);
        place(&pushing, &sending).expect("free again");
    }
}
