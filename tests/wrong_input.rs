//! Wrong input to every command of both programs: each is refused with the number of its sort, in
//! words that name the field, the value and what to do, and nothing is kept of it.

mod replayed;

#[path = "wrong_input/county.rs"]
mod county;
#[path = "wrong_input/files.rs"]
mod files;
#[path = "wrong_input/station.rs"]
mod station;

use end_to_end::county::{World, about, admitted, text, verify};
use end_to_end::process::{Device, Ended};

/// Used wrongly.
const USE: i32 = 2;
/// Data was refused.
const REFUSED: i32 = 3;
/// The store failed or cannot be opened.
const STORE: i32 = 4;
/// The other side cannot be reached.
const NETWORK: i32 = 5;

/// What is typed, the number that it must end with, and pieces of the message.
type Row<'a> = (&'a [&'a str], i32, &'a [&'a str]);

/// A county, a station of it, and the county's address, at which nobody listens any more.
struct Given {
    world: World,
    county: Device,
    station: Device,
    gone: String,
}

impl Given {
    fn new() -> Self {
        let world = World::founded();
        let county = world.county();
        let (up, address) = county.serve_county();
        let station = world.joined("Millrace", address);
        station.fine(&["sync"]);
        assert_eq!(up.terminate().code(), Some(0));
        Self {
            world,
            county,
            station,
            gone: address.to_string(),
        }
    }
}

/// Types every row at the device; afterwards it holds what it held.
fn check(device: &Device, rows: &[Row<'_>]) {
    let before = about(device, "events held");
    for (args, exit, said) in rows {
        refused(&device.run(args), args, *exit, said);
        assert_eq!(about(device, "events held"), before, "{args:?} was kept");
    }
    verify(device);
}

fn refused(ended: &Ended, args: &[&str], exit: i32, said: &[&str]) {
    assert_eq!(ended.code(), Some(exit), "{args:?}: {ended:?}");
    for piece in said {
        assert!(
            ended.err.contains(piece),
            "{args:?} does not say '{piece}': {ended:?}"
        );
    }
    clean(ended);
}

/// Nothing reaches a terminal that it would obey.
fn clean(ended: &Ended) {
    let obeyed = |c: char| c.is_control() && c != '\n';
    let written = format!("{}{}", ended.out, ended.err);
    assert!(!written.contains(obeyed), "{written:?}");
    assert!(!written.contains("panicked"), "{written}");
}

#[test]
fn folders_and_codes_that_do_not_fit_are_told_apart() {
    let given = Given::new();
    let code = admitted(&given.county, "Weir");
    let empty = given.world.station("empty");
    for (args, exit, said) in [
        (
            &["ready"][..],
            USE,
            &["has not joined a county", "sponson join CODE"][..],
        ),
        (
            &["join", "ABCDE", "--county", &given.gone],
            REFUSED,
            &["code has 5 letters"],
        ),
        (
            &["join", &code, "--county", "nowhere"],
            USE,
            &["'nowhere'", "HOST:PORT"],
        ),
        (
            &["join", &code, "--county", &given.gone],
            NETWORK,
            &["cannot reach", "try again"],
        ),
    ] {
        refused(&empty.run(args), args, exit, said);
    }
    let mistyped: String = code
        .chars()
        .rev()
        .map(|c| if c == '7' { '8' } else { c })
        .collect();
    let args = ["join", &mistyped, "--county", &given.gone];
    refused(
        &empty.run(&args),
        &args,
        REFUSED,
        &["code was mistyped", "group by group"],
    );

    let as_station = Device::station(given.county.folder());
    refused(
        &as_station.run(&["ready"]),
        &["ready"],
        USE,
        &["has not joined a county"],
    );
    let as_county = Device::county(given.station.folder());
    let said = &["is a station's", "--folder"];
    for args in [
        &["answer"][..],
        &["admit", "South"],
        &["serve", "--listen", "127.0.0.1:0", "--pages", "none"],
    ] {
        refused(&as_county.run(args), args, USE, said);
    }
    let nothing = Device::county(&given.world.path("nothing"));
    let said = &["holds no device's keys", "join or found"];
    refused(&nothing.run(&["answer"]), &["answer"], STORE, said);
    let root = given.world.path("root.key");
    let args = ["init", "--name", "Other", "--root-key", text(&root)];
    let said = &[
        "root.key is there already",
        "never written over",
        "--root-key",
    ];
    refused(&nothing.run(&args), &args, REFUSED, said);
    let args = ["init", "--name", " "];
    refused(
        &nothing.run(&args),
        &args,
        USE,
        &["--name", "give the county's name"],
    );

    let settings = given.station.folder().join("settings.toml");
    std::fs::write(&settings, "countty = \"x\"\n").expect("writes");
    let said = &["settings.toml", "countty"];
    refused(&given.station.run(&["about"]), &["about"], USE, said);
}

#[test]
fn what_people_wrote_is_kept_and_shown_without_being_obeyed() {
    let given = Given::new();
    let obeyed = "\u{1b}[2J\u{7}\u{202e}drip";
    let record = ["fault", "11", "tube-1", "leak", "--severity", "minor"];
    let refuses = [&record[..], &["--member", "m\u{1b}[2J"]].concat();
    let said = &["member", "U+001B", "nothing was recorded"];
    refused(&given.station.run(&refuses), &refuses, REFUSED, said);
    let words = ["--note", obeyed, "--member", "m\u{202e}1"];
    let ended = given.station.run(&[&record[..], &words[..]].concat());
    assert_eq!(ended.code(), Some(0), "{ended:?}");
    let name = ended.out.trim_end().rsplit(' ').next().expect("a name");
    let event = name.trim_end_matches("-0");
    for args in [
        &["log"][..],
        &["log", event],
        &["ready"],
        &["ready", "11"],
        &["ready", "--json"],
        &["about"],
        &["verify"],
    ] {
        clean(&given.station.run(args));
    }
    let shown = given.station.fine(&["log", event]);
    assert!(shown.contains("\\u{1b}[2J\\u{7}\\u{202e}drip"), "{shown}");
    assert!(shown.contains("member: m\\u{202e}1"), "{shown}");
}
