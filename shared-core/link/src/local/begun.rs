//! How the county log follows another one, as the local service tells it.

use sponson_log::begun::{BegunReason, LogBegun};
use sponson_log::sync::station::Moved;
use sponson_proto::event::v1::LogBegunReason;
use sponson_proto::service::v1::{GivenBackInfo, LogBegunInfo};
use sponson_replica::Replica;

/// Of the log that a replica holds; none when it follows no other.
pub(crate) fn of(replica: &Replica) -> Option<LogBegunInfo> {
    let begun = replica.begun()?;
    let stations = replica.registry().stations();
    let back = begun.back.iter().map(|(station, given)| GivenBackInfo {
        station: stations
            .get(station)
            .map_or_else(|| station.to_string(), |facts| facts.name.clone()),
        entries: given.entries,
    });
    Some(LogBegunInfo {
        back: back.collect(),
        to_hear: begun.to_hear,
        ..info(&begun.begun, begun.unix_ms)
    })
}

/// Of the log to which a station went over.
pub(super) fn moved(moved: Moved) -> LogBegunInfo {
    info(&moved.begun, moved.begun_unix_ms)
}

fn info(begun: &LogBegun, unix_ms: i64) -> LogBegunInfo {
    let (reason, shown_size) = match begun.reason {
        BegunReason::Restored => (LogBegunReason::Restored, 0),
        BegunReason::Shown { size, .. } => (LogBegunReason::Shown, size),
        BegunReason::NotKnown => (LogBegunReason::Unspecified, 0),
    };
    LogBegunInfo {
        unix_ms,
        reason: reason.into(),
        old_size: begun.old_tree.0,
        shown_size,
        ..LogBegunInfo::default()
    }
}
