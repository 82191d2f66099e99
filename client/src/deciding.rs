//! Faults and parts as a decision names them: faults that are open and those that are over, by their
//! short names.

use bytes::Bytes;
use prost::Message as _;
use sponson_proto::event::v1::{Check, Fault, FaultRef, Kind};
use sponson_proto::service::v1::{CatalogueFault, LogLine};
use sponson_readiness::standard::Standard;
use sponson_show::clean;

use crate::catalogue::{Catalogue, hex, short_event};
use crate::check_file::{CheckFileError, place};
use crate::commands::log::{find_event, kind, payload};
use crate::error::CommandError;
use crate::session::Session;

/// A fault that was named, and whom its entry is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultNamed {
    /// The fault.
    pub fault: FaultRef,
    /// Subject ids of its entry.
    pub subjects: Vec<Bytes>,
}

/// Finds a fault by its short name, for example `1a2b3c4d-0`; the position may be left out where the
/// entry holds one alone.
///
/// # Errors
/// When no entry here has the name, it holds no such fault, or the service fails.
pub async fn fault_named(
    name: &str,
    catalogue: &Catalogue,
    session: &mut Session<'_>,
) -> Result<FaultNamed, CommandError> {
    let wanted = name.trim().trim_start_matches('#').to_ascii_lowercase();
    let (event, position) = wanted.split_once('-').unwrap_or((&wanted, ""));
    let line = match open(&wanted, catalogue) {
        Some(fault) => find_event(&hex(&fault.event), session).await?,
        None => find_event(event, session)
            .await
            .map_err(|error| as_fault(error, name))?,
    };
    let faults = faults_of(&line);
    let whole = short_event(&line.event_id);
    let ordinal = match (position, faults) {
        (_, 0) => {
            return Err(refused(
                name,
                "this entry holds no fault: see it with log".to_owned(),
            ));
        }
        ("", 1) => 0,
        ("", several) => {
            let last = several - 1;
            let limit =
                format!("it holds {several} faults: give one of {whole}-0 to {whole}-{last}");
            return Err(refused(name, limit));
        }
        (position, several) => match position.parse::<u32>() {
            Ok(ordinal) if ordinal < several => ordinal,
            Ok(_) | Err(_) => {
                let last = several - 1;
                let limit = format!("it holds {whole}-0 to {whole}-{last}");
                return Err(refused(name, limit));
            }
        },
    };
    let subjects = line.subjects.into_iter().map(|it| it.id);
    Ok(FaultNamed {
        fault: FaultRef {
            event: line.event_id,
            ordinal,
        },
        subjects: subjects.collect(),
    })
}

/// A part of a boat standard as people type it.
///
/// # Errors
/// When the standard has no such part; names near ones.
pub fn part_named(field: &str, name: &str, standard: &Standard) -> Result<String, CheckFileError> {
    place(field, name, standard)
}

/// An open fault of that name, where there is one alone.
fn open<'a>(wanted: &str, catalogue: &'a Catalogue) -> Option<&'a CatalogueFault> {
    let (event, _) = wanted.split_once('-').unwrap_or((wanted, ""));
    let faults = catalogue.entries().iter().flat_map(|entry| &entry.faults);
    let mut named: Vec<&CatalogueFault> = faults
        .filter(|fault| event.len() >= 8 && hex(&fault.event).starts_with(event))
        .collect();
    named.dedup_by(|one, other| one.event == other.event);
    match named.as_slice() {
        [one] => Some(one),
        _ => None,
    }
}

/// How many faults an entry holds.
fn faults_of(line: &LogLine) -> u32 {
    let Some(payload) = payload(line) else {
        return 0;
    };
    let kind = kind(line);
    let found = if kind == Kind::Fault {
        Fault::decode(payload).map_or(0, |it| it.faults.len())
    } else if kind == Kind::Check {
        Check::decode(payload).map_or(0, |it| it.faults.len())
    } else {
        0
    };
    u32::try_from(found).unwrap_or(u32::MAX)
}

fn as_fault(error: CommandError, name: &str) -> CommandError {
    if let CommandError::Refused { limit, .. } = error {
        return refused(name, limit);
    }
    error
}

fn refused(name: &str, limit: String) -> CommandError {
    CommandError::Refused {
        field: "--fault".to_owned(),
        value: clean(name),
        limit,
    }
}
