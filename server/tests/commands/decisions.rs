//! What the lead decides about faults that come again, and what became of it.

use sponson_show::terminal::Exit;

use crate::world::{NOW_MS, World, clocks};

/// The short name of the event that a text names last.
fn name_of(text: &str) -> String {
    let (_, after) = text.rsplit_once("(event ").expect("it names the event");
    let digits = after.chars().take_while(char::is_ascii_hexdigit);
    digits.take(8).collect()
}

/// The entry of the fault that a text names last.
fn fault_of(text: &str) -> String {
    let (_, after) = text.rsplit_once("fault ").expect("it names the fault");
    after.chars().take_while(char::is_ascii_hexdigit).collect()
}

const FAULT: &str = "fault 'Boat 3' transom seam-open --severity major";

#[tokio::test(flavor = "multi_thread")]
async fn what_does_not_fit_is_refused_with_what_to_do() {
    let (world, serving) = World::up().await;
    for (line, exit, said) in [
        ("decide --action watch", Exit::WrongUse, "--craft"),
        ("decide --craft 'Boat 3'", Exit::WrongUse, "--action"),
        (
            "decide --craft 'Boat 3' --action mend",
            Exit::WrongUse,
            "repair-again",
        ),
        (
            "decide --craft 'Boat 3' --batch L7 --action watch",
            Exit::WrongUse,
            "cannot be used with",
        ),
        (
            "decide --craft 'Boat 9' --action watch",
            Exit::Refused,
            "not known here",
        ),
        (
            "decide --craft 'Boat 3' --part jet --action watch",
            Exit::Refused,
            "--part",
        ),
        (
            "decide --model kayak --action watch",
            Exit::Refused,
            "no craft or gear here",
        ),
        (
            "decide --craft 'Boat 3' --action hold --also",
            Exit::Refused,
            "give --model or --batch",
        ),
        (
            "decide --batch L7 --action take-out --also",
            Exit::Refused,
            "give --craft",
        ),
        (
            "decide --craft 'Boat 3' --action condemn --also",
            Exit::WrongUse,
            "--reason",
        ),
        (
            "decide --craft 'Boat 3' --action watch --also",
            Exit::Refused,
            "leave out --also",
        ),
        (
            "decide --craft 'Boat 3' --action take-out",
            Exit::WrongUse,
            "give --also, or --only-decided",
        ),
        (
            "decide --craft 'Boat 3' --action watch --fault 1a2b",
            Exit::Refused,
            "--fault is 1a2b",
        ),
        (
            "decide --craft 'Boat 3' --action watch --fault 1a2b3c4d-0",
            Exit::Refused,
            "no event here has this name",
        ),
        ("decisions", Exit::Fine, "nothing was decided"),
    ] {
        world.check("county", line, exit, said).await;
    }
    serving.end().await;
}

/// Runs a command so many hours later by clocks that go on; it ends well.
async fn later(world: &World, hours: u32, program: &str, line: &str) -> String {
    let minutes = u64::from(hours) * 60;
    let now = clocks(1, minutes, NOW_MS + i64::from(hours) * 3_600_000);
    let (exit, text) = world.run_at(now, program, line).await;
    assert_eq!(exit, Exit::Fine, "{program} {line}: {text}");
    text
}

async fn listed(world: &World, line: &str) -> serde_json::Value {
    let text = later(world, 5, "county", line).await;
    serde_json::from_str(&text).expect("it is JSON")
}

#[tokio::test(flavor = "multi_thread")]
async fn a_decision_is_kept_and_what_came_again_after_it_is_told() {
    let (world, serving) = World::up().await;
    let (_, found) = world.run("station", FAULT).await;
    let first = fault_of(&found);
    world.check("station", "sync", Exit::Fine, "sent").await;
    for (line, said) in [
        (
            format!("decide --craft 'Boat 4' --action watch --fault {first}-0"),
            "it is no fault of Boat 4",
        ),
        (
            format!("decide --craft 'Boat 3' --action watch --fault {first}-4"),
            "it holds",
        ),
    ] {
        world.check("county", &line, Exit::Refused, said).await;
    }
    serving.end().await;

    let decide = format!(
        "decide --craft 'Boat 3' --part transom --action send-to-maker --fault {first}-0 --why 'third time'"
    );
    let text = later(&world, 1, "county", &decide).await;
    let said = "Boat 3: decided: send it to the maker (transom, 1 fault)";
    assert!(text.contains(said), "{text}");
    let log = format!("log {}", name_of(&text));
    let text = later(&world, 1, "county", &log).await;
    assert!(text.contains("why: third time"), "{text}");
    let rests = format!("rests on fault {first}-0");
    assert!(text.contains(&rests), "{text}");

    let again = fault_of(&later(&world, 2, "station", FAULT).await);
    let file = world.path("again.carry");
    let out = format!("carry out {}", file.display());
    later(&world, 3, "station", &out).await;
    let into = format!("carry in {}", file.display());
    later(&world, 4, "county", &into).await;
    let told = listed(&world, "decisions --json").await;
    let decision = &told["decisions"][0];
    assert_eq!(decision["action"], "send-to-maker");
    assert_eq!(decision["done"], "not_told");
    let named = decision["again"][0].as_str().expect("it came again");
    assert!(named.starts_with(&again), "{told}");
    let before = "decisions --as-of '2026-03-14 10:30' --json";
    let told = listed(&world, before).await;
    assert_eq!(told["decisions"][0]["again"], serde_json::json!([]));
}

#[tokio::test(flavor = "multi_thread")]
async fn what_carries_a_decision_out_is_recorded_with_it_where_it_is_wanted() {
    let (world, serving) = World::up().await;
    for (line, said) in [
        (
            "decide --craft 'Boat 3' --action take-out --only-decided",
            "decided: take it out",
        ),
        ("decisions --json", "\"done\": \"not_yet\""),
        (
            "decide --craft 'Boat 3' --action take-out --also",
            "Boat 3: out of service (mechanical)",
        ),
        ("answer 'Boat 3'", "out of service"),
        (
            "decide --gear M3 --action condemn --reason failed-test --also",
            "M3: condemned (failed a test)",
        ),
        (
            "decide --model inflatable-14 --part tube-1 --action hold --also",
            "held county-wide: model inflatable-14",
        ),
        ("lift", "inflatable-14"),
    ] {
        world.check("county", line, Exit::Fine, said).await;
    }
    let (_, text) = world.run_after(1, "county", "decisions --json").await;
    let told: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
    let done: Vec<_> = told["decisions"]
        .as_array()
        .expect("they are listed")
        .iter()
        .map(|it| it["done"].as_str().unwrap_or_default())
        .collect();
    assert_eq!(done, ["yes", "yes", "yes", "yes"], "{text}");
    serving.end().await;
}
