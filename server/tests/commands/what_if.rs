//! A weather report with a question, and the county as if something were not there: typed, answered,
//! signed and checked.

use sponson_show::terminal::Exit;

use crate::world::World;

/// As pasted; the world's clock stands at 09:00 UTC on the 14th.
const REPORT: &str =
    "--metar 'METAR KRAP 140852Z 31014G32KT 1/2SM FG M05/M07 A2992 HELLO RMK AO2 T10501072='";

#[tokio::test(flavor = "multi_thread")]
async fn a_report_is_taken_and_shown_back() {
    let (world, serving) = World::up().await;
    let report = |rest: &str| format!("ready {REPORT} {rest}");
    let said = world
        .check("station", &report(""), Exit::Fine, "Weather report: ")
        .await;
    let said: Vec<&str> = said.split_whitespace().collect();
    let said = said.join(" ");
    for wanted in [
        "KRAP of 2026-03-14",
        "(8 min before the asked moment): air 23 \u{b0}F, dew point 19 \u{b0}F",
        "with gusts of 32 kn (the gusts count)",
        "restricted by FG",
        "weather FG",
        "altimeter 29.92 inHg",
        "Not understood, so not counted: HELLO",
        "Launch: air 23 \u{b0}F",
        "Job: visibility restricted, wind 32 kn",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    world
        .check_all(&[
            (
                &report("--wind 5kn"),
                Exit::Fine,
                "By hand, not from the report: wind",
            ),
            (
                &report("--wind 5kn --json"),
                Exit::Fine,
                "\"not_understood\": [",
            ),
            (
                &report("--as-of '2026-03-14 11:00'"),
                Exit::Fine,
                "OLD WEATHER REPORT",
            ),
            (
                "ready --metar 'TAF KRAP'",
                Exit::Refused,
                "weather report begins with TAF",
            ),
            (
                "ready --metar 'KRAP 141400Z 31014KT'",
                Exit::Refused,
                "after the asked moment",
            ),
            (
                "ready --metar 'KRAP 100852Z 31014KT'",
                Exit::Refused,
                "at most 24 h is taken",
            ),
            (
                "ready --metar 'KRAP 3101KT'",
                Exit::Refused,
                "has '3101KT' after KRAP",
            ),
        ])
        .await;
    let said = world
        .check("county", &format!("answer {REPORT}"), Exit::Fine, "HELLO")
        .await;
    assert!(said.contains("Weather report: KRAP"), "{said}");
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_county_as_if_something_were_not_there() {
    let (world, serving) = World::up().await;
    world
        .check_all(&[
            (
                "ready --without-craft 'Boat 3'",
                Exit::Fine,
                "AS IF: Boat 3 could not be sent\n",
            ),
            (
                "ready --without-craft 'Boat 3'",
                Exit::Fine,
                "TAKEN AWAY (1)",
            ),
            (
                "ready --without-station 'north landing'",
                Exit::Fine,
                "AS IF: North Landing could not be reached\n",
            ),
            (
                "ready 'Boat 3' --without-station 'North Landing'",
                Exit::Judged,
                "North Landing cannot be reached",
            ),
            (
                "ready --without-kit 'throw-bag@North Landing' --mission lake",
                Exit::Fine,
                "AS IF: there were no throw bag at North Landing\n",
            ),
            (
                "ready 'Boat 3' --without-kit throw-bag --mission lake",
                Exit::Judged,
                "AS IF: there were no throw bag in the county\n",
            ),
            (
                "ready --without-craft 'Boat 4' --json",
                Exit::Fine,
                "\"taken_away\": [",
            ),
            (
                "ready 'Boat 3' --without-craft 'Boat 3'",
                Exit::Refused,
                "is asked for and taken away",
            ),
            (
                "ready --without-craft 'Boat 8'",
                Exit::Refused,
                "not known here",
            ),
            (
                "ready --without-station 'North Lending'",
                Exit::Refused,
                "did you mean North Landing?",
            ),
            (
                "ready --without-kit throw-bug",
                Exit::Refused,
                "did you mean throw-bag?",
            ),
            (
                "ready --without-kit 'throw-bag@Nowhere'",
                Exit::Refused,
                "no station 'Nowhere' is known here",
            ),
            (
                "ready --without-kit '@North Landing'",
                Exit::WrongUse,
                "--without-kit",
            ),
            (
                "ready --without-station ''",
                Exit::WrongUse,
                "--without-station",
            ),
            (
                "ready --without-craft 'Boat 3' --known-by 9",
                Exit::Fine,
                "AS IF: Boat 3",
            ),
            (
                "ready --without-craft 'Boat 3' --together",
                Exit::Fine,
                "AS IF: Boat 3",
            ),
        ])
        .await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn both_stand_in_a_signed_answer() {
    let (world, serving) = World::up().await;
    let file = world.path("what-if").display().to_string();
    let rest = "--wind 5kn --without-craft 'Boat 3' --without-kit 'throw-bag@North Landing'";
    let signs = format!("ready {REPORT} {rest} --signed {file}");
    world
        .check("station", &signs, Exit::Fine, "signed answer written")
        .await;
    let verify = format!("verify --answer {file}");
    world
        .check("station", &verify, Exit::Fine, "The same")
        .await;
    world.check("county", &verify, Exit::Fine, "The same").await;
    serving.end().await;
}
