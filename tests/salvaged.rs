//! `sponson salvage` with real folders: what a crew with a ruined store does, and what they have
//! afterwards.

use std::path::PathBuf;

use end_to_end::county::{
    World, about, admitted, answer, differences, fault, text, tomorrow, verify,
};
use end_to_end::faults::copy_folder;
use end_to_end::process::Device;
use sponson_link::founding::STORE_FOLDER;

/// A county and a station that synced, then recorded faults that the county lacks.
struct Ruined {
    world: World,
    station: Device,
    undamaged: Device,
}

impl Ruined {
    fn new() -> Self {
        let world = World::founded();
        let (up, address) = world.county().serve_county();
        let station = world.joined("Millrace", address);
        station.fine(&["sync"]);
        assert_eq!(up.terminate().code(), Some(0));
        for craft in ["11", "12", "21"] {
            let _ = fault(&station, craft, "tube-1", "leak");
        }
        let undamaged = world.station("undamaged");
        copy_folder(station.folder(), undamaged.folder());
        Self {
            world,
            station,
            undamaged,
        }
    }

    fn db(&self) -> PathBuf {
        self.station.folder().join(STORE_FOLDER).join("store/db")
    }

    /// Changes a byte in every place where a text stands.
    fn changed(&self, words: &str) {
        let mut bytes = std::fs::read(self.db()).expect("the store is there");
        let at: Vec<usize> = bytes
            .windows(words.len())
            .enumerate()
            .filter(|(_, window)| *window == words.as_bytes())
            .map(|(at, _)| at)
            .collect();
        assert!(!at.is_empty(), "{words} stands in the store");
        for at in at {
            bytes[at] ^= 1;
        }
        std::fs::write(self.db(), bytes).expect("writes");
    }

    fn is_refused(&self) {
        let ended = self.station.run(&["verify"]);
        assert_eq!(ended.code(), Some(4), "{ended:?}");
        assert!(ended.err.contains("sponson salvage"), "{ended:?}");
    }

    /// Both say the same of every craft.
    fn says_what_it_said(&self) {
        let as_of = tomorrow();
        let was = answer(&self.undamaged, "ready", &as_of);
        let is = answer(&self.station, "ready", &as_of);
        let differ = differences(&was["craft"], &is["craft"]);
        assert_eq!(differ, Vec::<String>::new());
    }

    fn county_moved(&self, address: std::net::SocketAddr) {
        end_to_end::county::county_moved(&self.station, address);
        end_to_end::county::county_moved(&self.undamaged, address);
    }
}

#[test]
fn a_store_whose_county_rows_are_ruined_is_filled_by_the_county() {
    let ruined = Ruined::new();
    let before = about(&ruined.station, "events held");
    // The sheet in force: the county wrote it.
    ruined.changed("inflatable-14");
    ruined.is_refused();
    let (up, address) = ruined.world.county().serve_county();
    ruined.county_moved(address);
    let said = ruined.station.run(&["salvage"]);
    assert!(said.out.contains("set aside"), "{said:?}");
    ruined.undamaged.fine(&["sync"]);
    if said.code() == Some(0) {
        assert!(said.out.contains("goes on as before"), "{said:?}");
    } else {
        assert!(said.out.contains("--replaces"), "{said:?}");
    }
    assert_eq!(about(&ruined.station, "events held"), before);
    verify(&ruined.station);
    ruined.says_what_it_said();
    let again = ruined.station.fine(&["salvage"]);
    assert_eq!(again, "the store is whole: nothing was done\n");
    assert_eq!(up.terminate().code(), Some(0));
}

#[test]
fn a_device_whose_last_entries_are_in_doubt_takes_a_new_key() {
    let ruined = Ruined::new();
    let bytes = std::fs::read(ruined.db()).expect("the store is there");
    std::fs::write(ruined.db(), vec![0; bytes.len()]).expect("writes");
    ruined.is_refused();
    let (up, address) = ruined.world.county().serve_county();
    ruined.county_moved(address);
    let said = ruined.station.run(&["salvage"]);
    assert_eq!(said.code(), Some(4), "{said:?}");
    let line = said.out.lines().find(|line| line.contains("--replaces"));
    let line = line.unwrap_or_else(|| panic!("{said:?}"));
    assert!(
        line.trim_start()
            .starts_with("2. sponson join CODE --county")
    );
    // As the report says.
    let code = admitted(&ruined.world.county(), "Millrace");
    let words: Vec<&str> = line.split_whitespace().skip(2).collect();
    let words: Vec<&str> = words
        .into_iter()
        .map(|word| if word == "CODE" { &code } else { word })
        .collect();
    ruined.station.fine(&words);
    ruined.station.fine(&["sync"]);
    let _ = fault(&ruined.station, "11", "tube-2", "leak");
    let synced = ruined.station.fine(&["sync"]);
    assert!(synced.contains("nothing waits"), "{synced}");
    verify(&ruined.station);
    verify(&ruined.world.county());
    assert!(ruined.station.folder().join("store.set-aside-1").exists());
    assert!(ruined.station.folder().join("keys.set-aside-1").exists());
    assert_eq!(up.terminate().code(), Some(0));
}

#[test]
fn without_a_county_a_carry_file_fills_it() {
    let ruined = Ruined::new();
    let file = ruined.world.path("stick.carry");
    ruined.undamaged.fine(&["carry", "out", text(&file)]);
    let before = about(&ruined.station, "events held");
    std::fs::remove_dir_all(ruined.station.folder().join(STORE_FOLDER)).expect("removes");
    let said = ruined
        .station
        .run(&["salvage", "--offline", "--carry", text(&file)]);
    assert_eq!(said.code(), Some(4), "{said:?}");
    assert!(said.out.contains("it has a new key now"), "{said:?}");
    assert_eq!(about(&ruined.station, "events held"), before);
    verify(&ruined.station);
    ruined.says_what_it_said();
}

#[test]
fn the_county_has_another_way_back() {
    let world = World::founded();
    let county = Device::station(world.county().folder());
    std::fs::write(county.folder().join(STORE_FOLDER).join("kept"), [255; 12]).expect("writes");
    std::fs::remove_file(county.folder().join(STORE_FOLDER).join("store/db")).expect("removes");
    let said = county.run(&["salvage"]);
    assert_eq!(said.code(), Some(3), "{said:?}");
    assert!(said.err.contains("its backup"), "{said:?}");
}
