//! A county and two stations worked by hand, with the county away in the middle: what both
//! stations recorded alone is one log afterwards, nothing doubled, and all three say the same.

use end_to_end::county::{self, World, about, answer, differences, fault, text, verify};
use end_to_end::process::Device;

const CHECK: &str = "
extent = \"full\"
air = \"12 C\"
stood = \"5 h\"
stowage = \"inflated\"

[readings.tube-1]
found = \"3.4 psi\"
left = \"3.6 psi\"

[readings.tube-2]
found = \"3.5 psi\"

[counts.life-jacket]
count = 6

[answers]
drain-plug = \"yes\"
";

/// Events of the faults that a station recorded while the county was away.
struct Recorded {
    open: String,
    closed: String,
}

/// A check, two faults, and the sign-off of one of them.
fn works_alone(world: &World, station: &Device, craft: &str, part: &str) -> Recorded {
    let name = format!("check-{craft}.toml");
    let file = world.file(&name, &format!("craft = \"{craft}\"{CHECK}"));
    station.fine(&["check", craft, "--from", text(&file)]);
    let open = fault(station, craft, part, "leak");
    let closed = fault(station, craft, "floor", "tear");
    let said = station.fine(&["sign-off", craft, &closed]);
    assert!(said.contains(&format!("still open: {open}")), "{said}");
    assert_eq!(about(station, "waiting for the county"), 4);
    let event = |name: &str| name.trim_end_matches("-0").to_owned();
    Recorded {
        open: event(&open),
        closed: event(&closed),
    }
}

#[test]
fn two_stations_work_alone_and_meet() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let (first, second) = (
        world.joined("Millrace", address),
        world.joined("Weir", address),
    );
    for station in [&first, &second] {
        station.fine(&["sync"]);
    }
    assert_eq!(up.terminate().code(), Some(0));

    let before = about(&county, "events held");
    let work = [
        works_alone(&world, &first, "11", "tube-3"),
        works_alone(&world, &second, "21", "tube-5"),
    ];
    let away = first.run(&["sync"]);
    assert_eq!(away.code(), Some(5), "the county is away: {away:?}");

    let (up, address) = county.serve_county();
    for station in [&first, &second] {
        county::county_moved(station, address);
        let said = station.fine(&["sync"]);
        assert!(said.starts_with("sent 4 events, "), "{said}");
    }
    // The first was there before the second had sent anything.
    let said = first.fine(&["sync"]);
    assert!(
        said.starts_with("sent 0 events, received 4 events"),
        "{said}"
    );
    for station in [&first, &second] {
        let said = station.fine(&["sync"]);
        assert_eq!(said, "sent 0 events, received 0 events; nothing waits\n");
    }
    assert_eq!(up.terminate().code(), Some(0));
    all_say_the_same(&[&county, &first, &second], before + 8, &work);
}

fn all_say_the_same(devices: &[&Device; 3], events: u64, work: &[Recorded]) {
    let as_of = county::tomorrow();
    let [county, first, second] = devices;
    let answers = [
        answer(county, "answer", &as_of),
        answer(first, "ready", &as_of),
        answer(second, "ready", &as_of),
    ];
    let [at_county, at_first, at_second] = answers.map(|answer| answer["craft"].clone());
    assert_eq!(at_county.as_array().map(Vec::len), Some(3), "{at_county}");
    for at_station in [&at_first, &at_second] {
        assert_eq!(differences(&at_county, at_station), Vec::<String>::new());
    }
    let said = at_county.to_string();
    for Recorded { open, closed } in work {
        assert!(said.contains(open), "{open} is open, and no evidence");
        assert!(!said.contains(closed), "{closed} is signed off");
    }
    for device in devices {
        assert_eq!(about(device, "events held"), events);
        verify(device);
    }
}
