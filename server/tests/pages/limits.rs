//! Limits of the county's pages, one byte or one second before and behind each.

use crate::world::World;

#[tokio::test]
async fn an_address_and_a_form_have_room_for_so_much() {
    let world = World::up().await;
    let caller = world.signed_in("M2", "lead").await;
    let path = |length: usize| format!("/?x={}", "y".repeat(length - "/?x=".len()));
    let fits = caller.get(&path(6 * 1024)).await;
    assert_ne!(fits.status, 414, "read, whatever comes of it");
    let long = caller.get(&path(6 * 1024 + 1)).await;
    assert_eq!(long.status, 414);
    assert!(
        long.text.contains("longer than 6144 bytes"),
        "{}",
        long.text
    );
    let craft = world.craft("Boat%203").await;
    let assign = format!("/craft/{craft}/assign");
    let form = |length: usize| {
        let begun = format!("token={}&incident=&note=", caller.token);
        format!("{begun}{}", "n".repeat(length - begun.len()))
    };
    let fits = caller.post(&assign, &form(16 * 1024)).await;
    assert_eq!(fits.status, 400, "read, and refused for its incident");
    let long = caller.post(&assign, &form(16 * 1024 + 1)).await;
    assert_eq!(long.status, 413);
}

#[tokio::test]
async fn an_incident_has_the_room_that_the_log_gives_it() {
    let world = World::up().await;
    let caller = world.signed_in("M2", "lead").await;
    let craft = world.craft("Boat%203").await;
    let assign = format!("/craft/{craft}/assign");
    let form = |length: usize| format!("token={}&incident={}", caller.token, "x".repeat(length));
    let long = caller.post(&assign, &form(65)).await;
    assert_eq!(long.status, 400);
    assert!(long.text.contains("in 1 to 64 bytes"), "{}", long.text);
    let fits = caller.post(&assign, &form(64)).await;
    assert_eq!(fits.status, 303, "{}", fits.text);
}

#[tokio::test]
async fn a_page_is_loaded_anew_by_itself_neither_too_often_nor_too_seldom() {
    let world = World::up().await;
    let caller = world.signed_in("M2", "lead").await;
    for (again, taken) in [(29, false), (30, true), (3_600, true), (3_601, false)] {
        let page = caller.get(&format!("/?again={again}")).await;
        let refresh = page.text.contains("http-equiv=\"refresh\"");
        assert_eq!(refresh, taken, "{again}");
    }
}
