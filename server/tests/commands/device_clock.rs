//! A station whose clock is wrong: what each command says of it, and what the county keeps of it.

use sponson_replica::Now;
use sponson_show::terminal::Exit;

use crate::world::{NOW_MS, World, clocks};

const BEHIND_MS: i64 = (3 * 60 + 12) * 60_000;

async fn says(world: &World, now: Now, line: &str, said: &str) {
    let (exit, text) = world.run_at(now, "station", line).await;
    assert!(matches!(exit, Exit::Fine | Exit::Judged), "{line}: {text}");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains(said), "{line} does not say '{said}': {text}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_clock_that_is_behind_is_said_where_it_matters() {
    let (world, serving) = World::up().await;
    let fault = "fault 'Boat 3' tube-2 leak --severity minor";
    // Dead, before anything of this start is known: nothing is refused.
    let dead = clocks(2, 0, 0);
    says(
        &world,
        dead,
        fault,
        "clock says 1970-01-01 00:00, which is past: set it",
    )
    .await;
    says(
        &world,
        dead,
        fault,
        "a time between 2026-03-14 09:00 and when",
    )
    .await;
    says(
        &world,
        dead,
        "ready",
        "behind the newest time that the county has shown",
    )
    .await;
    // A sync shows by how much it is wrong, and from then on the county's time is counted.
    let behind = clocks(2, 5, NOW_MS - BEHIND_MS);
    says(
        &world,
        behind,
        "sync",
        "3 h 12 min behind the county's at the last sync: set it",
    )
    .await;
    let later = clocks(2, 65, NOW_MS - BEHIND_MS + 3_600_000);
    says(
        &world,
        later,
        fault,
        "kept with the county's time, 2026-03-14 10:00",
    )
    .await;
    says(
        &world,
        later,
        "ready",
        "CLOCK: the clock of this device is 3 h 12 min behind",
    )
    .await;
    says(
        &world,
        later,
        "about",
        "clock: 3 h 12 min behind the county's",
    )
    .await;
    // Set right: nothing more to say. Started again: it may be as it was.
    let right = clocks(2, 65, NOW_MS + 3_600_000);
    let (_, text) = world.run_at(right, "station", "ready").await;
    assert!(!text.contains("CLOCK"), "{text}");
    let again = clocks(3, 0, NOW_MS + 3_600_000);
    says(
        &world,
        again,
        "ready",
        "judged at both times, and the worse counts",
    )
    .await;
    let clock = "clock of: North Landing: 3 h 12 min behind the county's, heard 2026-03-14 09:00";
    world.check("county", "about", Exit::Fine, clock).await;
    serving.end().await;
}
