//! The county's end of a sync: one round at a time, kept before it is acknowledged.

use std::sync::Arc;
use std::time::Duration;

use sponson_log::ids::{EventId, SubjectId};
use sponson_log::sync::county::{
    ReplyParts, Request as Asked, RequestError, held_tails, proof_sizes, reply,
};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest, Refusal as NotKept};
use sponson_replica::{Now, Replica};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tonic::{Code, Request, Response, Status};

use crate::clock::Clock;
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
                let mut reply = exchange(replica, asked, &received, &clock)?;
                reply
                    .refusals
                    .extend(turned_away.into_iter().map(only_reads));
                heard(replica, station, &received)?;
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

/// Keeps what came, then says how far the county is.
fn exchange(
    replica: &mut Replica,
    mut asked: Asked,
    received: &Now,
    clock: &Clock,
) -> Result<ExchangeReply, Refusal> {
    let mut refusals = asked.refusals();
    let events = std::mem::take(&mut asked.events);
    if !events.is_empty() {
        let kept = replica
            .keep(events, ChunkSource::Station, received.unix_ms)
            .map_err(|error| store_failed(&error))?;
        refusals.extend(kept.refused.into_iter().map(|refused| NotKept {
            event_id: refused.id.to_bytes(),
            reason: refused.reason.to_owned(),
            detail: refused.detail,
            missing: refused.missing.iter().map(|id| id.to_bytes()).collect(),
        }));
    }
    let checkpoint = replica
        .checkpoint(received.unix_ms)
        .ok_or_else(not_a_county)?;
    if asked.is_ahead_of(checkpoint.log, checkpoint.size) {
        return Err(behind(asked.size, checkpoint.size));
    }
    let first = asked.first(checkpoint.log);
    let entries = match asked.entries_bytes_max.min(CHUNK_BYTES_MAX) {
        0 => Vec::new(),
        bytes_max => replica.entries(first, bytes_max, &|event| {
            asked.holds(event, replica.chains())
        }),
    };
    let path = proof_sizes(first, entries.len(), checkpoint.size)
        .and_then(|(old, new)| replica.tree().consistency(old, new));
    let parts = ReplyParts {
        checkpoint: &checkpoint,
        entries,
        path: path.unwrap_or_default(),
        held: held_tails(&asked, replica.chains()),
        refusals,
        received_unix_ms: received.unix_ms,
        sent_unix_ms: clock.now().unix_ms,
    };
    Ok(reply(&asked, parts))
}

/// Notes that a station was heard: it asked just now, whether or not it had anything to send.
fn heard(replica: &mut Replica, station: Option<SubjectId>, now: &Now) -> Result<(), Refusal> {
    station.map_or(Ok(()), |station| {
        replica
            .heard(station, now.unix_ms)
            .map_err(|error| store_failed(&error))
    })
}

fn behind(theirs: u64, ours: u64) -> Refusal {
    Refusal::new(
        Code::FailedPrecondition,
        "COUNTY_BEHIND",
        format!("the station holds {theirs} entries of the county log, the county only {ours}"),
        "tell the lead: the county went back to an older state without a restore",
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
