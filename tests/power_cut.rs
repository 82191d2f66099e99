//! Power cuts, simulated: what real processes wrote and synced is replayed into the files that a
//! disk may hold at any moment. Each must open, or be refused with the remedy; and every event
//! that was acknowledged before the cut must be there, or come back by salvage.

use std::fs::read_to_string;
use std::path::{Path, PathBuf};

use end_to_end::county::{World, about, admitted, text};
use end_to_end::faults::{Outcome, Seeded, Tally, rounds, seed};
use end_to_end::power::{Cut, Done, Image, Trace, has_strace, recorded};
use end_to_end::process::{DEADLINE_OF_A_FAULT, programs, within};
use sponson_link::Identity;
use sponson_link::founding::STORE_FOLDER;
use sponson_log::ids::EventId;
use sponson_replica::{Founding, Refill, Replica, Salvaged};

const SEED: u64 = 0x0ff0_1f1f_5eed_0001;

/// Images of a store that is written to.
const IMAGES: u64 = 200;

/// Images of a device that joins.
const JOINING: u64 = 40;

/// Something that was acknowledged.
#[derive(Clone, Debug)]
enum Acknowledged {
    /// The event whose id begins so.
    Event(String),
    /// So many events.
    Count(u64),
    /// That the device has joined.
    Joined,
}

/// What was recorded, and what was acknowledged in which line.
struct Recorded {
    folder: PathBuf,
    trace: Trace,
    acknowledged: Vec<(usize, Acknowledged)>,
}

impl Recorded {
    fn of(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
            trace: Trace::of(folder),
            acknowledged: Vec::new(),
        }
    }

    /// Runs a program to its end and takes up what it did.
    fn run(&mut self, program: &Path, args: &[&str], acknowledges: fn(&str) -> Vec<Acknowledged>) {
        let record = self.folder.with_extension("strace");
        let first = self.trace.deeds.len();
        let mut command = recorded(program, &record).expect("strace is here");
        command.args(args);
        let ended = within(command, DEADLINE_OF_A_FAULT);
        let ended = ended.unwrap_or_else(|hangs| panic!("{hangs}"));
        assert_eq!(ended.code(), Some(0), "{args:?}: {ended:?}");
        self.trace.add(&read_to_string(&record).expect("a record"));
        for deed in &self.trace.deeds[first..] {
            if let Done::Told { text } = &deed.done {
                let told = acknowledges(text).into_iter();
                self.acknowledged.extend(told.map(|it| (deed.began, it)));
            }
        }
    }

    fn before(&self, line: usize) -> impl Iterator<Item = &Acknowledged> {
        let before = self.acknowledged.iter().filter(move |told| told.0 < line);
        before.map(|told| &told.1)
    }

    /// A moment: any, or just after something was done.
    fn moment(&self, seeded: &mut Seeded) -> usize {
        if seeded.between((0, 3)) == 0 {
            return seeded.place(self.trace.lines()) + 1;
        }
        let deed = &self.trace.deeds[seeded.place(self.trace.deeds.len())];
        deed.began + 1
    }
}

fn kept(text: &str) -> Vec<Acknowledged> {
    let ids = text.lines().filter_map(|line| line.strip_prefix("kept "));
    ids.map(|id| Acknowledged::Event(id.to_owned())).collect()
}

fn fault(text: &str) -> Vec<Acknowledged> {
    let name = text.split_once(": fault ").map(|(_, rest)| rest);
    let name = name.and_then(|rest| rest.split('-').next());
    name.map(|name| Acknowledged::Event(name.to_owned()))
        .into_iter()
        .collect()
}

fn joined(text: &str) -> Vec<Acknowledged> {
    let told = text.contains("joined as");
    told.then_some(Acknowledged::Joined).into_iter().collect()
}

fn nothing(_text: &str) -> Vec<Acknowledged> {
    Vec::new()
}

/// A station that records, takes in a carry file, and syncs, each by its own program.
fn worked(world: &World) -> Recorded {
    let (up, address) = world.county().serve_county();
    let station = world.joined("Millrace", address);
    let other = world.joined("Weir", address);
    for device in [&station, &other] {
        device.fine(&["sync"]);
    }
    let _ = end_to_end::county::fault(&other, "21", "tube-2", "leak");
    let stick = world.path("stick.carry");
    other.fine(&["carry", "out", "--new-only", text(&stick)]);
    let mut done = Recorded::of(station.folder());
    let folder = text(station.folder()).to_owned();
    let keeps = PathBuf::from(env!("CARGO_BIN_EXE_keeps"));
    done.run(&keeps, &[&folder, "30"], kept);
    done.run(&keeps, &[&folder, "10", text(&stick)], kept);
    let sponson = programs().join("sponson");
    let one = ["fault", "11", "tube-1", "leak", "--severity", "restrictive"];
    for _ in 0..2 {
        done.run(
            &sponson,
            &[&["--folder", &folder], &one[..]].concat(),
            fault,
        );
    }
    done.run(&sponson, &["--folder", &folder, "sync"], nothing);
    let held = Acknowledged::Count(about(&station, "events held"));
    done.acknowledged.push((done.trace.lines(), held));
    done.run(&keeps, &[&folder, "10"], kept);
    assert_eq!(up.terminate().code(), Some(0));
    done
}

fn joining(world: &World) -> Recorded {
    let (up, address) = world.county().serve_county();
    let station = world.station("joining");
    let code = admitted(&world.county(), "Millrace");
    let mut done = Recorded::of(station.folder());
    let folder = text(station.folder()).to_owned();
    let address = address.to_string();
    let args = ["--folder", &folder, "join", &code, "--county", &address];
    done.run(&programs().join("sponson"), &args, joined);
    assert_eq!(up.terminate().code(), Some(0));
    done
}

#[test]
fn what_was_acknowledged_survives_a_power_cut() {
    if !has_strace() {
        return;
    }
    let seed = seed(SEED);
    let mut tally = Tally::begin(
        "power-cut",
        "power cut while a device joins, records, syncs and takes in a carry file",
        seed,
    );
    let world = World::founded();
    let (work, join) = (worked(&world), joining(&world));
    tally.try_each(JOINING + rounds(IMAGES), |number, seeded| {
        let done = if number < JOINING { &join } else { &work };
        let cut = [Cut::Dropped, Cut::Kept, Cut::Mixed, Cut::Torn][seeded.place(4)];
        let line = done.moment(seeded);
        let image = Image::at(&done.trace, line, cut, seeded);
        let mut outcome = Outcome::default();
        look(
            done,
            &image,
            line,
            &format!("line {line}, {cut:?}"),
            &mut outcome,
        );
        outcome
    });
    tally.note = format!("{} opened by themselves", tally.count - tally.refused);
    tally.end();
}

/// Opens one image and counts what is not as it must be.
fn look(done: &Recorded, image: &Image, line: usize, what: &str, outcome: &mut Outcome) {
    let folder = tempfile::tempdir().expect("a folder");
    let root = folder.path().join("device");
    image.write(&done.folder, &root);
    let has_joined = done.before(line).count() > 0 || done.trace.names.len() > 1;
    private(&root);
    let identity = match Identity::load(&root) {
        Ok(identity) => identity,
        Err(error) if has_joined => {
            outcome.lost(1, format!("{what}: keys: {error}"));
            return;
        }
        // Not yet told that it has joined: it is told to join.
        Err(_) => return,
    };
    let store = root.join(STORE_FOLDER);
    let key = identity.log_key().clone();
    match Replica::open(&store, key.clone()) {
        Ok(replica) => {
            count_missing(done, &replica, line, what, outcome);
            let verified = replica.verify(&mut |_, _| {});
            if !verified.wrong.is_empty() {
                outcome.wrong(format!("{what}: opened, but {:?}", verified.wrong));
            }
        }
        Err(error) if !has_joined => {
            assert!(!error.to_string().is_empty(), "{what}");
        }
        Err(error) => {
            outcome.refused += 1;
            if !error.to_string().contains("sponson salvage") {
                outcome.wrong(format!("{what}: refused without the remedy: {error}"));
            }
            let read = Salvaged::read(&store, &root.join("scratch")).expect("it can be copied");
            let Some(county) = read.county() else {
                outcome.lost(1, format!("{what}: nothing can be read: {error}"));
                return;
            };
            let founding = Founding::Station { county };
            let fresh = Replica::create(&root.join("fresh"), &founding, key);
            let mut fresh = fresh.expect("a fresh store");
            fresh
                .refill(&read, Refill::All, 0)
                .expect("the fresh store is whole");
            count_missing(done, &fresh, line, what, outcome);
        }
    }
}

fn count_missing(done: &Recorded, held: &Replica, line: usize, what: &str, outcome: &mut Outcome) {
    let events = held.about().events;
    for told in done.before(line) {
        let there = match told {
            Acknowledged::Joined => true,
            Acknowledged::Count(count) => events >= *count,
            Acknowledged::Event(name) => holds(held, name),
        };
        if !there {
            outcome.lost(1, format!("{what}: {told:?} is lost of {events} held"));
        }
    }
}

/// Whether an event is held whose id begins so.
fn holds(replica: &Replica, name: &str) -> bool {
    let ids = replica.chains().iter().flat_map(|(_, chain)| {
        let seqs = 1..=chain.heads().values().copied().max().unwrap_or(0);
        seqs.filter_map(|seq| chain.at(seq)).flatten()
    });
    ids.map(EventId::to_string).any(|id| id.starts_with(name))
}

/// Keys are for their user alone; an image knows no modes.
fn private(root: &Path) {
    use std::os::unix::fs::PermissionsExt as _;
    for name in ["log.key", "tls.key"] {
        let path = root.join(name);
        if path.exists() {
            let mode = std::fs::Permissions::from_mode(0o600);
            std::fs::set_permissions(&path, mode).expect("our own file");
        }
    }
}
