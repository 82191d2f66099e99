//! `picture`: adds a picture to an entry that was recorded before.

use std::io::Read as _;
use std::path::{Path, PathBuf};

use bytes::Bytes;
use clap::Args;
use prost::Message as _;
use sponson_proto::event::v1::{Attachment, Body, Check, Fault, Kind};
use sponson_proto::service::v1::{AppendPicture, AppendSubject, KeepPictureRequest, LogLine};
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use super::log::find_event;
use crate::catalogue::short_event;
use crate::error::CommandError;
use crate::pictures::{FILE_BYTES_MAX, prepared};
use crate::session::{Record, Session};

/// Add a picture to a fault or a check that was recorded before.
///
/// The picture is made small, and what the camera wrote beside it is left out: the device, its owner,
/// the time, and where it was taken unless the county's policy keeps that. It goes to the county after
/// the entries, piece by piece, and never holds them up.
#[derive(Args, Debug)]
pub struct PictureArgs {
    /// Short name of the entry, for example 1a2b3c4d; or of one of its faults, for example 1a2b3c4d-0.
    event: String,
    /// The picture, a JPEG. May be given again.
    #[arg(required = true)]
    file: Vec<PathBuf>,
    /// The fault of that entry that it shows, counted from 0 as in a fault's short name.
    #[arg(long, value_name = "N")]
    fault: Option<u32>,
}

/// Records the pictures.
///
/// # Errors
/// When the entry is not known or has no such fault, a file is no picture, or the service refuses.
pub async fn run(args: &PictureArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let (name, fault) = named(&args.event, args.fault)?;
    let line = find_event(name, session).await?;
    let (kind, subjects, faults) = entry(&line);
    if let Some(fault) = fault.filter(|fault| *fault >= faults) {
        return Err(CommandError::Refused {
            field: "--fault".to_owned(),
            value: fault.to_string(),
            limit: match faults {
                0 => "that entry has no faults: leave it out".to_owned(),
                1 => "that entry has one fault, 0".to_owned(),
                many => format!("that entry has faults 0 to {}", many - 1),
            },
        });
    }
    // An entry of one fault is about that fault.
    let fault = fault.or((kind == Kind::Fault && faults == 1).then_some(0));
    let belongs_to = fault.map_or_else(String::new, |fault| format!("fault:{fault}"));
    let mut record = Record::about(subjects);
    for file in &args.file {
        record.pictures.push(AppendPicture {
            belongs_to: belongs_to.clone(),
            picture: keep(file, session).await?,
        });
    }
    let message = Attachment {
        event: line.event_id.clone(),
    };
    let count = i64::try_from(args.file.len()).unwrap_or(i64::MAX);
    let short = short_event(&line.event_id);
    let to = fault.map_or_else(|| short.clone(), |fault| format!("fault {short}-{fault}"));
    let event = session.record(Kind::Attachment, &message, record).await?;
    session.recorded(
        &format!("{} added to {to}", print::count(count, "picture")),
        &event,
    )?;
    Ok(Exit::Fine)
}

/// The entry's name, and the fault that is meant when one is.
fn named(event: &str, fault: Option<u32>) -> Result<(&str, Option<u32>), CommandError> {
    let Some((name, ordinal)) = event.split_once('-') else {
        return Ok((event, fault));
    };
    match (ordinal.parse::<u32>(), fault) {
        (Ok(ordinal), None) => Ok((name, Some(ordinal))),
        (Ok(ordinal), Some(fault)) if ordinal == fault => Ok((name, Some(ordinal))),
        (Ok(_) | Err(_), _) => Err(CommandError::Argument {
            field: "EVENT",
            value: clean(event),
            limit: "name the entry as log shows it, or one fault of it as in 1a2b3c4d-0".to_owned(),
        }),
    }
}

/// Kind and subjects of an entry, and how many faults it records.
fn entry(line: &LogLine) -> (Kind, Vec<AppendSubject>, u32) {
    let kind = i32::try_from(line.kind)
        .ok()
        .and_then(|it| Kind::try_from(it).ok());
    let kind = kind.unwrap_or(Kind::Unspecified);
    let event = line.event.as_ref();
    let body = event.and_then(|event| Body::decode(event.body.clone()).ok());
    let payload = body.map(|body| body.payload).unwrap_or_default();
    let faults = if kind == Kind::Fault {
        Fault::decode(payload).map(|it| it.faults.len())
    } else if kind == Kind::Check {
        Check::decode(payload).map(|it| it.faults.len())
    } else {
        Ok(0)
    };
    let faults = u32::try_from(faults.unwrap_or_default()).unwrap_or(u32::MAX);
    (kind, line.subjects.clone(), faults)
}

/// Makes a picture ready by the county's policy and keeps it; gives the name under which an event
/// commits to it.
///
/// # Errors
/// When the file cannot be read, is no picture, or the service refuses.
pub(crate) async fn keep(file: &Path, session: &mut Session<'_>) -> Result<Bytes, CommandError> {
    let policy = session.catalogue().await?.policy().pictures;
    let read = read(file).map_err(|source| CommandError::Read {
        file: file.to_owned(),
        source,
    })?;
    // Decoding takes a second or two: the service goes on meanwhile.
    let content = tokio::task::spawn_blocking(move || prepared(&read, &policy))
        .await
        .map_err(|_| CommandError::BrokenOff)?
        .map_err(|error| CommandError::Refused {
            field: clean(&file.display().to_string()),
            value: error.value,
            limit: error.limit,
        })?;
    let request = KeepPictureRequest {
        content: content.into(),
    };
    let reply = session.service().keep_picture(request).await?;
    Ok(reply.into_inner().picture)
}

/// Reads a file, a little more than may be at most: what is too long is refused with its words.
fn read(file: &Path) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let most = u64::try_from(FILE_BYTES_MAX).unwrap_or(u64::MAX);
    std::fs::File::open(file)?
        .take(most.saturating_add(1))
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_is_named_by_its_short_name_or_beside_its_entry() {
        let read = |event, fault| named(event, fault).ok();
        assert_eq!(read("1a2b3c4d", None), Some(("1a2b3c4d", None)));
        assert_eq!(read("1a2b3c4d", Some(2)), Some(("1a2b3c4d", Some(2))));
        assert_eq!(read("1a2b3c4d-1", None), Some(("1a2b3c4d", Some(1))));
        assert_eq!(read("1a2b3c4d-1", Some(1)), Some(("1a2b3c4d", Some(1))));
        assert_eq!(read("1a2b3c4d-1", Some(0)), None);
        assert_eq!(read("1a2b3c4d-x", None), None);
    }
}
