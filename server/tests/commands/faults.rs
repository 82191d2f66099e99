//! What keeps failing, as a command: a transom that comes apart again, made by the commands of a station.

use sponson_show::terminal::Exit;

use crate::world::{NOW_MS, World, clocks};

/// The short name of the fault that was recorded.
fn name_in(text: &str) -> &str {
    let mut words = text.split(|c: char| !c.is_ascii_alphanumeric() && c != '-');
    let name = words.find(|word| word.len() > 8 && word.ends_with("-0"));
    name.expect(text)
}

/// Hours after the beginning at which the transom comes apart.
const FOUND_H: [i64; 3] = [240, 1_200, 2_400];

/// When everything is asked.
const ASKED_H: i64 = 3_000;

/// Runs a command of the station so many hours later, by a clock that ran all the while.
async fn later(world: &World, hours: i64, line: &str) -> (Exit, String) {
    let minutes = u64::try_from(hours * 60).expect("hours that have passed");
    let now = clocks(1, minutes, NOW_MS + hours * 3_600_000);
    world.run_at(now, "station", line).await
}

/// Found, reglued a day later, signed off the day after that; the last time it stays open.
async fn comes_apart(world: &World) {
    let run = async |hours: i64, line: &str| {
        let (exit, text) = later(world, hours, line).await;
        assert_eq!(exit, Exit::Fine, "{line}: {text}");
        text
    };
    for hours in FOUND_H {
        let fault = "fault 'Boat 3' transom seam-open --severity restrictive";
        let found = run(hours, fault).await;
        let name = name_in(&found);
        if hours == FOUND_H[2] {
            break;
        }
        let repair = format!("repair 'Boat 3' {name} --method seam-reglued");
        run(hours + 24, &repair).await;
        run(hours + 48, &format!("sign-off 'Boat 3' {name}")).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_transom_that_comes_apart_again_is_proposed_to_the_lead() {
    let (world, serving) = World::up().await;
    let none = world.run("station", "faults").await;
    assert_eq!(none.0, Exit::Fine, "{}", none.1);
    assert!(none.1.contains("No fault was counted."), "{}", none.1);
    comes_apart(&world).await;
    for (line, said) in [
        ("faults", "What to do ("),
        ("faults --by craft-place", "Boat 3, "),
        (
            "faults --by craft-place --craft 'Boat 3'",
            "on Boat 3, by part and place",
        ),
        ("faults", "Repairs that did not hold"),
        ("faults --figures", "How often:"),
        ("faults --json", "\"schema\": \"sponson.faults/1\""),
        ("faults --json", "\"held\": \"did_not_hold\""),
        ("faults --csv repairs", "did_not_hold"),
        ("faults --csv what-to-do", "rank,action"),
        ("faults --csv faults", "seam open"),
    ] {
        let (exit, text) = later(&world, ASKED_H, line).await;
        assert_eq!(exit, Exit::Judged, "{line}: {text}");
        assert!(text.contains(said), "{line} does not say {said}: {text}");
    }
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_asked_is_told_with_what_to_do() {
    let (world, serving) = World::up().await;
    for (line, exit, said) in [
        ("faults --by boat", Exit::WrongUse, "possible values"),
        ("faults --per miles", Exit::WrongUse, "possible values"),
        ("faults --from spring", Exit::WrongUse, "--from"),
        ("faults --as-of spring", Exit::WrongUse, "--as-of"),
        (
            "faults --from 2027",
            Exit::Refused,
            "not before the judged moment",
        ),
        ("faults --craft 'Boat 33'", Exit::Refused, "did you mean"),
        ("faults --csv craft", Exit::WrongUse, "possible values"),
        (
            "faults --json --figures",
            Exit::WrongUse,
            "cannot be used with",
        ),
    ] {
        for program in ["station", "county"] {
            world.check(program, line, exit, said).await;
        }
    }
    serving.end().await;
}
