//! Dependencies point one way: each crate's direct dependencies are on a list, and nothing else is.
//!
//! The lists are positive on purpose: a ban on a misspelt name would pass for ever.

use std::collections::BTreeSet;
use std::process::Command;

/// Direct normal dependencies allowed to each crate.
const ALLOWED: &[(&str, &[&str])] = &[
    ("sponson-proto", &["prost"]),
    (
        "sponson-readiness",
        &["chrono", "libm", "serde", "thiserror", "toml"],
    ),
    (
        "sponson-log",
        &[
            "bytes",
            "curve25519-dalek",
            "ed25519-zebra",
            "prost",
            "sha2",
            "sponson-proto",
            "thiserror",
        ],
    ),
];

#[test]
fn every_crate_keeps_to_its_list() {
    let wrong: Vec<String> = ALLOWED
        .iter()
        .flat_map(|(name, allowed)| {
            let allowed: BTreeSet<&str> = allowed.iter().copied().collect();
            direct_dependencies(name)
                .into_iter()
                .filter(move |found| !allowed.contains(found.as_str()))
                .map(move |found| format!("{name} depends on {found}"))
        })
        .collect();
    assert!(
        wrong.is_empty(),
        "{wrong:#?}: add it to the list if it belongs there"
    );
}

fn direct_dependencies(name: &str) -> Vec<String> {
    let output = Command::new(env!("CARGO"))
        .args(["tree", "--locked", "-p", name, "-e", "normal"])
        .args(["--depth", "1", "--prefix", "none"])
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))
        .output()
        .expect("cargo runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let text = String::from_utf8(output.stdout).expect("cargo writes UTF-8");
    text.lines()
        .skip(1)
        .filter_map(|line| line.split_whitespace().next())
        .map(str::to_owned)
        .collect()
}
