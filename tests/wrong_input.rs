//! Wrong input to every command of both programs: each is refused with the number of its sort, in
//! words that name the field, the value and what to do, and nothing is kept of it.

mod replayed;

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
fn a_station_refuses_what_cannot_be_recorded() {
    let given = Given::new();
    let long = "n".repeat(5_000);
    let fault = |rest: &'static [&'static str]| {
        let begin: &[&str] = &["fault", "11", "tube-1", "leak", "--severity", "minor"];
        [begin, rest].concat()
    };
    let (transom, gear) = (fault(&["--from-transom", "3V"]), fault(&["--gear", "M9"]));
    let mission = fault(&["--mission", "swftwater"]);
    let mut note = fault(&["--note"]);
    note.push(&long);
    let rows: &[Row<'_>] = &[
        (
            &transom,
            REFUSED,
            &["--from-transom", "'3V'", "accepted: ft"],
        ),
        (&gear, REFUSED, &["gear M9", "not known here", "log"]),
        (
            &mission,
            REFUSED,
            &["--mission", "swftwater", "did you mean swiftwater?"],
        ),
        (
            &note,
            REFUSED,
            &["note is 5000 bytes long", "at most 4096", "a second note"],
        ),
        (
            &["fault", "13", "tube-1", "leak", "--severity", "minor"],
            REFUSED,
            &["craft 13", "did you mean 11, 12?"],
        ),
        (
            &["fault", "11", "tube-9", "leak", "--severity", "minor"],
            REFUSED,
            &["part", "tube-9", "did you mean tube-1"],
        ),
        (
            &["fault", "11", "tube-1", "le\u{1b}ak", "--severity", "minor"],
            REFUSED,
            &["CLASS", "le\\u{1b}ak", "give one word"],
        ),
        (
            &["fault", "11", "tube-1", "leak", "--severity", "dire"],
            USE,
            &["--severity", "'dire'", "disabling"],
        ),
    ];
    check(&given.station, rows);
}

#[test]
fn a_station_refuses_work_that_cannot_be() {
    let given = Given::new();
    let rows: &[Row<'_>] = &[
        (
            &["out", "1\u{1b}[2J", "rest"],
            REFUSED,
            &["craft 1\\u{1b}[2J"],
        ),
        (&["out", "11", "tired"], USE, &["'tired'", "mechanical"]),
        (
            &["back", "11"],
            REFUSED,
            &["11", "not out of service", "sync first"],
        ),
        (
            &["repair", "11", "00000000-0", "--method", "patch"],
            REFUSED,
            &["open fault 00000000-0", "not known here"],
        ),
        (
            &["repair", "11", "--all-at", "tube-1", "--method", "patch"],
            REFUSED,
            &["--all-at is tube-1", "no open fault"],
        ),
        (&["repair", "11", "--method", "patch"], USE, &["<FAULT>"]),
        (
            &["sign-off", "11", "00000000-0"],
            REFUSED,
            &["open fault 00000000-0"],
        ),
        (
            &["inspect", "11", "engine", "passed"],
            REFUSED,
            &["inspection engine", "did you mean engine-"],
        ),
        (
            &["inspect", "11", "seams", "passed", "--meter", "5C"],
            USE,
            &["--meter", "'5C'", "accepted: s, min, h"],
        ),
        (&["move", "M9", "12"], REFUSED, &["M9", "not known here"]),
        (
            &["move", "11", "Nowhere"],
            REFUSED,
            &["Nowhere", "not known here"],
        ),
        (
            &["move", "11", "12"],
            REFUSED,
            &["TO is 12", "give a station"],
        ),
        (
            &[
                "--member",
                "m234567890123456789012345678901234567890",
                "out",
                "11",
                "rest",
            ],
            REFUSED,
            &["member is 40 bytes long", "at most 32"],
        ),
    ];
    check(&given.station, rows);
}

#[test]
fn a_station_refuses_quantities_that_cannot_be() {
    let given = Given::new();
    let rows: &[Row<'_>] = &[
        (
            &["air", "11", "tube-1", "added", "--before", "3parsec"],
            USE,
            &["--before", "'parsec' in '3parsec'", "accepted: psi"],
        ),
        (
            &["air", "11", "tube-1", "added", "--before", "300psi"],
            REFUSED,
            &["gauge_before_pa is 2068427", "it must lie from"],
        ),
        (
            &[
                "air", "11", "tube-1", "added", "--before", "3psi", "--after", "2psi",
            ],
            REFUSED,
            &["--after", "--before", "exchange or correct"],
        ),
        (
            &["air", "11", "tube-1", "added", "--air", "900C"],
            USE,
            &[
                "--air: '900C'",
                "out of range",
                "check the number and the unit",
            ],
        ),
        (
            &["air", "11", "tube-1", "blown"],
            USE,
            &["'blown'", "added"],
        ),
        (
            &["use", "11", "--time", "5C"],
            USE,
            &["--time", "'5C'", "accepted: s, min, h"],
        ),
        (
            &["use", "11", "--time", "900000h"],
            USE,
            &["--time: '900000h'", "out of range"],
        ),
        (
            &[
                "use",
                "11",
                "--time",
                "1h",
                "--used-up",
                "flare-red-hand=-2",
            ],
            USE,
            &["--used-up is flare-red-hand=-2", "give a whole number"],
        ),
        (
            &["use", "11", "--time", "1h", "--used-up", "flare-red-hnd=2"],
            REFUSED,
            &["--used-up", "flare-red-hnd", "did you mean flare-red-hand?"],
        ),
        (
            &[
                "use",
                "11",
                "--time",
                "1h",
                "--used-up",
                "flare-red-hand=4000000000",
            ],
            REFUSED,
            &["count is 4000000000", "it must lie from"],
        ),
        (
            &["use", "11", "--time", "1h", "--meter", "M9"],
            USE,
            &["--meter is M9", "for example M3=113.6h"],
        ),
        (
            &["use", "11", "--time", "1h", "--mission", "swftwater"],
            REFUSED,
            &["--mission", "swftwater", "did you mean swiftwater?"],
        ),
    ];
    check(&given.station, rows);
}

#[test]
fn a_station_refuses_moments_that_cannot_be() {
    let given = Given::new();
    let rows: &[Row<'_>] = &[
        (
            &["--observed", "2026-02-30T08:00", "out", "11", "rest"],
            USE,
            &["--observed", "2026-02-30", "not in the calendar"],
        ),
        (
            &["--observed", "2190-01-01T00:00", "out", "11", "rest"],
            REFUSED,
            &["observed is 2190-01-01 00:00 UTC", "set the clock"],
        ),
        (
            &["--observed", "yesterday", "out", "11", "rest"],
            USE,
            &["--observed: 'yesterday'", "for example 2026-03-14 08:30"],
        ),
        (
            &["--observed", "2026-03-14T08:30", "ready"],
            USE,
            &["--observed is 2026-03-14T08:30", "leave it out here"],
        ),
    ];
    check(&given.station, rows);
}

#[test]
fn a_station_refuses_questions_and_files_that_cannot_be() {
    let given = Given::new();
    let there = given.world.file("there.carry", "something else\n");
    let nowhere = given.world.path("nowhere/x");
    let rows: &[Row<'_>] = &[
        (
            &["ready", "13"],
            REFUSED,
            &["craft 13", "did you mean 11, 12?"],
        ),
        (
            &["ready", "--air", "hot"],
            USE,
            &["--air: 'hot'", "for example 72 F"],
        ),
        (
            &["ready", "--water", "5psi"],
            USE,
            &["--water", "'5psi'", "accepted: "],
        ),
        (
            &["ready", "--elevation", "9C"],
            USE,
            &["--elevation", "'9C'", "accepted: ft, m"],
        ),
        (
            &["ready", "--as-of", "soon"],
            USE,
            &["--as-of: 'soon'", "for example"],
        ),
        (
            &["ready", "--mission", "swftwater"],
            REFUSED,
            &["--mission is swftwater", "did you mean swiftwater?"],
        ),
        (
            &["ready", "--mission", "parade"],
            REFUSED,
            &[
                "--mission is parade",
                "the boat standards here have ",
                "swiftwater",
            ],
        ),
        (&["due", "--soon"], USE, &["--soon", "--help"]),
        (&["log", "parade"], REFUSED, &["parade", "not known here"]),
        (
            &["log", "00000000"],
            REFUSED,
            &["event is 00000000", "look in log"],
        ),
        (&["log", "--last", "-3"], USE, &["-3"]),
        (
            &["carry", "in", text(&nowhere)],
            REFUSED,
            &["nowhere/x cannot be read", "check the name"],
        ),
        (
            &["carry", "in", text(&there)],
            REFUSED,
            &[
                "does not begin as a carry file",
                "choose another",
                "nothing was kept",
            ],
        ),
        (
            &["carry", "out", text(&there)],
            REFUSED,
            &["there.carry", "there already", "give another name"],
        ),
        (
            &["carry", "out", text(&nowhere)],
            STORE,
            &["nowhere/x cannot be written", "choose another place"],
        ),
        (
            &["sync"],
            NETWORK,
            &["cannot reach", &given.gone, "try again"],
        ),
        (&["verify", "--fast"], USE, &["--fast", "--help"]),
        (&["about", "more"], USE, &["'more'", "--help"]),
        (&["serve", "--listen", "x"], USE, &["--listen", "--help"]),
        (&["fly"], USE, &["'fly'", "--help"]),
    ];
    check(&given.station, rows);
}

#[test]
fn a_check_file_is_refused_by_the_place_that_is_wrong() {
    let given = Given::new();
    let files: &[(&str, &[&str])] = &[
        ("craft = \"11", &["TOML", "line 1"]),
        ("extent = \"full\"", &["craft"]),
        ("craft = \"11\"\nextent = \"half\"", &["half", "full"]),
        (
            "craft = \"11\"\nextent = \"full\"\nguage = \"G\"",
            &["guage", "gauge"],
        ),
        ("craft = \"12\"\nextent = \"full\"", &["about 12", "11"]),
        (
            "craft = \"11\"\nextent = \"full\"\n[readings.tube-9]\nfound = \"3psi\"",
            &["readings", "tube-9", "did you mean tube-1"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[readings.tube-1]\nfound = \"3V\"",
            &["readings.tube-1.found", "'3V'", "accepted: psi"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[counts.life-jacket]\ncount = -1",
            &["-1", "count"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[counts.life-jacket]\ncount = 2000",
            &["counts.life-jacket.count is 2000", "at most 1000"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[counts.life-jaket]\ncount = 1",
            &["counts", "life-jaket", "did you mean life-jacket"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[counts.life-jacket]\ncount = 1\n\
             dates = [\"2027-13\"]",
            &["counts.life-jacket.dates", "2027-13"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\nobserved = \"2026-02-30 08:00\"",
            &["observed", "2026-02-30", "not in the calendar"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[answers]\ndrain-plug = \"maybe\"",
            &["maybe", "yes"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\nair = \"\\u001b[2J\"",
            &["air", "\\u{1b}[2J"],
        ),
    ];
    for (number, (words, said)) in files.iter().enumerate() {
        let file = given.world.file(&format!("check-{number}.toml"), words);
        check(
            &given.station,
            &[(&["check", "11", "--from", text(&file)], REFUSED, said)],
        );
    }
    check(
        &given.station,
        &[
            (
                &["check", "11"],
                USE,
                &["nobody sits at this terminal", "--from FILE"],
            ),
            (
                &["check", "11", "--from", "nowhere.toml"],
                REFUSED,
                &["nowhere.toml cannot be read", "check the name"],
            ),
        ],
    );
}

#[test]
fn the_county_refuses_what_is_wrong() {
    let given = Given::new();
    let mine = given.world.file("mine.toml", "model = \"x\"\n");
    let broken = given.world.file("broken.toml", "model = \"x\n");
    let other = given.world.file("other.csv", "a,b\n1,2\n");
    let nowhere = given.world.path("nowhere/x");
    let rows: &[Row<'_>] = &[
        (
            &["init", "--name", "Again"],
            REFUSED,
            &["a county already", "--folder"],
        ),
        (&["adopt", text(&mine)], REFUSED, &["mine.toml"]),
        (
            &["adopt", text(&broken)],
            REFUSED,
            &["broken.toml", "line 1"],
        ),
        (
            &["adopt", "kayak"],
            REFUSED,
            &["kayak", "inflatable-14", "nor a file"],
        ),
        (
            &["adopt", "--policy", text(&nowhere)],
            REFUSED,
            &["nowhere/x cannot be read", "check the name"],
        ),
        (
            &["adopt", "--show", "kayak"],
            REFUSED,
            &["kayak", "inflatable-14"],
        ),
        (
            &["bring-in", "--craft", text(&other)],
            REFUSED,
            &["other.csv", "no column for"],
        ),
        (
            &["bring-in", "--craft", text(&nowhere)],
            REFUSED,
            &["nowhere/x", "check the name"],
        ),
        (&["bring-in"], USE, &["--craft"]),
        (
            &["admit", ""],
            REFUSED,
            &["station has 0 bytes", "give the station's name"],
        ),
        (
            &["admit", "South", "--hours", "0"],
            USE,
            &["--hours", "1..=720"],
        ),
        (
            &["admit", "South", "--at", "north"],
            USE,
            &["--at is north", "44.5012,-92.1034"],
        ),
        (&["admit", "South", "--at", "91,0"], USE, &["--at is 91,0"]),
        (
            &["admit", "South", "--elevation", "9C"],
            USE,
            &["--elevation", "accepted: ft, m"],
        ),
    ];
    check(&given.county, rows);
}

#[test]
fn the_county_refuses_questions_and_work_that_cannot_be() {
    let given = Given::new();
    let craft = given.world.path("craft.csv");
    let rows: &[Row<'_>] = &[
        (
            &["answer", "13"],
            REFUSED,
            &["craft 13", "did you mean 11, 12?"],
        ),
        (
            &["answer", "--mission", "swftwater"],
            REFUSED,
            &["--mission is swftwater", "did you mean swiftwater?"],
        ),
        (
            &["assign", "13", "Flood"],
            REFUSED,
            &["craft 13", "did you mean 11, 12?"],
        ),
        (&["release", "11"], REFUSED, &["11", "not assigned"]),
        (
            &[
                "waive",
                "11",
                "00000000-0",
                "--mission",
                "flood",
                "--until",
                "2190-01-01T00:00",
            ],
            REFUSED,
            &["open fault 00000000-0"],
        ),
        (
            &[
                "waive",
                "11",
                "00000000-0",
                "--mission",
                "flood",
                "--until",
                "tomorrow",
            ],
            USE,
            &["--until: 'tomorrow'", "for example"],
        ),
        (
            &[
                "waive",
                "11",
                "00000000-0",
                "--mission",
                "flood",
                "--until",
                "2001-01-01T00:00",
            ],
            REFUSED,
            &["--until is 2001-01-01T00:00", "give a later time"],
        ),
        (
            &["serve", "--listen", "nowhere"],
            NETWORK,
            &["nowhere", "choose another with --listen"],
        ),
        (
            &["carry", "in", text(&craft)],
            REFUSED,
            &["does not begin as a carry file"],
        ),
        (&["log", "parade"], REFUSED, &["parade", "not known here"]),
        (&["verify", "--fast"], USE, &["--fast", "--help"]),
        (&["about", "more"], USE, &["'more'", "--help"]),
    ];
    check(&given.county, rows);
    let again = given.county.run(&["bring-in", "--craft", text(&craft)]);
    assert_eq!(again.code(), Some(REFUSED), "{again:?}");
    assert!(again.out.contains("already registered"), "{again:?}");
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
    let words = ["--note", obeyed, "--member", "m\u{1b}[2J"];
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
    assert!(shown.contains("member: m\\u{1b}[2J"), "{shown}");
}
