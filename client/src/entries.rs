//! Entries of the log as the page of a craft shows them, and the id in its address.

use data_encoding::HEXLOWER_PERMISSIVE;
use sponson_proto::service::v1::LogLine;
use sponson_readiness::ids::EventId;
use sponson_readiness::moment::Moment;
use sponson_show::html::{Entry, Standing};

use crate::catalogue::Catalogue;
use crate::commands::log::what;

/// Lines of the log, the newest last, as entries, the newest first.
#[must_use]
pub fn entries(lines: &[LogLine], catalogue: &Catalogue) -> Vec<Entry> {
    let newest_first = lines.iter().rev();
    newest_first
        .filter_map(|line| entry_of(line, catalogue))
        .collect()
}

/// A line of the log as a page shows it.
fn entry_of(line: &LogLine, catalogue: &Catalogue) -> Option<Entry> {
    let id: [u8; 32] = line.event_id.as_ref().try_into().ok()?;
    Some(Entry {
        id: EventId::from_bytes(id),
        at: Moment(line.claimed_unix_ms),
        station: line.station.clone(),
        member: line.member.clone(),
        what: what(line, catalogue),
        standing: match line.received_unix_ms {
            None => Standing::Waiting,
            Some(_) if !line.unconfirmed.is_empty() => Standing::Unconfirmed,
            Some(_) => Standing::Received,
        },
    })
}

/// The id of a craft as an address holds it.
#[must_use]
pub fn id_of(name: &str) -> Option<Vec<u8>> {
    let id = HEXLOWER_PERMISSIVE.decode(name.as_bytes()).ok()?;
    (id.len() == 16).then_some(id)
}
