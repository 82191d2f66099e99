//! What is recorded at a station, and what the county is told.

use sponson_show::terminal::Exit;

use super::{Row, check, long};
use crate::world::World;

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
