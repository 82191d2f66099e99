//! The shell of a station's sync: load, send, keep, as the core says.
//!
//! Everything that the core says to keep is durable before the core hears of it. A sync that is
//! cut anywhere is begun again and repeats at most one chunk.

use std::time::Duration;

use sponson_log::sync::station::{KeepRun, StationSync, Step, Summary, SyncError};
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest};
use sponson_replica::{ClockOffset, StoreError};
use tonic::codec::CompressionEncoding;
use tonic::transport::Channel;
use tonic::{Request, Status};

use super::pictures::{PicturesReport, sync_pictures};
use super::{CountyAt, county_keys};
use crate::identity::Identity;
use crate::limits::{CALL_TIMEOUT, MESSAGE_BYTES_MAX};
use crate::refusal;
use crate::shared::{Gone, Shared};
use crate::stubs::sync::sync_client::SyncClient;
use crate::tls::{self, ConnectError, TlsError, Trusted};

/// How far a sync is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// Events sent.
    pub sent: u64,
    /// Events to send.
    pub to_send: u64,
    /// Entries received.
    pub received: u64,
    /// Entries to receive.
    pub to_receive: u64,
}

/// The words of a lost connection, when there are any.
fn in_brackets(status: &Status) -> String {
    match status.message() {
        "" => String::new(),
        said => format!(" ({said})"),
    }
}

/// What a sync did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SyncReport {
    /// What the core says.
    pub summary: Summary,
    /// Events that the county log, as held now, does not prove.
    pub waiting: u64,
    /// What became of the pictures, after the events.
    pub pictures: PicturesReport,
}

/// Why a sync ended early. What was kept before stays kept.
#[derive(Debug, thiserror::Error)]
pub enum SyncFailure {
    /// No connection came about.
    #[error(transparent)]
    Connect(#[from] ConnectError),
    /// TLS could not be set up.
    #[error(transparent)]
    Tls(#[from] TlsError),
    /// The connection was lost.
    #[error(
        "the connection to {address} was lost{}: what was kept stays, sync again",
        in_brackets(status)
    )]
    Lost {
        /// The address.
        address: String,
        /// The status.
        status: Box<Status>,
    },
    /// The county is busy.
    #[error("the county is busy: {}", refusal::words(status))]
    Busy {
        /// How long to wait.
        retry_after: Duration,
        /// The status.
        status: Box<Status>,
    },
    /// The county refused.
    #[error("the county refused: {}", refusal::words(.0))]
    Refused(Box<Status>),
    /// What the county sent is not right.
    #[error(transparent)]
    Core(#[from] SyncError),
    /// The own store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The own replica was closed.
    #[error(transparent)]
    Gone(#[from] Gone),
}

/// Meets the county once: sends what it lacks, keeps what is new. `progress` hears of every chunk.
///
/// # Errors
/// When the county cannot be reached, refuses, or sends what does not fit; the own store fails.
pub async fn sync(
    shared: &Shared,
    county: &CountyAt,
    identity: &Identity,
    mut progress: impl FnMut(Progress) + Send,
) -> Result<SyncReport, SyncFailure> {
    let introduced = county.tls_key;
    let (keys, has) = shared
        .call(move |replica| (county_keys(replica, introduced), replica.station_has()))
        .await?;
    let config = tls::client(identity, Trusted::Keys(keys))?;
    let channel = tls::channel(&county.address, config).await?;
    let mut client = SyncClient::new(channel.clone())
        .max_decoding_message_size(MESSAGE_BYTES_MAX)
        .max_encoding_message_size(MESSAGE_BYTES_MAX)
        .accept_compressed(CompressionEncoding::Zstd)
        .send_compressed(CompressionEncoding::Zstd);
    let mut core = StationSync::begin(has);
    loop {
        match core.next(shared.clock().now().unix_ms) {
            Step::Load { from, bytes_max } => {
                let (events, last) = shared
                    .call(move |replica| replica.unproven(from, bytes_max))
                    .await?;
                core.loaded(events, last);
            }
            Step::LoadPlaced { from, bytes_max } => {
                let (events, last) = shared
                    .call(move |replica| replica.placed(from, bytes_max))
                    .await?;
                core.loaded_placed(events, last);
            }
            Step::Send(request) => {
                let begun = shared.clock().now().monotonic_ms;
                let reply = exchange(&mut client, *request, &county.address).await?;
                let ended = shared.clock().now();
                let elapsed = ended.monotonic_ms.saturating_sub(begun);
                core.replied(reply, ended.unix_ms, elapsed)?;
                progress(Progress::of(&core));
            }
            Step::Keep(run) => {
                keep(shared, *run).await?;
                core.kept();
                progress(Progress::of(&core));
            }
            Step::Done(summary) => {
                let mut report = report(shared, summary).await?;
                // The events are through and noted: whatever becomes of the pictures, the sync is done.
                report.pictures = sync_pictures(shared, channel).await;
                return Ok(report);
            }
        }
    }
}

impl Progress {
    fn of(core: &StationSync) -> Self {
        let (sent, to_send, received, to_receive) = core.progress();
        Self {
            sent,
            to_send,
            received,
            to_receive,
        }
    }
}

async fn exchange(
    client: &mut SyncClient<Channel>,
    request: ExchangeRequest,
    address: &str,
) -> Result<ExchangeReply, SyncFailure> {
    let mut request = Request::new(request);
    request.set_timeout(CALL_TIMEOUT);
    match client.exchange(request).await {
        Ok(reply) => Ok(reply.into_inner()),
        Err(status) => Err(failure(status, address)),
    }
}

/// A refusal of ours has a reason; anything else is a connection that was lost on the way.
fn failure(status: Status, address: &str) -> SyncFailure {
    let reason = refusal::reason(&status);
    if let Some(retry_after) = refusal::retry_after(&status) {
        return SyncFailure::Busy {
            retry_after,
            status: Box::new(status),
        };
    }
    if reason.is_some() {
        return SyncFailure::Refused(Box::new(status));
    }
    SyncFailure::Lost {
        address: address.to_owned(),
        status: Box::new(status),
    }
}

async fn keep(shared: &Shared, run: KeepRun) -> Result<(), SyncFailure> {
    let now = shared.clock().now().unix_ms;
    let kept = shared
        .call(move |replica| replica.keep_run(&run, now))
        .await??;
    for refused in &kept.refused {
        tracing::warn!(event = %refused.id, detail = %refused.detail, "an entry was not kept");
    }
    Ok(())
}

async fn report(shared: &Shared, summary: Summary) -> Result<SyncReport, SyncFailure> {
    let measured = shared.clock().now();
    let offset = summary.offset_ms.map(|(offset, round_trip)| ClockOffset {
        county_minus_device_ms: offset,
        round_trip_ms: round_trip,
        measured,
    });
    let heard = summary.heard.clone();
    let waiting = shared
        .call(move |replica| {
            replica.note_heard(&heard)?;
            offset.map_or(Ok(()), |offset| replica.note_sync(offset))?;
            Ok::<_, StoreError>(replica.about().waiting)
        })
        .await??;
    Ok(SyncReport {
        summary,
        waiting,
        pictures: PicturesReport::default(),
    })
}
