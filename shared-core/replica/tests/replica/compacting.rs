//! A store written anew holds what it held, and a cut at any moment leaves one that does.

use std::path::Path;

use sponson_log::sign::DeviceKey;
use sponson_replica::{CompactError, OpenError, Replica, Upkeep};
use tempfile::TempDir;

use crate::county::{
    DAY, MINUTE, NORTH, Placed, START, craft_registered, found, join, north, note, reading, sync,
    working,
};

/// The engine's file is as long as its segments.
const SEGMENT_BYTES: u64 = 512 * 1024;

/// The snapshot beside it is some bytes longer or shorter each time.
const SNAPSHOT_BYTES: u64 = 16 * 1024;

/// What must not change: events with all beside them in the order of keeping, places in the county
/// log, records, who was heard.
#[derive(Debug, PartialEq)]
struct Holds {
    events: Vec<Vec<u8>>,
    root: String,
    records: Vec<Vec<u8>>,
    about: String,
}

fn holds(placed: &mut Placed) -> Holds {
    let wire = placed.events().into_iter();
    Holds {
        events: wire
            .map(|event| prost::Message::encode_to_vec(&event.to_wire()))
            .collect(),
        root: format!("{:?}", placed.replica.tree().edge()),
        records: placed.record_bytes(),
        about: format!(
            "{:?} {:?} {:?}",
            placed.replica.about(),
            placed.replica.newest_checkpoint(),
            placed.replica.heard_directly()
        ),
    }
}

/// A station and its county after some work, each entry a write of its own.
fn busy() -> (Placed, Placed) {
    let (mut county, mut station) = (found(), join(north()));
    sync(&mut station, &mut county, START + DAY);
    station.append(craft_registered("4-1", NORTH), START + DAY);
    for minute in 1..60 {
        station.append(reading(20_000 + minute), START + DAY + minute * MINUTE);
        if minute % 5 == 0 {
            station.append(note("seen again"), START + DAY + minute * MINUTE);
            sync(&mut station, &mut county, START + DAY + minute * MINUTE);
            let heard = county.replica.heard(NORTH, START + DAY + minute * MINUTE);
            heard.expect("the store is whole");
        }
    }
    (station, county)
}

/// Closes it and does something to its folder; gives it opened again.
fn meanwhile(placed: Placed, key: DeviceKey, work: impl FnOnce(&Path)) -> Placed {
    let Placed { replica, folder } = placed;
    drop(replica);
    work(folder.path());
    let replica = Replica::open(folder.path(), key).expect("the store opens again");
    Placed { replica, folder }
}

#[test]
fn a_store_written_anew_holds_what_it_held_and_goes_on() {
    let (station, county) = busy();
    for (mut placed, key) in [(station, north()), (county, working())] {
        let before = holds(&mut placed);
        let again = key.clone();
        let mut anew = meanwhile(placed, key, |folder| {
            let compacted = Replica::compact(folder, again).expect("it is whole");
            let most = compacted.before + SNAPSHOT_BYTES;
            assert!(compacted.after <= most, "{compacted:?}");
            let names = names(folder);
            assert_eq!(names, ["kept", "lock", "store"], "nothing is left over");
        });
        assert_eq!(holds(&mut anew), before);
        let wrong = anew.replica.verify(&mut |_, _| {}).wrong;
        assert_eq!(wrong, Vec::<String>::new());
        anew.append(note("afterwards"), START + 2 * DAY);
        assert_eq!(anew.events().len(), before.events.len() + 1);
    }
}

/// 300 texts of 2 KiB, each a write of its own: what takes more than a segment does not grow.
#[test]
fn what_is_written_anew_takes_no_more_than_before() {
    let mut county = found();
    for minute in 1..300 {
        let text = format!("{minute} {}", "seen again ".repeat(180));
        county.append(note(&text), START + DAY + minute * MINUTE);
    }
    let mut sizes = None;
    let again = meanwhile(county, working(), |folder| {
        sizes = Some(Replica::compact(folder, working()).expect("it is whole"));
    });
    let sizes = sizes.expect("it was written anew");
    assert!(
        sizes.before > 4 * SEGMENT_BYTES,
        "else this shows nothing: {sizes:?}"
    );
    assert!(sizes.after <= sizes.before + SNAPSHOT_BYTES, "{sizes:?}");
    assert_eq!(again.replica.held().events, 306);
}

/// Every state in which a cut can leave the folder, as it is built from a whole one: the two
/// renames happen in order, and before and after them the other files are left over.
#[test]
fn cut_anywhere_the_store_is_whole_at_the_next_opening() {
    type Cut = fn(&Path, &Path);
    let cuts: [(&str, Cut); 5] = [
        ("while the fresh one was filled", |folder, whole| {
            copy(whole, &folder.join("store.fresh"));
            let half = folder.join("store.fresh/db");
            std::fs::write(&half, vec![0; 100_000]).expect("writes");
        }),
        ("before the first rename", |folder, whole| {
            copy(whole, &folder.join("store.fresh"));
        }),
        ("between the renames", |folder, whole| {
            rename(folder, "store", "store.before");
            copy(whole, &folder.join("store.fresh"));
        }),
        ("after the second rename", |folder, whole| {
            rename(folder, "store", "store.before");
            copy(whole, &folder.join("store"));
        }),
        ("while the old one was removed", |folder, whole| {
            rename(folder, "store", "store.before");
            copy(whole, &folder.join("store"));
            let db = folder.join("store.before/conf");
            std::fs::remove_file(db).expect("it is there");
        }),
    ];
    for (name, cut) in cuts {
        let (mut station, _) = busy();
        let before = holds(&mut station);
        let mut again = meanwhile(station, north(), |folder| {
            let anew = written_anew(folder);
            cut(folder, &anew.path().join("store"));
        });
        assert_eq!(holds(&mut again), before, "{name}");
        let names = names(again.folder.path());
        assert_eq!(names, ["kept", "lock", "store"], "{name}");
    }
}

/// A damaged store is for salvage, which sets it aside: it is not written over.
#[test]
fn one_that_is_damaged_in_use_or_of_another_key_is_refused_and_stays() {
    let (station, county) = busy();
    let in_use = Replica::compact(county.folder.path(), working());
    let said = in_use.expect_err("it is open").to_string();
    assert!(said.contains("in use by another process"), "{said}");
    let Placed { replica, folder } = station;
    drop(replica);
    let other = Replica::compact(folder.path(), working());
    let other = other.expect_err("it is another's");
    assert!(matches!(
        other,
        CompactError::Open(OpenError::OtherKey { .. })
    ));
    // Another store that holds less than was acknowledged in this one.
    let younger = join(north());
    let Placed {
        replica,
        folder: less,
    } = younger;
    drop(replica);
    std::fs::remove_dir_all(folder.path().join("store")).expect("it is there");
    copy(&less.path().join("store"), &folder.path().join("store"));
    let damaged = Replica::compact(folder.path(), north());
    let damaged = damaged.expect_err("it holds less than was kept");
    let is_lost = matches!(damaged, CompactError::Open(OpenError::Lost { .. }));
    assert!(is_lost, "{damaged}");
    assert!(
        folder.path().join("at-start").exists(),
        "what salvage reads stays"
    );
}

/// What is said of a store that takes too much names the command that there is.
#[test]
fn the_remedy_for_a_swollen_store_is_this_one() {
    for command in ["'sponson compact'", "'sponson-county compact'"] {
        assert!(Upkeep::SWOLLEN.contains(command));
    }
}

/// The files as they are written anew: of a copy, so that the folder itself stays as it is.
fn written_anew(folder: &Path) -> TempDir {
    let copied = tempfile::tempdir().expect("a folder");
    copy(folder, copied.path());
    copy(&folder.join("store"), &copied.path().join("store"));
    Replica::compact(copied.path(), north()).expect("it is whole");
    copied
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        if entry.path().is_file() {
            std::fs::copy(entry.path(), to.join(entry.file_name())).expect("copies");
        }
    }
}

fn rename(folder: &Path, from: &str, to: &str) {
    std::fs::rename(folder.join(from), folder.join(to)).expect("renames");
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> = entries
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}
