//! Devices that were lost, copied, restored, set up anew or admitted late, in real folders with the
//! real programs: what the county and the station say, that nothing gets readier by it, and what
//! the lead does until the answer is as it should be.

use std::path::Path;

use end_to_end::county::{
    World, admitted, answer, county_moved, differences, fault, text, tomorrow, verify,
};
use end_to_end::process::Device;
use serde_json::Value;

/// Copies a device's folder, as a backup or a cloned disk would.
fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("reads") {
        let entry = entry.expect("an entry");
        let (kind, target) = (
            entry.file_type().expect("a type"),
            to.join(entry.file_name()),
        );
        if kind.is_dir() {
            copy(&entry.path(), &target);
        } else if kind.is_file() {
            std::fs::copy(entry.path(), &target).expect("copies");
        }
    }
    let permissions = std::fs::metadata(from).expect("it is there").permissions();
    std::fs::set_permissions(to, permissions).expect("its own folder");
}

/// The answer about craft 11 at a moment after everything.
fn craft(device: &Device, command: &str) -> Value {
    let answer = answer(device, command, &tomorrow());
    let craft = answer["craft"].as_array().expect("a list").iter();
    let mut of_number = craft.filter(|craft| craft["craft"] == "11");
    of_number.next().expect("craft 11 is registered").clone()
}

/// How ready it is: 0 is ready, 3 is not ready.
fn rank(craft: &Value) -> usize {
    let words = ["ready", "ready_with_limits", "unproven", "not_ready"];
    let said = craft["readiness"].as_str().expect("a word");
    words.iter().position(|word| *word == said).expect("known")
}

/// Whether it has an open fault whose evidence is the event of a short name.
fn open(craft: &Value, fault: &str) -> bool {
    let event = fault.trim_end_matches("-0");
    let why = craft["why"].as_array().expect("a list").iter();
    why.filter(|finding| finding["rule"] == "fault_open")
        .any(|finding| finding.to_string().contains(event))
}

fn doubted(craft: &Value) -> bool {
    let why = craft["why"].as_array().expect("a list").iter();
    why.clone().any(|finding| finding["rule"] == "unconfirmed")
}

/// County and station say the same of craft 11.
#[track_caller]
fn agree(county: &Device, station: &Device) -> Value {
    let (there, here) = (craft(county, "answer"), craft(station, "ready"));
    assert_eq!(differences(&there, &here), Vec::<String>::new());
    there
}

/// Runs a command that ends well and says something on either output.
#[track_caller]
fn says(device: &Device, args: &[&str], said: &str) -> String {
    let ended = device.run(args);
    let text = format!("{}{}", ended.out, ended.err);
    assert_eq!(ended.code(), Some(0), "{args:?}: {text}");
    assert!(
        text.contains(said),
        "{args:?} does not say '{said}': {text}"
    );
    text
}

/// The name of an event at the end of what a command printed.
fn event_of(said: &str) -> String {
    let (_, after) = said.rsplit_once("(event ").expect("it names the event");
    after.chars().take_while(char::is_ascii_hexdigit).collect()
}

#[test]
fn a_backup_put_back_is_noticed_and_signs_nothing_off() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let station = world.joined("Millrace", address);
    station.fine(&["sync"]);
    let first = fault(&station, "11", "tube-2", "leak");
    station.fine(&["sync"]);
    let (backup, folder) = (world.path("backup"), station.folder().to_owned());
    copy(&folder, &backup);

    // An old copy that meets the county first is up to date again, and nothing is the matter.
    let early = world.station("early");
    copy(&backup, early.folder());
    let second = fault(&station, "11", "tube-3", "tear");
    station.fine(&["sync"]);
    let said = early.run(&["sync"]);
    assert_eq!(said.code(), Some(0), "{said:?}");
    assert!(!said.err.contains("tell the lead"), "{said:?}");

    // One that records first parts from what was recorded since the backup.
    std::fs::remove_dir_all(&folder).expect("the folder is removed");
    copy(&backup, &folder);
    let signed = says(&station, &["sign-off", "11", &first], "signed off");
    let before = craft(&county, "answer");
    says(
        &station,
        &["sync"],
        "tell the lead: this device was copied or restored",
    );
    says(&station, &["about"], "to be confirmed by the lead");
    let log = station.fine(&["log", &event_of(&signed)]);
    assert!(
        log.contains("restored or copied: the lead must confirm"),
        "{log}"
    );
    says(&county, &["devices"], "copied or restored");
    let after = agree(&county, &station);
    assert!(rank(&after) >= rank(&before) && doubted(&after), "{after}");
    assert!(open(&after, &first) && open(&after, &second), "{after}");

    // The lead: what was recorded before the old copy was put back is right; the rest is not.
    let last = second.trim_end_matches("-0");
    let revoke = ["revoke", "Millrace", "copied", "--last-good", last, "--yes"];
    says(&county, &revoke, "entries 1 to 2 count");
    says(
        &county,
        &["dismiss", "Millrace/1", "--yes"],
        "dismissed 1 entry",
    );
    let code = admitted(&county, "Millrace");
    let anew = world.station("anew");
    anew.fine(&["join", &code, "--county", &address.to_string()]);
    anew.fine(&["sync"]);
    let after = agree(&county, &anew);
    assert!(!doubted(&after), "{after}");
    assert!(open(&after, &first) && open(&after, &second), "{after}");
    anew.fine(&["sign-off", "11", &first]);
    anew.fine(&["sync"]);
    let after = agree(&county, &anew);
    assert!(!open(&after, &first) && open(&after, &second), "{after}");

    // The old folder is turned away, and its crew is told why.
    let ended = station.run(&["sync"]);
    assert_eq!(ended.code(), Some(3), "{ended:?}");
    for device in [&county, &anew] {
        verify(device);
    }
    assert_eq!(up.terminate().code(), Some(0));
}

#[test]
fn two_devices_of_one_folder_are_told_apart_by_nobody_until_the_lead_does() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let one = world.joined("Millrace", address);
    one.fine(&["sync"]);
    let known = fault(&one, "11", "tube-2", "leak");
    one.fine(&["sync"]);
    let other = world.station("clone");
    copy(one.folder(), other.folder());

    one.fine(&["sign-off", "11", &known]);
    let found = fault(&other, "11", "tube-4", "tear");
    one.fine(&["sync"]);
    assert!(!open(&craft(&county, "answer"), &known));
    says(&other, &["sync"], "tell the lead");
    says(&one, &["sync"], "tell the lead");
    // Nobody can tell whose sign-off it was: the fault is open again, and the tear is not lost.
    let at_one = agree(&county, &one);
    assert_eq!(
        differences(&at_one, &agree(&county, &other)),
        Vec::<String>::new()
    );
    assert!(open(&at_one, &known) && open(&at_one, &found), "{at_one}");
    assert!(doubted(&at_one));

    // Both go on; nothing of it relieves.
    one.fine(&["sign-off", "11", &found]);
    other.fine(&["sign-off", "11", &known]);
    for device in [&one, &other, &one] {
        device.fine(&["sync"]);
    }
    let after = agree(&county, &one);
    assert!(open(&after, &known) && open(&after, &found), "{after}");

    // Nothing is damaged: salvage would not help. Whom to ask is said.
    let ended = county.run(&["verify"]);
    assert_eq!(ended.code(), Some(3), "{ended:?}");
    assert!(ended.err.contains("this copy is whole"), "{ended:?}");
    assert!(!ended.err.contains("salvage"), "{ended:?}");

    says(
        &county,
        &["revoke", "Millrace", "copied", "--yes"],
        "nobody can tell here whose entries are right",
    );
    // Two branches of two entries each: one command, one event a branch.
    says(
        &county,
        &["dismiss", "Millrace/1", "--yes"],
        "dismissed 4 entries",
    );
    let after = craft(&county, "answer");
    assert!(open(&after, &known) && !open(&after, &found), "{after}");
    assert!(!doubted(&after), "{after}");
    verify(&county);
    assert_eq!(up.terminate().code(), Some(0));
}

#[test]
fn a_device_set_up_anew_takes_over_and_what_the_old_one_still_held_waits_for_the_lead() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let old = world.joined("Millrace", address);
    old.fine(&["sync"]);
    let sent = fault(&old, "11", "tube-2", "leak");
    old.fine(&["sync"]);
    let unsent = old.fine(&["sign-off", "11", &sent]);

    let made = county.fine(&["admit", "Millrace", "--replaces", "Millrace/1"]);
    let code = made.lines().next().expect("a line").rsplit(' ').next();
    let new = world.station("new");
    let folder = text(old.folder()).to_owned();
    let joined = new.run(&[
        "join",
        code.expect("a code"),
        "--county",
        &address.to_string(),
        "--device",
        "second tablet",
        "--instead-of",
        &folder,
    ]);
    assert_eq!(joined.code(), Some(0), "{joined:?}");
    assert!(joined.err.contains("1 entries in"), "{joined:?}");
    assert!(
        joined.err.contains("stay unconfirmed until the lead"),
        "{joined:?}"
    );
    new.fine(&["sync"]);
    says(&county, &["devices"], "(replaced)");
    assert_ne!(old.run(&["sync"]).code(), Some(0), "its key has ended");

    // The old device's last entry comes on a stick: shown, and for nothing until the lead says so.
    let stick = world.path("old.carry");
    old.fine(&["carry", "out", text(&stick), "--new-only"]);
    new.fine(&["carry", "in", text(&stick)]);
    new.fine(&["sync"]);
    let after = agree(&county, &new);
    assert!(open(&after, &sent) && doubted(&after), "{after}");
    says(
        &county,
        &["log", &event_of(&unsent)],
        "ended the device's key before this",
    );
    let last = event_of(&unsent);
    let more = [
        "revoke",
        "Millrace/1",
        "replaced",
        "--last-good",
        &last,
        "--yes",
    ];
    says(&county, &more, "1 entry that did not count will count");
    new.fine(&["sync"]);
    let after = agree(&county, &new);
    assert!(!open(&after, &sent) && !doubted(&after), "{after}");
    verify(&county);
    assert_eq!(up.terminate().code(), Some(0));
}

#[test]
fn two_devices_of_one_station_count_both() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let bay = world.joined("Millrace", address);
    let code = admitted(&county, "Millrace");
    let truck = world.station("truck");
    truck.fine(&["join", &code, "--county", &address.to_string()]);
    for device in [&bay, &truck] {
        device.fine(&["sync"]);
    }
    let found = fault(&bay, "11", "tube-2", "leak");
    let apart = fault(&truck, "11", "tube-3", "tear");
    for device in [&bay, &truck, &bay] {
        device.fine(&["sync"]);
    }
    truck.fine(&["sign-off", "11", &found]);
    truck.fine(&["sync"]);
    bay.fine(&["sync"]);
    let after = agree(&county, &bay);
    assert!(!open(&after, &found) && open(&after, &apart), "{after}");
    assert!(!doubted(&after), "{after}");
    let devices = county.fine(&["devices"]);
    assert!(!devices.contains("unconfirmed"), "{devices}");
    assert_eq!(devices.matches("Millrace").count(), 2, "{devices}");
    assert_eq!(up.terminate().code(), Some(0));
}

#[test]
fn a_lost_tablet_that_comes_back_makes_nothing_readier_and_is_dismissed_for_good() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let lost = world.joined("Millrace", address);
    let other = world.joined("Weir", address);
    lost.fine(&["sync"]);
    let known = fault(&lost, "11", "tube-2", "leak");
    lost.fine(&["sync"]);
    other.fine(&["sync"]);
    says(
        &county,
        &["revoke", "Millrace", "lost", "--yes"],
        "everything that the county holds of it now counts",
    );
    let before = craft(&county, "answer");

    // Whoever has it goes on, and does not know: it cannot reach the county.
    lost.fine(&["sign-off", "11", &known]);
    let ended = lost.run(&["sync"]);
    assert_eq!(ended.code(), Some(3), "{ended:?}");
    let carried = |name: &str| {
        let stick = world.path(name);
        lost.fine(&["carry", "out", text(&stick), "--new-only"]);
        other.fine(&["carry", "in", text(&stick)]);
        other.fine(&["sync"]);
    };
    carried("first.carry");
    let after = agree(&county, &other);
    assert!(open(&after, &known) && doubted(&after), "{after}");
    assert!(rank(&after) >= rank(&before));
    says(
        &county,
        &["dismiss", "Millrace/1", "--yes"],
        "dismissed 1 entry",
    );
    assert_eq!(
        differences(&craft(&county, "answer"), &before),
        Vec::<String>::new()
    );

    // What comes later is covered too, and the lead is told how much did.
    lost.fine(&["out", "11", "mechanical"]);
    carried("second.carry");
    let told = "1 more entry came from a dismissed device";
    says(&county, &["about"], told);
    says(&county, &["answer"], told);
    says(&county, &["devices"], "came after");
    assert_eq!(
        differences(&craft(&county, "answer"), &before),
        Vec::<String>::new()
    );
    says(
        &county,
        &["dismiss", "Millrace/1", "--yes"],
        "1 entry that came after its dismissal",
    );
    let about = county.fine(&["about"]);
    assert!(!about.contains("dismissed device"), "{about}");
    assert_eq!(up.terminate().code(), Some(0));
}

#[test]
fn a_device_that_is_known_late_counts_from_its_first_entry() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let other = world.joined("Weir", address);
    other.fine(&["sync"]);
    let known = fault(&other, "11", "tube-2", "leak");
    other.fine(&["sync"]);
    // Weir was last here before this device was admitted.
    let late = world.joined("Millrace", address);
    late.fine(&["sync"]);
    assert_eq!(up.terminate().code(), Some(0));
    late.fine(&["sign-off", "11", &known]);
    let found = fault(&late, "11", "tube-3", "tear");
    let stick = world.path("days.carry");
    late.fine(&["carry", "out", text(&stick), "--new-only"]);

    let before = craft(&other, "ready");
    other.fine(&["carry", "in", text(&stick)]);
    let after = craft(&other, "ready");
    assert!(
        open(&after, &known),
        "nobody here knows who signed it off: {after}"
    );
    assert!(open(&after, &found) && doubted(&after), "{after}");
    assert!(rank(&after) >= rank(&before));
    let event = found.trim_end_matches("-0");
    says(&other, &["log", event], "the device is not admitted yet");

    let (up, address) = county.serve_county();
    for device in [&other, &late] {
        county_moved(device, address);
        device.fine(&["sync"]);
    }
    let after = agree(&county, &other);
    assert!(!open(&after, &known) && open(&after, &found), "{after}");
    assert!(!doubted(&after), "{after}");
    assert_eq!(up.terminate().code(), Some(0));
}

#[test]
fn a_role_given_late_does_not_reach_back() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let made = county.fine(&["admit", "Millrace", "--role", "crew"]);
    let code = made.lines().next().expect("a line").rsplit(' ').next();
    let crew = world.station("millrace");
    let address = address.to_string();
    crew.fine(&["join", code.expect("a code"), "--county", &address]);
    crew.fine(&["sync"]);
    let known = fault(&crew, "11", "tube-2", "leak");
    let early = crew.fine(&["sign-off", "11", &known]);
    crew.fine(&["sync"]);
    let after = agree(&county, &crew);
    assert!(open(&after, &known) && doubted(&after), "{after}");
    says(
        &crew,
        &["log", &event_of(&early)],
        "the device may not record this",
    );
    says(&crew, &["about"], "unconfirmed of its own: 1");

    says(
        &county,
        &["role", "Millrace", "crew", "maintenance"],
        "from its entry 3 on",
    );
    crew.fine(&["sync"]);
    let after = agree(&county, &crew);
    assert!(open(&after, &known) && doubted(&after), "{after}");
    crew.fine(&["sign-off", "11", &known]);
    crew.fine(&["sync"]);
    let after = agree(&county, &crew);
    assert!(!open(&after, &known), "{after}");
    says(&county, &["dismiss", "Millrace", "--yes"], "still admitted");
    crew.fine(&["sync"]);
    let after = agree(&county, &crew);
    assert!(!doubted(&after) && !open(&after, &known), "{after}");
    assert_eq!(up.terminate().code(), Some(0));
}

/// No clock of a shipped program can be set: so the stations' are two hours behind instead, which the
/// county cannot tell from its own being ahead.
#[test]
fn stations_that_differ_alike_point_at_the_county_s_clock() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let behind_ms = -2 * 3_600_000;
    let (south, north) = (
        world.joined("Millrace", address),
        world.joined("Quay", address),
    );
    let sync = |station: &Device| {
        let ended = station.run_off(behind_ms, &["sync"]);
        assert_eq!(ended.code(), Some(0), "{ended:?}");
    };
    let words = "stations heard this week say that this machine's clock is ahead by about 2 h";
    sync(&south);
    let about = county.fine(&["about"]);
    assert!(!about.contains(words), "one alone says nothing: {about}");
    sync(&north);
    says(
        &county,
        &["about"],
        &format!("the clocks of 2 of 2 {words}"),
    );
    let noted = county.run(&["answer"]);
    let text = format!("{}{}", noted.out, noted.err);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains(words), "{text}");
    let ended = up.terminate();
    assert_eq!(ended.code(), Some(0), "{ended:?}");
}
