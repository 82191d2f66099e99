//! Gauges and leaks: from what a station read to what both programs say of it.

use sponson_show::terminal::Exit;

use crate::in_service::place_in_service;
use crate::world::World;

#[tokio::test(flavor = "multi_thread")]
async fn what_was_read_is_told_by_gauge_by_chamber_and_by_craft() {
    let (world, serving) = World::up().await;
    place_in_service(&world).await;
    let held = "inspect 'Boat 3' hold-test --part tube-1 --start 260mbar@80F --end 200mbar@60F \
                --hours 24";
    world.check_all(&[(held, Exit::Fine, "tube")]).await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    for program in ["station", "county"] {
        let text = world
            .check(program, "gauges", Exit::Fine, "Gauge readings until")
            .await;
        assert!(text.contains("can be compared"), "{text}");
        let leaks = world
            .check(program, "leaks --air 5C", Exit::Fine, "Leaks as of")
            .await;
        let words: Vec<&str> = leaks.split_whitespace().collect();
        let words = words.join(" ");
        for said in [
            "Not known of:",
            "Hold tests, the newest first:",
            "24-hour test: held",
        ] {
            assert!(words.contains(said), "{said}: {words}");
        }
        let craft = "leaks --craft 'Boat 3'";
        world.check(program, craft, Exit::Fine, "at 15 °C").await;
        let json = "\"schema\": \"sponson.leaks/1\"";
        world.check(program, "leaks --json", Exit::Fine, json).await;
        let json = "\"schema\": \"sponson.gauges/1\"";
        world
            .check(program, "gauges --json", Exit::Fine, json)
            .await;
        let columns = "craft,craft_id,stations,part";
        world
            .check(program, "leaks --csv", Exit::Fine, columns)
            .await;
        world
            .check(program, "leaks --craft 'Boat 9'", Exit::Refused, "Boat 9")
            .await;
        world
            .check(program, "leaks --air warm", Exit::WrongUse, "--air")
            .await;
    }
    let members = "\"by_member\": [";
    world
        .check("county", "gauges --members --json", Exit::Fine, members)
        .await;
    let none = "\"by_member\": null";
    world
        .check("county", "gauges --json", Exit::Fine, none)
        .await;
    world
        .check("station", "gauges --members", Exit::WrongUse, "--members")
        .await;
    serving.end().await;
}
