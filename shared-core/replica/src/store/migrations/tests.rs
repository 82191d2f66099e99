//! Steps between versions of the store: none was ever needed, so steps of our own invention are taken.

use std::collections::BTreeMap;

use super::*;
use crate::store::SimulatedDisk;
use crate::store::folder::Wanted;
use crate::store::simulated::Undurable;

/// The version that the invented steps lead to.
const NEWEST: u32 = 3;

/// What the store holds in version 0.
const FIRST: &[u8] = b"first";

fn held(store: &Store, name: &'static [u8]) -> Result<What, RowError> {
    let row = store.meta(name)?;
    Ok(row.expect("the version before wrote it"))
}

/// A row gets another name, then becomes two, then one of them goes.
const INVENTED: &[Step] = &[
    Step {
        from: 0,
        change: |store, chunk| {
            chunk.meta(b"second", held(store, FIRST)?);
            chunk.remove(&RowKey::Meta(FIRST).bytes());
            Ok(())
        },
    },
    Step {
        from: 1,
        change: |store, chunk| {
            let row = held(store, b"second")?;
            chunk.meta(b"third", row.clone());
            chunk.meta(b"beside", row);
            Ok(())
        },
    },
    Step {
        from: 2,
        change: |_, chunk| {
            chunk.remove(&RowKey::Meta(b"second").bytes());
            Ok(())
        },
    },
];

fn version_row(version: u32) -> What {
    What::Store(StoreMeta {
        version,
        ..StoreMeta::default()
    })
}

/// Writes a store of a version that holds no events.
fn write_version(store: &mut Store, version: u32) {
    let mut chunk = Chunk::default();
    chunk.meta(b"store", version_row(version));
    chunk.meta(FIRST, version_row(77));
    store.write(chunk).expect("the store is whole");
}

fn meta(store: &Store) -> What {
    let meta = store.meta(b"store").expect("the row is whole");
    meta.expect("it was written")
}

fn brought_to(disk: &SimulatedDisk, known: u32) -> Result<What, OpenError> {
    let mut store = Store::simulated(disk);
    let found = meta(&store);
    bring_up(&mut store, found, INVENTED, known)
}

fn rows(disk: &SimulatedDisk) -> BTreeMap<Vec<u8>, Vec<u8>> {
    let rows = disk.scan(b"").into_iter();
    rows.map(|(key, value)| (key.to_vec(), value.to_vec()))
        .collect()
}

fn of_version_0() -> SimulatedDisk {
    let disk = SimulatedDisk::default();
    write_version(&mut Store::simulated(&disk), 0);
    disk
}

/// The rows of the newest version.
fn newest() -> BTreeMap<Vec<u8>, Vec<u8>> {
    let disk = of_version_0();
    brought_to(&disk, NEWEST).expect("every step is there");
    let rows = rows(&disk);
    let names: Vec<&[u8]> = rows.keys().map(Vec::as_slice).collect();
    assert_eq!(names, [b"mbeside".as_slice(), b"mstore", b"mthird"]);
    rows
}

#[test]
fn every_version_that_was_ever_written_has_its_step() {
    let from: Vec<u32> = STEPS.iter().map(|step| step.from).collect();
    let before: Vec<u32> = (1..STORE_VERSION).collect();
    assert_eq!(from, before);
}

#[test]
fn from_each_version_the_newest_is_the_same() {
    for version in 0..=NEWEST {
        let disk = of_version_0();
        brought_to(&disk, version).expect("every step is there");
        brought_to(&disk, NEWEST).expect("every step is there");
        assert_eq!(rows(&disk), newest(), "from {version}");
        // Nothing is done twice.
        brought_to(&disk, NEWEST).expect("nothing is to be done");
        assert_eq!(rows(&disk), newest(), "again from {version}");
    }
}

/// The power goes at each write and each sync: what is found then is one version whole, and the next
/// start goes on from there.
#[test]
fn a_cut_anywhere_leaves_a_version_whole() {
    // Each step is a write and a sync.
    let steps = 2 * NEWEST;
    for undurable in [Undurable::Lost, Undurable::Kept] {
        for cut in 0..steps {
            let disk = of_version_0();
            disk.power_goes_after(cut);
            let failed = brought_to(&disk, NEWEST);
            assert!(failed.is_err(), "the power was there after {cut}");
            disk.power_comes_back(undurable);
            let What::Store(found) = meta(&Store::simulated(&disk)) else {
                panic!("it is the row of the store");
            };
            let whole = of_version_0();
            brought_to(&whole, found.version).expect("every step is there");
            assert_eq!(rows(&disk), rows(&whole), "{undurable:?} after {cut}");
            brought_to(&disk, NEWEST).expect("it goes on");
            assert_eq!(rows(&disk), newest(), "{undurable:?} after {cut}");
        }
        let disk = of_version_0();
        disk.power_goes_after(steps);
        brought_to(&disk, NEWEST).expect("the power lasts as long as this");
    }
}

#[test]
fn a_version_without_its_step_is_refused_and_nothing_is_changed() {
    let disk = of_version_0();
    let mut store = Store::simulated(&disk);
    let before = rows(&disk);
    let refused = bring_up(&mut store, version_row(0), &INVENTED[1..], NEWEST);
    assert!(matches!(refused, Err(OpenError::Version { found: 0, .. })));
    assert_eq!(rows(&disk), before);
}

/// A store of a later version is refused in words, and its rows stay as they are to the byte.
#[test]
fn a_newer_store_needs_a_newer_program() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut store = Store::open(folder.path(), Wanted::New).expect("a new store");
    write_version(&mut store, STORE_VERSION + 1);
    drop(store);
    let before = rows_file(folder.path());
    for _ in 0..2 {
        let key = sponson_log::sign::DeviceKey::from_seed([1; 32]);
        let refused = crate::Replica::open(folder.path(), key).expect_err("it is newer");
        insta::allow_duplicates! {
            insta::assert_snapshot!(refused, @"store has version 2 and needs a newer version of this program, which knows 1");
        }
        assert!(rows_file(folder.path()) == before, "its rows were touched");
    }
}

/// The engine's file; it may have been filled up with zeros.
fn rows_file(folder: &std::path::Path) -> Vec<u8> {
    let mut bytes = std::fs::read(folder.join("store/db")).expect("reads");
    while bytes.last() == Some(&0) {
        bytes.pop();
    }
    bytes
}
