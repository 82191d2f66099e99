//! What the lead has removed beside an entry: what each side is told and what is left to read.

use sponson_show::terminal::Exit;

use crate::world::World;

#[tokio::test(flavor = "multi_thread")]
async fn a_text_is_removed_at_the_county_and_then_at_the_station() {
    let (world, serving) = World::up().await;
    let leak = "fault 'Boat 3' tube-2 leak --severity minor --note 'told by A. Nobody'";
    let said = world.check("station", leak, Exit::Fine, "fault ").await;
    let fault = said.trim_end().rsplit(' ').next().expect("a word");
    let event = fault.split('-').next().expect("an event");
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    let show = format!("log {event}");
    world
        .check("county", &show, Exit::Fine, "told by A. Nobody")
        .await;

    for (line, exit, said) in [
        (format!("redact {event}"), Exit::WrongUse, "--reason"),
        (
            format!("redact {event} --reason rude"),
            Exit::WrongUse,
            "personal, patient, misplaced, ordered",
        ),
        (
            "redact 00000000 --reason personal".to_owned(),
            Exit::Refused,
            "no event here has this name",
        ),
        (
            format!("redact {event} --part 2 --reason personal"),
            Exit::Refused,
            "it has 1",
        ),
        (
            format!("redact {event} --part 1 --reason personal"),
            Exit::Fine,
            "1 text of",
        ),
        (
            format!("redact {event} --reason personal"),
            Exit::Refused,
            "nothing stands beside it",
        ),
    ] {
        world.check("county", &line, exit, said).await;
    }
    let gone = "note on fault 0: text removed by the lead on 2026-03-14";
    let whole = world.check("county", &show, Exit::Fine, gone).await;
    assert!(!whole.contains("Nobody"), "{whole}");
    world
        .check("station", &show, Exit::Fine, "told by A. Nobody")
        .await;
    world
        .check("station", "sync", Exit::Fine, "received 1 event")
        .await;
    let whole = world.check("station", &show, Exit::Fine, gone).await;
    assert!(!whole.contains("Nobody"), "{whole}");
    let listed = "text of";
    world.check("station", "log", Exit::Fine, listed).await;
    for program in ["county", "station"] {
        world.check(program, "verify", Exit::Fine, "").await;
    }
    serving.end().await;
}
