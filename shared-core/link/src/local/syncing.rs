//! What the local service says of a sync: how far it is, how it ended, what was refused, in words
//! for whoever stands at the device.

use sponson_log::ids::EventId;
use sponson_proto::service::v1 as wire;
use sponson_replica::SyncRefused;
use tonic::Code;

use super::begun;
use crate::refusal::{self, Refusal};
use crate::shared::Shared;
use crate::station::{Progress, SyncFailure, SyncReport};

/// Digits of an event's short name.
const SHORT: usize = 8;

/// How far it is; with the report once it is done.
pub(super) fn reply(progress: Progress, report: Option<SyncReport>) -> wire::SyncNowReply {
    wire::SyncNowReply {
        sent: progress.sent,
        to_send: progress.to_send,
        received: progress.received,
        to_receive: progress.to_receive,
        report: report.map(|report| wire::SyncReport {
            sent: report.summary.sent,
            received: report.summary.received,
            refused: report.summary.refusals.len() as u64,
            refusals: report.summary.refusals.iter().map(not_kept).collect(),
            clock_offset_ms: report.summary.offset_ms.map_or(0, |(offset, _)| offset),
            measured_offset_ms: report.summary.offset_ms.map(|(offset, _)| offset),
            county_size: report.summary.county_size,
            waiting: report.waiting,
            pictures_sent: report.pictures.sent,
            pictures_fetched: report.pictures.fetched,
            pictures_waiting: report.pictures.waiting,
            pictures_to_fetch: report.pictures.to_fetch,
            pictures_said: report.pictures.said,
            given_back: report.summary.moved.as_ref().map_or(0, |it| it.given_back),
            moved: report.summary.moved.map(|moved| begun::moved(*moved)),
        }),
    }
}

/// One event that the county did not keep: by its short name, without the stable reason that
/// stands before the words.
fn not_kept((id, why): &(EventId, String)) -> String {
    let said = match why.split_once(": ") {
        Some((reason, said)) if is_reason(reason) => said,
        Some(_) | None => why,
    };
    let short: String = id.to_string().chars().take(SHORT).collect();
    format!("event {short}: {said}")
}

fn is_reason(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_uppercase() || c == '_')
}

/// A sync that ended early, as the local service tells it: the network is told apart from a
/// refusal and from the own store, since a script acts differently on each.
pub(super) fn refusal(failure: SyncFailure) -> Refusal {
    let what = failure.to_string();
    let (code, reason, to_do) = match failure {
        SyncFailure::Connect(_) => (
            Code::Unavailable,
            "COUNTY_NOT_REACHED",
            "a carry file goes past it",
        ),
        SyncFailure::Lost { .. } => (Code::Unavailable, "CONNECTION_LOST", "nothing is lost"),
        SyncFailure::Busy { .. } => (Code::Unavailable, "COUNTY_BUSY", "nothing is lost"),
        SyncFailure::Refused(status) => {
            tracing::debug!(words = %refusal::words(&status), "the county refused");
            (
                Code::FailedPrecondition,
                "COUNTY_REFUSED",
                "nothing is lost; do what it says, then sync again",
            )
        }
        SyncFailure::Core(_) => (
            Code::DataLoss,
            "COUNTY_LOG_NOT_RIGHT",
            "nothing of it was kept; tell the lead",
        ),
        SyncFailure::Store(_) | SyncFailure::Gone(_) => (
            Code::Unavailable,
            "STORE_FAILED",
            "look at the disk, then start the service again",
        ),
        SyncFailure::Tls(_) => (
            Code::FailedPrecondition,
            "DEVICE_KEY_NOT_RIGHT",
            "bring the device's keys back from a backup, or join again",
        ),
    };
    Refusal::new(code, reason, what, to_do)
}

/// Notes how a sync ended, for `about`: that the county refused it, or that it went through. One
/// that met nobody says nothing about either.
pub(super) async fn note(shared: &Shared, done: &Result<SyncReport, SyncFailure>) {
    let refused = match done {
        Ok(_) => None,
        Err(SyncFailure::Refused(status)) => Some(SyncRefused {
            unix_ms: shared.clock().now().unix_ms,
            reason: refusal::reason(status).unwrap_or_default(),
            words: refusal::words(status),
        }),
        Err(_) => return,
    };
    let noted = shared
        .call(move |replica| replica.note_refused(refused.as_ref()))
        .await;
    match noted {
        Ok(Ok(())) | Err(_) => {}
        Ok(Err(error)) => tracing::error!(%error, "how the sync ended could not be noted"),
    }
}

/// Why the county refused the last sync, as `about` tells it.
pub(super) fn refused(refused: SyncRefused) -> wire::SyncRefused {
    wire::SyncRefused {
        unix_ms: refused.unix_ms,
        reason: refused.reason,
        words: refused.words,
    }
}

#[cfg(test)]
mod tests {
    use tonic::Status;

    use super::*;
    use crate::tls::ConnectError;

    #[test]
    fn an_event_that_was_not_kept_is_told_in_words() {
        let id = EventId::from_bytes([0xab; 32]);
        for (why, said) in [
            (
                "KEY_ONLY_READS: it may only read",
                "event abababab: it may only read",
            ),
            ("it may: only read", "event abababab: it may: only read"),
            ("", "event abababab: "),
        ] {
            assert_eq!(not_kept(&(id, why.to_owned())), said);
        }
    }

    /// How a sync that ended so is told.
    fn told(failure: SyncFailure) -> String {
        Status::from(refusal(failure)).message().to_owned()
    }

    #[test]
    fn a_sync_that_ended_early_says_what_is_wrong_and_what_to_do() {
        let refused = |reason, what: &str, to_do: &str| {
            let refusal = Refusal::new(Code::PermissionDenied, reason, what, to_do);
            SyncFailure::Refused(Box::new(refusal.into()))
        };
        let address = || "county.example:7341".to_owned();
        let all = [
            told(refused("KEY_ENDED", "the lead ended it", "ask the lead")),
            told(SyncFailure::Connect(ConnectError::Unreachable {
                address: address(),
                why: "refused".to_owned(),
            })),
            told(SyncFailure::Connect(ConnectError::OtherKey {
                address: address(),
            })),
            told(SyncFailure::Lost {
                address: address(),
                status: Box::new(Status::unavailable("")),
            }),
        ];
        insta::assert_snapshot!(all.join("\n"), @r"
        the county refused: the lead ended it: ask the lead: nothing is lost; do what it says, then sync again
        cannot reach county.example:7341: refused: check the network and the address; nothing is lost, try again: a carry file goes past it
        county.example:7341 answers with a key that is not the county's: nothing was sent; check the address, and tell the lead: a carry file goes past it
        the connection to county.example:7341 was lost: what was kept stays, sync again: nothing is lost
        ");
    }
}
