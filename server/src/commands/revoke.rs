//! `revoke`: ends the key of a device.

use bytes::Bytes;
use clap::Args;
use sponson_client::CommandError;
use sponson_client::catalogue::{ID_DIGITS_MIN, hex, short_event};
use sponson_client::commands::log::find_event;
use sponson_client::confirm::{Asked, confirm};
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{Body, KeyEndReason, KeyEnded, Kind};
use sponson_proto::service::v1::{Device, LogLine};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use prost::Message as _;

use crate::devices::{Devices, called, chain, entries, reason_word};
use crate::error::CountyError;

/// End the key of a device that was lost, replaced, copied or retired. It can no longer connect,
/// and nothing that it recorded after its last good entry counts.
///
/// Given again, the newest one stands: so a wrong last good entry is put right.
#[derive(Args, Debug)]
pub struct RevokeArgs {
    /// The device, as devices lists it, for example "North Landing/1".
    device: String,
    /// Why.
    #[arg(value_enum)]
    reason: Reason,
    /// Its last good entry: an event by its short name, its number among the device's entries, or
    /// none. Everything that the county holds of it now when not given; if the device was copied
    /// or restored, what came before that.
    #[arg(long, value_name = "EVENT|NUMBER|none")]
    last_good: Option<String>,
    /// Do not ask.
    #[arg(long)]
    yes: bool,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Reason {
    /// Nobody knows who has it.
    Lost,
    /// Another device took over.
    Replaced,
    /// Its folder was copied, or an old copy was put back.
    Copied,
    /// It is not used any more.
    Retired,
}

/// The last good entry, and what to say about how it was chosen.
#[derive(Debug, PartialEq, Eq)]
struct LastGood {
    seq: u64,
    event: Bytes,
    why: &'static str,
}

/// Records the end.
///
/// # Errors
/// When the device or its last good entry is not known, nobody confirms, or the service refuses.
pub async fn run(args: &RevokeArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let devices = Devices::fetch(session).await?;
    let device = devices.find(&args.device)?;
    if device.working {
        return Err(refused(
            "DEVICE",
            &called(device),
            "it is the county's own key: only the root key ends that",
        ));
    }
    let last = last_good(args, device, session).await?;
    let newest = device.heads.iter().map(|head| head.seq).max().unwrap_or(0);
    let said = what_follows(device, &last, newest);
    session.terminal().talk(&said)?;
    confirm(session, Asked::from(args.yes), "End its key?").await?;
    let reason = reason(args.reason);
    let message = KeyEnded {
        key: device.key.clone(),
        last_good: last.event.clone(),
        last_good_seq: last.seq,
        reason: reason.into(),
    };
    let event = session
        .record(Kind::KeyEnded, &message, Record::default())
        .await?;
    let mut said = format!(
        "{}: its key has ended ({})",
        called(device),
        reason_word(reason)
    );
    if newest > last.seq {
        said.push_str("\nlook at what does not count any more, then dismiss it");
    }
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}

const fn reason(reason: Reason) -> KeyEndReason {
    match reason {
        Reason::Lost => KeyEndReason::Lost,
        Reason::Replaced => KeyEndReason::Replaced,
        Reason::Copied => KeyEndReason::Copied,
        Reason::Retired => KeyEndReason::Retired,
    }
}

fn what_follows(device: &Device, last: &LastGood, newest: u64) -> String {
    let name = called(device);
    let good = if last.seq == 0 {
        "nothing of it counts".to_owned()
    } else {
        let event = short_event(&last.event);
        format!("entries 1 to {} count, the last is {event}", last.seq)
    };
    let after = newest.saturating_sub(last.seq);
    let after = if after == 0 {
        String::new()
    } else {
        format!(
            "; after that {} held here: unconfirmed, until dismissed",
            entries(after)
        )
    };
    let more = match device
        .ended_at
        .map(|before| last.seq.saturating_sub(before))
    {
        None | Some(0) => String::new(),
        Some(more) => format!("; {} that did not count will count", entries(more)),
    };
    format!("{name}: {good}{after}{more}\n{}", last.why)
}

async fn last_good(
    args: &RevokeArgs,
    device: &Device,
    session: &mut Session<'_>,
) -> Result<LastGood, CountyError> {
    let chosen = "as you said";
    match args.last_good.as_deref().map(str::trim) {
        None => by_default(device, session).await,
        Some("none") => Ok(LastGood {
            seq: 0,
            event: Bytes::new(),
            why: chosen,
        }),
        Some(text) if text.len() < ID_DIGITS_MIN && text.bytes().all(|b| b.is_ascii_digit()) => {
            let seq = text.parse().unwrap_or(u64::MAX);
            let at = chain(session, device, seq).await?.at;
            match at.as_slice() {
                [one] => Ok(LastGood {
                    seq,
                    event: one.clone(),
                    why: chosen,
                }),
                [] => Err(refused(
                    "--last-good",
                    text,
                    "the county holds no such entry of it",
                )),
                [_, _, ..] => {
                    let names: Vec<String> = at.iter().map(|id| hex(id)).collect();
                    let limit = format!("its entries part there: give one of {}", names.join(", "));
                    Err(refused("--last-good", text, &limit))
                }
            }
        }
        Some(text) => {
            let line = find_event(text, session).await?;
            if key_of(&line) != device.key {
                return Err(refused("--last-good", text, "another device recorded it"));
            }
            Ok(LastGood {
                seq: line.seq,
                event: line.event_id.clone(),
                why: chosen,
            })
        }
    }
}

fn key_of(line: &LogLine) -> Bytes {
    let body = line.event.as_ref().map(|event| event.body.clone());
    let body = Body::decode(body.unwrap_or_default()).unwrap_or_default();
    body.header.unwrap_or_default().key
}

/// Everything that is held now, unless the entries part in two: then what came before.
async fn by_default(device: &Device, session: &mut Session<'_>) -> Result<LastGood, CountyError> {
    if let Some(last) = device.ended_at {
        let limit = format!("it has ended after entry {last}: give --last-good to say otherwise");
        return Err(refused("DEVICE", &called(device), &limit));
    }
    if let Some(parted) = device.parted_at {
        let seq = parted.saturating_sub(1);
        let at = chain(session, device, seq).await?.at;
        let event = at.into_iter().next().unwrap_or_default();
        let seq = if event.is_empty() { 0 } else { seq };
        let why = "its folder was copied or restored: nobody can tell here whose entries are right after that; give --last-good to say so";
        return Ok(LastGood { seq, event, why });
    }
    let newest = device.heads.iter().max_by_key(|head| head.seq);
    Ok(LastGood {
        seq: newest.map_or(0, |head| head.seq),
        event: newest.map_or_else(Bytes::new, |head| head.event_id.clone()),
        why: "everything that the county holds of it now counts; give --last-good if it was in other hands before",
    })
}

fn refused(field: &str, value: &str, limit: &str) -> CountyError {
    CountyError::Command(CommandError::Refused {
        field: field.to_owned(),
        value: clean(value),
        limit: limit.to_owned(),
    })
}
