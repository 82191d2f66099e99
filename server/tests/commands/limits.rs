//! Every limit on what is typed, and on files that are named: just under it passes, just over it is
//! refused in words that say what is allowed.

use sponson_client::check_file::EXAMPLE;
use sponson_client::under_way::fields::FieldName;
use sponson_show::terminal::Exit;
use sponson_show::{dates, units};

use crate::world::World;

/// Of which program, what is typed with `{}` for the value, a value that passes, one that does not,
/// and what the refusal says.
type Row<'a> = (&'a str, &'a str, &'a str, &'a str, &'a str);

/// Types both values of each row.
async fn check(world: &World, rows: &[Row<'_>]) {
    for (program, line, under, over, said) in rows {
        let (exit, text) = world.run(program, &line.replace("{}", under)).await;
        let passed = matches!(exit, Exit::Fine | Exit::Judged);
        assert!(passed, "{program} {line} with {}: {text}", short(under));
        let (exit, text) = world.run(program, &line.replace("{}", over)).await;
        let refused = matches!(exit, Exit::Refused | Exit::WrongUse);
        assert!(refused, "{program} {line} with {}: {text}", short(over));
        let told: Vec<&str> = text.split_whitespace().collect();
        let told = told.join(" ");
        assert!(told.contains(said), "{line} with {}: {text}", short(over));
    }
}

/// As much of a value as a message needs.
fn short(value: &str) -> String {
    value.chars().take(60).collect()
}

fn long(length: usize) -> String {
    "x".repeat(length)
}

#[tokio::test(flavor = "multi_thread")]
#[expect(clippy::too_many_lines, reason = "a table, one entry a limit")]
async fn what_is_recorded_at_a_station() {
    let (world, serving) = World::up().await;
    let leak = "fault 'Boat 3' tube-2 leak --severity minor";
    let leak = world.check("station", leak, Exit::Fine, "fault ").await;
    let leak = leak.trim_end().rsplit(' ').next().expect("its name");
    let repair = format!("repair 'Boat 3' {leak} --method patch-two-part --no-launch {{}}");
    let (class, wordy) = (long(40), long(41));
    let (note, notes) = (long(4_096), long(4_097));
    let (member, members) = (long(32), long(33));
    let rows: &[Row<'_>] = &[
        (
            "station",
            "use 'Boat 3' --time {}",
            "31days",
            "745h",
            "--time: '745h' is out of range (from 0 to 31 days)",
        ),
        (
            "station",
            "use 'Boat 3' --time 1h --engine {}",
            "744h",
            "745h",
            "--engine: '745h' is out of range",
        ),
        (
            "station",
            "use 'Boat 3' --time 1h --meter M3={}",
            "100000h",
            "100001h",
            "--meter: '100001h' is out of range (from 0 to 100,000 h)",
        ),
        (
            "station",
            "inspect 'Boat 3' engine-service passed --meter {}",
            "100000h",
            "100001h",
            "--meter: '100001h' is out of range",
        ),
        (
            "station",
            "inspect 'Boat 3' engine-service passed --ran {}",
            "31days",
            "745h",
            "--ran: '745h' is out of range",
        ),
        (
            "station",
            &repair,
            "366days",
            "367days",
            "--no-launch: '367days' is out of range (from 0 to 366 days)",
        ),
        (
            "station",
            "crews 1 --persons 4 --for {}",
            "31days",
            "745h",
            "at most 31 days",
        ),
        (
            "station",
            "crews {} --persons 4 --for 12h",
            "10000",
            "10001",
            "from 0 to 10000",
        ),
        (
            "station",
            "crews 1 --persons {} --for 12h",
            "10000",
            "10001",
            "from 0 to 10000",
        ),
        (
            "station",
            "fault 'Boat 3' tube-2 {} --severity minor",
            &class,
            &wordy,
            "at most 40 letters",
        ),
        (
            "station",
            "fault 'Boat 3' tube-3 leak --severity minor --note {}",
            &note,
            &notes,
            "at most 4096",
        ),
        (
            "station",
            "fault 'Boat 3' tube-4 leak --severity minor --member {}",
            &member,
            &members,
            "at most 32",
        ),
        (
            "station",
            "use 'Boat 3' --time 1h --used-up life-jacket={}",
            "1000000",
            "1000001",
            "from 0 to 1000000",
        ),
    ];
    check(&world, rows).await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_check_file_says() {
    let (world, serving) = World::up().await;
    let seal = |length: usize| format!("number = \"{}\"", "7".repeat(length));
    let by = |length: usize| format!("checked_by = \"{}\"", long(length));
    // What stands in the example, and what is put there instead.
    let (sealed, seals, member, members) = (seal(40), seal(41), by(32), by(33));
    let rows: &[(&str, &str, &str, &str)] = &[
        (
            "stood = \"10 h\"",
            "stood = \"366 days\"",
            "stood = \"367 days\"",
            "stood: '367 days' is out of range (from 0 to 366 days)",
        ),
        (
            "since_inflating = \"30 min\"",
            "since_inflating = \"366 days\"",
            "since_inflating = \"367 days\"",
            "since_inflating: '367 days' is out of range",
        ),
        (
            "M3 = \"112.4 h\"",
            "M3 = \"100000 h\"",
            "M3 = \"100001 h\"",
            "'100001 h' is out of range (from 0 to 100,000 h)",
        ),
        ("number = \"004217\"", &sealed, &seals, "at most 40 bytes"),
        (
            "# checked_by = \"M-099\"",
            &member,
            &members,
            "at most 32 bytes",
        ),
        ("count = 6", "count = 1000", "count = 1001", "1000"),
        (
            "mix = \"50:1\"",
            "mix = \"10:1\"",
            "mix = \"9:1\"",
            "from 10:1 to 200:1",
        ),
        (
            "mix = \"50:1\"",
            "mix = \"200:1\"",
            "mix = \"201:1\"",
            "from 10:1 to 200:1",
        ),
    ];
    for (there, under, over, said) in rows {
        assert!(EXAMPLE.contains(there), "{there}");
        for (value, passes) in [(under, true), (over, false)] {
            let file = world.file("check.toml", &EXAMPLE.replacen(there, value, 1));
            let line = format!("check 'Boat 3' --from {file}");
            let (exit, text) = world.run("station", &line).await;
            let told: Vec<&str> = text.split_whitespace().collect();
            let told = told.join(" ");
            assert_eq!(exit == Exit::Fine, passes, "{value}: {text}");
            assert!(passes || told.contains(said), "{value}: {text}");
        }
    }
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
#[expect(clippy::too_many_lines, reason = "a table, one entry a limit")]
async fn what_is_asked() {
    let (world, serving) = World::up().await;
    let report = "METAR KRAP 140852Z 31014G32KT 10SM M05/M07 A2992";
    let padded = |length: usize| {
        let begun = format!("{report} RMK ");
        format!("'{begun}{}'", long(length - begun.len()))
    };
    let (fits, too_long) = (padded(2_048), padded(2_049));
    let lines = |what: &str, count: usize| format!(" --without-{what}").repeat(count);
    let named = |count: usize| lines("craft 'Boat 3'", count);
    let (all, more) = (named(1), named(257));
    let rows: &[Row<'_>] = &[
        ("station", "ready --crew {}", "30", "31", "from 1 to 30"),
        ("station", "ready --crew {}", "1", "0", "from 1 to 30"),
        (
            "station",
            "ready --people adult:{}",
            "200",
            "201",
            "from 1 to 200",
        ),
        (
            "station",
            "ready --crew 3 --crew-weight {}",
            "300kg",
            "301kg",
            "from 1 kg to 300 kg",
        ),
        (
            "station",
            "ready --crew 3 --crew-weight {}",
            "1kg",
            "0.9kg",
            "from 1 kg to 300 kg",
        ),
        (
            "station",
            "ready --duration {}",
            "30days",
            "721h",
            "at most 2592000",
        ),
        (
            "station",
            "ready --wind {}",
            "120m/s",
            "121m/s",
            "from 0 to 120 m/s",
        ),
        (
            "station",
            "ready --current {}",
            "20m/s",
            "20.1m/s",
            "at most 20000",
        ),
        (
            "station",
            "ready --ambient {}",
            "30kPa",
            "29.9kPa",
            "out of range",
        ),
        (
            "station",
            "ready --ambient {}",
            "110kPa",
            "110.1kPa",
            "out of range",
        ),
        (
            "station",
            "ready --altimeter {}",
            "110kPa",
            "110.1kPa",
            "out of range",
        ),
        ("station", "ready --air {}", "-90C", "-91C", "out of range"),
        ("station", "ready --air {}", "100C", "101C", "out of range"),
        (
            "station",
            "ready --elevation {}",
            "9000m",
            "9001m",
            "out of range",
        ),
        ("station", "ready --place {}", "90,180", "91,0", "--place"),
        (
            "station",
            "ready --metar {}",
            &fits,
            &too_long,
            "has 2049 bytes; at most 2048",
        ),
        ("station", "ready{}", &all, &more, "at most 256"),
        (
            "station",
            "ready --together {}",
            "1000",
            "1001",
            "at most 1000",
        ),
        (
            "station",
            "ready --together --vehicles 'North Landing={}'",
            "1000",
            "1001",
            "at most 1000",
        ),
        (
            "station",
            "call-out --place 45.0,-103.0 --travel 'North Landing={}'",
            "1440",
            "1441",
            "1440",
        ),
        (
            "station",
            "due --ahead '{}'",
            "24 months",
            "25 months",
            "at most 732 days or 24 months",
        ),
        (
            "station",
            "due --ahead '{}'",
            "732 days",
            "733 days",
            "at most 732 days or 24 months",
        ),
        ("station", "prove {}", "", "1234567", "8 to 64"),
    ];
    // What a station can name before it is refused has no name that passes.
    let (rows, proof) = rows.split_at(rows.len() - 1);
    check(&world, rows).await;
    for (program, line, _, over, said) in proof {
        world
            .check(program, &line.replace("{}", over), Exit::Refused, said)
            .await;
    }
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_reckoned() {
    let world = World::new();
    let events = |count: usize| {
        let lines = (0..count).map(|at| format!("A,{},event\n", at + 1));
        format!("unit,time,kind\n{}A,9000,end\n", lines.collect::<String>())
    };
    let most = world.file("most.csv", &events(5_000));
    let over = world.file("over.csv", &events(5_001));
    let padding = |length: usize| format!("{}{}", events(3), " ".repeat(length - events(3).len()));
    let long_file = world.file("long.csv", &padding(1024 * 1024 + 1));
    let rows: &[Row<'_>] = &[
        (
            "station",
            "reckon load --crew 3 --plate-persons {}",
            "60",
            "61",
            "from 1 to 60",
        ),
        (
            "station",
            "reckon load --crew 3 --plate-persons 10 --lying-seats {}",
            "8",
            "9",
            "1..=8",
        ),
        (
            "station",
            "reckon night --at 44.9,-103.2 --duration {}",
            "30days",
            "721h",
            "at most 30 days",
        ),
        (
            "station",
            "reckon trend --events {}",
            &most,
            &over,
            "at most 5000 events of 1000 units",
        ),
        (
            "station",
            "reckon trend --events {}",
            &most,
            &long_file,
            "at most 1048576 bytes",
        ),
        (
            "station",
            "reckon trend --events {}",
            &most,
            "/dev/zero",
            "at most 1048576 bytes",
        ),
    ];
    check(&world, rows).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_the_county_is_told() {
    let (world, serving) = World::up().await;
    let (member, members) = (long(32), long(33));
    let (name, names) = (long(64), long(65));
    let missions = |count: usize| " --mission flood".repeat(count);
    let (asked, too_many) = (missions(64), missions(65));
    let rows: &[Row<'_>] = &[
        (
            "county",
            "let-in M-1 --role lead --hours {}",
            "168",
            "169",
            "168",
        ),
        (
            "county",
            "let-in {} --role lead",
            &member,
            &members,
            "1 to 32 bytes",
        ),
        (
            "county",
            "admit 'South' --role crew --hours {}",
            "720",
            "721",
            "720",
        ),
        ("county", "admit {} --role crew", &name, &names, "1 to 64"),
        (
            "county",
            "kit-moves{}",
            &asked,
            &too_many,
            "missions has 65; at most 64",
        ),
    ];
    check(&world, rows).await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_brought_in() {
    let (world, serving) = World::up().await;
    let craft = |name: &str, cells: &str| {
        let head = "call sign,model,station,persons,total (lb),hp,plate read again";
        world.file(name, &format!("{head}\n{cells}\n"))
    };
    let number = |length: usize| {
        format!(
            "{},inflatable-14,North Landing,10,2600,40,yes",
            long(length)
        )
    };
    let persons = |count: u32| format!("P{count},inflatable-14,North Landing,{count},2600,40,yes");
    let power = |hp: u32| format!("H{hp},inflatable-14,North Landing,10,2600,{hp},yes");
    let gear = |rows: usize, name: &str| {
        let lines = (0..rows).map(|row| format!("T{row},pump,North Landing\n"));
        let list = format!("number,type,station\n{}", lines.collect::<String>());
        world.file(name, &list)
    };
    let padding = " ".repeat(4 * 1024 * 1024 + 1);
    let cases = [
        (
            craft("a.csv", &number(40)),
            craft("b.csv", &number(41)),
            "40",
        ),
        (
            craft("c.csv", &persons(60)),
            craft("d.csv", &persons(61)),
            "from 1 to 60",
        ),
        (
            craft("e.csv", &power(603)),
            craft("f.csv", &power(604)),
            "at most 600 hp",
        ),
        (
            craft("g.csv", &persons(59)),
            world.file("h.csv", &padding),
            "at most 4194304 are read: split it",
        ),
        (
            craft("i.csv", &persons(58)),
            "/dev/zero".to_owned(),
            "at most 4194304 are read: split it",
        ),
    ];
    let rows: Vec<Row<'_>> = cases
        .iter()
        .map(|(under, over, said)| {
            (
                "county",
                "bring-in --craft {}",
                under.as_str(),
                over.as_str(),
                *said,
            )
        })
        .collect();
    check(&world, &rows).await;
    let (most, over) = (gear(10_000, "most.csv"), gear(10_001, "over.csv"));
    let rows: &[Row<'_>] = &[(
        "county",
        "bring-in --dry-run --gear {}",
        &most,
        &over,
        "more than 10000 rows: split it",
    )];
    check(&world, rows).await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn files_that_never_end_are_read_to_their_limit() {
    let (world, serving) = World::up().await;
    let sheet = sponson_readiness::standard::built_in()[0].1;
    let padded = |name: &str, length: usize| {
        let comment = length - sheet.len() - 1;
        world.file(name, &format!("{sheet}#{}", long(comment)))
    };
    let policy = sponson_readiness::standard::Policy::default_text();
    let settings = |name: &str, length: usize| {
        let comment = length - policy.len() - 1;
        world.file(name, &format!("{policy}#{}", long(comment)))
    };
    let check_file = |name: &str, length: usize| {
        let comment = length - EXAMPLE.len() - 1;
        world.file(name, &format!("{EXAMPLE}#{}", long(comment)))
    };
    let sheets = (
        padded("a.toml", 60 * 1024 - 1),
        padded("b.toml", 60 * 1024 + 1),
    );
    let policies = (
        settings("c.toml", 60 * 1024),
        settings("d.toml", 60 * 1024 + 1),
    );
    let checks = (
        check_file("e.toml", 256 * 1024),
        check_file("f.toml", 256 * 1024 + 1),
    );
    let rows: &[Row<'_>] = &[
        (
            "county",
            "adopt {}",
            &sheets.0,
            &sheets.1,
            "at most 61440 bytes are read",
        ),
        (
            "county",
            "adopt {}",
            &sheets.0,
            "/dev/zero",
            "at most 61440 bytes are read",
        ),
        (
            "county",
            "adopt --policy {}",
            &policies.0,
            &policies.1,
            "61441 bytes long",
        ),
        (
            "county",
            "adopt --policy {}",
            &policies.0,
            "/dev/zero",
            "at most 61440 bytes are read",
        ),
        (
            "station",
            "check 'Boat 3' --from {}",
            &checks.0,
            &checks.1,
            "at most 262144 bytes are read",
        ),
        (
            "station",
            "check 'Boat 3' --from {}",
            &checks.0,
            "/dev/zero",
            "at most 262144 bytes are read",
        ),
    ];
    check(&world, rows).await;
    // These have nothing that passes here: other tests bring back and carry in.
    let elsewhere = World::new();
    elsewhere
        .check(
            "county",
            "restore /dev/zero",
            Exit::Refused,
            "no backup of a county",
        )
        .await;
    world
        .check_all(&[
            ("carry in /dev/zero", Exit::Refused, ""),
            ("verify --answer /dev/zero", Exit::Refused, ""),
            ("verify --proof /dev/zero", Exit::Refused, ""),
        ])
        .await;
    serving.end().await;
}

/// Reads a text as a quantity; what it is worth does not matter here.
type Read = fn(&str) -> Result<(), String>;

/// Forgets what was read.
fn only<T>(read: Result<T, impl std::fmt::Display>) -> Result<(), String> {
    read.map(|_| ()).map_err(|error| error.to_string())
}

#[test]
fn quantities_as_people_write_them() {
    let gauge: Read = |text| only(units::gauge("value", text, None));
    let fine: Read = |text| only(units::gauge_unrounded("value", text));
    let outside: Read = |text| only(units::absolute("value", text, None));
    let warm: Read = |text| only(units::temperature("value", text, None));
    let mass: Read = |text| only(units::mass("value", text, None));
    let volume: Read = |text| only(units::volume("value", text));
    let length: Read = |text| only(units::length("value", text));
    let thin: Read = |text| only(units::fine_length("value", text));
    let power: Read = |text| only(units::power("value", text));
    let height: Read = |text| only(units::elevation("value", text));
    let far: Read = |text| only(units::distance("value", text));
    let fast: Read = |text| only(units::speed("value", text));
    let lasts: Read = |text| only(units::span("value", text));
    let place: Read = |text| only(units::position("value", text));
    let every: Read = |text| only(dates::every("value", text));
    let date: Read = |text| only(dates::date_mark("value", text));
    let padded = |text: &str, length: usize| format!("{text}{}", " ".repeat(length - text.len()));
    let (sixty_four, sixty_five) = (padded("3 psi", 64), padded("3 psi", 65));
    let (date_64, date_65) = (padded("2026", 64), padded("2026", 65));
    let (place_48, place_49) = (padded("44.9,-103.2", 48), padded("44.9,-103.2", 49));
    let rows: &[(Read, &str, &str, &str)] = &[
        (gauge, "-101325 Pa", "-101326 Pa", "from -1 bar to 400 bar"),
        (gauge, "400 bar", "40000001 Pa", "from -1 bar to 400 bar"),
        (fine, "400 bar", "40000001 Pa", "from -1 bar to 400 bar"),
        (outside, "300 hPa", "299.9 hPa", "from 300 hPa to 1100 hPa"),
        (
            outside,
            "1100 hPa",
            "1100.1 hPa",
            "from 300 hPa to 1100 hPa",
        ),
        (warm, "-90 C", "-90.1 C", "from -90 \u{b0}C to 100 \u{b0}C"),
        (warm, "100 C", "100.1 C", "from -90 \u{b0}C to 100 \u{b0}C"),
        (mass, "100000 kg", "100000001 g", "from 0 to 100,000 kg"),
        (volume, "2000 L", "2000001 mL", "from 0 to 2000 L"),
        (length, "100 m", "100001 mm", "from 0 to 100 m"),
        (thin, "0.001 mm", "0 mm", "more than 0, up to 100 m"),
        (thin, "100 m", "100.001 m", "more than 0, up to 100 m"),
        (power, "1 W", "0 W", "more than 0, up to 450 kW"),
        (power, "450 kW", "450001 W", "more than 0, up to 450 kW"),
        (height, "-500 m", "-501 m", "from -500 m to 9000 m"),
        (height, "9000 m", "9001 m", "from -500 m to 9000 m"),
        (far, "100 km", "100001 m", "from 0 to 100 km"),
        (fast, "120 m/s", "120.1 m/s", "from 0 to 120 m/s"),
        (lasts, "36525 days", "36526 days", "from 0 to 100 years"),
        (
            gauge,
            "0.00000000001 psi",
            "0.000000000001 psi",
            "out of range",
        ),
        (gauge, &sixty_four, &sixty_five, "3 psi"),
        (place, "90,180", "90.0000001,0", "value"),
        (place, "-90,-180", "-90.0000001,0", "value"),
        (place, "0,360", "0,360.0000001", "value"),
        (place, &place_48, &place_49, "44.9"),
        (every, "3660 days", "3661 days", "value"),
        (every, "240 months", "241 months", "value"),
        (every, "1 day", "0 days", "value"),
        (date, "1900", "1899", "value"),
        (date, "2199", "2200", "value"),
        (date, "2026-12", "2026-13", "value"),
        (date, &date_64, &date_65, "value"),
    ];
    for (read, under, over, said) in rows {
        assert_eq!(read(under), Ok(()), "{under}");
        let refused = read(over).expect_err(over);
        assert!(refused.starts_with("value: "), "{over}: {refused}");
        assert!(
            refused.contains(said),
            "{over} does not say '{said}': {refused}"
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_county_of_many_craft_is_told_whole() {
    // More than one message of the wire between county and stations holds, as JSON, text and messages at
    // once.
    const CRAFT: usize = 400;
    let world = World::new();
    world.found().await;
    let rows =
        (0..CRAFT).map(|at| format!("Many {at},inflatable-14,North Landing,10,2600,40,yes\n"));
    let head = "call sign,model,station,persons,total (lb),hp,plate read again";
    let list = world.file("many.csv", &format!("{head}\n{}", rows.collect::<String>()));
    let bring_in = format!("bring-in --craft {list}");
    world
        .check("county", &bring_in, Exit::Fine, "400 taken, 0 refused")
        .await;
    let told = world
        .check("county", "answer --json", Exit::Fine, "\"Many 399\"")
        .await;
    assert!(told.len() > 4 * 1024 * 1024, "{} bytes", told.len());
    let signed = world.path("signed.answer");
    let line = format!("answer --signed {}", signed.display());
    world.check("county", &line, Exit::Fine, "Many 399").await;
    let line = format!("verify --answer {}", signed.display());
    world.check("county", &line, Exit::Fine, "The same").await;
}

#[test]
fn names_on_a_map() {
    let named = |length: usize| {
        let name = long(length);
        let feature = format!(
            r#"{{"type":"Feature","properties":{{"kind":"road","name":"{name}"}},"geometry":
            {{"type":"LineString","coordinates":[[-93.1,44.2],[-93.0,44.3]]}}}}"#
        );
        let text = format!(r#"{{"type":"FeatureCollection","features":[{feature}]}}"#);
        sponson_server::ground::parse(text.as_bytes())
    };
    assert!(named(80).is_ok());
    let refused = named(81).expect_err("one more").to_string();
    for said in ["features[0].properties.name", "81 characters", "at most 80"] {
        assert!(refused.contains(said), "{refused}");
    }
}

#[test]
fn fields_of_a_round_have_numbers_to_99() {
    let read = |name: &str| name.parse::<FieldName>();
    assert!(read("fault.99.part").is_ok() && read("fault.1.picture.99").is_ok());
    assert!(read("fault.100.part").is_err() && read("fault.1.picture.100").is_err());
}
