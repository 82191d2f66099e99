//! Golden files: one signed event of every kind, a checkpoint, a carry file and a leaf hash, as
//! they were once written.
//!
//! Signed bytes cannot be changed afterwards. A file here that no longer reads as the same
//! message, or under the same id, means that every log out there reads differently: mend the code,
//! not the file. A new kind gets a file of its own: run this test once with
//! `SPONSON_WRITE_GOLDEN=1`, and see that only new files appear.
//!
//! Everything in them is invented: places, numbers, people.

mod registry;
mod story;
mod subjects;
mod work;

use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

use prost::Message as _;
use sponson_log::carry;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, Key, LogId};
use sponson_log::tree::{Edge, leaf_hash};
use sponson_proto::carry::v1::carry_record::What;
use sponson_proto::carry::v1::{CarryEnd, CarryRecord, CarryStart, CountyRun, EventRun};
use sponson_proto::county::v1::SignedCheckpoint;
use sponson_proto::event::v1::{Event, Kind};
use sponson_proto::sync::v1::{CountyEntry, county_entry};

use story::{Story, Written, county_key, station_key, time};

static FILES: Mutex<()> = Mutex::new(());

/// The file as checked in; written first when that was asked for.
#[expect(
    clippy::disallowed_methods,
    reason = "the core reads no file; its golden files are checked by this test alone"
)]
fn checked_in(name: &str, today: &[u8]) -> Vec<u8> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(name);
    // Two tests may want one file written.
    let _alone = FILES.lock().unwrap_or_else(PoisonError::into_inner);
    if std::env::var_os("SPONSON_WRITE_GOLDEN").is_some() {
        std::fs::write(&path, today).expect("the folder can be written");
    }
    std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// One event of every kind, in the order in which they were signed.
fn story() -> Vec<Written> {
    let mut story = Story::default();
    registry::write(&mut story);
    subjects::write(&mut story);
    work::write(&mut story);
    work::write_later(&mut story);
    registry::begin_log(&mut story);
    story.written
}

/// Events of the kinds that were there from the first day. The checkpoint and the carry file hold
/// these: kinds that came later stand after them, so that neither file changes.
const FIRST_KINDS: usize = 39;

fn first_story() -> Vec<Written> {
    let mut written = story();
    written.truncate(FIRST_KINDS);
    written
}

/// Kind as it stands in names of files: `sign-off`.
fn kind_name(kind: Kind) -> String {
    let name = kind.as_str_name().trim_start_matches("KIND_");
    name.to_lowercase().replace('_', "-")
}

fn event_file(kind: Kind) -> String {
    format!("event-{}.bin", kind_name(kind))
}

/// The county log that holds the story, one second between entries.
fn received(position: usize) -> i64 {
    time(9) + 1_000 * i64::try_from(position).expect("a short story")
}

fn log_id() -> LogId {
    LogId::from_bytes(*b"golden log no. 1")
}

fn checkpoint() -> Checkpoint {
    let mut edge = Edge::default();
    for (position, written) in first_story().iter().enumerate() {
        edge.append(leaf_hash(&written.event.id(), received(position)));
    }
    Checkpoint::sign(
        &county_key(),
        story::county(),
        log_id(),
        (edge.size(), edge.root()),
        time(10),
    )
}

fn carry_records() -> Vec<CarryRecord> {
    let events: Vec<Event> = first_story().iter().map(|it| it.event.to_wire()).collect();
    let (known, unproven) = events.split_at(6);
    let entries = known
        .iter()
        .enumerate()
        .map(|(position, event)| CountyEntry {
            received_unix_ms: received(position),
            what: Some(county_entry::What::Event(event.clone())),
        });
    let start = CarryStart {
        county_id: story::county().to_bytes(),
        written_by: station_key().key().to_bytes(),
        unix_ms: time(11),
    };
    let county_run = CountyRun {
        log_id: log_id().to_bytes(),
        first: 0,
        entries: entries.collect(),
    };
    let end = CarryEnd {
        checkpoint: Some(checkpoint().to_wire().clone()),
        events: u64::try_from(unproven.len()).expect("a short story"),
    };
    let event_run = EventRun {
        events: unproven.to_vec(),
    };
    [
        What::Start(start),
        What::CountyRun(county_run),
        What::EventRun(event_run),
        What::End(end),
    ]
    .map(|what| CarryRecord { what: Some(what) })
    .to_vec()
}

/// Kind and event id, a line each, with the leaf hash of the first event after the first kinds.
fn list() -> String {
    let written = story();
    let line = |it: &Written| format!("{} {}\n", kind_name(it.kind), it.event.id());
    let (first, later) = written.split_at(FIRST_KINDS);
    let leaf = leaf_hash(&written[0].event.id(), received(0));
    let first: String = first.iter().map(line).collect();
    let later: String = later.iter().map(line).collect();
    format!("{first}leaf-of-the-first {leaf}\n{later}")
}

#[test]
fn events_read_as_what_was_written() {
    for written in story() {
        let kind = written.kind;
        let encoded = checked_in(&event_file(kind), &written.event.to_wire().encode_to_vec());
        let event = Event::decode(encoded.as_slice()).expect("an event");
        let opened = SignedEvent::open(event).expect("signed by the key that it names");
        assert_eq!(opened, written.event, "{kind:?}");
        assert!((written.reads_back)(opened.payload()), "{kind:?}");
    }
}

/// Events in later versions of their kind, after all others.
fn in_later_versions() -> Vec<Written> {
    let mut story = Story {
        written: story(),
        version: None,
    };
    let before = story.written.len();
    work::check::write_third(&mut story);
    story.written.split_off(before)
}

#[test]
fn events_in_later_versions_read_as_what_was_written() {
    for written in in_later_versions() {
        let (kind, header) = (written.kind, written.event.header());
        let version = header.kind_version;
        let name = format!("event-{}-version-{version}.bin", kind_name(kind));
        let today = written.event.to_wire().encode_to_vec();
        let golden = checked_in(&name, &today);
        assert_eq!(golden, today, "{kind:?}");
        let event = Event::decode(golden.as_slice()).expect("an event");
        let opened = SignedEvent::open(event).expect("signed by the key that it names");
        assert!((written.reads_back)(opened.payload()), "{kind:?}");
        let needed = sponson_proto::version::needed(kind, opened.payload());
        assert_eq!(needed, version, "{kind:?}");
    }
}

#[test]
fn events_are_written_as_they_were() {
    for written in story() {
        let today = written.event.to_wire().encode_to_vec();
        assert_eq!(
            checked_in(&event_file(written.kind), &today),
            today,
            "{:?}",
            written.kind
        );
    }
}

#[test]
fn every_kind_has_a_file() {
    let written: Vec<i32> = story().iter().map(|it| it.kind as i32).collect();
    let kinds: Vec<i32> = (1..=200)
        .filter(|kind| Kind::try_from(*kind).is_ok())
        .collect();
    let mut sorted = written;
    sorted.sort_unstable();
    assert_eq!(sorted, kinds);
}

#[test]
fn ids_and_leaf_are_those_listed() {
    let list = list();
    let golden = checked_in("golden.txt", list.as_bytes());
    assert_eq!(String::from_utf8(golden), Ok(list));
}

#[test]
fn chains_are_whole() {
    let mut heads: Vec<(Key, u64, EventId)> = Vec::new();
    for written in story() {
        let (header, id) = (written.event.header(), written.event.id());
        let head = heads.iter_mut().find(|head| head.0 == header.key);
        if let Some(head) = head {
            assert_eq!((header.seq, header.previous), (head.1 + 1, Some(head.2)));
            *head = (header.key, header.seq, id);
        } else {
            assert_eq!((header.seq, header.previous), (1, None));
            heads.push((header.key, 1, id));
        }
    }
    assert_eq!(heads.len(), 3);
}

#[test]
fn checkpoint_reads_as_what_was_written() {
    let today = checkpoint();
    let encoded = today.to_wire().encode_to_vec();
    let golden = checked_in("checkpoint.bin", &encoded);
    assert_eq!(golden, encoded);
    let read = SignedCheckpoint::decode(golden.as_slice()).expect("a checkpoint");
    assert_eq!(Checkpoint::open(read), Ok(today));
}

#[test]
fn carry_file_reads_as_what_was_written() {
    let records = carry_records();
    let frames = records.iter().flat_map(carry::frame);
    let today: Vec<u8> = carry::MAGIC.iter().copied().chain(frames).collect();
    let golden = checked_in("story.carry", &today);
    assert_eq!(golden, today);
    assert_eq!(carry::read(&golden), Ok(records));
}
