//! One-time links and sessions.

use crate::world::World;

const HOUR_MS: i64 = 3_600_000;

#[tokio::test]
async fn looking_at_a_link_spends_nothing_and_its_button_works_once() {
    let world = World::up().await;
    let link = world.link("M17", "coordinator").await;
    let mut caller = world.caller();
    for _ in 0..3 {
        let looked = caller.get(&link).await;
        assert_eq!(looked.status, 200);
        assert!(looked.text.contains("M17") && looked.text.contains("coordinator"));
        assert_eq!(looked.header("set-cookie"), "");
    }
    let entered = caller.post(&link, "").await;
    assert_eq!((entered.status, entered.header("location")), (303, "/"));
    let cookie = entered.header("set-cookie").to_owned();
    let named = format!("{}=", caller.session_cookie());
    for said in [&named, "HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(said), "{cookie}");
    }
    assert!(!cookie.contains("Secure"), "plain on this machine");
    caller.keep_cookie(&entered);
    let page = caller.get("/").await;
    assert!(
        page.text.contains("Member M17, coordinator"),
        "{}",
        page.text
    );
    for again in [
        world.caller().get(&link).await,
        world.caller().post(&link, "").await,
    ] {
        assert_eq!(again.status, 410);
        assert!(again.text.contains("This link was used before."));
        assert_eq!(again.header("set-cookie"), "");
    }
}

#[tokio::test]
async fn a_link_ends() {
    let world = World::up().await;
    let link = world.link("M17", "crew").await;
    world.later(24 * HOUR_MS);
    let late = world.caller().post(&link, "").await;
    assert_eq!(late.status, 410);
    assert!(late.text.contains("This link has ended."), "{}", late.text);
}

#[tokio::test]
async fn a_session_survives_a_restart_and_ends_by_disuse() {
    let mut world = World::up().await;
    let mut caller = world.signed_in("M17", "crew").await;
    world.stop().await;
    world.serve("127.0.0.1:0").await;
    caller.address = world.pages.expect("serves");
    caller.host = caller.address.to_string();
    // Served at the usual port it would be the same; here the port is another, and in the name.
    let (_, token) = caller.cookie.split_once('=').expect("a cookie");
    caller.cookie = format!("{}={token}", caller.session_cookie());
    let knows = |text: &str| text.contains("Member M17");
    assert!(knows(&caller.get("/").await.text));
    // Use carries it on; what a page does by itself does not.
    world.later(HOUR_MS + HOUR_MS / 2);
    assert!(knows(&caller.get("/").await.text));
    world.later(HOUR_MS + HOUR_MS / 2);
    let by_itself = [("Sec-Fetch-Mode", "cors")];
    let page = caller.send("GET", "/", &by_itself, "").await;
    assert!(knows(&page.text));
    world.later(HOUR_MS);
    assert!(!knows(&caller.get("/").await.text));
}

#[tokio::test]
async fn a_session_is_left_listed_and_ended() {
    let world = World::up().await;
    let first = world.signed_in("M17", "crew").await;
    let second = world.signed_in("M18", "lead").await;
    let listed = world.county("signed-in").await;
    assert!(listed.contains("M17, crew") && listed.contains("M18, lead"));
    let refused = first.post("/leave", "token=made-up").await;
    assert_eq!(refused.status, 403);
    let left = first
        .post("/leave", &format!("token={}", first.token))
        .await;
    assert_eq!(left.status, 303);
    assert!(left.header("set-cookie").contains("Max-Age=0"));
    assert!(!first.get("/").await.text.contains("Member M17"));
    let ended = world.county("signed-in --end M18").await;
    assert!(ended.contains("ended: 1 session"), "{ended}");
    assert!(!second.get("/").await.text.contains("Member M18"));
    let (_, none) = world.run("county", "signed-in --end M18").await;
    assert!(none.contains("nobody is signed in as 'M18'"), "{none}");
}

#[tokio::test]
async fn wrong_codes_are_slowed_down() {
    let world = World::up().await;
    let caller = world.caller();
    let wrong = format!("/enter/{}", "a".repeat(32));
    for _ in 0..10 {
        assert_eq!(caller.get(&wrong).await.status, 404);
    }
    let slowed = caller.post(&wrong, "").await;
    assert_eq!(slowed.status, 429);
    let wait: u64 = slowed.header("retry-after").parse().expect("seconds");
    assert!((1..=60).contains(&wait));
}

#[tokio::test]
async fn a_second_link_gives_a_new_session_and_ends_the_first() {
    let world = World::up().await;
    let mut caller = world.signed_in("M17", "crew").await;
    let before = caller.clone();
    let link = world.link("M17", "lead").await;
    let entered = caller.post(&link, "").await;
    caller.keep_cookie(&entered);
    assert_ne!(caller.cookie, before.cookie);
    assert!(caller.get("/").await.text.contains("Member M17, lead"));
    assert!(!before.get("/").await.text.contains("Member M17"));
}
