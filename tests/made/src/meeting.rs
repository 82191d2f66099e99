//! Everything that a sync does, without the wire and without the sync core.

use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId;
use sponson_log::sync::station::{EntryEvent, KeepRun, Last, RunEntry};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::county_entry::What;
use sponson_replica::{NewEvent, Replica};

use crate::county::{MINUTE, START, now, working};
use crate::signed::root_admits;

/// Begins the registry of a county whose store is empty: the root admits the working key, which writes
/// the rest, one event a minute.
///
/// # Panics
/// When an event does not fit.
pub fn begin(county: &mut Replica, registry: Vec<NewEvent>) {
    let first = vec![root_admits(working().key())];
    let admitted = county.keep(first, ChunkSource::Own, START);
    assert_eq!(admitted.expect("the store is whole").new.len(), 1);
    for (minute, event) in (1..).zip(registry) {
        let appended = county.append(event, &now(START + minute * MINUTE));
        appended.expect("the registry is right");
    }
}

/// A station gives what the county lacks, and takes what it lacks itself, in chunks of so many bytes.
///
/// # Panics
/// When anything is refused.
pub fn sync(station: &mut Replica, county: &mut Replica, bytes: usize, unix_ms: i64) {
    loop {
        let (events, last) = station.unproven(0, bytes);
        let opened: Vec<SignedEvent> = events
            .into_iter()
            .map(|(_, event)| SignedEvent::open(event).expect("a station's own events"))
            .collect();
        let kept = county.keep(opened, ChunkSource::Station, unix_ms);
        assert_eq!(kept.expect("the store is whole").refused, []);
        let run = next_run(station, county, bytes, unix_ms);
        let more = run.checkpoint.is_none();
        let kept = station.keep_run(&run, unix_ms);
        kept.expect("the run continues the log");
        if last == Last::Yes && !more {
            return;
        }
    }
}

/// The next entries that a station lacks, as a sync would hand them over.
///
/// # Panics
/// When an entry cannot be read.
#[must_use]
pub fn next_run(station: &Replica, county: &Replica, bytes: usize, unix_ms: i64) -> KeepRun {
    let checkpoint = county.checkpoint(unix_ms).expect("the county signs");
    let first = station.tree().size();
    let entries: Vec<RunEntry> = county
        .entries(first, bytes, &|event| station.holds(&event.id()))
        .into_iter()
        .map(|entry| RunEntry {
            received_unix_ms: entry.received_unix_ms,
            event: match entry.what.expect("an entry holds something") {
                What::Event(event) => EntryEvent::New(Box::new(
                    SignedEvent::open(event).expect("the county's entries"),
                )),
                What::HeldEventId(id) => {
                    EntryEvent::Held(EventId::parse("id", &id).expect("an id"))
                }
            },
        })
        .collect();
    let reached = first + entries.len() as u64 == checkpoint.size;
    KeepRun {
        log: checkpoint.log,
        first,
        entries,
        checkpoint: reached.then_some(checkpoint),
    }
}
