//! Proof files over the local service: an event by its name, and why it cannot be proved.

use sponson_log::ids::EventId;
use sponson_proto::service::v1::ProveReply;
use sponson_replica::{ProveError, Replica};
use tonic::Code;

use crate::refusal::{Refusal, row_damaged};

/// Digits that an event's name has at least, as the log shows twelve: with eight of them two of
/// 10,000 events begin alike in 1 of 86 logs, and then both are named.
const DIGITS_MIN: usize = 8;

/// Makes the proof file of an event that is named by the beginning of its id.
pub(super) fn prove(
    replica: &Replica,
    name: &str,
    now_unix_ms: i64,
) -> Result<ProveReply, Refusal> {
    let id = event(replica, name)?;
    let file = replica.prove(&id, now_unix_ms).map_err(refused)?;
    Ok(ProveReply {
        event_id: id.to_bytes(),
        file: file.into(),
    })
}

fn event(replica: &Replica, name: &str) -> Result<EventId, Refusal> {
    // A fault goes by its event and its place there: that event is meant.
    let digits = name.trim().split('-').next().unwrap_or_default();
    let hexadecimal = digits.bytes().all(|byte| byte.is_ascii_hexdigit());
    if !hexadecimal || !(DIGITS_MIN..=2 * EventId::LEN).contains(&digits.len()) {
        return Err(Refusal::field(
            format!(
                "event has {} characters; its name has {DIGITS_MIN} to 64 hexadecimal digits",
                digits.chars().count()
            ),
            "give it as log shows it",
        ));
    }
    match replica.named(digits).as_slice() {
        [id] => Ok(*id),
        [] => Err(Refusal::new(
            Code::NotFound,
            "EVENT_NOT_KNOWN",
            format!("no event {digits} is held here"),
            "sync, or look in log",
        )),
        several => {
            let ids: Vec<String> = several.iter().map(EventId::to_string).collect();
            Err(Refusal::new(
                Code::InvalidArgument,
                "EVENT_NAMED_TWICE",
                format!("several events begin with {digits}"),
                format!("give more of one of {}", ids.join(", ")),
            ))
        }
    }
}

fn refused(error: ProveError) -> Refusal {
    let (code, reason, to_do) = match &error {
        ProveError::Row(row) => return row_damaged(row),
        ProveError::NotHeld(_) => (Code::NotFound, "EVENT_NOT_KNOWN", "nothing was written"),
        ProveError::Waiting(_) | ProveError::NotCovered(_) => (
            Code::FailedPrecondition,
            "EVENT_NOT_STORED",
            "nothing was written",
        ),
        ProveError::NotAdmitted => (
            Code::FailedPrecondition,
            "KEY_NOT_ADMITTED",
            "nothing was written",
        ),
        ProveError::TooLong { .. } => (
            Code::FailedPrecondition,
            "PROOF_TOO_LONG",
            "nothing was written",
        ),
        ProveError::Wrong(_) => (Code::DataLoss, "STORE_WRONG", "nothing was written"),
    };
    Refusal::new(code, reason, error.to_string(), to_do)
}
