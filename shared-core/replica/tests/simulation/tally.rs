//! What happened over a run, and how often: every kind of fault has to happen sometimes.

use std::collections::BTreeMap;

/// Everything that is counted, each in the words of the report.
const COUNTED: &[&str] = &[
    "admitted late",
    "altered event offered",
    "answers not ready",
    "answers ready",
    "answers unproven",
    "answers with limits",
    "backup restored",
    "carry file changed",
    "carry file cut",
    "carry file taken in",
    "clock a year ahead",
    "clock days ahead",
    "clock dead at 1970",
    "clock of the county set",
    "clock set right",
    "clock stepped back",
    "connection cut at a byte",
    "corrections",
    "county began another log",
    "county put back to an old copy",
    "county records nothing while its key is in doubt",
    "county restarted",
    "county restored from a backup",
    "county's clock said to be right",
    "craft asked about on the way",
    "craft disputed or moved",
    "device replaced",
    "device stays in a log that the county left",
    "dismissals",
    "equivocation",
    "events given back",
    "event of a later time",
    "events entered late",
    "events recorded",
    "events untrusted at the end",
    "faults open at the end",
    "forged event offered",
    "hours of the county",
    "key ended",
    "message delayed",
    "message doubled",
    "message lost",
    "not admitted and turned away",
    "not entitled statement",
    "out of service at the end",
    "partition",
    "power cut",
    "power cut in a write",
    "registry event by a station",
    "role given late",
    "seen withheld",
    "sheet adopted late",
    "store copied and used twice",
    "syncs done",
    "syncs given up",
    "undurable batch kept",
    "undurable batch lost",
    "untrusted tail left out again",
    "working key renewed",
];

/// What is counted too, and is so rare that many lives may pass without it.
const RARE: &[&str] = &["working key ended where its chain parts"];

/// Counts by name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Tally(BTreeMap<&'static str, u64>);

impl Tally {
    pub(crate) fn count(&mut self, name: &'static str) {
        self.add(name, 1);
    }

    pub(crate) fn add(&mut self, name: &'static str, times: u64) {
        let known = COUNTED.contains(&name) || RARE.contains(&name);
        assert!(known, "'{name}' is not in the list");
        *self.0.entry(name).or_default() += times;
    }

    pub(crate) fn take_in(&mut self, other: &Self) {
        for (name, times) in &other.0 {
            *self.0.entry(name).or_default() += times;
        }
    }

    /// What should happen sometimes and never did.
    pub(crate) fn never_happened(&self) -> Vec<&'static str> {
        let names = COUNTED.iter().copied();
        names.filter(|name| !self.0.contains_key(name)).collect()
    }

    /// Each name and its count.
    pub(crate) fn counts(&self) -> impl Iterator<Item = (&'static str, u64)> + '_ {
        self.0.iter().map(|(name, times)| (*name, *times))
    }
}
