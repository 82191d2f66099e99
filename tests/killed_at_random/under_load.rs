//! A county and its stations as real processes that serve, record and sync all at once, while one
//! or two of them at a time are ended by SIGKILL and started again.
//!
//! Whoever is told that an entry or a picture is kept notes it outside. At the end everybody holds
//! everything, and says the same. Whom to kill and when comes from the seed; what happens at that
//! moment is up to the system, so a seed that failed may need more than one try.

mod load;

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use end_to_end::county::{World, about, answer, differences, tomorrow, verify};
use end_to_end::faults::{Outcome, Seeded, Tally, rounds, seed};
use end_to_end::process::{Device, Running, wait_for};
use end_to_end::relay::Relay;
use sponson_link::Identity;
use sponson_link::founding::STORE_FOLDER;
use sponson_link::local::PHOTOS_FOLDER;
use sponson_log::ids::SubjectId;
use sponson_replica::{PicturePlace, Replica};

use load::{Load, Noted};

const SEED: u64 = 0x0ff0_1f1f_5eed_0005;

/// Kills in one life of a county; what it wrote then still verifies within a command's time.
const KILLS: u64 = 40;

const STATIONS: [&str; 4] = ["Millrace", "Weir", "Quay", "Head"];

const CRAFT: &str = "call sign,model,station,persons,total (lb),hp\n\
     11,inflatable-14,Millrace,10,2200,40\n\
     21,inflatable-14,Weir,10,2200,40\n\
     31,inflatable-14,Quay,10,2200,40\n\
     41,inflatable-14,Head,10,2200,40\n";

/// Entries that are acknowledged between two kills, and how long after the last of them, microseconds.
const BETWEEN: (u64, u64) = (1, 25);
const LATER_US: (u64, u64) = (0, 30_000);

#[test]
fn under_load_whoever_is_killed_nothing_acknowledged_is_lost() {
    let seed = seed(SEED);
    let mut tally = Tally::begin(
        "killed-under-load",
        "lives of a county with four stations that serve, record, take pictures and sync at once, \
         one or two of them ended by SIGKILL and started again",
        seed,
    );
    let (kills, entries, pictures) = (AtomicU64::new(0), AtomicU64::new(0), AtomicU64::new(0));
    tally.at_once(1).try_each(1, |_, seeded| {
        let mut county = Up::begin();
        for _ in 0..rounds(KILLS) {
            county.kill(seeded);
            kills.fetch_add(1, Ordering::Relaxed);
        }
        let (outcome, noted) = county.end();
        entries.fetch_add(noted.entries, Ordering::Relaxed);
        pictures.fetch_add(noted.pictures, Ordering::Relaxed);
        outcome
    });
    let [kills, entries, pictures] = [kills, entries, pictures].map(AtomicU64::into_inner);
    tally.note = format!("{kills} kills, {entries} entries and {pictures} pictures acknowledged");
    tally.end();
}

/// How much was acknowledged in one life.
struct Count {
    entries: u64,
    pictures: u64,
}

/// A county that is up, and its stations.
struct Up {
    world: World,
    relay: Relay,
    county: Option<Running>,
    stations: Vec<(Device, Option<Running>)>,
    noted: Arc<Noted>,
    load: Load,
}

impl Up {
    fn begin() -> Self {
        let world = World::founded_with(CRAFT);
        let (county, address) = world.county().serve_county();
        let relay = Relay::to(address);
        let stations = STATIONS.map(|name| {
            let station = world.joined(name, relay.address());
            station.fine(&["sync"]);
            station
        });
        let craft = craft(&stations[0]);
        let noted = Arc::new(Noted::default());
        let stations: Vec<_> = stations
            .into_iter()
            .map(|station| {
                let up = station.serve_station();
                (station, Some(up))
            })
            .collect();
        let load = Load::begin(
            stations.iter().map(|(station, _)| station.socket()),
            &craft,
            &noted,
        );
        Self {
            county: Some(county),
            world,
            relay,
            stations,
            noted,
            load,
        }
    }

    /// Kills one or two at a moment of the seed, and starts them again.
    fn kill(&mut self, seeded: &mut Seeded) {
        let after = self.noted.count() + seeded.between(BETWEEN);
        wait_for("entries between two kills", || {
            (self.noted.count() >= after).then_some(())
        });
        std::thread::sleep(Duration::from_micros(seeded.between(LATER_US)));
        let (first, second) = (seeded.place(self.stations.len() + 1), seeded.place(4));
        let both = [Some(first), (second == 0).then_some(self.stations.len())];
        // Both first, so that they are down together.
        for victim in both.into_iter().flatten() {
            let up = match self.stations.get_mut(victim) {
                Some((_, up)) => up.take(),
                None => self.county.take(),
            };
            drop(up.map(Running::kill));
        }
        for (station, up) in &mut self.stations {
            if up.is_none() {
                *up = Some(station.serve_station());
            }
        }
        if self.county.is_none() {
            let (county, address) = self.world.county().serve_county();
            self.relay.county_is_at(address);
            self.county = Some(county);
        }
    }

    /// Ends the load, has everybody sync, and looks at everything.
    fn end(self) -> (Outcome, Count) {
        self.load.end();
        let county = self.world.county();
        for _ in 0..2 {
            for (station, _) in &self.stations {
                station.fine(&["sync"]);
            }
        }
        let mut outcome = Outcome::default();
        let as_of = tomorrow();
        let told = answer(&county, "answer", &as_of);
        let held = about(&county, "events held");
        for (station, up) in self.stations {
            assert_eq!(about(&station, "events held"), held);
            assert_eq!(about(&station, "waiting for the county"), 0);
            for apart in differences(&told["craft"], &answer(&station, "ready", &as_of)["craft"]) {
                outcome.wrong(format!("{}: {apart}", station.folder().display()));
            }
            assert_eq!(
                up.expect("it was started again").terminate().code(),
                Some(0)
            );
            verify(&station);
            holds_all(&station, &self.noted, &mut outcome);
        }
        assert_eq!(
            self.county
                .expect("it was started again")
                .terminate()
                .code(),
            Some(0)
        );
        verify(&county);
        holds_all(&county, &self.noted, &mut outcome);
        let count = Count {
            entries: self.noted.count(),
            pictures: self.noted.pictures(),
        };
        (outcome, count)
    }
}

fn opened(device: &Device) -> Replica {
    let folder = device.folder();
    let identity = Identity::load(folder).expect("it has a key");
    let replica = Replica::open(&folder.join(STORE_FOLDER), identity.log_key().clone());
    let replica = replica.expect("nobody has it");
    let pictures = replica.with_pictures(&folder.join(PHOTOS_FOLDER), 0);
    pictures.expect("its pictures")
}

/// The craft of the county, as a station holds them.
fn craft(station: &Device) -> Vec<SubjectId> {
    let entries = opened(station).catalogue().entries;
    let craft = ["11", "21", "31", "41"].map(|number| {
        let found = entries.iter().find(|entry| entry.number == number);
        found.expect("the county registered it").id
    });
    craft.to_vec()
}

/// Every entry that anybody was told is kept is here; the county has every picture.
fn holds_all(device: &Device, noted: &Noted, outcome: &mut Outcome) {
    let replica = opened(device);
    let name = device.folder().display();
    let lost = noted.entries().into_iter().filter(|id| !replica.holds(id));
    let lost: Vec<String> = lost.map(|id| id.to_string()).collect();
    if !lost.is_empty() {
        let count = u64::try_from(lost.len()).expect("few");
        outcome.lost(count, format!("{name} lacks {lost:?}"));
    }
    for picture in noted.pictures_kept().iter().filter(|_| replica.is_county()) {
        let place = replica.picture_place(picture);
        if !matches!(place, PicturePlace::Held) {
            outcome.lost(1, format!("{name}: a picture that was kept is {place:?}"));
        }
    }
}
