//! A store that an earlier build wrote still opens, and holds the same events.

use std::path::{Path, PathBuf};

use sponson_replica::Replica;

use crate::county::{
    CRAFT, DAY, MINUTE, NORTH, Placed, START, craft_registered, fault, found, join, north, note,
    now, reading, sync, working,
};
use crate::durable::copy;

/// When set to the name of a store, that is written anew; the ids below then change only if signed bytes did.
const WRITE: &str = "SPONSON_WRITE_GOLDEN_STORE";

fn folder(name: &str) -> PathBuf {
    let golden = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden-store");
    golden.join(name)
}

fn written() -> Placed {
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    station.append(fault("leak"), START + MINUTE);
    let mut long = reading(20_000);
    long.texts = vec![(String::new(), "a long text. ".repeat(300), [3; 16])];
    station.append(long, START + 2 * MINUTE);
    station.append(note("washed"), START + 3 * MINUTE);
    station
}

/// The store as an earlier build wrote it; written anew when that is asked for.
fn golden(name: &str, written: impl FnOnce() -> Placed) -> tempfile::TempDir {
    if std::env::var_os(WRITE).is_some_and(|wanted| wanted == name) {
        let Placed {
            replica,
            folder: from,
        } = written();
        drop(replica);
        let _ = std::fs::remove_dir_all(folder(name));
        crate::durable::copy_into(from.path(), &folder(name));
        // Neither a lock nor an empty folder is part of what is kept.
        std::fs::remove_file(folder(name).join("lock")).expect("it was there");
        std::fs::remove_dir(folder(name).join("store/blobs")).expect("it was empty");
    }
    copy(&folder(name))
}

/// A county to which a station has synced.
fn written_county() -> Placed {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    station.append(fault("leak"), START + MINUTE);
    sync(&mut station, &mut county, START + DAY);
    county
        .replica
        .heard(NORTH, START + DAY)
        .expect("the store is whole");
    county
}

#[test]
fn a_county_of_version_1_opens() {
    let copied = golden("county-1", written_county);
    let mut replica = Replica::open(copied.path(), working()).expect("the store opens");
    assert_eq!(replica.verify(&mut |_, _| {}).wrong, Vec::<String>::new());
    let about = replica.about();
    insta::assert_snapshot!(format!("{} of {}, root {}", about.county_size, about.log.expect("a county"), about.root), @"9 of aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa, root 382c6ec64c20b5ffa528718427e6690e24aa7cbf8913cfc432f6d8bcafb8fd8a");
    replica
        .append(craft_registered("4-2", NORTH), &now(START + 2 * DAY))
        .expect("it goes on");
}

#[test]
fn a_store_of_version_1_opens() {
    let copied = golden("version-1", written);
    let replica = Replica::open(copied.path(), north()).expect("the store opens");
    assert_eq!(replica.verify(&mut |_, _| {}).wrong, Vec::<String>::new());
    let opened = Placed {
        replica,
        folder: copied,
    };
    let ids: Vec<String> = opened
        .events()
        .iter()
        .map(|event| event.id().to_string())
        .collect();
    insta::assert_snapshot!(ids.join("\n"), @"
    af2713a89d5b210b9753b867b942418b254ed770361ca9e0abae0d93c614d44a
    7d652531f94be9e04c9ce14181b91c09e5bfaf42433c4bd634d73ef070b7ef9e
    d5811aea4f8e36b41b26bb3d4d0f9d176d6a1d67f714677297750914eda5ecc4
    f16c89f2f2f532773d5e6e1623f60119d3e9b151011075ebfb0e57ab5a6a4f1f
    ");
    let lines = opened
        .replica
        .log_page(Some(&CRAFT), sponson_replica::Page::Newest, 9);
    assert_eq!(lines.expect("rows are whole").len(), 4);
}
