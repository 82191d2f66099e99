//! What is asked and reckoned.

use sponson_show::terminal::Exit;

use super::{Row, check, long};
use crate::world::World;

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
