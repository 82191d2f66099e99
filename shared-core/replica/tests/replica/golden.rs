//! A store that an earlier build wrote still opens, and holds the same events.

use std::path::{Path, PathBuf};

use sponson_replica::Replica;

use crate::county::{
    CRAFT, MINUTE, NORTH, Placed, START, craft_registered, fault, join, north, note, reading,
};
use crate::durable::copy;

/// When set, the store is written anew; the ids below then change only if signed bytes did.
const WRITE: &str = "SPONSON_WRITE_GOLDEN_STORE";

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden-store/version-1")
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

#[test]
fn a_store_of_version_1_opens() {
    if std::env::var_os(WRITE).is_some() {
        let Placed {
            replica,
            folder: from,
        } = written();
        drop(replica);
        let _ = std::fs::remove_dir_all(folder());
        crate::durable::copy_into(from.path(), &folder());
        // Neither a lock nor an empty folder is part of what is kept.
        std::fs::remove_file(folder().join("lock")).expect("it was there");
        std::fs::remove_dir(folder().join("store/blobs")).expect("it was empty");
    }
    let copied = copy(&folder());
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
