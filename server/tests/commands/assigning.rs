//! Sending a craft: what is said and kept, and shown again; releasing it; the answer's tables and
//! its report.

use sponson_show::terminal::Exit;

use crate::world::World;

/// The short name of the entry that a command recorded.
fn entry(said: &str) -> String {
    let line = said.lines().find(|line| line.contains("(event "));
    let word = line.expect("it recorded").rsplit(' ').next();
    word.expect("a word").trim_end_matches(')').to_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_shown_who_sent_it_and_why_are_kept_and_shown_again() {
    let world = World::new();
    world.found().await;
    let said = world
        .check(
            "county",
            "--member 214 assign 'Boat 3' 'Flood 12' --mission flood --why 'nearest to the ford'",
            Exit::Fine,
            "Boat 3: assigned to Flood 12",
        )
        .await;
    for words in [
        "speaks against going: it is not ready",
        "it is recorded all the same: whoever sends it decides",
    ] {
        let other = words.replace("it is not ready", "nothing shows that it is ready");
        assert!(said.contains(words) || said.contains(&other), "{said}");
    }
    assert!(!said.contains("nobody is named"), "{said}");
    let event = entry(&said);

    let log = world
        .check("county", "log 'Boat 3'", Exit::Fine, "214")
        .await;
    for wanted in ["Flood 12 for flood", "(nearest to the ford)"] {
        assert!(log.contains(wanted), "{log}");
    }
    let answer = world.check("county", "answer", Exit::Fine, "").await;
    let answer = answer.split_whitespace().collect::<Vec<_>>().join(" ");
    let wanted =
        "assigned to incident Flood 12 by county, 214, 2026-03-14 09:00: nearest to the ford";
    assert!(answer.contains(wanted), "{answer}");

    // Later the report reads otherwise; what was read then does not.
    let (_, report) = world.run("county", "answer 'Boat 3' --mission flood").await;
    for what in ["'Boat 3'", &event] {
        let sent = world
            .check(
                "county",
                &format!("sent {what}"),
                Exit::Fine,
                "why: nearest to the ford",
            )
            .await;
        assert!(sent.contains("sent by member 214, county, "), "{sent}");
        assert!(sent.contains("as signed with the assignment:"), "{sent}");
        let (_, then) = sent.split_once("assignment:\n").expect("the report");
        assert!(said.contains(then.trim()), "{then}");
        assert_ne!(report.trim(), then.trim());
    }
    let one = world
        .check("county", &format!("log {event}"), Exit::Fine, "")
        .await;
    assert!(one.contains("why: nearest to the ford"), "{one}");
    assert!(one.contains("report that was shown: "), "{one}");
    for (line, said) in [
        ("sent 'Boat 4'", "it was never sent"),
        ("sent 'Boat 8'", "not known here"),
    ] {
        world.check("county", line, Exit::Refused, said).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn assigning_never_refuses_and_releasing_says_from_where() {
    let world = World::new();
    world.found().await;
    let first = "assign 'Boat 3' 'Flood 12'";
    let said = world
        .check("county", first, Exit::Fine, "nobody is named")
        .await;
    assert!(said.contains("recorded all the same"), "{said}");
    let anew = "--member 7 assign 'Boat 3' 'Fire 7'";
    let said = world
        .check("county", anew, Exit::Fine, "assigned to Fire 7")
        .await;
    let wanted = "speaks against going: assigned to incident Flood 12";
    assert!(said.contains(wanted), "{said}");
    for (line, exit, said) in [
        (
            "release 'Boat 3' --from 'Flood 12'",
            Exit::Refused,
            "it is assigned to Fire 7, not to Flood 12",
        ),
        (
            "--member 7 release 'Boat 3' --from 'fire 7' --why 'out of water'",
            Exit::Fine,
            "Boat 3: released from Fire 7",
        ),
        ("release 'Boat 3'", Exit::Refused, "it is not assigned"),
        ("log 'Boat 3'", Exit::Fine, "Boat 3: released"),
    ] {
        world.check("county", line, exit, said).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_station_without_the_role_is_told_that_it_stays_unconfirmed() {
    let (world, serving) = World::up().await;
    let line = "assign 'Boat 3' 'Flood 12'";
    let wanted = "neither the coordinator's role nor the lead's";
    world.check("station", line, Exit::Fine, wanted).await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_answer_as_tables_and_as_a_report() {
    let world = World::new();
    world.found().await;
    for section in ["who", "short", "overdue", "disagreements", "stations"] {
        let line = format!("answer --csv {section}");
        let said = world
            .check("county", &line, Exit::Fine, "as_of,mission,")
            .await;
        assert!(said.starts_with("as_of,mission,"), "{said}");
    }
    let refused = "answer --csv boats";
    world
        .check("county", refused, Exit::Refused, "ask for who, short")
        .await;
    let file = world.path("report.html");
    let line = format!("answer --report {}", file.display());
    world
        .check("county", &line, Exit::Fine, "report written to")
        .await;
    let page = std::fs::read_to_string(&file).expect("it is there");
    assert!(page.starts_with("<!DOCTYPE html>") && page.contains(sponson_show::caution()));
    world
        .check("county", &line, Exit::Refused, "it is there already")
        .await;
}
