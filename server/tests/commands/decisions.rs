//! What the lead decides about faults that come again, and what became of it.

use sponson_show::terminal::Exit;

use crate::world::World;

/// The short name of the event that a text names last.
fn name_of(text: &str) -> String {
    let (_, after) = text.rsplit_once("(event ").expect("it names the event");
    let digits = after.chars().take_while(char::is_ascii_hexdigit);
    digits.take(8).collect()
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

#[tokio::test(flavor = "multi_thread")]
async fn a_decision_is_kept_and_what_came_again_after_it_is_told() {
    let (world, serving) = World::up().await;
    let (_, found) = world.run("station", FAULT).await;
    let first = name_of(&found);
    world.check("station", "sync", Exit::Fine, "sent").await;
    let of_another = format!("decide --craft 'Boat 4' --action watch --fault {first}-0");
    let said = "it is no fault of Boat 4";
    world
        .check("county", &of_another, Exit::Refused, said)
        .await;
    let second = format!("decide --craft 'Boat 3' --action watch --fault {first}-4");
    world
        .check("county", &second, Exit::Refused, "it holds")
        .await;
    let decide = format!(
        "decide --craft 'Boat 3' --part transom --action send-to-maker --fault {first}-0 --why 'third time'"
    );
    let said = "Boat 3: decided: send it to the maker (transom, 1 fault)";
    let text = world.check("county", &decide, Exit::Fine, said).await;
    let decided = name_of(&text);
    let log = format!("log {decided}");
    world
        .check("county", &log, Exit::Fine, "why: third time")
        .await;
    let rests = format!("rests on fault {first}-0");
    world.check("county", &log, Exit::Fine, &rests).await;
    let list = world
        .check("county", "decisions", Exit::Fine, "none of it since")
        .await;
    assert!(list.contains(&decided), "{list}");

    let (_, found) = world.run_after(2, "station", FAULT).await;
    let again = name_of(&found);
    let (exit, text) = world.run_after(3, "station", "sync").await;
    assert_eq!(exit, Exit::Fine, "{text}");
    for program in ["county", "station"] {
        let (_, text) = world.run_after(4, program, "decisions --json").await;
        let told: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
        let decision = &told["decisions"][0];
        assert_eq!(decision["action"], "send-to-maker");
        assert_eq!(decision["done"], "not_told");
        let named = decision["again"][0].as_str().expect("it came again");
        assert!(named.starts_with(&again), "{text}");
    }
    let before = "decisions --as-of '2026-03-14 10:00' --json";
    let (_, text) = world.run_after(4, "county", before).await;
    let told: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
    assert_eq!(told["decisions"][0]["again"], serde_json::json!([]));
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_carries_a_decision_out_is_recorded_with_it_where_it_is_wanted() {
    let (world, serving) = World::up().await;
    for (line, said) in [
        (
            "decide --craft 'Boat 3' --action take-out --only-decided",
            "decided: take it out",
        ),
        ("decisions", "not done yet"),
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
