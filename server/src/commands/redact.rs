//! `redact`: removes a text or picture beside an entry, everywhere.

use std::collections::BTreeSet;

use clap::{Args, ValueEnum};
use prost::Message as _;
use sponson_client::CommandError;
use sponson_client::catalogue::short_event;
use sponson_client::commands::log::find_event;
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{
    Beside, BesideType, Body, Kind, Redacted, RedactionReason, SubjectType,
};
use sponson_proto::service::v1::{AppendSubject, LogLine};
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::error::CountyError;

/// Remove text or pictures beside an entry, at every copy of the log.
///
/// The entry itself, its signature and its place in every proof stay. What is removed cannot be
/// brought back. Copies that never hear of it keep the text: carry files and backups that were
/// made before, and devices that never sync again. The bytes may stay on a disk until its space
/// is used again.
#[derive(Args, Debug)]
pub struct RedactArgs {
    /// Short name of the entry, as `log` shows it.
    event: String,
    /// Remove only this one, counted from 1 as `log EVENT` lists the notes. May be given again.
    #[arg(long, value_name = "N")]
    part: Vec<u32>,
    /// Why, as a word: what is removed must not be told again.
    #[arg(long)]
    reason: Reason,
}

/// Why something is removed.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Reason {
    /// It names somebody, or tells of her.
    Personal,
    /// It tells of a patient.
    Patient,
    /// It belongs to another entry, or to nothing here.
    Misplaced,
    /// It may not be kept: the law, or an order.
    Ordered,
}

/// Records the redaction.
///
/// # Errors
/// When the entry is not known or has no such text, or the service refuses.
pub async fn run(args: &RedactArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let line = find_event(&args.event, session).await?;
    let beside = beside(&line);
    let parts = parts(args, &beside, &line)?;
    let message = Redacted {
        event: line.event_id.clone(),
        parts: parts.iter().copied().collect(),
        reason: reason(args.reason) as i32,
    };
    let county = AppendSubject {
        id: session.about().await?.county_id,
        r#type: SubjectType::County as i32,
    };
    let record = Record::about([county]);
    let event = session.record(Kind::Redacted, &message, record).await?;
    let said = format!(
        "{} of {} removed here; stations remove it when they next sync",
        what(&parts, &beside),
        short_event(&line.event_id)
    );
    session.recorded(&said, &event)?;
    let kept = "copies that were made before keep it: carry files, backups, printed pages";
    session.terminal().talk(kept).map_err(CommandError::from)?;
    Ok(Exit::Fine)
}

/// What is removed: texts, pictures, or both.
fn what(parts: &BTreeSet<u32>, beside: &[Beside]) -> String {
    let at = |part: &u32| usize::try_from(*part).ok().and_then(|at| beside.get(at));
    let is_picture = |part: &&u32| at(part).is_some_and(|it| it.r#type() == BesideType::Jpeg);
    let pictures = parts.iter().filter(is_picture).count();
    let count = |number: usize, noun| print::count(i64::try_from(number).unwrap_or(i64::MAX), noun);
    match (parts.len() - pictures, pictures) {
        (texts, 0) => count(texts, "text"),
        (0, pictures) => count(pictures, "picture"),
        (texts, pictures) => format!(
            "{} and {}",
            count(texts, "text"),
            count(pictures, "picture")
        ),
    }
}

const fn reason(reason: Reason) -> RedactionReason {
    match reason {
        Reason::Personal => RedactionReason::Personal,
        Reason::Patient => RedactionReason::Patient,
        Reason::Misplaced => RedactionReason::Misplaced,
        Reason::Ordered => RedactionReason::Ordered,
    }
}

/// What the entry commits to beside its body.
fn beside(line: &LogLine) -> Vec<Beside> {
    let event = line.event.as_ref();
    let body = event.and_then(|event| Body::decode(event.body.clone()).ok());
    let header = body.and_then(|body| body.header);
    header.map(|header| header.beside).unwrap_or_default()
}

/// Positions to remove: those asked for, else all that are not removed yet.
fn parts(
    args: &RedactArgs,
    beside: &[Beside],
    line: &LogLine,
) -> Result<BTreeSet<u32>, CountyError> {
    let removed: BTreeSet<u32> = line.removed.iter().map(|it| it.index).collect();
    let left: BTreeSet<u32> = (0_u32..)
        .zip(beside)
        .map(|(index, _)| index)
        .filter(|index| !removed.contains(index))
        .collect();
    if left.is_empty() {
        return Err(refused("EVENT", &args.event, "nothing stands beside it"));
    }
    if args.part.is_empty() {
        return Ok(left);
    }
    let asked = args.part.iter().map(|part| {
        let index = part.checked_sub(1).filter(|index| left.contains(index));
        index.ok_or_else(|| {
            let known: Vec<String> = left.iter().map(|it| (it + 1).to_string()).collect();
            let limit = format!("it has {}", known.join(", "));
            refused("--part", &part.to_string(), &limit)
        })
    });
    asked.collect()
}

fn refused(field: &str, value: &str, limit: &str) -> CountyError {
    CountyError::Command(CommandError::Refused {
        field: field.to_owned(),
        value: clean(value),
        limit: limit.to_owned(),
    })
}
