//! Recording what a check became, event by event, so that a cut anywhere repeats none of them.
//!
//! First what is to be recorded is written down, then each event goes to the log and its id into
//! the check's file. An event that reached the log before its id was written down is found there by
//! what it says.

use prost::Message as _;
use sponson_proto::event::v1::Body;
use sponson_proto::service::v1 as wire;
use sponson_replica::{Page, Replica};
use tonic::Code;

use super::calls::{by, not_kept, not_open, not_there, of};
use super::check::Plan;
use super::file::FILE_BYTES_MAX;
use super::line::{By, InLog, Line, Recording};
use super::{Held, UnderWay};
use crate::local::read;
use crate::local::service::append;
use crate::refusal::Refusal;
use crate::shared::Shared;

/// Events of one check: each of eight members with a check of her own, and air added to a dozen
/// parts.
const EVENTS_MAX: usize = 32;

/// Left in the file for the lines that say what is in the log.
const LINES_BYTES: u64 = 64 * 1024;

/// Records a check, or goes on recording it.
pub(in crate::local) async fn record(
    shared: &Shared,
    request: wire::RecordUnderWayRequest,
) -> Result<wire::RecordUnderWayReply, Refusal> {
    let under_way = of(shared)?;
    let by = by(shared, &request.member)?;
    let _alone = under_way.recording.lock().await;
    let id = request.id.clone();
    let begun = fix(shared, &under_way, request, by).await?;
    let recorded = record_all(shared, &under_way, &id, begun).await;
    under_way.changed();
    recorded
}

/// Goes on with every check that a cut left half recorded: what its member signed for is fixed.
pub(in crate::local) async fn go_on(shared: Shared) {
    let Ok(under_way) = of(&shared) else {
        return;
    };
    let half = |held: &mut Held| {
        let checks = held.checks.values();
        let half = checks.filter(|(check, _)| check.plan().is_some());
        Ok(half
            .map(|(check, _)| check.id().to_owned())
            .collect::<Vec<_>>())
    };
    for id in under_way.call(half).await.unwrap_or_default() {
        let request = wire::RecordUnderWayRequest {
            id: id.clone(),
            ..wire::RecordUnderWayRequest::default()
        };
        if let Err(refusal) = record(&shared, request).await {
            // It stays as it is, and whoever looks at it is told.
            tracing::warn!(
                check = id,
                why = refusal.what(),
                "a check is still half recorded"
            );
        }
    }
}

/// When what is to be recorded was written down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fixed {
    /// Now: nothing of it is in the log.
    Now,
    /// Before a cut: some of it may be.
    Before,
}

/// Writes down what is to be recorded, unless a cut left that behind.
async fn fix(
    shared: &Shared,
    under_way: &UnderWay,
    request: wire::RecordUnderWayRequest,
    by: By,
) -> Result<Fixed, Refusal> {
    let held = shared.held().borrow().events;
    let fixed = move |open: &mut Held| {
        let (check, file) = open
            .checks
            .get(&request.id)
            .ok_or_else(|| not_there(&request.id))?;
        if check.plan().is_some() {
            return Ok(Fixed::Before);
        }
        if !check.is_open() {
            return Err(not_open(check));
        }
        if check.entries() != request.entries {
            return Err(Refusal::new(
                Code::Aborted,
                "CHECK_CHANGED",
                "somebody entered something in this check meanwhile",
                "look at it again, then record it",
            ));
        }
        if request.events.is_empty() || request.events.len() > EVENTS_MAX {
            return Err(Refusal::field(
                format!("{} events were sent", request.events.len()),
                format!("a check becomes 1 to {EVENTS_MAX}"),
            ));
        }
        let events = request.events.iter();
        let line = Line::Recording(Recording {
            by,
            held,
            events: events.map(|event| event.encode_to_vec().into()).collect(),
        });
        let long = line.to_text().map_err(|error| not_kept(&error))?.len();
        let after = file.bytes() + u64::try_from(long).unwrap_or(u64::MAX);
        if after > FILE_BYTES_MAX - LINES_BYTES {
            return Err(too_long(after));
        }
        let written = open.write(&request.id, line);
        written.map_err(|error| not_kept(&error))?;
        Ok(Fixed::Now)
    };
    under_way.call(fixed).await
}

fn too_long(bytes: u64) -> Refusal {
    Refusal::new(
        Code::ResourceExhausted,
        "CHECK_FULL",
        format!(
            "this check takes {bytes} bytes with what is to be recorded, and at most {} are kept of one",
            FILE_BYTES_MAX - LINES_BYTES
        ),
        "shorten its notes, or leave out fields and enter them in another check",
    )
}

/// Takes event after event to the log until all are there.
async fn record_all(
    shared: &Shared,
    under_way: &UnderWay,
    id: &str,
    fixed: Fixed,
) -> Result<wire::RecordUnderWayReply, Refusal> {
    let mut replies = Vec::new();
    loop {
        let Some((plan, place)) = next(under_way, id).await? else {
            break;
        };
        let Some(request) = plan.events.get(place).cloned() else {
            break;
        };
        let found = match fixed {
            Fixed::Before => find(shared, request.clone(), plan.held).await?,
            Fixed::Now => None,
        };
        let reply = match found {
            Some(event_id) => wire::AppendReply {
                event_id,
                ..wire::AppendReply::default()
            },
            None => match append(shared, request).await {
                Ok(reply) => reply,
                Err(refusal) => return refused(shared, under_way, id, place, refusal).await,
            },
        };
        let in_log = Line::InLog(InLog {
            event: reply.event_id.clone(),
        });
        write(under_way, id, in_log).await?;
        replies.push(reply);
    }
    let recorder = write_end(shared, under_way, id).await?;
    Ok(wire::RecordUnderWayReply {
        check: Some(recorder),
        recorded: replies,
    })
}

/// What is to be recorded, and how much of it is in the log; none when nothing is being recorded.
async fn next(under_way: &UnderWay, id: &str) -> Result<Option<(Plan, usize)>, Refusal> {
    let id = id.to_owned();
    let next = move |held: &mut Held| {
        let (check, _) = held.checks.get(&id).ok_or_else(|| not_there(&id))?;
        let plan = check.plan().map(|(_, plan)| plan.clone());
        Ok(plan.map(|plan| (plan, check.recorded())))
    };
    under_way.call(next).await
}

async fn write(under_way: &UnderWay, id: &str, line: Line) -> Result<(), Refusal> {
    let id = id.to_owned();
    let written = move |held: &mut Held| {
        let written = held.write(&id, line);
        written.map_err(|error| not_kept(&error)).map(drop)
    };
    under_way.call(written).await
}

async fn write_end(
    shared: &Shared,
    under_way: &UnderWay,
    id: &str,
) -> Result<wire::CheckUnderWay, Refusal> {
    let id = id.to_owned();
    let unix_ms = shared.clock().now().unix_ms;
    let ended = move |held: &mut Held| {
        let (check, _) = held.checks.get(&id).ok_or_else(|| not_there(&id))?;
        let by = check.plan().map(|(by, _)| by.clone()).unwrap_or_default();
        let ended = held.write(&id, Line::Recorded(By { unix_ms, ..by }));
        let check = ended.map_err(|error| not_kept(&error))?;
        Ok(check.ok_or_else(|| not_there(&id))?.to_wire(true))
    };
    under_way.call(ended).await
}

/// The log refused an event. When none of the check is in it, fields can be set right again.
async fn refused(
    shared: &Shared,
    under_way: &UnderWay,
    id: &str,
    place: usize,
    refusal: Refusal,
) -> Result<wire::RecordUnderWayReply, Refusal> {
    if place == 0 && refusal.is_of_the_request() {
        let by = by(shared, "")?;
        write(under_way, id, Line::OpenAgain(by)).await?;
    }
    Err(refusal)
}

/// An event of this device that says the same and was recorded since.
async fn find(
    shared: &Shared,
    request: wire::AppendRequest,
    held: u64,
) -> Result<Option<bytes::Bytes>, Refusal> {
    shared
        .call(move |replica| find_in(replica, &request, held))
        .await?
}

fn find_in(
    replica: &mut Replica,
    request: &wire::AppendRequest,
    held: u64,
) -> Result<Option<bytes::Bytes>, Refusal> {
    let subject = match request.subjects.first() {
        Some(subject) => read::subject(&subject.id)?,
        None => None,
    };
    let about = replica.about();
    let own = about.key.to_bytes();
    // A store that was filled anew numbers its events anew: then all are looked through.
    let held = if about.events < held { 0 } else { held };
    let mut page = Page::Newest;
    loop {
        let reply = read::log(replica, subject, page, read::PAGE_LINES_MAX)?;
        let newer = reply.lines.iter().filter(|line| line.number >= held);
        let mut same = newer.filter(|line| says(line, request, &own));
        if let Some(line) = same.next() {
            return Ok(Some(line.event_id.clone()));
        }
        let older = reply.lines.first().is_none_or(|line| line.number < held);
        if older || reply.next_page_token.is_empty() {
            return Ok(None);
        }
        page = read::page_token(&reply.next_page_token)?;
    }
}

/// Whether a line of the log is what a request was to record.
fn says(line: &wire::LogLine, request: &wire::AppendRequest, own: &[u8]) -> bool {
    let body = line.event.as_ref().map(|event| event.body.clone());
    let Some(body) = body.and_then(|body| Body::decode(body).ok()) else {
        return false;
    };
    let by_this_device = body.header.is_some_and(|header| header.key == own);
    by_this_device
        && line.kind == request.kind
        && line.member == request.member
        && body.payload == request.payload
}
