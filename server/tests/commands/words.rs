//! Refusals speak in the words that were typed: an argument by its name on the command line, a
//! quantity with its unit, and what to do; never a field of a message.

use sponson_show::terminal::Exit;

use crate::world::World;

#[tokio::test(flavor = "multi_thread")]
async fn every_refusal_names_what_was_typed_and_what_to_do() {
    let (world, serving) = World::up().await;
    let (long, note) = ("x".repeat(70), "x".repeat(5000));
    let member = "m".repeat(33);
    let fault = "fault 'Boat 3'";
    let lines = [
        (
            format!("{fault} tube-9 leak --severity major"),
            "PART: boat standard inflatable-14 has no part tube-9; did you mean tube-1",
        ),
        (
            format!("{fault} tube-1 {long} --severity major"),
            "CLASS is xxx",
        ),
        (
            format!("{fault} tube-1 leak --severity major --from-transom 400m"),
            "--from-transom: '400m' is out of range",
        ),
        (
            format!("{fault} tube-1 leak --severity restrictive --mission moon"),
            "--mission: boat standard inflatable-14 has no mission moon; it has dive",
        ),
        (
            format!("{fault} tube-1 leak --severity major --gear M9"),
            "--gear: gear M9 is not known here: did you mean M3",
        ),
        (
            format!("{fault} tube-1 leak --severity major --note {note}"),
            "note is 5000 bytes long; at most 4096 are allowed: write a second note",
        ),
        (
            format!("--member {member} {fault} tube-1 leak --severity major"),
            "member is 33 bytes long; at most 32 are allowed",
        ),
        (
            "air 'Boat 3' tube-9 added".to_owned(),
            "PART: boat standard inflatable-14 has no part tube-9",
        ),
        (
            "air 'Boat 3' transom added".to_owned(),
            "PART is transom; it holds no air: give one of tube-1",
        ),
        (
            format!("inspect 'Boat 3' {long} passed"),
            "INSPECTION: boat standard",
        ),
        (
            format!("number 'Boat 3' {long}"),
            "number is 70 bytes long; it may have 64 bytes, on one line",
        ),
        (
            "use 'Boat 3' --time 1h --mission moon".to_owned(),
            "--mission: boat standard",
        ),
        (
            "ready 'Boat 3' --mission moon".to_owned(),
            "--mission is moon; the boat standards here have dive",
        ),
        (
            "log 'Boat 77'".to_owned(),
            "craft Boat 77 is not known here: did you mean Boat 3",
        ),
    ];
    // Words of messages, rows and this program's own insides.
    let inside = [
        "payload",
        "bytes32",
        "_unix_ms",
        "_mm",
        "_mc",
        "_pa",
        "belongs_to",
        "subject id",
        "fault.",
    ];
    for (line, said) in lines {
        let text = world.check("station", &line, Exit::Refused, said).await;
        for word in inside {
            assert!(!text.contains(word), "{line} says '{word}': {text}");
        }
    }
    serving.end().await;
}
