//! What files say that are named, and how far they are read.

use sponson_client::check_file::EXAMPLE;
use sponson_show::terminal::Exit;

use super::{Row, check, long};
use crate::world::World;

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
    // Of a root key so much is read as tells that it is none.
    for (length, said) in [(256, "is no root key"), (257, "at most 256 bytes are read")] {
        let named = world.file("long.key", &long(length));
        let line = format!("renew-key --root-key {named}");
        world.check("county", &line, Exit::Refused, said).await;
    }
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
