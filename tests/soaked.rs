//! A county of many stations over simulated years: what it takes of disk and memory stays bounded,
//! or grows with what is held by a stated factor. And a county that really serves, asked again and
//! again: it takes no more afterwards than before.
//!
//! Nothing is held against a clock. `cargo run --release -p end-to-end --bin soak` prints the same
//! as a table, with times.

use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};

use end_to_end::county::{World, about, fault, verify};
use end_to_end::faults::rounds;
use end_to_end::process::{DEADLINE, Device};
use end_to_end::soak::county::{Sort, working};
use end_to_end::soak::{QUARTER_DAYS, founded, quarters, size};
use serde_json::Value;
use sponson_client::settings::{SETTINGS_FILE, Settings};
use sponson_link::founding::STORE_FOLDER;
use sponson_link::local::Side;
use sponson_link::station::{CountyAt, sync};
use sponson_link::{Clock, Entropy, Identity, Shared};
use sponson_replica::Replica;

const KIB: u64 = 1024;
const MIB: u64 = 1024 * KIB;

/// Stations with a craft each; a store of its own at the county and at one station. What is asserted
/// are ratios, so fewer stations than a county has show the same in less time; `SPONSON_ROUNDS=60`
/// makes them 60.
fn many() -> Sort {
    Sort {
        stations: u16::try_from(rounds(24).min(60)).expect("few"),
        craft_each: 1,
        whole: 1,
        idle_rounds: 1,
        busy: 1,
        seed: 0x50a4,
    }
}

/// One station with two craft that much is done with, so that all that a record keeps of is full
/// before the second year is over: 64 faults at some 45 a year.
const FEW: Sort = Sort {
    stations: 1,
    craft_each: 2,
    whole: 0,
    idle_rounds: 0,
    busy: 10,
    seed: 0x50a4,
};

/// What a store may take on the disk for each byte that was signed, each entry a write of its own
/// and each followed by a note of who was heard: the alarm stands at four times; 2.2 was measured.
const DISK_TIMES: u64 = 3;

/// What a store takes beside: segments of 512 KiB that are begun, and a snapshot.
const DISK_SLACK: u64 = 4 * MIB;

/// Memory that each entry may take, the pages of the engine's cache and the records that still
/// fill up among it: 4.5 KiB was measured in a first year, of which the index is less than 1 KiB.
const MEMORY_EACH: u64 = 8 * KIB;

/// A record of a craft: 7 parts with 32 readings of 350 bytes, 64 closed faults of 200 and 64 uses
/// of 100 make 98 KiB, and the sides of 60 lines of a sheet at 150 bytes 9 KiB.
const RECORD_MOST: u64 = 128 * KIB;

/// A sync with nothing new: heads of 60 chains of some 75 bytes one way, who was heard the other.
const IDLE_MOST: u64 = 16 * KIB;

fn number(row: &Value, at: &str) -> u64 {
    let found = row.pointer(at).and_then(Value::as_u64);
    found.unwrap_or_else(|| panic!("no {at} in {row}"))
}

/// How much a figure grew from one row to the next for each unit by which another one did.
fn grew(rows: [&Value; 2], figure: &str, by: &str) -> u64 {
    let [before, after] = rows;
    let more = number(after, figure).saturating_sub(number(before, figure));
    more / (number(after, by) - number(before, by)).max(1)
}

#[test]
fn what_a_county_takes_grows_with_what_it_holds_and_no_faster() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut county = founded(folder.path(), many());
    let rows = quarters(&mut county, 2, |_| ());
    let [first, last] = rows.as_slice() else {
        panic!("two quarters");
    };
    let both = [first, last];
    for store in ["/county_bytes", "/station_bytes"] {
        let most = number(last, "/signed_bytes") * DISK_TIMES + DISK_SLACK;
        assert!(number(last, store) <= most, "{store}: {last}");
        let each = grew(both, store, "/signed_bytes");
        assert!(each <= DISK_TIMES, "{store}: {first}, then {last}");
    }
    for replica in ["/county", "/station"] {
        let each = grew(both, &format!("{replica}/rss_answered"), "/events");
        assert!(each <= MEMORY_EACH, "{replica}: {first}, then {last}");
        let largest = number(last, &format!("{replica}/record_bytes_most"));
        assert!(largest <= RECORD_MOST, "{replica}: {last}");
        assert_eq!(
            number(last, &format!("{replica}/events")),
            number(last, "/events")
        );
    }
    for row in both {
        assert_eq!(number(row, "/idle_rounds"), 1, "{row}");
        assert!(number(row, "/idle_bytes") <= IDLE_MOST, "{row}");
    }
    for what in ["/own_threads", "/own_open"] {
        // Threads of the engine come as it is busy, a few for each of the two stores.
        let more = number(last, what).saturating_sub(number(first, what));
        assert!(more <= 4, "{what}: {first}, then {last}");
    }
    let signed = county.signed_bytes;
    let store = county.folder();
    county.close();
    let compacted = Replica::compact(&store, working()).expect("it is whole");
    assert!(
        compacted.after <= signed * DISK_TIMES + DISK_SLACK,
        "{compacted:?}"
    );
    county.reopen();
    let wrong = county.open().verify(&mut |_, _| {}).wrong;
    assert_eq!(wrong, Vec::<String>::new());
}

/// A record is bounded: what it keeps of the third year is no more than of the second.
#[test]
fn records_stop_growing() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut county = founded(folder.path(), FEW);
    let years = [1, 2, 3].map(|_| {
        county.days(4 * QUARTER_DAYS);
        let records = county.open().records().values();
        let sizes: Vec<usize> = records.map(|record| record.canonical().len()).collect();
        (sizes.iter().sum::<usize>(), county.open().held().events)
    });
    let [_, (second, events), (third, later)] = years;
    assert!(later > events + 1_000, "{years:?}");
    // What a line or a fault takes differs by a few bytes from one to the next.
    assert!(third <= second + second / 20, "{years:?}");
}

/// Rounds before what is taken counts, and rounds that may not add to it.
const WARM: u64 = 30;
const ASKED: u64 = 90;

/// What a process may take more after many rounds: its allocator keeps what it once had, in pieces.
/// A leak of one page of 64 KiB a round would be 5 MiB after 90 rounds.
const DRIFT: u64 = 6 * MIB;

/// A county that serves is asked for pages and answers, and met by a station, again and again. It takes
/// no more memory, threads and files afterwards.
#[test]
fn a_county_that_serves_takes_no_more_after_many_rounds() {
    let world = World::founded();
    let served = world.county().serve_both();
    let station = world.joined("Millrace", served.stations);
    station.sync_by_hand();
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    let (shared, at, identity) = in_process(&station);
    let id = served.up.id();
    let taken = || size::of_process(id).expect("it is up");
    let go_round = |round: u64| {
        for path in ["/", "/answer.json", "/faults"] {
            get(served.pages, path);
        }
        let report = runtime.block_on(sync(&shared, &at, &identity, |_| ()));
        report.unwrap_or_else(|failed| panic!("round {round}: {failed}"));
    };
    (0..WARM).for_each(go_round);
    let before = taken();
    (WARM..WARM + rounds(ASKED)).for_each(go_round);
    let after = taken();
    assert!(
        after.rss <= before.rss + DRIFT,
        "{before:?}, then {after:?}"
    );
    assert!(
        after.threads <= before.threads + 4,
        "{before:?}, then {after:?}"
    );
    assert!(after.open <= before.open + 4, "{before:?}, then {after:?}");
    let written = served.up.out().len() + served.up.err().len();
    assert!(
        written < 8 * 1024,
        "{written} bytes of log: {}",
        served.up.err()
    );
    runtime.block_on(shared.close());
}

/// The device of a station in this process, as its own service would have it.
fn in_process(station: &Device) -> (Shared, CountyAt, Identity) {
    let folder = station.folder();
    let settings = Settings::read(&folder.join(SETTINGS_FILE)).expect("it has joined");
    let Side::Station(at) = settings.station_side().expect("it has joined") else {
        panic!("it is a station");
    };
    let identity = Identity::load(folder).expect("it has keys");
    let replica = Replica::open(&folder.join(STORE_FOLDER), identity.log_key().clone());
    let replica = replica.expect("its store is whole");
    let shared = Shared::new(replica, Clock::system(), Entropy::system());
    (shared, at, identity)
}

fn get(pages: SocketAddr, path: &str) {
    let mut stream = TcpStream::connect(pages).expect("it listens");
    stream.set_read_timeout(Some(DEADLINE)).expect("a limit");
    let request = format!("GET {path} HTTP/1.1\r\nHost: {pages}\r\nConnection: close\r\n\r\n");
    stream.write_all(request.as_bytes()).expect("it takes it");
    let mut reply = Vec::new();
    stream.read_to_end(&mut reply).expect("it replies");
    assert!(reply.starts_with(b"HTTP/1.1 200"), "{path}: no page");
}

/// The command at a station and at the county: refused while the log is in use, and all as it was.
#[test]
fn compact_writes_the_log_anew_at_both_ends() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let station = world.joined("Millrace", address);
    station.sync_by_hand();
    station.fine(&["sync"]);
    let _ = fault(&station, "11", "tube-3", "leak");
    station.fine(&["sync"]);
    let refused = county.run(&["compact"]);
    assert_eq!(refused.code(), Some(4), "{refused:?}");
    assert!(
        refused.err.contains("in use by another process"),
        "{refused:?}"
    );
    assert_eq!(up.terminate().code(), Some(0));
    for device in [&station, &county] {
        let (events, log) = (about(device, "events held"), device.fine(&["log"]));
        let said = device.fine(&["compact"]);
        assert!(said.starts_with("the log takes "), "{said}");
        assert_eq!(about(device, "events held"), events);
        assert_eq!(device.fine(&["log"]), log);
        verify(device);
    }
    let (_up, address) = county.serve_county();
    end_to_end::county::county_moved(&station, address);
    let said = station.fine(&["sync"]);
    assert!(!said.contains("anew"), "the county's log goes on: {said}");
    let nothing = world.station("nobody").run(&["compact"]);
    assert_eq!(nothing.code(), Some(4), "{nothing:?}");
}
