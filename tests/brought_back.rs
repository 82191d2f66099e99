//! The county comes back, with real processes: from a backup that was made while stations sync, and
//! from an old copy of its folder, with stations that hold different parts of what it lost.

use std::net::SocketAddr;

use end_to_end::county::{
    World, about, answer, county_moved, differences, fault, text, tomorrow, verify,
};
use end_to_end::faults::copy_folder;
use end_to_end::process::{Device, Running};

/// Two stations of a county that serves.
fn up(world: &World) -> (Running, [Device; 2]) {
    let (county, address) = world.county().serve_county();
    let stations = ["Millrace", "Weir"].map(|name| world.joined(name, address));
    for station in &stations {
        station.fine(&["sync"]);
    }
    (county, stations)
}

/// Serves the folder of the county again, and tells the stations where.
fn again(world: &World, stations: &[Device; 2]) -> (Running, SocketAddr) {
    let (county, address) = world.county().serve_county();
    for station in stations {
        county_moved(station, address);
    }
    (county, address)
}

/// Syncs all until everybody holds the same, and checks that they do and say the same.
fn all_agree(world: &World, stations: &[Device; 2]) {
    for _ in 0..2 {
        for station in stations {
            station.fine(&["sync"]);
        }
    }
    let county = world.county();
    let as_of = tomorrow();
    let told = answer(&county, "answer", &as_of);
    let held = about(&county, "events held");
    verify(&county);
    for station in stations {
        verify(station);
        assert_eq!(about(station, "events held"), held);
        assert_eq!(about(station, "waiting for the county"), 0);
        let theirs = answer(station, "ready", &as_of);
        let apart = differences(&told["craft"], &theirs["craft"]);
        assert!(apart.is_empty(), "{apart:?}");
    }
}

/// Every fault is known at the county.
fn holds_all(world: &World, faults: &[String]) {
    let log = world.county().fine(&["log", "--last", "1000"]);
    for fault in faults {
        let event = fault.get(..8).expect("a short name");
        assert!(log.contains(event), "{fault} in {log}");
    }
}

#[test]
fn a_backup_made_while_stations_sync_brings_the_county_back() {
    let world = World::founded();
    let (county, stations) = up(&world);
    let [mill, weir] = &stations;
    let mut faults = Vec::new();
    for part in ["floor", "transom", "keel"] {
        faults.push(fault(mill, "11", part, "hole"));
        faults.push(fault(weir, "21", part, "hole"));
    }
    let backup = world.path("county.backup");
    let syncing = mill.start(&["sync"]);
    world.county().fine(&["backup", text(&backup)]);
    assert_eq!(syncing.wait().code(), Some(0));
    // After the backup: each station knows something that the other does not.
    weir.fine(&["sync"]);
    faults.push(fault(mill, "12", "floor", "hole"));
    mill.fine(&["sync"]);
    world.county().fine(&["admit", "Quay"]);
    faults.push(fault(weir, "21", "floor", "tear"));
    weir.fine(&["sync"]);
    faults.push(fault(mill, "12", "transom", "hole"));
    let _ = county.kill();

    std::fs::rename(world.path("county"), world.path("lost")).expect("nobody holds it");
    let root = world.path("root.key");
    let restore = ["restore", text(&backup), "--root-key", text(&root)];
    world.county().fine(&restore);
    assert_eq!(
        world.county().run(&restore).code(),
        Some(3),
        "over a county"
    );
    let (county, _) = again(&world, &stations);
    let said = weir.run(&["sync"]);
    assert!(
        said.err.contains("the county was restored from a backup"),
        "{said:?}"
    );
    assert!(said.err.contains("that it had lost"), "{said:?}");
    let told = world.county().run(&["answer"]);
    assert!(
        told.err
            .contains("may still be missing until they sync: Millrace"),
        "{told:?}"
    );
    all_agree(&world, &stations);
    holds_all(&world, &faults);
    let told = world.county().run(&["answer"]);
    assert!(!told.err.contains("note:"), "{told:?}");
    // It admits, and the new device follows the new log from its first entry.
    world.county().fine(&["admit", "Quay"]);
    let _ = county.kill();
}

#[test]
fn an_old_folder_in_the_countys_place_is_noticed_and_filled() {
    let world = World::founded();
    let (county, stations) = up(&world);
    let [mill, weir] = &stations;
    let _ = county.terminate();
    copy_folder(&world.path("county"), &world.path("copy"));
    let (county, _) = again(&world, &stations);
    let mut faults = vec![fault(mill, "11", "floor", "hole")];
    mill.fine(&["sync"]);
    faults.push(fault(weir, "21", "floor", "hole"));
    weir.fine(&["sync"]);
    world.county().fine(&["admit", "Quay"]);
    faults.push(fault(weir, "21", "keel", "hole"));
    weir.fine(&["sync"]);
    faults.push(fault(mill, "12", "keel", "hole"));
    let _ = county.terminate();
    std::fs::rename(world.path("county"), world.path("newer")).expect("nobody holds it");
    copy_folder(&world.path("copy"), &world.path("county"));

    let (county, _) = again(&world, &stations);
    let said = mill.run(&["sync"]);
    assert!(
        said.err.contains("had been put back to an older state"),
        "{said:?}"
    );
    all_agree(&world, &stations);
    holds_all(&world, &faults);
    let refused = world.county().run(&["admit", "Quay"]);
    assert_eq!(refused.code(), Some(3), "{refused:?}");
    assert!(refused.err.contains("renew-key"), "{refused:?}");
    let _ = county.terminate();
    world
        .county()
        .fine(&["renew-key", "--root-key", text(&world.path("root.key"))]);
    let (_county, _) = again(&world, &stations);
    world.county().fine(&["admit", "Quay"]);
    all_agree(&world, &stations);
}
