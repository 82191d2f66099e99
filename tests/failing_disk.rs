//! A full disk, and a disk that fails: the n-th write or sync of a real program gives an error.
//! Nothing is acknowledged then, the program says what to do, and a next start holds everything
//! that had been acknowledged.

mod failing_calls;

use std::path::{Path, PathBuf};

use end_to_end::county::{World, text};
use end_to_end::faults::{Outcome, Tally, copy_folder};
use end_to_end::power::{failing, has_strace};
use end_to_end::process::{DEADLINE_OF_A_FAULT, Ended, programs, within};
use sponson_link::Identity;
use sponson_link::founding::STORE_FOLDER;
use sponson_replica::Replica;

/// What fails: the call and the error, and of the first how many each one is tried.
const FAULTS: [(&str, &str, u32); 5] = [
    ("pwrite64", "ENOSPC", 8),
    ("pwrite64", "EIO", 8),
    ("fdatasync", "EIO", 8),
    ("fsync", "EIO", 6),
    ("sync_file_range", "EIO", 6),
];

/// Calls of one sort from which on every one fails, as on a disk that stays full.
const STAYS: [(&str, &str, u32); 3] = [
    ("pwrite64", "ENOSPC", 4),
    ("fdatasync", "EIO", 3),
    ("fdatasync", "ENOSPC", 2),
];

struct Station {
    world: World,
    folder: PathBuf,
}

impl Station {
    fn new() -> Self {
        let world = World::founded();
        let (up, address) = world.county().serve_county();
        let station = world.joined("Millrace", address);
        station.fine(&["sync"]);
        assert_eq!(up.terminate().code(), Some(0));
        let folder = station.folder().to_owned();
        Self { world, folder }
    }

    fn copy(&self, number: usize) -> PathBuf {
        let copy = self.world.path(&format!("copy-{number}"));
        // A long run comes to the same number again, and what a fault left must not be mixed in.
        drop(std::fs::remove_dir_all(&copy));
        copy_folder(&self.folder, &copy);
        copy
    }
}

#[test]
fn on_a_disk_that_fails_nothing_is_acknowledged_that_is_not_kept() {
    if !has_strace() {
        return;
    }
    let mut tally = Tally::begin(
        "failing-disk",
        "full disk and failed write or sync, at the n-th call or from it on",
        0,
    );
    let station = Station::new();
    let once = FAULTS.iter().flat_map(|(call, error, times)| {
        (1..=*times).map(move |n| format!("{call}:error={error}:when={n}"))
    });
    let stays = STAYS.iter().flat_map(|(call, error, times)| {
        (1..=*times).map(move |n| format!("{call}:error={error}:when={n}+"))
    });
    let faults: Vec<String> = once.chain(stays).collect();
    let count = u64::try_from(faults.len()).expect("few");
    tally.try_each(count, |number, _| {
        let number = usize::try_from(number).expect("few");
        let mut outcome = Outcome::default();
        records(&station.copy(2 * number), &faults[number], &mut outcome);
        commands(&station.copy(2 * number + 1), &faults[number], &mut outcome);
        outcome
    });
    tally.note = "two programs each: one that records many, the station's own".to_owned();
    tally.end();
}

/// One process that records many.
fn records(folder: &Path, fault: &str, outcome: &mut Outcome) {
    let keeps = Path::new(env!("CARGO_BIN_EXE_keeps"));
    let mut command = failing(keeps, fault).expect("strace is here");
    command.args([text(folder), "12"]);
    let ended = match within(command, DEADLINE_OF_A_FAULT) {
        Ok(ended) => ended,
        Err(hangs) => return outcome.wrong(format!("{fault}: {hangs}")),
    };
    let kept: Vec<&str> = ended
        .out
        .lines()
        .filter_map(|it| it.strip_prefix("kept "))
        .collect();
    if !ended.status.success() {
        outcome.refused += 1;
    }
    holds(folder, &kept, fault, &ended, outcome);
}

/// The station's own program, which records one.
fn commands(folder: &Path, fault: &str, outcome: &mut Outcome) {
    let sponson = programs().join("sponson");
    let mut command = failing(&sponson, fault).expect("strace is here");
    command.args(["--folder", text(folder), "fault", "11", "tube-1", "leak"]);
    command.args(["--severity", "restrictive"]);
    let ended = match within(command, DEADLINE_OF_A_FAULT) {
        Ok(ended) => ended,
        Err(hangs) => return outcome.wrong(format!("{fault}: {hangs}")),
    };
    let name = ended
        .out
        .split_once(": fault ")
        .and_then(|(_, rest)| rest.split('-').next());
    match (ended.code(), name) {
        (Some(0), Some(name)) => holds(folder, &[name], fault, &ended, outcome),
        (Some(4), None) if ended.err.contains("look at the disk") => {
            holds(folder, &[], fault, &ended, outcome);
        }
        _ => outcome.wrong(format!("{fault}: {ended:?}")),
    }
}

/// What was acknowledged is there once the disk works again.
fn holds(folder: &Path, kept: &[&str], fault: &str, ended: &Ended, outcome: &mut Outcome) {
    let identity = Identity::load(folder).expect("it has joined");
    let opened = Replica::open(&folder.join(STORE_FOLDER), identity.log_key().clone());
    let replica = match opened {
        Ok(replica) => replica,
        Err(error) => {
            return outcome.lost(1, format!("{fault}: does not open: {error}; {ended:?}"));
        }
    };
    let wrong = replica.verify(&mut |_, _| {}).wrong;
    if !wrong.is_empty() {
        outcome.wrong(format!("{fault}: {wrong:?}"));
    }
    let own = replica.chains().get(&replica.key());
    let own: Vec<String> = own
        .into_iter()
        .flat_map(|chain| (1..=99).filter_map(|seq| chain.at(seq)).flatten())
        .map(ToString::to_string)
        .collect();
    let lost = kept
        .iter()
        .filter(|name| !own.iter().any(|id| id.starts_with(**name)));
    let lost = lost.count();
    if lost > 0 {
        let count = u64::try_from(lost).expect("few");
        outcome.lost(
            count,
            format!("{fault}: {lost} acknowledged are lost; {ended:?}"),
        );
    }
}
