//! Pictures at the local service: kept before the event that commits to them, given to whoever asks.

use std::collections::BTreeSet;

use prost::Message as _;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{Digest, EventId, SubjectId};
use sponson_proto::event::v1::{Attachment, Check, Fault, FaultFound, Kind};
use sponson_proto::service::v1 as wire;
use sponson_replica::{NewPicture, Page, PicturePlace, Replica};

use crate::refusal::{Refusal, picture_refused, row_damaged};
use crate::shared::Shared;

/// Pictures of one subject that are listed: more help nobody, and a page of them is 6 MB at most.
const LISTED_MAX: usize = 24;

/// Entries of one subject that are looked through for pictures: of a busy craft a year.
const ENTRIES_MAX: usize = 1_000;

/// A picture of a subject.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PictureOf {
    /// Its commitment, by which it is asked for.
    pub id: Digest,
    /// The entry that it belongs to.
    pub event: EventId,
    /// The fault of that entry that it shows.
    pub fault: Option<PicturedFault>,
    /// When the entry that commits to it was recorded, as claimed.
    pub unix_ms: i64,
    /// Where it is.
    pub place: PicturePlace,
}

/// A fault with a picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PicturedFault {
    /// Its position in its entry.
    pub ordinal: u32,
    /// Its class.
    pub class: String,
    /// Its part.
    pub part: String,
    /// It is open.
    pub open: bool,
}

/// Pictures of a subject: of open faults first, then the newest.
///
/// # Errors
/// When a row is damaged.
pub(super) fn of_subject(
    replica: &mut Replica,
    subject: SubjectId,
) -> Result<Vec<PictureOf>, Refusal> {
    let open: BTreeSet<(EventId, u32)> = replica
        .catalogue()
        .entries
        .into_iter()
        .filter(|entry| entry.id == subject)
        .flat_map(|entry| entry.faults)
        .map(|fault| (fault.event, fault.ordinal))
        .collect();
    let lines = replica
        .log_page(Some(&subject), Page::Newest, ENTRIES_MAX)
        .map_err(|error| row_damaged(&error))?;
    let mut found = Vec::new();
    for line in lines.iter().rev() {
        for beside in replica.pictures_beside(&line.event.id()) {
            let Some((event, faults)) = belongs(replica, &line.event)? else {
                continue;
            };
            let ordinal = beside.belongs_to.strip_prefix("fault:");
            let ordinal = ordinal.and_then(|ordinal| ordinal.parse::<u32>().ok());
            let fault = ordinal.and_then(|ordinal| {
                let found = faults.get(usize::try_from(ordinal).ok()?)?;
                Some(PicturedFault {
                    ordinal,
                    class: found.class.clone(),
                    part: found.part.clone(),
                    open: open.contains(&(event, ordinal)),
                })
            });
            found.push(PictureOf {
                id: beside.id,
                event,
                fault,
                unix_ms: line.event.header().clock.unix_ms,
                place: beside.place,
            });
        }
    }
    // The newest come first already, and a stable sort keeps them so.
    found.sort_by_key(|it| !it.fault.as_ref().is_some_and(|fault| fault.open));
    found.truncate(LISTED_MAX);
    Ok(found)
}

/// The entry that an event's pictures belong to, and the faults in it: its own, or those of the entry
/// that it adds pictures to.
fn belongs(
    replica: &Replica,
    event: &SignedEvent,
) -> Result<Option<(EventId, Vec<FaultFound>)>, Refusal> {
    if event.header().kind != Kind::Attachment as i32 {
        return Ok(Some((event.id(), faults(event))));
    }
    let named = Attachment::decode(event.payload().clone()).ok();
    let Some(id) = named.and_then(|it| EventId::parse("event", &it.event).ok()) else {
        return Ok(None);
    };
    let named = replica.event(&id).map_err(|error| row_damaged(&error))?;
    Ok(named.map(|named| (id, faults(&named))))
}

fn faults(event: &SignedEvent) -> Vec<FaultFound> {
    let payload = event.payload().clone();
    let kind = event.header().kind;
    if kind == Kind::Fault as i32 {
        Fault::decode(payload).map_or_else(|_| Vec::new(), |it| it.faults)
    } else if kind == Kind::Check as i32 {
        Check::decode(payload).map_or_else(|_| Vec::new(), |it| it.faults)
    } else {
        Vec::new()
    }
}

/// Reads a commitment as a page names it.
pub(super) fn named(name: &str) -> Result<Digest, Refusal> {
    Digest::from_hex(name).ok_or_else(|| {
        Refusal::new(
            tonic::Code::NotFound,
            "PICTURE_NOT_KNOWN",
            "no picture has this name",
            "go back to the page that shows it",
        )
    })
}

/// Reads a commitment.
pub(super) fn id(bytes: &[u8]) -> Result<Digest, Refusal> {
    Digest::parse("picture", bytes)
        .map_err(|error| Refusal::field(error.to_string(), "name it as it was given out"))
}

/// Reads which pictures an event is to commit to.
pub(super) fn read(pictures: Vec<wire::AppendPicture>) -> Result<Vec<(String, Digest)>, Refusal> {
    let read = pictures
        .into_iter()
        .map(|it| Ok((it.belongs_to, id(&it.picture)?)));
    read.collect()
}

/// Keeps a picture, durably; gives its commitment.
///
/// # Errors
/// When it is no JPEG, too large, or there is no room.
pub(crate) async fn keep(shared: &Shared, content: Vec<u8>) -> Result<Digest, Refusal> {
    let salt = shared.entropy().draw();
    let kept = shared.call(move |replica| replica.keep_picture(&NewPicture { salt, content }));
    kept.await?.map_err(|error| picture_refused(&error))
}

/// A picture that is here; one that nothing commits to yet too.
///
/// # Errors
/// When it is not here, was removed, or is damaged.
pub(crate) async fn give(shared: &Shared, id: Digest) -> Result<Vec<u8>, Refusal> {
    let picture = shared.call(move |replica| replica.picture_under_way(&id));
    let picture = picture.await?.map_err(|error| picture_refused(&error))?;
    Ok(picture.content)
}

/// What a replica says of its pictures.
pub(super) fn add(reply: wire::AboutReply, replica: &Replica) -> wire::AboutReply {
    let pictures = replica.pictures_about();
    wire::AboutReply {
        pictures: pictures.held,
        picture_bytes: pictures.bytes,
        pictures_waiting: pictures.waiting,
        pictures_missing: pictures.missing,
        ..reply
    }
}
