//! The county's clock is looked at before it records.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use sponson_client::settings::{Places, Settings};
use sponson_link::Clock;
use sponson_server::{ClockCheck, CountyUp, serve_until};
use sponson_show::terminal::Exit;

use crate::world::{NOW_MS, World, clocks, surroundings_after};

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

/// How serving begins so many hours later: what is said, or why not.
async fn begins(world: &World, hours: i64, said_to_be_right: bool) -> Result<String, String> {
    let (given, _, _) = surroundings_after(hours);
    let places = Places::of("county", Some(&world.path("county"))).expect("a folder");
    let up = CountyUp::begin(&places, "127.0.0.1:0", &given).await;
    let up = up.expect("comes up");
    let clock = ClockCheck::of(&Settings::default(), said_to_be_right);
    let looked = up.look_at_clock(clock, given.clock.now().unix_ms).await;
    let ended = serve_until(up, std::future::ready(())).await;
    ended.expect("ended well");
    looked
        .map(|notes| notes.join("\n"))
        .map_err(|error| error.to_string())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_county_goes_on_once_somebody_says_that_its_clock_is_right_again() {
    let world = World::new();
    world.found().await;
    let ahead = "admit Weir --clock-is-right";
    let (ended, text) = world.run_after(365 * DAY, "county", ahead).await;
    assert_eq!(ended, Exit::Fine, "{text}");
    // Right again: what cannot be known is asked for, in the words that help.
    let remedy = "sponson-county serve --clock-is-right";
    let (ended, text) = world.run_after(2, "county", "admit Quay").await;
    assert_eq!(ended, Exit::Refused, "{text}");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains(remedy), "{text}");
    let refused = begins(&world, 2, false).await.expect_err("not said");
    assert!(refused.contains(remedy), "{refused}");
    // Nobody's word makes a clock right that is from before the county was founded.
    begins(&world, -DAY, true).await.expect_err("not founded");
    let said = begins(&world, 2, true).await.expect("said");
    assert!(said.contains("stored by a clock that ran ahead"), "{said}");
    // Once is enough, and everything goes on; whoever asks is told what the log holds.
    let again = begins(&world, 3, false).await.expect("said before");
    assert!(again.contains("at times that are still to come"), "{again}");
    for (hours, line, said) in [
        (4, "admit Quay", "works once"),
        (5, "answer", "at times that are still to come"),
    ] {
        let (ended, text) = world.run_after(hours, "county", line).await;
        assert_eq!(ended, Exit::Fine, "{line}: {text}");
        assert!(text.contains(said), "{line}: {text}");
    }
    let later = begins(&world, 366 * DAY, true).await.expect("it has come");
    assert!(!later.contains("still to come"), "{later}");
    world
        .check("county", "verify", Exit::Fine, "all is well")
        .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_clock_that_is_set_while_the_county_serves_is_told_and_not_followed() {
    let mut world = World::new();
    world.found().await;
    let (hours, more) = (Arc::new(AtomicI64::new(0)), Arc::new(AtomicI64::new(0)));
    let (passed, set) = (Arc::clone(&hours), Arc::clone(&more));
    let serving = world
        .serve_by(Clock::new(move || {
            let hours = passed.load(Ordering::SeqCst);
            let minutes = u64::try_from(hours * 60).expect("it goes on");
            let shows = (hours + set.load(Ordering::SeqCst)) * 3_600_000;
            clocks(7, minutes, NOW_MS + shows)
        }))
        .await;
    world.join().await;
    world
        .check("county", "about", Exit::Fine, "county log")
        .await;
    for (at, by, said) in [
        (
            1,
            365 * DAY,
            "set ahead by 365 days while the county was up",
        ),
        (2, -9 * DAY, "set back by 9 days while the county was up"),
    ] {
        hours.store(at, Ordering::SeqCst);
        more.store(by, Ordering::SeqCst);
        let now = clocks(2, 60, NOW_MS + at * 3_600_000);
        for line in ["fault 'Boat 3' tube-2 leak --severity minor", "sync"] {
            let (ended, text) = world.run_at(now, "station", line).await;
            assert_eq!(ended, Exit::Fine, "{line}: {text}");
        }
        let (_, text) = world.run_at(now, "station", "about").await;
        assert!(text.contains("right within 2 min"), "{text}");
        let (_, text) = world.run_at(now, "station", "ready").await;
        assert!(!text.contains("CLOCK"), "{text}");
        for line in ["about", "answer"] {
            let (_, text) = world.run_after(at, "county", line).await;
            let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(text.contains(said), "{line}: {text}");
        }
    }
    // Set right: nothing more to say.
    more.store(0, Ordering::SeqCst);
    let (_, text) = world.run_after(2, "county", "about").await;
    assert!(!text.contains("while the county was up"), "{text}");
    let runs = concat!("version ", env!("CARGO_PKG_VERSION"), ", rules version");
    assert!(text.contains(runs), "what the station runs: {text}");
    serving.end().await;
}
