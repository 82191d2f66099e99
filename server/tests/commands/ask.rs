//! Asking, syncing, carrying, and the local service that stays up.

use std::path::Path;

use sponson_client::check_file::EXAMPLE;
use sponson_client::settings::Places;
use sponson_show::terminal::Exit;
use tokio::sync::oneshot;

use crate::world::{World, surroundings};

#[tokio::test(flavor = "multi_thread")]
async fn a_station_asks() {
    let (world, serving) = World::up().await;
    let log = world
        .check("station", "log 'Boat 3'", Exit::Fine, "craft registered")
        .await;
    assert!(
        !log.contains("unconfirmed"),
        "the county's key has the role for it: {log}"
    );
    world
        .check_all(&[
            ("ready", Exit::Fine, "Boat 3"),
            ("ready 'Boat 3'", Exit::Judged, "Boat 3"),
            ("ready --json --air -5C", Exit::Fine, "sponson.answer/1"),
            ("ready --air cold", Exit::WrongUse, "--air"),
            ("ready 'Boat 8'", Exit::Refused, "not known here"),
            ("due", Exit::Judged, "never done"),
            ("due --json", Exit::Judged, "sponson.answer/1"),
            ("log 'Boat 3' --last 1", Exit::Fine, "craft registered"),
            ("log 'Boat 8'", Exit::Refused, "not known here"),
            ("log ffffffffffff", Exit::Refused, "no event here"),
            ("verify", Exit::Fine, "all is well"),
            ("about", Exit::Fine, "station: North Landing"),
            ("about now", Exit::WrongUse, "now"),
        ])
        .await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_known_is_said_alike_by_county_and_station() {
    let (world, serving) = World::up().await;
    let by = "--known-by 9 --as-of 2026-03-15T00:00:00Z --json";
    let there = world
        .check(
            "station",
            &format!("ready {by}"),
            Exit::Fine,
            "\"size\": 9,",
        )
        .await;
    let fault = "fault 'Boat 3' tube-2 leak --severity major";
    world.check("station", fault, Exit::Fine, "leak").await;
    world.check("station", "sync", Exit::Fine, "sent 1").await;
    for (program, command) in [("county", "answer"), ("station", "ready")] {
        let (_, said) = world.run(program, &format!("{command} {by}")).await;
        assert_eq!(said, there);
    }
    world
        .check_all(&[
            ("ready --known-by 9", Exit::Fine, "AS KNOWN BY ENTRY 9"),
            (
                "due --known-by '2026-03-14 09:00'",
                Exit::Judged,
                "never done",
            ),
            ("ready --known-by 0", Exit::Refused, "it must be at least 1"),
            (
                "ready --known-by 9999",
                Exit::Refused,
                "known-by size is 9999; 12 entries of the county log are held here: ask for at most",
            ),
            (
                "ready --known-by '2026-03-14 08:59'",
                Exit::Refused,
                "known-by time is 2026-03-14 08:59 UTC; the county stored its first entry at 2026",
            ),
            (
                "ready --known-by '2026-03-14 09:01'",
                Exit::Refused,
                "is known here until 2026-03-14 09:00 UTC: ask for that time",
            ),
            (
                "ready --known-by yesterday",
                Exit::WrongUse,
                "--known-by",
            ),
            (
                "ready --known-by 99999999999999999999",
                Exit::WrongUse,
                "so many entries",
            ),
        ])
        .await;
    serving.end().await;
}

/// A proof goes to somebody who has nothing but the program.
#[tokio::test(flavor = "multi_thread")]
async fn what_was_stored_is_proved_to_anybody() {
    let (world, serving) = World::up().await;
    let fault = "fault 'Boat 3' tube-2 leak --severity major --note 'weeps at the seam'";
    let said = world.check("station", fault, Exit::Fine, "leak").await;
    let event = said.trim_end().trim_end_matches(')');
    let event = event.rsplit(' ').next().expect("its short name").to_owned();
    let file = world.path("one.proof").display().to_string();
    let prove = format!("prove {event} --out {file}");
    world
        .check_all(&[
            (&prove, Exit::Refused, "waits for the county: sync"),
            ("sync", Exit::Fine, "sent 1"),
            (&prove, Exit::Fine, "written to"),
            (&prove, Exit::Refused, "there already"),
            ("prove 12", Exit::Refused, "8 to 64 hexadecimal digits"),
            ("prove ffffffffffff", Exit::Refused, "is held here: sync"),
        ])
        .await;
    let about = world.check("county", "about", Exit::Fine, "county: ").await;
    let county = about.lines().find_map(|line| line.strip_prefix("county: "));
    let county = county.expect("about names it");
    let verify = format!("verify --proof {file}");
    let named = format!("{verify} --county {county}");
    world
        .check("nobody", &verify, Exit::Fine, "that this county is the one")
        .await;
    let said = world
        .check("nobody", &named, Exit::Fine, "note: weeps")
        .await;
    assert!(!world.path("nobody").exists(), "it needs no folder");
    for line in [
        "The proof holds: the event counts.",
        "of North Landing, as number 1 of what",
        "with the role crew, maintenance at that time",
        "as entry 12 of the 12",
        "that what it says is true",
    ] {
        assert!(said.contains(line), "{line}: {said}");
    }
    let other = format!("{verify} --county 00112233445566778899aabbccddeeff");
    world
        .check("nobody", &other, Exit::Refused, "not of county 0011")
        .await;
    let mut bytes = std::fs::read(&file).expect("it is there");
    bytes[99] ^= 1;
    std::fs::write(&file, bytes).expect("writes");
    world
        .check("county", &verify, Exit::Refused, "file was changed on its")
        .await;
    serving.end().await;
}

/// An answer that was given is given again by whoever holds as much.
#[tokio::test(flavor = "multi_thread")]
async fn a_signed_answer_is_checked_by_any_other_copy() {
    let (world, serving) = World::up().await;
    let file = |name: &str| world.path(name).display().to_string();
    let (then, waiting, late) = (file("then"), file("waiting"), file("late"));
    let check = world.file("check.toml", EXAMPLE);
    let signs = |command: &str, file: &str| format!("{command} --air -5C --signed {file}");
    world
        .check_all(&[
            (&signs("ready", &then), Exit::Fine, "signed answer written"),
            (&signs("ready", &then), Exit::Refused, "there already"),
            (
                &format!("check 'Boat 3' --from {check}"),
                Exit::Fine,
                "full",
            ),
            (&signs("ready 'Boat 3'", &waiting), Exit::Judged, "Boat 3"),
            (
                &format!("verify --answer {waiting}"),
                Exit::Fine,
                "The same",
            ),
        ])
        .await;
    let verify = |file: &str| format!("verify --answer {file}");
    let county = |line: String, exit, said| {
        let world = &world;
        async move { world.check("county", &line, exit, said).await }
    };
    county(
        verify(&then),
        Exit::Fine,
        "of North Landing (crew, maintenance)",
    )
    .await;
    // The county has not got what the station rested on.
    county(verify(&waiting), Exit::Judged, "1 of the entries that it").await;
    world.check("station", "sync", Exit::Fine, "sent 1").await;
    county(verify(&waiting), Exit::Fine, "The same").await;
    county(verify(&then), Exit::Fine, "The same").await;
    // What the county knows first, the station cannot check until it does.
    let assign = "assign 'Boat 3' 'Mill dam'";
    county(assign.to_owned(), Exit::Fine, "Mill dam").await;
    let signs = format!("answer --known-by 13 --signed {late}");
    county(signs, Exit::Fine, "AS KNOWN BY ENTRY 13").await;
    let late = verify(&late);
    world
        .check_all(&[
            (
                &late,
                Exit::Judged,
                "13 entries of the county log, and 12 are",
            ),
            ("sync", Exit::Fine, "received 1"),
            (&late, Exit::Fine, "Signed by the county (lead, county)"),
            (
                &format!("verify --answer {check}"),
                Exit::Refused,
                "does not begin as",
            ),
        ])
        .await;
    let mut bytes = std::fs::read(&then).expect("it is there");
    let last = bytes.len() - 1;
    bytes[last] ^= 1;
    std::fs::write(&then, bytes).expect("writes");
    county(verify(&then), Exit::Refused, "changed on its way").await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_station_without_network_carries() {
    let (world, serving) = World::up().await;
    serving.end().await;
    let file = world.file("check.toml", EXAMPLE);
    let carry = world.path("c.carry");
    let out = format!("carry out {} --new-only", carry.display());
    world
        .check_all(&[
            (
                &format!("check 'Boat 3' --from {file}"),
                Exit::Fine,
                "full check",
            ),
            ("sync", Exit::Network, ""),
            (&out, Exit::Fine, "1 event written"),
            (&out, Exit::Refused, "there already"),
        ])
        .await;
    let torn = world.file("torn.carry", "sponson-carry-1\nnothing");
    for (line, exit, said) in [
        (
            format!("carry in {}", carry.display()),
            Exit::Fine,
            "1 new here",
        ),
        (
            format!("carry in {}", carry.display()),
            Exit::Fine,
            "0 new here",
        ),
        (format!("carry in {torn}"), Exit::Refused, ""),
        (
            "carry in nowhere.carry".to_owned(),
            Exit::Refused,
            "nowhere.carry",
        ),
        ("log".to_owned(), Exit::Fine, "2 readings"),
    ] {
        world.check("county", &line, exit, said).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_local_service_is_used_while_it_is_up() {
    let (world, serving) = World::up().await;
    let folder = world.path("station");
    let (stop, stopped) = oneshot::channel::<()>();
    let up = tokio::spawn(async move { keep_up(&folder, stopped).await });
    let socket = world.path("station").join("socket");
    while !socket.exists() && !up.is_finished() {
        tokio::task::yield_now().await;
    }
    let one_waits = ("about", Exit::Fine, "waiting for the county: 1");
    world
        .check_all(&[
            ("out 'Boat 3' rest", Exit::Fine, "out of service"),
            one_waits,
        ])
        .await;
    stop.send(()).expect("still up");
    up.await.expect("no panic").expect("ended well");
    world.check_all(&[one_waits]).await;
    serving.end().await;
}

async fn keep_up(
    folder: &Path,
    stopped: oneshot::Receiver<()>,
) -> Result<(), sponson_client::CommandError> {
    let (mut given, _, _) = surroundings();
    let places = Places::of("sponson", Some(folder))?;
    let settings = sponson_client::settings::Settings {
        sync: sponson_client::settings::SyncSetting::ByHand,
        ..sponson_client::settings::Settings::read(&places.settings)?
    };
    let until = async {
        let _ = stopped.await;
    };
    sponson_client::commands::serve::serve_until(&places, &settings, &mut given, until).await
}
