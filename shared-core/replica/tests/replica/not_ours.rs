//! A store that is not for this program or this key is left as it was: opening it is refused, and not
//! a byte or a file is another afterwards.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use prost::Message as _;
use sponson_proto::store::v1::MetaRow;
use sponson_proto::store::v1::meta_row::What;
use sponson_replica::{OpenError, Replica};

use crate::county::{DAY, NORTH, START, craft_registered, fault, join, north, south};

/// Every file below a folder, but the lock.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        found.insert(folder.clone(), Vec::new());
        for entry in std::fs::read_dir(folder).expect("the folder can be read") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.file_name().is_some_and(|name| name != "lock") {
                let bytes = std::fs::read(&path).expect("the file can be read");
                found.insert(path, bytes);
            }
        }
    }
    found
}

/// A store with a few events, as a program that was ended leaves it.
fn left() -> tempfile::TempDir {
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    station.append(fault("leak"), START + DAY);
    station.folder
}

/// Writes another version into the row that says it, as a later program would.
fn set_version(folder: &Path, version: u32) {
    let store = sled::open(folder.join("store")).expect("the engine opens");
    let row = store
        .get(b"mstore")
        .expect("it reads")
        .expect("it is there");
    let mut meta = MetaRow::decode(&row[..row.len() - 4]).expect("a row");
    let Some(What::Store(said)) = &mut meta.what else {
        panic!("another row")
    };
    said.version = version;
    let mut row = meta.encode_to_vec();
    row.extend(crc32c::crc32c(&row.clone()).to_be_bytes());
    store.insert(b"mstore", row).expect("it writes");
    store.flush().expect("it flushes");
}

#[test]
fn a_store_that_is_not_for_this_program_or_key_is_left_as_it_was() {
    let newer = left();
    set_version(newer.path(), 2);
    let others = left();
    for (folder, key, wanted) in [
        (&newer, north(), "needs a newer version of this program"),
        (&others, south(), "use the folder's own key"),
    ] {
        let before = files(folder.path());
        for again in ["first", "once more"] {
            let refused = Replica::open(folder.path(), key.clone());
            let refused = refused.expect_err("it is not ours").to_string();
            assert!(refused.contains(wanted), "{again}: {refused}");
            let after = files(folder.path());
            let changed = |path: &&PathBuf| before.get(*path) != after.get(*path);
            let either = before.keys().chain(after.keys());
            let changed: Vec<_> = either.filter(changed).collect();
            assert_eq!(changed, Vec::<&PathBuf>::new(), "{again}: {refused}");
        }
    }
    // The right program opens it and holds all.
    set_version(newer.path(), 1);
    for folder in [newer, others] {
        let ours = Replica::open(folder.path(), north()).expect("it opens");
        assert_eq!(ours.about().events, 2);
    }
}

/// A copy that was there before is of an opening that was cut: it is older, and stays for salvage.
#[test]
fn a_copy_that_was_there_before_stays() {
    let folder = left();
    let copy = folder.path().join("at-start");
    crate::durable::copy_into(&folder.path().join("store"), &copy);
    let refused = Replica::open(folder.path(), south()).expect_err("another key");
    assert!(matches!(refused, OpenError::OtherKey { .. }), "{refused}");
    assert!(copy.join("db").exists());
}
