//! SIGKILL at random moments while a device records, syncs or takes in a carry file: everything
//! that was acknowledged is there afterwards, once, and the device goes on with its own chain. Beside
//! it, a whole county under load.

#[path = "killed_at_random/under_load.rs"]
mod under_load;

use std::path::Path;
use std::process::Command;
use std::time::Duration;

use end_to_end::county::{World, about, county_moved, text, verify};
use end_to_end::faults::{Outcome, Seeded, Tally, rounds, seed};
use end_to_end::process::{DEADLINE, Device, Running, programs, wait_for, within};
use sponson_link::Identity;
use sponson_link::founding::STORE_FOLDER;
use sponson_replica::Replica;

const SEED: u64 = 0x0ff0_1f1f_5eed_0003;

const ROUNDS: u64 = 30;

/// What is under way when the power of one process ends.
const WORK: [Work; 3] = [Work::Recording, Work::Syncing, Work::TakingIn];

#[derive(Clone, Copy, Debug)]
enum Work {
    Recording,
    Syncing,
    TakingIn,
}

/// What a round begins and ends with.
struct Devices {
    world: World,
    station: Device,
    other: Device,
    acknowledged: Vec<String>,
}

#[test]
fn whenever_it_is_killed_what_was_acknowledged_is_there_once() {
    let seed = seed(SEED);
    let mut tally = Tally::begin(
        "killed",
        "SIGKILL while a device records, syncs or takes in a carry file",
        seed,
    );
    let world = World::founded();
    let (up, address) = world.county().serve_county();
    let mut devices = Devices {
        station: world.joined("Millrace", address),
        other: world.joined("Weir", address),
        world,
        acknowledged: Vec::new(),
    };
    devices.station.fine(&["sync"]);
    devices.other.fine(&["sync"]);
    county_moved(&devices.station, address);
    tally.try_in_turn(rounds(ROUNDS), |round, seeded| {
        let work = WORK[seeded.place(WORK.len())];
        devices.round(work, round, seeded)
    });
    devices.station.fine(&["sync"]);
    let county = devices.world.county();
    for device in [&devices.station, &county] {
        verify(device);
    }
    let (held, there) = (
        about(&devices.station, "events held"),
        about(&county, "events held"),
    );
    assert!(held <= there, "{held} and {there}");
    assert_eq!(about(&devices.station, "waiting for the county"), 0);
    tally.end();
    assert_eq!(up.terminate().code(), Some(0));
}

impl Devices {
    fn round(&mut self, work: Work, round: u64, seeded: &mut Seeded) -> Outcome {
        let folder = self.station.folder().to_owned();
        let command = match work {
            Work::Recording => {
                let mut command = Command::new(env!("CARGO_BIN_EXE_keeps"));
                command.args([text(&folder), "5000"]);
                command
            }
            Work::Syncing => {
                records(&self.station, "40");
                self.sponson(&["sync"])
            }
            Work::TakingIn => {
                records(&self.other, "200");
                let stick = self.world.path(&format!("stick-{round}.carry"));
                self.other.fine(&["carry", "out", text(&stick)]);
                self.sponson(&["carry", "in", text(&stick)])
            }
        };
        let told = killed(command, work, seeded);
        let ids = told.lines().filter_map(|line| line.strip_prefix("kept "));
        self.acknowledged.extend(ids.map(str::to_owned));
        let mut outcome = Outcome::default();
        self.look(&format!("{work:?}"), &mut outcome);
        outcome
    }

    fn sponson(&self, args: &[&str]) -> Command {
        let mut command = Command::new(programs().join("sponson"));
        command
            .args(["--folder", text(self.station.folder())])
            .args(args);
        command
    }

    fn look(&self, what: &str, outcome: &mut Outcome) {
        let folder = self.station.folder();
        let identity = Identity::load(folder).expect("it has joined");
        let key = identity.log_key().clone();
        let replica = match Replica::open(&folder.join(STORE_FOLDER), key) {
            Ok(replica) => replica,
            Err(error) => return outcome.lost(1, format!("{what}: {error}")),
        };
        let wrong = replica.verify(&mut |_, _| {}).wrong;
        if !wrong.is_empty() {
            outcome.wrong(format!("{what}: {wrong:?}"));
        }
        let own = replica.chains().get(&replica.key()).expect("it recorded");
        let last = own.heads().values().copied().max().unwrap_or(0);
        let ids = (1..=last).filter_map(|seq| own.at(seq)).flatten();
        let ids: std::collections::BTreeSet<String> = ids.map(ToString::to_string).collect();
        let lost = self.acknowledged.iter().filter(|id| !ids.contains(*id));
        let lost = u64::try_from(lost.count()).expect("few");
        if lost > 0 {
            outcome.lost(lost, format!("{what}: {lost} acknowledged are lost"));
        }
    }
}

/// Records at a device, to the end.
fn records(device: &Device, count: &str) {
    let keeps = Path::new(env!("CARGO_BIN_EXE_keeps"));
    let mut command = Command::new(keeps);
    command.args([text(device.folder()), count]);
    let ended = within(command, DEADLINE).unwrap_or_else(|hangs| panic!("{hangs}"));
    assert_eq!(ended.code(), Some(0), "{ended:?}");
}

/// Starts a command, kills it at a random moment, and gives what it had said. One that records is
/// killed once it has said so many lines, and a little later; the others within the time that they
/// take.
fn killed(command: Command, work: Work, seeded: &mut Seeded) -> String {
    let mut running = Running::start(command);
    let later_us = match work {
        Work::Recording => {
            let lines = seeded.place(39) + 1;
            wait_for("what it recorded", || {
                let said = running.out().matches('\n').count();
                (said >= lines || !running.is_up()).then_some(())
            });
            seeded.between((0, 5_000))
        }
        Work::Syncing | Work::TakingIn => seeded.between((5_000, 150_000)),
    };
    std::thread::sleep(Duration::from_micros(later_us));
    // It may have ended by itself: that is a round too.
    let mut told = running.kill().out;
    // A line that was cut short acknowledged nothing.
    let whole = told.rfind('\n').map_or(0, |end| end + 1);
    told.truncate(whole);
    told
}
