//! Damaged files: bits flipped, files cut short, sectors gone, over every file of a device's
//! folder. Each copy holds all that it held, or says loudly that it does not and how to go on;
//! salvage then gives the same as before, and never lets a device write on after entries that it
//! lost.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use end_to_end::county::{World, text};
use end_to_end::faults::{Outcome, Seeded, Tally, copy_folder, rounds, seed};
use end_to_end::many;
use sponson_client::settings::{SETTINGS_FILE, Settings};
use sponson_link::founding::STORE_FOLDER;
use sponson_link::{Clock, Identity};
use sponson_replica::{Filled, Founding, OwnTail, Page, Refill, Replica, Salvaged};

const SEED: u64 = 0x0ff0_1f1f_5eed_0002;

/// Copies that are damaged.
const COPIES: u64 = 320;

/// Entries that only the device itself holds.
const UNSENT: u64 = 40;

/// A device, what it holds, and the files from which it can be filled again.
struct Whole {
    _world: World,
    folder: PathBuf,
    scratch: tempfile::TempDir,
    holds: Held,
    /// What the county holds.
    county: Vec<u8>,
    /// What the device held.
    own: Vec<u8>,
}

/// Everything that can be read of a copy: events with their texts, and the county log.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Held {
    events: BTreeMap<String, String>,
    county: (u64, String),
}

impl Held {
    fn of(replica: &Replica) -> Result<Self, String> {
        let lines = replica.log_page(None, Page::Newest, 10_000);
        let lines = lines.map_err(|error| error.to_string())?;
        let events = lines.into_iter().map(|line| {
            let shown = format!("{:?} {:?}", line.event, line.received_unix_ms);
            (line.event.id().to_string(), shown)
        });
        let about = replica.about();
        Ok(Self {
            events: events.collect(),
            county: (about.county_size, about.root.to_string()),
        })
    }
}

impl Whole {
    fn new() -> Self {
        let world = World::founded();
        let (up, address) = world.county().serve_county();
        let station = world.joined("Millrace", address);
        station.fine(&["sync"]);
        let craft = end_to_end::county::fault(&station, "12", "tube-4", "leak");
        assert!(!craft.is_empty());
        station.fine(&["sync"]);
        assert_eq!(up.terminate().code(), Some(0));
        let sticks = ["county.carry", "own.carry"].map(|name| world.path(name));
        world.county().fine(&["carry", "out", text(&sticks[0])]);
        let holds = records(station.folder());
        station.fine(&["carry", "out", text(&sticks[1])]);
        let [county, own] = sticks.map(|stick| std::fs::read(stick).expect("written"));
        Self {
            folder: station.folder().to_owned(),
            scratch: fast_folder(),
            _world: world,
            holds,
            county,
            own,
        }
    }

    /// Files of the folder, and how often each is damaged: mostly the one that holds the events.
    fn files(&self) -> Vec<(PathBuf, u64)> {
        let mut files = Vec::new();
        walk(&self.folder, &self.folder, &mut files);
        files.sort();
        let weight = |file: &PathBuf| if file.ends_with("db") { 24 } else { 2 };
        files
            .into_iter()
            .map(|file| (file.clone(), weight(&file)))
            .collect()
    }
}

/// Records at the device what nobody else holds.
fn records(folder: &Path) -> Held {
    let identity = Identity::load(folder).expect("it has joined");
    let key = identity.log_key().clone();
    let mut replica = Replica::open(&folder.join(STORE_FOLDER), key).expect("nobody has it");
    let craft = many::craft(&mut replica);
    for number in 0..UNSENT {
        let event = many::nth(number, &craft);
        replica
            .append(event, &Clock::system().now())
            .expect("it fits");
    }
    Held::of(&replica).expect("it is whole")
}

/// In memory where that can be had: what survives a power cut is tested elsewhere.
fn fast_folder() -> tempfile::TempDir {
    let memory = Path::new("/dev/shm");
    tempfile::tempdir_in(memory)
        .or_else(|_| tempfile::tempdir())
        .expect("a folder")
}

fn walk(root: &Path, folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        let length = std::fs::metadata(&path).map_or(0, |file| file.len());
        if path.is_dir() {
            walk(root, &path, files);
        } else if path.is_file() && length > 0 {
            files.push(path.strip_prefix(root).expect("it lies in it").to_owned());
        }
    }
}

/// Damages one file; says how.
fn damage(file: &Path, seeded: &mut Seeded) -> String {
    let mut bytes = std::fs::read(file).expect("it is there");
    let at = place(&bytes, seeded);
    let how = match seeded.place(6) {
        0 => {
            bytes.truncate(at);
            format!("cut at {at}")
        }
        1 => {
            let end = bytes.len().min(at + 512);
            bytes[at..end].fill(0);
            format!("512 bytes gone at {at}")
        }
        _ => {
            bytes[at] ^= 1 << seeded.place(8);
            format!("bit flipped at {at}")
        }
    };
    std::fs::write(file, bytes).expect("writes");
    format!("{}: {how}", file.display())
}

/// Any place, mostly one where something is written: most of the engine's file is empty.
fn place(bytes: &[u8], seeded: &mut Seeded) -> usize {
    let any = seeded.place(bytes.len());
    let after = bytes[any..].iter().position(|byte| *byte != 0);
    match after {
        Some(after) if seeded.place(8) > 0 => any + after,
        Some(_) | None => any,
    }
}

#[test]
fn no_damaged_file_is_a_wrong_answer() {
    let seed = seed(SEED);
    let mut tally = Tally::begin(
        "damaged",
        "bits flipped, files cut short and sectors gone, over every file of a device's folder",
        seed,
    );
    let whole = Whole::new();
    let files = whole.files();
    let total: u64 = files.iter().map(|(_, weight)| weight).sum();
    tally.try_each(rounds(COPIES), |number, seeded| {
        let mut drawn = seeded.between((0, total));
        let file = files.iter().find(|(_, weight)| {
            let found = drawn < *weight;
            drawn = drawn.saturating_sub(*weight);
            found
        });
        let (file, _) = file.expect("within the total");
        let copy = whole.scratch.path().join(format!("copy-{number}"));
        copy_folder(&whole.folder, &copy);
        let what = damage(&copy.join(file), seeded);
        let outcome = look(&whole, &copy, &format!("seed {seed:#x}, {what}"));
        std::fs::remove_dir_all(&copy).expect("removes");
        outcome
    });
    tally.note = format!(
        "{} held all that they held; the refused ones were whole again after salvage",
        tally.count - tally.refused
    );
    tally.end();
}

fn look(whole: &Whole, copy: &Path, what: &str) -> Outcome {
    let mut outcome = Outcome::default();
    let refusal = match opened(copy) {
        Ok(held) if held == whole.holds => return outcome,
        Ok(_) => {
            outcome.wrong(format!(
                "{what}: it holds something else, and nobody was told"
            ));
            return outcome;
        }
        Err(refusal) => refusal,
    };
    outcome.refused += 1;
    if refusal.is_empty() {
        outcome.wrong(format!("{what}: refused without a word"));
    }
    salvages(whole, copy, what, &mut outcome);
    outcome
}

/// Reads everything as a program does; the error is what a person is told.
fn opened(copy: &Path) -> Result<Held, String> {
    let settings = Settings::read(&copy.join(SETTINGS_FILE)).map_err(|error| error.to_string())?;
    settings.station_side().map_err(|error| error.to_string())?;
    let identity = Identity::load(copy).map_err(|error| error.to_string())?;
    let key = identity.log_key().clone();
    let replica =
        Replica::open(&copy.join(STORE_FOLDER), key).map_err(|error| error.to_string())?;
    let held = Held::of(&replica)?;
    let verified = replica.verify(&mut |_, _| {});
    if verified.wrong.is_empty() {
        Ok(held)
    } else {
        Err(verified.wrong.join("; "))
    }
}

/// What salvage does with the store of a copy, first with what the county holds alone.
fn salvages(whole: &Whole, copy: &Path, what: &str, outcome: &mut Outcome) {
    // The right key, as far as it is in question here: of a ruined key nothing can be judged.
    let identity = Identity::load(&whole.folder).expect("the undamaged one");
    let key = identity.log_key().clone();
    let read = Salvaged::read(&copy.join(STORE_FOLDER), &copy.join("scratch"));
    let read = read.expect("it can be copied");
    let from_county = filled(whole, &read, &copy.join("from-county"), &[&whole.county]);
    let held = Held::of(&from_county).expect("the fresh store is whole");
    let there = |id: &&String| held.events.contains_key(*id);
    let lost = whole.holds.events.len() - whole.holds.events.keys().filter(there).count();
    let tail = read.own_tail(&key.key(), &from_county, Filled::WithCounty);
    if lost > 0 && tail == OwnTail::Whole {
        outcome.wrong(format!(
            "{what}: {lost} own entries are lost, and it would write on"
        ));
    }
    let sticks = [whole.county.as_slice(), &whole.own];
    let fresh = filled(whole, &read, &copy.join("from-both"), &sticks);
    let held = Held::of(&fresh).expect("the fresh store is whole");
    let wrong = fresh.verify(&mut |_, _| {}).wrong;
    if held != whole.holds || !wrong.is_empty() {
        outcome.wrong(format!("{what}: salvage gave something else {wrong:?}"));
    }
}

/// A fresh store, filled as `salvage` does.
fn filled(whole: &Whole, read: &Salvaged, folder: &Path, sticks: &[&[u8]]) -> Replica {
    let identity = Identity::load(&whole.folder).expect("the undamaged one");
    let founding = Founding::Station {
        county: county_of(whole),
    };
    let fresh = Replica::create(folder, &founding, identity.log_key().clone());
    let mut fresh = fresh.expect("a fresh store");
    let written = "the fresh store is whole";
    fresh.refill(read, Refill::Rows, 0).expect(written);
    for stick in sticks {
        fresh.carry_in(stick, 0).expect("the stick is whole");
    }
    fresh.refill(read, Refill::All, 0).expect(written);
    fresh
}

fn county_of(whole: &Whole) -> sponson_log::ids::CountyId {
    let settings = Settings::read(&whole.folder.join(SETTINGS_FILE)).expect("undamaged");
    settings.county_id().expect("noted when it joined")
}
