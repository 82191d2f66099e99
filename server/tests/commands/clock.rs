//! The county's clock is looked at before it records.

use sponson_show::terminal::Exit;

use crate::world::World;

const DAY: i64 = 24;

#[tokio::test(flavor = "multi_thread")]
async fn a_clock_that_cannot_be_right_records_nothing() {
    let world = World::new();
    world.found().await;
    for (hours, line, exit, said) in [
        (
            -DAY,
            "admit South",
            Exit::Refused,
            "before the newest entry",
        ),
        (
            -DAY,
            "admit South --clock-is-right",
            Exit::Refused,
            "before the newest entry",
        ),
        (
            -DAY,
            "serve --listen 127.0.0.1:0",
            Exit::Refused,
            "before the newest entry",
        ),
        (-DAY, "answer", Exit::Fine, "note: this machine's clock is"),
        (-DAY, "about", Exit::Fine, "note: this machine's clock is"),
        // Off for a month is nothing strange; for a year it is.
        (30 * DAY, "admit South", Exit::Fine, "works once"),
        (365 * DAY, "admit Weir", Exit::Refused, "--clock-is-right"),
        (
            365 * DAY,
            "serve --listen 127.0.0.1:0",
            Exit::Refused,
            "--clock-is-right",
        ),
        (365 * DAY, "answer", Exit::Fine, "it may have jumped"),
        (
            365 * DAY,
            "admit Weir --clock-is-right",
            Exit::Fine,
            "works once",
        ),
        (366 * DAY, "admit Weir", Exit::Fine, "works once"),
        // Nothing was stored before what was stored already.
        (
            30 * DAY,
            "admit Weir",
            Exit::Refused,
            "before the newest entry",
        ),
    ] {
        let (ended, text) = world.run_after(hours, "county", line).await;
        assert_eq!(ended, exit, "{hours} {line}: {text}");
        assert!(text.contains(said), "{hours} {line}: {text}");
    }
    world
        .check("county", "verify", Exit::Fine, "all is well")
        .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_settings_say_how_long_a_county_may_be_off() {
    let world = World::new();
    world.found().await;
    let file = world.path("county").join("settings.toml");
    let mut text = std::fs::read_to_string(&file).expect("settings");
    text.push_str("clock_ahead_days = 10\n");
    std::fs::write(&file, text).expect("writes");
    let (ended, text) = world.run_after(11 * DAY, "county", "admit South").await;
    assert_eq!(ended, Exit::Refused, "{text}");
    let (ended, text) = world.run_after(9 * DAY, "county", "admit South").await;
    assert_eq!(ended, Exit::Fine, "{text}");
}
