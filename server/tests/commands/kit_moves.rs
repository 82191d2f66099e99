//! A day's plan of kit moves, from what stations counted to what the county proposes.

use sponson_show::terminal::Exit;

use crate::in_service::{check_without_throw_bags, place_in_service};
use crate::world::World;

/// A craft whose throw bags are gone, and a store with four that are good.
#[tokio::test(flavor = "multi_thread")]
async fn the_county_plans_what_to_take_from_where() {
    let (world, serving) = World::up().await;
    place_in_service(&world).await;
    let file = world.file("short.toml", &check_without_throw_bags());
    let again = format!("check 'Boat 3' --from {file}");
    world
        .check("station", &again, Exit::Fine, "full check")
        .await;
    world
        .check(
            "station",
            "count 'North Landing' throw-bag=5 --bad throw-bag=1",
            Exit::Fine,
            "counted 5",
        )
        .await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    let plan = "kit-moves --mission lake";
    let said = world
        .check("county", plan, Exit::Fine, "Kit moves for lake")
        .await;
    let said: Vec<&str> = said.split_whitespace().collect();
    let said = said.join(" ");
    for wanted in [
        "0 craft can go as they are; 1 more can once",
        "Boat 3 at North Landing: can go with",
        "from the store of North Landing to Boat 3 at North Landing, same station",
        "Kit alone does not make these go: Boat 4",
        "This plan records nothing.",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    let json = "kit-moves --mission lake --json";
    let made_ready = "\"craft_made_ready\": 1";
    world.check("county", json, Exit::Fine, made_ready).await;
    let unknown = "kit-moves --mission lakes";
    world.check("county", unknown, Exit::Refused, "lakes").await;
    serving.end().await;
}
