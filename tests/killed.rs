//! SIGKILL inside a sync, at the county and at the station, again and again: afterwards both hold
//! every event once, and say what they would have said without it. Beside it, a network that is cut.

#[path = "killed/poor_network.rs"]
mod poor_network;

use std::os::unix::process::ExitStatusExt as _;

use end_to_end::county::{World, about, answer, county_moved, differences, tomorrow, verify};
use end_to_end::faults::{Seeded, copy_folder};
use end_to_end::many;
use end_to_end::process::{Device, Running};
use end_to_end::relay::{Holds, Relay, Trip, Way};
use sponson_link::founding::STORE_FOLDER;
use sponson_link::{Clock, Identity};
use sponson_replica::Replica;

/// More than two chunks of half a MiB.
const EVENTS: u64 = 3_000;

const SEED: u64 = 0x5eed_0b0a_7f1a_7e5d;

const SIGKILL: i32 = 9;

/// Who is killed.
#[derive(Clone, Copy, Debug)]
enum Victim {
    County,
    Station,
}

/// Whom to kill, which way bytes are counted, what is held, and the range of the seeded byte. The
/// handshake takes about 2 KiB each way, so all of these are after it.
const KILLS: [(Victim, Way, Holds, (u64, u64)); 8] = [
    (
        Victim::County,
        Way::ToCounty,
        Holds::Everything,
        (4_000, 60_000),
    ),
    (
        Victim::Station,
        Way::ToCounty,
        Holds::Everything,
        (4_000, 60_000),
    ),
    (
        Victim::County,
        Way::ToCounty,
        Holds::Replies,
        (20_000, 60_000),
    ),
    (
        Victim::County,
        Way::ToStation,
        Holds::Replies,
        (2_500, 4_000),
    ),
    (
        Victim::Station,
        Way::ToStation,
        Holds::Replies,
        (2_500, 4_000),
    ),
    (
        Victim::Station,
        Way::ToCounty,
        Holds::Replies,
        (20_000, 60_000),
    ),
    (
        Victim::County,
        Way::ToStation,
        Holds::Everything,
        (2_500, 4_000),
    ),
    (
        Victim::Station,
        Way::ToStation,
        Holds::Everything,
        (2_500, 4_000),
    ),
];

/// Records events at a station without a process for each; gives the last one's short name.
fn records_many(station: &Device) -> String {
    let identity = Identity::load(station.folder()).expect("it has joined");
    let store = station.folder().join(STORE_FOLDER);
    let mut replica = Replica::open(&store, identity.log_key().clone()).expect("nobody has it");
    let craft = many::craft(&mut replica);
    let clock = Clock::system();
    let mut last = String::new();
    for number in 0..EVENTS {
        let event = many::nth(number, &craft);
        let appended = replica.append(event, &clock.now()).expect("it fits");
        last = sponson_client::catalogue::short_event(appended.id.as_bytes());
    }
    last
}

/// One sync that is stopped at a byte, and one side of it killed there.
fn kill_in_sync(
    victim: Victim,
    trip: Trip,
    devices: (&Device, &Device),
    up: Running,
    relay: &Relay,
) -> Running {
    let (county, station) = devices;
    relay.set(trip);
    let mut syncing = station.start(&["sync"]);
    relay.wait_until_tripped(|| syncing.is_up());
    assert!(
        syncing.is_up(),
        "{trip:?}: what is held keeps it from its end"
    );
    match victim {
        Victim::Station => {
            let killed = syncing.kill();
            assert_eq!(killed.status.signal(), Some(SIGKILL), "{killed:?}");
            relay.cut();
            up
        }
        Victim::County => {
            let killed = up.kill();
            assert_eq!(killed.status.signal(), Some(SIGKILL), "{killed:?}");
            relay.cut();
            let ended = syncing.wait();
            assert_eq!(ended.code(), Some(5), "{trip:?}: {ended:?}");
            assert!(ended.err.contains("sync again"), "{ended:?}");
            let (up, address) = county.serve_county();
            relay.county_is_at(address);
            up
        }
    }
}

#[test]
fn a_killed_sync_loses_and_doubles_nothing() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let station = world.joined("Millrace", address);
    station.fine(&["sync"]);
    assert_eq!(up.terminate().code(), Some(0));
    let last = records_many(&station);
    for newest in [&["log", "--last", "2"][..], &["log", "--last", "300"]] {
        let said = station.fine(newest);
        assert!(
            said.trim_end().ends_with(&last),
            "{last} is the newest: {said}"
        );
    }
    let before = about(&county, "events held");

    let (calm_county, calm_station) = (
        Device::county(&world.path("calm-county")),
        world.station("calm-station"),
    );
    copy_folder(county.folder(), calm_county.folder());
    copy_folder(station.folder(), calm_station.folder());

    let (mut up, address) = county.serve_county();
    let relay = Relay::to(address);
    county_moved(&station, relay.address());
    let mut seeded = Seeded::new(SEED);
    for (victim, way, holds, range) in KILLS {
        let bytes = seeded.between(range);
        let trip = Trip { way, bytes, holds };
        up = kill_in_sync(victim, trip, (&county, &station), up, &relay);
        assert_eq!(about(&station, "events held"), before + EVENTS);
    }
    let arrived = about(&county, "events held") - before;
    let waiting = about(&station, "waiting for the county");
    assert!(0 < arrived && arrived < EVENTS, "{arrived} arrived");
    assert!(
        arrived + waiting > EVENTS,
        "{arrived} arrived, {waiting} wait: no reply was lost after the county had stored"
    );
    let said = station.fine(&["sync"]);
    assert!(said.ends_with("; nothing waits\n"), "{said}");
    assert_eq!(up.terminate().code(), Some(0));
    for device in [&county, &station] {
        assert_eq!(about(device, "events held"), before + EVENTS);
        verify(device);
    }

    let (up, address) = calm_county.serve_county();
    county_moved(&calm_station, address);
    let said = calm_station.fine(&["sync"]);
    assert!(
        said.starts_with(&format!("sent {EVENTS} events, ")),
        "{said}"
    );
    assert_eq!(up.terminate().code(), Some(0));
    let as_of = tomorrow();
    let calm = answer(&calm_county, "answer", &as_of);
    for (device, command) in [(&county, "answer"), (&station, "ready")] {
        let killed = answer(device, command, &as_of);
        let differ = differences(&calm["craft"], &killed["craft"]);
        assert_eq!(differ, Vec::<String>::new());
    }
}
