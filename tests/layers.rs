//! Dependencies point one way: each crate's direct dependencies are on a list, and nothing else is.
//!
//! The lists are positive on purpose: a ban on a misspelt name would pass for ever. An entry that
//! nothing uses any more is wrong too, so the lists stay as short as the manifests.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

#[path = "layers/limits.rs"]
mod limits;

/// Direct normal dependencies of each crate that are others' work.
const LIBRARIES: &[(&str, &[&str])] = &[
    ("sponson-proto", &["prost"]),
    (
        "sponson-readiness",
        &["chrono", "libm", "serde", "statrs", "thiserror", "toml"],
    ),
    (
        "sponson-log",
        &[
            "bytes",
            "curve25519-dalek",
            "ed25519-zebra",
            "prost",
            "sha2",
            "thiserror",
        ],
    ),
    (
        "sponson-replica",
        &[
            "bytes",
            "chrono",
            "crc32c",
            "fs2",
            "prost",
            "prost-types",
            "sled",
            "thiserror",
            "tracing",
        ],
    ),
    (
        "sponson-show",
        &[
            "chrono",
            "comfy-table",
            "csv",
            "fast_qr",
            "icalendar",
            "libm",
            "maud",
            "plotters",
            "serde",
            "serde_json",
            "thiserror",
            "unicode-width",
        ],
    ),
    (
        "sponson-link",
        &[
            "bytes",
            "chrono",
            "csv",
            "data-encoding",
            "geographiclib-rs",
            "getrandom",
            "http-body",
            "hyper-util",
            "microlp",
            "p256",
            "prost",
            "rcgen",
            "rustls",
            "serde",
            "serde_json",
            "sha2",
            "solar-positioning",
            "thiserror",
            "tokio",
            "tokio-rustls",
            "tokio-stream",
            "tonic",
            "tonic-health",
            "tonic-prost",
            "tonic-reflection",
            "tonic-types",
            "tower",
            "tracing",
            "zeroize",
        ],
    ),
    (
        "sponson-client",
        &[
            "axum",
            "bytes",
            "clap",
            "csv",
            "data-encoding",
            "directories",
            "hyper-util",
            "image",
            "indicatif",
            "inquire",
            "kamadak-exif",
            "maud",
            "prost",
            "rustls",
            "serde",
            "serde_json",
            "sha2",
            "thiserror",
            "tokio",
            "tokio-rustls",
            "tokio-stream",
            "toml",
            "tonic",
            "tonic-types",
            "tower",
            "tracing",
            "tracing-subscriber",
        ],
    ),
    (
        "sponson-server",
        &[
            "axum",
            "bytes",
            "clap",
            "csv",
            "data-encoding",
            "geojson",
            "getrandom",
            "maud",
            "prost",
            "serde_json",
            "sha2",
            "thiserror",
            "tokio",
            "tracing",
        ],
    ),
    (
        "demo-stations",
        &[
            "anyhow",
            "chrono",
            "clap",
            "serde_json",
            "sha2",
            "shlex",
            "thiserror",
            "tokio",
            "tracing",
        ],
    ),
];

/// Direct normal dependencies of each crate on crates of this workspace: what it may know.
const KNOWS: &[(&str, &[&str])] = &[
    ("sponson-proto", &[]),
    ("sponson-readiness", &[]),
    ("sponson-log", &["sponson-proto"]),
    (
        "sponson-replica",
        &["sponson-log", "sponson-proto", "sponson-readiness"],
    ),
    ("sponson-show", &["sponson-readiness"]),
    (
        "sponson-link",
        &[
            "sponson-log",
            "sponson-proto",
            "sponson-readiness",
            "sponson-replica",
            "sponson-show",
        ],
    ),
    (
        "sponson-client",
        &[
            "sponson-link",
            "sponson-log",
            "sponson-proto",
            "sponson-readiness",
            "sponson-replica",
            "sponson-show",
        ],
    ),
    (
        "sponson-server",
        &[
            "sponson-client",
            "sponson-link",
            "sponson-log",
            "sponson-proto",
            "sponson-readiness",
            "sponson-replica",
            "sponson-show",
        ],
    ),
    (
        "demo-stations",
        &[
            "sponson-client",
            "sponson-link",
            "sponson-proto",
            "sponson-readiness",
            "sponson-replica",
            "sponson-server",
        ],
    ),
];

/// Packages that the whole demo is built from, counted with the workspace's own: 221 were needed
/// when this was set, and a tenth of room is left for what the libraries themselves bring along.
const PACKAGES_MAX: usize = 266;

#[test]
fn every_crate_keeps_to_its_list() {
    for ((name, libraries), (same, knows)) in LIBRARIES.iter().zip(KNOWS) {
        assert_eq!(name, same, "both lists go in the same order");
        let allowed: BTreeSet<String> = libraries
            .iter()
            .chain(*knows)
            .map(|name| (*name).to_owned())
            .collect();
        let found: BTreeSet<String> = tree(name, &["--depth", "1"]).into_iter().skip(1).collect();
        let more: Vec<&String> = found.difference(&allowed).collect();
        assert!(
            more.is_empty(),
            "{name} depends on {more:?}: add it to the list if it belongs there"
        );
        let fewer: Vec<&String> = allowed.difference(&found).collect();
        assert!(
            fewer.is_empty(),
            "{name} does not depend on {fewer:?} any more: take it off the list"
        );
    }
}

#[test]
fn every_crate_of_the_workspace_has_a_list() {
    let manifest = include_str!("../Cargo.toml");
    let members = manifest
        .split_once("members = [")
        .and_then(|(_, rest)| rest.split_once(']'))
        .map(|(members, _)| members.matches('"').count() / 2);
    // All but the end-to-end tests, the decoders that they fuzz, and what tests make, which may know
    // everything.
    assert_eq!(members, Some(KNOWS.len() + 3));
}

#[test]
fn the_store_and_the_wire_stay_where_they_belong() {
    let direct = |library: &str| -> Vec<&str> {
        KNOWS
            .iter()
            .map(|(name, _)| *name)
            .filter(|name| {
                tree(name, &["--depth", "1"])
                    .iter()
                    .any(|dep| dep == library)
            })
            .collect()
    };
    assert_eq!(direct("sled"), ["sponson-replica"]);
    assert_eq!(direct("tonic"), ["sponson-link", "sponson-client"]);
    for name in [
        "sponson-readiness",
        "sponson-log",
        "sponson-replica",
        "sponson-show",
    ] {
        let all = tree(name, &[]);
        for banned in ["tonic", "tokio", "rustls"] {
            assert!(!all.iter().any(|dep| dep == banned), "{name}: {banned}");
        }
    }
    let readiness = tree("sponson-readiness", &[]);
    assert!(readiness.iter().all(|dep| dep != "prost" && dep != "sled"));
}

#[test]
fn one_provider_of_cryptography_for_connections() {
    let lock = include_str!("../Cargo.lock");
    let holds = |name: &str| lock.contains(&format!("\nname = \"{name}\"\n"));
    assert!(holds("ring"), "a lock file names its packages like this");
    assert!(!holds("aws-lc-rs") && !holds("aws-lc-sys"));
    assert!(!holds("openssl-sys"));
}

#[test]
fn the_demo_is_not_built_from_ever_more() {
    let packages: BTreeSet<String> = lines("demo-stations", &[])
        .iter()
        .map(|line| {
            let words: Vec<&str> = line.split_whitespace().take(2).collect();
            words.join(" ")
        })
        .collect();
    let count = packages.len();
    assert!(
        (100..=PACKAGES_MAX).contains(&count),
        "{count} packages, at most {PACKAGES_MAX}: look at what came in, then decide"
    );
}

/// Names of the packages in a crate's tree of normal dependencies, itself first.
/// A threat whose test was renamed or taken away is one that nothing shows.
#[test]
fn every_test_that_the_threat_table_names_is_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let table = include_str!("threats.md");
    let rows = table.lines().filter(|line| line.starts_with("| "));
    let mut named = 0;
    for row in rows.filter(|row| !row.starts_with("| who |")) {
        let tests: Vec<&str> = row.split('`').skip(1).step_by(2).collect();
        assert!(!tests.is_empty(), "no test: {row}");
        for test in tests {
            let (file, name) = test.split_once(": ").expect("a file and a function");
            let text = std::fs::read_to_string(root.join(file));
            let text = text.unwrap_or_else(|error| panic!("{file}: {error}"));
            assert!(text.contains(&format!("fn {name}(")), "{test} is not there");
            named += 1;
        }
    }
    assert!(named >= 28, "the table was read: {named}");
}

fn tree(name: &str, args: &[&str]) -> Vec<String> {
    let first = |line: &String| line.split_whitespace().next().map(str::to_owned);
    lines(name, args).iter().filter_map(first).collect()
}

fn lines(name: &str, args: &[&str]) -> Vec<String> {
    let output = Command::new(env!("CARGO"))
        .args(["tree", "--locked", "-p", name, "-e", "normal"])
        .args(["--prefix", "none"])
        .args(args)
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))
        .output()
        .expect("cargo runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let text = String::from_utf8(output.stdout).expect("cargo writes UTF-8");
    text.lines().map(str::to_owned).collect()
}
