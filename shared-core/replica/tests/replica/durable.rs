//! What a store survives: closing, a kill, half-written snapshots, another process, a damaged file.

use std::path::Path;
use std::process::Command;

use sponson_log::sync::program::Program;
use sponson_replica::{Founding, OpenError, Replica};
use tempfile::TempDir;

use crate::county::{
    DAY, MINUTE, NORTH, Placed, START, craft_registered, fault, found, join, north, note, reading,
    south, sync,
};

/// Copies the files of a store, as another start of the machine would find them.
pub(crate) fn copy(from: &Path) -> TempDir {
    let to = tempfile::tempdir().expect("a folder");
    copy_into(from, to.path());
    to
}

pub(crate) fn copy_into(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("the folder can be read") {
        let path = entry.expect("an entry").path();
        let target = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy_into(&path, &target);
        } else {
            std::fs::copy(&path, &target).expect("the file can be copied");
        }
    }
}

fn busy_station() -> Placed {
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    for minute in 1..60 {
        let event = match minute % 3 {
            0 => fault("leak"),
            1 => reading(20_000 + minute),
            _ => note("looked at"),
        };
        station.append(event, START + minute * MINUTE);
    }
    station
}

#[test]
fn acknowledged_events_are_there_after_a_kill() {
    let mut station = join(north());
    for minute in 0..10 {
        station.append(reading(20_000 + minute), START + minute * MINUTE);
        let killed = copy(station.folder.path());
        let again = Replica::open(killed.path(), north()).expect("the store opens");
        assert_eq!(again.about().events, station.replica.about().events);
        assert_eq!(again.verify(&mut |_, _| {}).wrong, Vec::<String>::new());
    }
}

#[test]
fn a_half_written_snapshot_does_not_matter() {
    let station = busy_station();
    let events = station.events();
    let Placed { replica, folder } = station;
    drop(replica);
    let torn = folder.path().join("store/snap.FFFFFFFFFFFFFFFF.generating");
    std::fs::write(&torn, b"half").expect("the file can be written");
    let replica = Replica::open(folder.path(), north()).expect("the store opens");
    assert!(!torn.exists());
    assert_eq!(Placed { replica, folder }.events(), events);
}

#[test]
fn another_process_is_kept_out() {
    const FOLDER: &str = "SPONSON_TEST_FOLDER_IN_USE";
    if let Ok(folder) = std::env::var(FOLDER) {
        let refused = Replica::open(Path::new(&folder), north());
        assert!(matches!(refused, Err(OpenError::InUse(_))), "{refused:?}");
        return;
    }
    let station = busy_station();
    let other = Command::new(std::env::current_exe().expect("this test"))
        .args(["--exact", "durable::another_process_is_kept_out"])
        .env(FOLDER, station.folder.path())
        .output()
        .expect("the other process runs");
    let said = String::from_utf8_lossy(&other.stdout);
    assert!(
        other.status.success() && said.contains("1 passed"),
        "{said}"
    );
    let again = Replica::open(station.folder.path(), north());
    assert!(matches!(again, Err(OpenError::InUse(_))));
}

#[test]
fn a_flipped_bit_is_found_or_changes_nothing() {
    let station = busy_station();
    let events = station.events();
    let Placed { replica, folder } = station;
    drop(replica);
    let db = std::fs::read(folder.path().join("store/db")).expect("the engine's file");
    let written: Vec<usize> = (0..db.len()).filter(|at| db[*at] != 0).collect();
    let mut found = 0;
    for at in written.iter().step_by(written.len() / 40) {
        let damaged = copy(folder.path());
        let mut bytes = db.clone();
        bytes[*at] ^= 0x10;
        std::fs::write(damaged.path().join("store/db"), bytes).expect("the file can be written");
        let Ok(replica) = Replica::open(damaged.path(), north()) else {
            found += 1;
            continue;
        };
        if !replica.verify(&mut |_, _| {}).wrong.is_empty() {
            found += 1;
            continue;
        }
        let folder = damaged;
        let same = Placed { replica, folder }.events() == events;
        assert!(same, "byte {at}");
    }
    assert!(found > 0, "no flipped bit was found");
}

#[test]
fn a_folder_is_opened_only_as_what_it_is() {
    let empty = tempfile::tempdir().expect("a folder");
    let none = Replica::open(empty.path(), north());
    assert!(matches!(none, Err(OpenError::NoStore(_))), "{none:?}");
    let Placed { replica, folder } = join(north());
    drop(replica);
    let other = Replica::open(folder.path(), south());
    assert!(
        matches!(other, Err(OpenError::OtherKey { .. })),
        "{other:?}"
    );
    let county = crate::county::county_id();
    let founding = sponson_replica::Founding::Station { county };
    let twice = Replica::create(folder.path(), &founding, north());
    assert!(
        matches!(twice, Err(OpenError::AlreadyThere(_))),
        "{twice:?}"
    );
}

#[test]
fn a_county_and_a_station_open_as_they_were() {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    sync(&mut station, &mut county, START + DAY);
    let offset = sponson_replica::ClockOffset {
        county_minus_device_ms: -1_200,
        round_trip_ms: 80,
        measured: sponson_replica::Now {
            utc_offset_min: 0,
            ..crate::county::now(START + DAY)
        },
    };
    station
        .replica
        .note_sync(offset)
        .expect("the store is whole");
    county
        .replica
        .heard(NORTH, START + DAY)
        .expect("the store is whole");
    let clock = sponson_replica::StationClock {
        sent_unix_ms: START,
        received_unix_ms: START + DAY,
        program: Program::said(2, "0.0.9"),
    };
    county
        .replica
        .note_station_clock(NORTH, clock)
        .expect("the store is whole");
    let before = (station.replica.about(), county.replica.about());
    let checkpoint = station.replica.newest_checkpoint().cloned();
    let stations = county
        .replica
        .stations(sponson_readiness::moment::Moment(START + DAY));

    let station = station.reopen(north());
    let county = county.reopen(crate::county::working());
    assert_eq!((station.replica.about(), county.replica.about()), before);
    assert_eq!(station.replica.newest_checkpoint().cloned(), checkpoint);
    let again = county
        .replica
        .stations(sponson_readiness::moment::Moment(START + DAY));
    assert_eq!(again, stations);
}

/// What a cut leaves of a store that is being made: the note, and some of the engine's files by
/// half. Found by a kill as the second piece of the engine's settings was written.
#[test]
fn a_store_whose_making_was_cut_short_is_made_anew() {
    let folder = tempfile::tempdir().expect("a folder");
    let files = folder.path().join("store");
    std::fs::create_dir_all(&files).expect("a folder");
    std::fs::write(folder.path().join("making"), []).expect("writes");
    std::fs::write(files.join("conf"), [0; 4]).expect("writes");
    std::fs::write(files.join("db"), []).expect("writes");
    let opened = Replica::open(folder.path(), north());
    assert!(matches!(opened, Err(OpenError::NoStore(_))), "{opened:?}");
    let founding = Founding::Station {
        county: crate::county::county_id(),
    };
    let made = Replica::create(folder.path(), &founding, north()).expect("it is made anew");
    drop(made);
    let opened = Replica::open(folder.path(), north()).expect("it opens");
    assert_eq!(opened.about().events, 0);
    drop(opened);
    let again = Replica::create(folder.path(), &founding, north());
    assert!(
        matches!(again, Err(OpenError::AlreadyThere(_))),
        "{again:?}"
    );
}

/// A cut as the files of a store are put back as they were before it was opened.
#[test]
fn files_that_were_being_put_back_are_found() {
    let station = busy_station();
    let copied = copy(station.folder.path());
    let (files, again) = (
        copied.path().join("store"),
        copied.path().join("store.again"),
    );
    copy_into(&files, &again);
    std::fs::rename(&files, copied.path().join("store.opened")).expect("renames");
    let opened = Replica::open(copied.path(), north()).expect("it opens");
    assert_eq!(opened.about().events, station.replica.about().events);
    for left in ["store.again", "store.opened", "at-start"] {
        assert!(!copied.path().join(left).exists(), "{left}");
    }
}
