//! Messages of a sync, at both ends: from a device that was let in and sends what it likes, and
//! from a county that does.

use prost::Message as _;
use sponson_log::sync::county::{ReplyParts, Request, held_tails, proof_sizes, reply};
use sponson_log::sync::station::{StationSync, Step};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::county_entry::What;
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest};
use sponson_replica::Replica;

use crate::county::{self, DAY, START};
use crate::said::refused;

/// Steps of one sync; a station that is still at it after them goes round in circles.
const STEPS_MAX: usize = 64;

/// A station's request, its events and checkpoint signed anew.
///
/// # Panics
/// When what was kept does not verify, or the reply is longer than was asked for.
pub fn sync_request(data: &[u8]) {
    let Ok(mut asked) = ExchangeRequest::decode(data) else {
        return;
    };
    asked.events.iter_mut().for_each(county::sign_again);
    asked.root_events.iter_mut().for_each(county::sign_again);
    asked
        .checkpoint
        .iter_mut()
        .for_each(county::sign_checkpoint);
    let mut county = county::county();
    match Request::open(county.county(), asked) {
        Ok(request) => {
            let _ = replied_to(&mut county, request);
            verifies(&county);
        }
        Err(error) => refused(&error.to_string()),
    }
}

/// What the county's end does with a request, without the wire.
fn replied_to(county: &mut Replica, mut request: Request) -> ExchangeReply {
    let now = START + 3 * DAY;
    let roots = std::mem::take(&mut request.root_events);
    let kept = county.keep(roots, ChunkSource::Station, now);
    let _ = kept.expect("the disk is whole");
    if let Some(shown) = &request.checkpoint {
        let _ = county.holds_what_it_signed(shown);
    }
    let events = std::mem::take(&mut request.events);
    let kept = county.keep_stored(events, &request.stored_before, ChunkSource::Station, now);
    for not_kept in kept.expect("the disk is whole").refused {
        refused(&not_kept.detail);
    }
    let checkpoint = county.checkpoint(now).expect("the county signs");
    let first = request.first(checkpoint.log);
    let most = request.entries_bytes_max;
    let entries = county.entries(first, most, &|event| request.holds(event, county.chains()));
    let path = proof_sizes(first, entries.len(), checkpoint.size)
        .and_then(|(old, new)| county.tree().consistency(old, new));
    let parts = ReplyParts {
        checkpoint: &checkpoint,
        entries,
        path: path.unwrap_or_default(),
        held: held_tails(&request, county.chains()),
        refusals: request.refusals(),
        root_events: county.root_events(),
        received_unix_ms: now,
        sent_unix_ms: now,
    };
    let reply = reply(&request, parts);
    assert!(reply.entries.len() <= 1 || reply.encoded_len() <= 4 * 1024 * 1024);
    reply
}

/// Replies of a county, one after the other, each with two bytes of length before it; their events
/// and checkpoints are signed anew.
///
/// # Panics
/// When the station keeps what does not verify, or does not come to an end.
pub fn sync_reply(data: &[u8]) {
    let mut station = county::station();
    let mut sync = StationSync::begin(station.station_has());
    let mut rest = data;
    for _ in 0..STEPS_MAX {
        match sync.next(START + 3 * DAY) {
            Step::Load { from, bytes_max } => {
                let (events, last) = station.unproven(from, bytes_max);
                sync.loaded(events, last);
            }
            Step::LoadPlaced { from, bytes_max } => {
                let (events, last) = station.placed(from, bytes_max);
                sync.loaded_placed(events, last);
            }
            Step::Send(_) => {
                let Some(reply) = next_reply(&mut rest) else {
                    break;
                };
                if let Err(error) = sync.replied(reply, START + 3 * DAY, 10) {
                    refused(&error.to_string());
                    break;
                }
            }
            Step::Keep(run) => match station.keep_run(&run, START + 3 * DAY) {
                Ok(_) => sync.kept(),
                Err(error) => {
                    refused(&error.to_string());
                    break;
                }
            },
            Step::Done(_) => break,
        }
    }
    verifies(&station);
}

fn next_reply(rest: &mut &[u8]) -> Option<ExchangeReply> {
    let (length, after) = rest.split_first_chunk::<2>()?;
    let length = usize::from(u16::from_be_bytes(*length)).min(after.len());
    let (reply, after) = after.split_at(length);
    *rest = after;
    let mut reply = ExchangeReply::decode(reply).ok()?;
    for entry in &mut reply.entries {
        if let Some(What::Event(event)) = &mut entry.what {
            county::sign_again(event);
        }
    }
    reply.root_events.iter_mut().for_each(county::sign_again);
    reply
        .checkpoint
        .iter_mut()
        .for_each(county::sign_checkpoint);
    Some(reply)
}

/// Nothing is wrong with what a replica holds, but for chains that parted: whoever holds a key can
/// part its chain, and the lead is told.
pub(crate) fn verifies(replica: &Replica) {
    let verified = replica.verify(&mut |_, _| {});
    let parted = usize::try_from(verified.parted).unwrap_or(usize::MAX);
    assert!(
        verified.wrong.len() <= parted,
        "kept what does not verify: {:?}",
        verified.wrong
    );
}
