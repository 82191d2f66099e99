//! A sync from beginning to end, by the sync core at both ends and without a network.

use prost::Message as _;
use sponson_log::ids::SubjectId;
use sponson_log::sync::county::{ReplyParts, Request, heard, held_tails, proof_sizes, reply};
use sponson_log::sync::station::{StationSync, Step};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest};
use sponson_replica::Replica;

/// Rounds after which a sync does not come to an end any more: a thousand chunks of the first size
/// are 16 MB.
const ROUNDS_MAX: u64 = 1_000;

/// What a sync took.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Met {
    /// Requests, each with its reply.
    pub rounds: u64,
    /// Bytes of them all, before compression.
    pub bytes: u64,
}

/// Meets until both are done.
///
/// # Panics
/// When a store fails, or it does not come to an end.
pub fn meet(station: &mut Replica, county: &mut Replica, id: SubjectId, now_ms: i64) -> Met {
    let mut core = StationSync::begin(station.station_has());
    let mut met = Met::default();
    loop {
        match core.next(now_ms) {
            Step::Load { from, bytes_max } => {
                let (events, last) = station.unproven(from, bytes_max);
                core.loaded(events, last);
            }
            Step::LoadPlaced { from, bytes_max } => {
                let (events, last) = station.placed(from, bytes_max);
                core.loaded_placed(events, last);
            }
            Step::Send(request) => {
                met.rounds += 1;
                assert!(met.rounds < ROUNDS_MAX, "a sync comes to an end");
                let bytes = request.encoded_len();
                let replied = exchange(county, id, *request, now_ms);
                met.bytes += (bytes + replied.encoded_len()) as u64;
                let taken = core.replied(replied, now_ms, 100);
                taken.expect("the county's reply is right");
            }
            Step::Keep(run) => {
                let kept = station.keep_run(&run, now_ms);
                kept.expect("the store is whole");
                core.kept();
            }
            Step::Done(summary) => {
                let noted = station.note_heard(&summary.heard);
                noted.expect("the store is whole");
                return met;
            }
        }
    }
}

/// One round at the county: keeps, and only then answers from one state of the log.
fn exchange(
    county: &mut Replica,
    station: SubjectId,
    request: ExchangeRequest,
    now_ms: i64,
) -> ExchangeReply {
    let mut asked = Request::open(county.county(), request).expect("a station's own request");
    let events = std::mem::take(&mut asked.events);
    let kept = county.keep(events, ChunkSource::Station, now_ms);
    assert_eq!(kept.expect("the store is whole").refused, []);
    let checkpoint = county.checkpoint(now_ms).expect("it is the county");
    let first = asked.first(checkpoint.log);
    let entries = county.entries(first, asked.entries_bytes_max, &|event| {
        asked.holds(event, county.chains())
    });
    let end = first.saturating_add(entries.len() as u64);
    let path = proof_sizes(first, entries.len(), checkpoint.size)
        .and_then(|(old, new)| county.tree().consistency(old, new));
    let parts = ReplyParts {
        checkpoint: &checkpoint,
        entries,
        path: path.unwrap_or_default(),
        held: held_tails(&asked, county.chains()),
        refusals: asked.refusals(),
        root_events: county.root_events(),
        received_unix_ms: now_ms,
        sent_unix_ms: now_ms,
    };
    let mut replied = reply(&asked, parts);
    if end == checkpoint.size {
        replied.heard = heard(county.heard_directly());
    }
    if asked.is_all_held(checkpoint.log, county.chains()) {
        let noted = county.heard(station, now_ms);
        noted.expect("the store is whole");
    }
    replied
}
