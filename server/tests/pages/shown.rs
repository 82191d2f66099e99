//! What pages show: the answer to the question of their address, and that they are told of news.

use sponson_server::pages::routes::Route;

use crate::world::World;

#[tokio::test]
async fn the_county_page_answers_the_question_of_its_address() {
    let world = World::up().await;
    let caller = world.caller();
    let page = caller.get("/?mission=flood&air=-5C&people=adult:2").await;
    assert_eq!(page.status, 200);
    assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
    for said in ["Boat 3", "flood", "Lake"] {
        assert!(page.text.contains(said), "{said}");
    }
    let json = caller.get("/answer.json?mission=flood&air=-5C").await;
    assert!(json.header("content-type").starts_with("application/json"));
    assert!(
        json.text.contains("\"mission\": \"flood\"") || json.text.contains("\"mission\":\"flood\"")
    );
    let csv = caller.get("/who.csv?mission=flood").await;
    assert!(csv.header("content-type").starts_with("text/csv"));
    assert!(csv.text.contains("Boat 3"));
    assert_eq!(caller.get("/other.csv").await.status, 404);
    assert_eq!(caller.get("/nothing/here").await.status, 404);
}

#[tokio::test]
async fn the_page_says_the_same_as_the_command() {
    let world = World::up().await;
    let page = world.caller().get("/answer.json?mission=flood").await;
    let said = world.county("answer --json --mission flood").await;
    assert_eq!(page.text.trim(), said.trim());
}

#[tokio::test]
async fn a_value_that_cannot_be_is_told_beside_its_field_and_the_others_stay() {
    let world = World::up().await;
    let caller = world.caller();
    for (query, said) in [
        ("air=warm&wind=25kn", "warm"),
        ("mission=swimwater&wind=25kn", "swimwater"),
        ("crew=0&wind=25kn", "crew is 0"),
        ("missoin=flood&wind=25kn", "missoin"),
        ("known-by=999999&wind=25kn", "known-by"),
    ] {
        let page = caller.get(&format!("/?{query}")).await;
        assert_eq!(page.status, 400, "{query}");
        assert!(page.text.contains(said), "{query}: {}", page.text);
        assert!(page.text.contains("value=\"25kn\""), "{query}");
    }
    let script = caller.get("/?air=%3Cscript%3Ealert(1)%3C/script%3E").await;
    assert_eq!(script.status, 400);
    assert!(!script.text.contains("<script>alert"));
}

#[tokio::test]
async fn a_place_asks_who_can_go_there() {
    let world = World::up().await;
    let caller = world.caller();
    let json = caller.get("/answer.json?place=44.9,-103.2&closed=North+Landing");
    let said = world.county("call-out --json --place 44.9,-103.2 --closed 'North Landing'");
    assert_eq!(json.await.text.trim(), said.await.trim());
    let page = caller.get("/?launch=Nowhere+Ramp&wind=25kn").await;
    assert_eq!(page.status, 400);
    assert!(page.text.contains("Nowhere Ramp"), "{}", page.text);
    let taken = caller
        .get("/answer.json?without-craft=Boat+3,+Boat+4")
        .await;
    assert_eq!(taken.status, 200, "{}", taken.text);
}

#[tokio::test]
async fn the_plan_for_moving_kit_is_shown() {
    let world = World::up().await;
    let caller = world.caller();
    let query = "mission=flood&air=6C&place=44.9,-103.2&keep-chosen-only=on";
    let page = caller.get(&format!("/kit-moves?{query}")).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(page.text.contains("Kit moves") && page.text.contains("flood"));
    assert_eq!(caller.get("/kit-moves?mission=swim").await.status, 400);
    assert_eq!(caller.get("/kit-moves?air=warm").await.status, 400);
}

#[tokio::test]
async fn gauges_and_leaks_are_shown_and_the_list_is_the_commands() {
    let world = World::up().await;
    let caller = world.caller();
    let page = caller.get("/gauges?air=5C").await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(page.text.contains("Gauges and leaks"));
    let csv = caller.get("/leaks.csv?air=5C").await;
    assert!(csv.header("content-type").starts_with("text/csv"));
    let said = world.county("leaks --csv --air 5C").await;
    assert_eq!(csv.text.trim(), said.trim());
    let craft = world.craft("Boat%203").await;
    let path = format!("/craft/{craft}/readings");
    let page = caller.get(&path).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(page.text.contains("Readings of"));
    assert_eq!(caller.get("/gauges?air=warm").await.status, 400);
    let other = format!("/craft/{}/readings", "0".repeat(32));
    assert_eq!(caller.get(&other).await.status, 404);
    assert_eq!(caller.get("/craft/Boat%203/readings").await.status, 404);
}

#[tokio::test]
async fn a_craft_is_found_by_number_and_by_id() {
    let world = World::up().await;
    let caller = world.caller();
    let found = caller.get("/craft/boat%203").await;
    assert_eq!(found.status, 303);
    let page = caller.get(found.header("location")).await;
    assert_eq!(page.status, 200);
    assert!(page.text.contains("Boat 3"));
    assert_eq!(caller.get("/craft/Boat%209").await.status, 404);
    let other = "0".repeat(32);
    assert_eq!(caller.get(&format!("/craft/{other}")).await.status, 404);
}

#[tokio::test]
async fn style_and_script_are_kept_by_the_browser() {
    let world = World::up().await;
    let caller = world.caller();
    let page = caller.get("/").await;
    for route in [Route::Style, Route::Script] {
        let path = route.path();
        assert!(page.text.contains(&path), "the page names {path}");
        let first = caller.get(&path).await;
        assert_eq!(first.status, 200);
        assert!(first.header("cache-control").contains("immutable"));
        let tag = first.header("etag").to_owned();
        let same = [("If-None-Match", tag.as_str())];
        let again = caller.send("GET", &path, &same, "").await;
        assert_eq!((again.status, again.text.as_str()), (304, ""));
        let other = [("If-None-Match", "\"x\"")];
        assert_eq!(caller.send("GET", &path, &other, "").await.status, 200);
    }
}

#[tokio::test]
async fn day_and_night_are_kept_without_script() {
    let world = World::up().await;
    let mut caller = world.caller();
    let kept = caller
        .post("/light", "light=night&back=%2F%3Fmission%3Dflood")
        .await;
    assert_eq!(kept.status, 303);
    assert_eq!(kept.header("location"), "/?mission=flood");
    caller.keep_cookie(&kept);
    assert!(caller.get("/").await.text.contains("data-light=\"night\""));
    let away = caller
        .post("/light", "light=day&back=%2F%2Fevil.example")
        .await;
    assert_eq!(away.header("location"), "/");
}

#[tokio::test]
async fn a_page_is_told_when_something_is_recorded_and_when_a_station_syncs() {
    let world = World::up().await;
    world.joined("station").await;
    let mut listening = world.caller().listen(&[]).await;
    listening.hear(": listening", 1).await;
    assert!(listening.text.contains("content-type: text/event-stream"));
    world.county("assign 'Boat 4' Creek").await;
    listening.hear("data: ", 1).await;
    world.later(60_000);
    let (_, said) = world.run("station", "sync").await;
    assert!(said.contains("nothing waits"), "{said}");
    listening.hear("data: ", 2).await;
    // Who comes again and missed nothing is told nothing; who missed something is, at once.
    let id = listening.text.rsplit("id: ").next().expect("an id");
    let id = id.lines().next().expect("a line").trim().to_owned();
    let mut again = world.caller().listen(&[("Last-Event-ID", &id)]).await;
    again.hear(": listening", 1).await;
    let mut missed = world.caller().listen(&[("Last-Event-ID", "1-1-1")]).await;
    missed.hear("data: ", 1).await;
}

#[tokio::test]
async fn the_record_of_a_craft_is_shown_and_given_signed() {
    let world = World::up().await;
    let caller = world.caller();
    let craft = world.craft("Boat%203").await;
    let own = caller.get(&format!("/craft/{craft}")).await;
    let href = format!("/craft/{craft}/record");
    assert!(
        own.text.contains(&format!("href=\"{href}\"")),
        "{}",
        own.text
    );
    let page = caller.get(&href).await;
    assert_eq!(page.status, 200, "{}", page.text);
    for said in [
        "Record of Boat 3",
        "all that is known",
        "Craft registered: Boat 3",
        "Signature, and how to check it",
        "Advice only",
        &format!("href=\"{href}/file\""),
    ] {
        assert!(page.text.contains(said), "{said}: {}", page.text);
    }
    let part = caller.get(&format!("{href}?until=2020-01-01")).await;
    assert_eq!(part.status, 200, "{}", part.text);
    assert!(part.text.contains("value=\"2020-01-01\""));
    assert!(part.text.contains("lie outside of the period"));
    assert!(part.text.contains("record/file?until=2020-01-01"));
    // Other pages are not asked for the time of a record.
    assert!(part.text.contains("href=\"/report\""), "{}", part.text);
    let file = caller.get(&format!("{href}/file")).await;
    assert_eq!(file.status, 200);
    assert_eq!(file.header("content-type"), "application/octet-stream");
    assert!(file.text.starts_with("sponson-record-1\n"));
    for (query, said) in [
        ("from=soon", "--from"),
        ("from=2026-03-02&until=2026-03-01", "end before it begins"),
        ("known-by=0", "at least 1"),
        ("known-by=999999", "are held here"),
        ("fro=2026-03-01", "--fro"),
        ("from=%3Cscript%3Ealert(1)%3C/script%3E", "--from"),
    ] {
        for path in [&href, &format!("{href}/file")] {
            let refused = caller.get(&format!("{path}?{query}")).await;
            assert_eq!(refused.status, 400, "{query}: {}", refused.text);
            assert!(refused.text.contains(said), "{query}: {}", refused.text);
            assert!(!refused.text.contains("<script>alert"));
        }
    }
    let none = "ab".repeat(16);
    assert_eq!(
        caller.get(&format!("/craft/{none}/record")).await.status,
        404
    );
    assert_eq!(caller.get("/craft/Boat%203/record").await.status, 404);
}
