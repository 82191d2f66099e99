//! What can be asked of checks under way: list, begin, enter, drop. Recording is in `recording`.

use sponson_log::event::MEMBER_BYTES_MAX;
use sponson_log::ids::{EventId, SubjectId};
use sponson_proto::service::v1 as wire;
use sponson_replica::TEXT_BYTES_MAX;
use tonic::Code;

use super::check::Check;
use super::file::ENTRIES_BYTES_MAX;
use super::line::{Begun, By, Entered, KindWord, Line};
use super::{Held, OPEN_MAX, UnderWay};
use crate::refusal::Refusal;
use crate::shared::{Gone, Shared};

/// Fields of one entry: a stop with a bag of 60 lines, four fields each.
const ENTRY_FIELDS_MAX: usize = 256;

/// Fields of one check: 200 lines with five fields each.
const FIELDS_MAX: usize = 1_000;

/// Longest name of a field: a bag's number of 64 bytes and an item's id beside it.
const NAME_BYTES_MAX: usize = 160;

/// Longest value: a note, as long as one beside an event may be.
const VALUE_BYTES_MAX: usize = TEXT_BYTES_MAX;

/// Longest number of a craft.
const NUMBER_BYTES_MAX: usize = 64;

/// Tries to draw an id that no check has.
const DRAWS: usize = 8;

impl UnderWay {
    /// Calls what is open on a thread for blocking work; a changed state is told.
    pub(super) async fn call<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Held) -> Result<T, Refusal> + Send + 'static,
    ) -> Result<T, Refusal> {
        let held = std::sync::Arc::clone(&self.held);
        let done = tokio::task::spawn_blocking(move || {
            let mut held = held.lock().map_err(|_| Gone::Broken)?;
            work(held.as_mut().ok_or(Gone::Closed)?)
        });
        done.await.map_err(|_| Gone::Broken)?
    }
}

/// The checks under way of what is served.
pub(super) fn of(shared: &Shared) -> Result<UnderWay, Refusal> {
    shared.under_way().cloned().ok_or_else(|| {
        Refusal::new(
            Code::FailedPrecondition,
            "NO_CHECKS_HERE",
            "checks under way are kept at stations, not here",
            "enter the check at its station, or give it as a file",
        )
    })
}

/// Counts every change of them.
pub(in crate::local) fn changes(
    shared: &Shared,
) -> Result<tokio::sync::watch::Receiver<u64>, Refusal> {
    Ok(of(shared)?.changes())
}

/// Lists them.
pub(in crate::local) async fn list(
    shared: &Shared,
    request: wire::UnderWayRequest,
) -> Result<wire::UnderWayReply, Refusal> {
    let under_way = of(shared)?;
    let now = shared.clock().now().unix_ms;
    let changes = *under_way.changes.borrow();
    let listed = move |held: &mut Held| {
        held.prune(now);
        let all = held.checks.values().map(|(check, _)| check);
        let asked = |check: &&Check| request.id.is_empty() || check.id() == request.id;
        let checks = all.filter(asked);
        let mut checks: Vec<_> = checks
            .map(|check| check.to_wire(!request.without_fields))
            .collect();
        if checks.is_empty() && !request.id.is_empty() {
            return Err(not_there(&request.id));
        }
        checks.sort_by_key(|check| (check.stage, std::cmp::Reverse(check.changed_unix_ms)));
        Ok(wire::UnderWayReply { checks, changes })
    };
    under_way.call(listed).await
}

/// Begins one, or goes on with one that is like it.
pub(in crate::local) async fn begin(
    shared: &Shared,
    request: wire::BeginRequest,
) -> Result<wire::BeginReply, Refusal> {
    let under_way = of(shared)?;
    let by = by(shared, &request.member)?;
    let kind = KindWord::of(request.kind()).ok_or_else(|| {
        Refusal::field(
            "what the check is to be is not said",
            "full, short, part or fitting out",
        )
    })?;
    let is_id = |bytes: &[u8]| bytes.len() == SubjectId::LEN;
    if !is_id(&request.craft) || request.craft_number.len() > NUMBER_BYTES_MAX {
        return Err(Refusal::field(
            "no craft is named, or with a number that is too long",
            format!("name one by its id and a number of at most {NUMBER_BYTES_MAX} bytes"),
        ));
    }
    if request.standard.len() > EventId::LEN {
        let what = format!("standard has {} bytes", request.standard.len());
        return Err(Refusal::field(
            what,
            "name it by its event, or leave it out",
        ));
    }
    let entropy = shared.entropy().clone();
    let now = by.unix_ms;
    let or_go_on = request.or_go_on;
    let begun = move |held: &mut Held| {
        held.prune(now);
        let mut begun = Begun {
            id: String::new(),
            craft: request.craft,
            number: request.craft_number,
            kind,
            from_paper: request.from_paper,
            standard: request.standard,
            by,
        };
        let mut checks = held.checks.values();
        let like = checks.find(|(check, _)| check.is_like(&begun));
        if let Some((check, _)) = like.filter(|_| or_go_on) {
            let check = Some(check.to_wire(true));
            return Ok((
                wire::BeginReply {
                    check,
                    went_on: true,
                },
                false,
            ));
        }
        if held.open_checks() >= OPEN_MAX {
            return Err(Refusal::new(
                Code::ResourceExhausted,
                "TOO_MANY_CHECKS",
                format!("{OPEN_MAX} checks are under way here, and no more are kept"),
                "record or drop one of them",
            ));
        }
        begun.id = new_id(held, || entropy.draw())?;
        let check = held.begin(begun).map_err(|error| not_kept(&error))?;
        let check = Some(check.to_wire(true));
        Ok((
            wire::BeginReply {
                check,
                went_on: false,
            },
            true,
        ))
    };
    let (reply, new) = under_way.call(begun).await?;
    if new {
        under_way.changed();
    }
    Ok(reply)
}

fn new_id(held: &Held, draw: impl Fn() -> [u8; 4]) -> Result<String, Refusal> {
    let drawn = (0..DRAWS).map(|_| data_encoding::HEXLOWER.encode(&draw()));
    let mut free = drawn.filter(|id| !held.checks.contains_key(id));
    free.next()
        .ok_or_else(|| not_kept(&std::io::Error::other("no free name was drawn")))
}

/// Enters fields.
pub(in crate::local) async fn enter(
    shared: &Shared,
    request: wire::EnterRequest,
) -> Result<wire::EnterReply, Refusal> {
    let under_way = of(shared)?;
    let by = by(shared, &request.member)?;
    let fields = fields(request.fields)?;
    let id = request.id;
    let entered = move |held: &mut Held| {
        let (check, file) = held.checks.get(&id).ok_or_else(|| not_there(&id))?;
        if !check.is_open() {
            return Err(not_open(check));
        }
        if fields.is_empty() {
            return Ok((check.to_wire(true), false));
        }
        let names = fields.iter().filter(|(_, value)| !value.is_empty());
        let many = check.fields_with(names.map(|(name, _)| name)) > FIELDS_MAX;
        let line = Line::Entered(Entered { by, fields });
        let long = line.to_text().map_err(|error| not_kept(&error))?.len();
        if many || file.bytes() + u64::try_from(long).unwrap_or(u64::MAX) > ENTRIES_BYTES_MAX {
            return Err(full());
        }
        let check = held.write(&id, line).map_err(|error| not_kept(&error))?;
        let check = check.ok_or_else(|| not_there(&id))?;
        Ok((check.to_wire(true), true))
    };
    let (check, new) = under_way.call(entered).await?;
    if new {
        under_way.changed();
    }
    Ok(wire::EnterReply { check: Some(check) })
}

/// Drops one.
pub(in crate::local) async fn drop_it(
    shared: &Shared,
    request: wire::EndUnderWayRequest,
) -> Result<wire::EndUnderWayReply, Refusal> {
    let under_way = of(shared)?;
    let by = by(shared, &request.member)?;
    let _alone = under_way.recording.lock().await;
    let id = request.id;
    let dropped = move |held: &mut Held| {
        let (check, _) = held.checks.get(&id).ok_or_else(|| not_there(&id))?;
        if !check.is_open() {
            return Err(not_open(check));
        }
        let dropped = held.write(&id, Line::Dropped(by));
        let check = dropped.map_err(|error| not_kept(&error))?;
        Ok(check.ok_or_else(|| not_there(&id))?.to_wire(true))
    };
    let check = under_way.call(dropped).await?;
    under_way.changed();
    Ok(wire::EndUnderWayReply { check: Some(check) })
}

/// Who, and now.
pub(super) fn by(shared: &Shared, member: &str) -> Result<By, Refusal> {
    if member.len() > MEMBER_BYTES_MAX || member.chars().any(char::is_control) {
        return Err(Refusal::field(
            "the member number cannot be one",
            format!("give at most {MEMBER_BYTES_MAX} bytes"),
        ));
    }
    Ok(By {
        member: member.to_owned(),
        unix_ms: shared.clock().now().unix_ms,
    })
}

fn fields(typed: Vec<wire::FieldTyped>) -> Result<Vec<(String, String)>, Refusal> {
    if typed.len() > ENTRY_FIELDS_MAX {
        return Err(Refusal::field(
            format!("{} fields were sent at once", typed.len()),
            format!("send at most {ENTRY_FIELDS_MAX}"),
        ));
    }
    let field = |typed: wire::FieldTyped| {
        let value = typed.value.trim();
        let name_fits = !typed.name.is_empty()
            && typed.name.len() <= NAME_BYTES_MAX
            && !typed.name.chars().any(char::is_control);
        if name_fits && value.len() <= VALUE_BYTES_MAX {
            return Ok((typed.name, value.to_owned()));
        }
        Err(Refusal::field(
            format!(
                "field {} has a name or a value that is too long",
                sponson_show::clean(&typed.name.chars().take(NAME_BYTES_MAX).collect::<String>())
            ),
            format!("a value has at most {VALUE_BYTES_MAX} bytes"),
        ))
    };
    typed.into_iter().map(field).collect()
}

pub(super) fn not_there(id: &str) -> Refusal {
    Refusal::new(
        Code::NotFound,
        "NO_SUCH_CHECK",
        format!("no check {} is under way here", sponson_show::clean(id)),
        "it may have ended more than a day ago: list those under way, or begin one",
    )
}

/// Nothing can be entered any more.
pub(super) fn not_open(check: &Check) -> Refusal {
    let now = check.to_wire(false);
    let whom = match now.ended_by.as_str() {
        "" => String::new(),
        member => format!(" by {}", sponson_show::clean(member)),
    };
    let (what, to_do) = match now.stage() {
        wire::UnderWayStage::Recording => (
            format!("this check is being recorded{whom}"),
            "record it once more, which goes on where it was",
        ),
        wire::UnderWayStage::Dropped => {
            (format!("this check was dropped{whom}"), "begin another one")
        }
        wire::UnderWayStage::Recorded
        | wire::UnderWayStage::Open
        | wire::UnderWayStage::Unspecified => (
            format!("this check was recorded{whom}"),
            "begin another one for what is new",
        ),
    };
    Refusal::new(Code::FailedPrecondition, "CHECK_NOT_OPEN", what, to_do)
}

fn full() -> Refusal {
    Refusal::new(
        Code::ResourceExhausted,
        "CHECK_FULL",
        format!(
            "more was entered in this check than is kept of one: {FIELDS_MAX} fields, and \
             {ENTRIES_BYTES_MAX} bytes of entries"
        ),
        "record it, and begin another one for the rest",
    )
}

/// The disk did not take it.
pub(super) fn not_kept(error: &std::io::Error) -> Refusal {
    tracing::error!(%error, "a check under way cannot be written");
    Refusal::new(
        Code::Unavailable,
        "STORE_CHECK_NOT_KEPT",
        format!("what was entered is not kept: {error}"),
        "look at the disk, then enter it again; what was kept before is there",
    )
}
