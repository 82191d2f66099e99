//! The demo prints the same every time, and what it prints is checked in beside its scenarios.
//!
//! `SPONSON_WRITE_DEMO=1 cargo test -p demo-stations --test output` writes it anew.

use std::collections::BTreeSet;
use std::io::{self, Write};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use demo_stations::play::{Player, SCENARIOS};
use sponson_readiness::answer::Rule;

const CHECKED_IN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/output.txt");

#[derive(Clone, Debug, Default)]
struct Printed(Arc<Mutex<Vec<u8>>>);

impl Printed {
    fn text(&self) -> String {
        let bytes = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        String::from_utf8(bytes.clone()).expect("the demo prints UTF-8")
    }
}

impl Write for Printed {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        held.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// What the demo printed, and the rules whose findings it showed.
async fn play(folder: &Path) -> (String, BTreeSet<String>) {
    let printed = Printed::default();
    let mut player = Player::new(folder, Box::new(printed.clone()));
    player
        .play(SCENARIOS)
        .await
        .expect("everything goes as the scenarios say");
    let rules = player.rules_shown().clone();
    player.stop().await;
    (printed.text(), rules)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_demo_prints_what_is_checked_in() {
    let folder = tempfile::tempdir().expect("a folder");
    let (printed, rules) = play(folder.path()).await;
    if std::env::var_os("SPONSON_WRITE_DEMO").is_some() {
        std::fs::write(CHECKED_IN, &printed).expect("the file can be written");
    }
    let wanted = std::fs::read_to_string(CHECKED_IN).expect("the file is checked in");
    for (number, (printed, wanted)) in printed.lines().zip(wanted.lines()).enumerate() {
        assert_eq!(printed, wanted, "line {}", number + 1);
    }
    assert_eq!(printed.lines().count(), wanted.lines().count());
    // A command as typed is shown on one line, however long.
    let long: Vec<&str> = wanted
        .lines()
        .filter(|line| line.chars().count() > 80 && !line.contains("$ sponson"))
        .collect();
    assert!(long.is_empty(), "over 80 columns: {long:#?}");
    let never: Vec<&str> = Rule::ALL
        .iter()
        .map(|rule| rule.id())
        .filter(|id| !rules.contains(*id))
        .collect();
    assert!(never.is_empty(), "no report shows these: {never:?}");
}
