//! Assigning and releasing from a page.

use crate::world::World;

#[tokio::test]
async fn a_craft_is_assigned_and_released_by_a_member() {
    let world = World::up().await;
    let craft = world.craft("Boat%203").await;
    let caller = world.signed_in("M2", "coordinator").await;
    let token = &caller.token;
    let form = format!(
        "token={token}&incident=Creek+Road+12&note=Family+on+a+roof&query=mission%3Dflood%26air%3D6C"
    );
    let done = caller.post(&format!("/craft/{craft}/assign"), &form).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(
        done.header("location"),
        format!("/craft/{craft}?mission=flood&air=6C")
    );
    let log = world.county("log 'Boat 3'").await;
    for said in ["assigned", "Creek Road 12", "M2"] {
        assert!(log.contains(said), "{said}: {log}");
    }
    let form = format!("token={token}&note=Home");
    let path = format!("/craft/{craft}/release");
    assert_eq!(caller.post(&path, &form).await.status, 303);
    let log = world.county("log 'Boat 3'").await;
    assert!(log.contains("released"), "{log}");
    let again = caller.post(&path, &form).await;
    assert_eq!(again.status, 400);
    assert!(again.text.contains("not assigned"), "{}", again.text);
}

#[tokio::test]
async fn what_cannot_be_recorded_is_said_and_nothing_is() {
    let world = World::up().await;
    let craft = world.craft("Boat%203").await;
    let caller = world.signed_in("M2", "coordinator").await;
    let token = &caller.token;
    let unknown = "0".repeat(32);
    for (craft, form, said) in [
        (craft.as_str(), "incident=", "for which incident"),
        (&craft, "incident=A&query=air%3Dwarm", "warm"),
        (&craft, "incident=A&query=missoin%3Dflood", "missoin"),
        (&unknown, "incident=A", "not known here"),
    ] {
        let form = format!("token={token}&{form}");
        let path = format!("/craft/{craft}/assign");
        let reply = caller.post(&path, &form).await;
        assert_eq!(reply.status, 400, "{form}");
        assert!(reply.text.contains(said), "{form}: {}", reply.text);
    }
    let log = world.county("log").await;
    assert!(!log.contains("assigned"), "{log}");
}

#[tokio::test]
async fn what_the_page_showed_is_kept_though_more_is_held_since() {
    let world = World::up().await;
    let craft = world.craft("Boat%203").await;
    let caller = world.signed_in("M2", "coordinator").await;
    let page = caller.get(&format!("/craft/{craft}?mission=flood")).await;
    let hidden = |name: &str| {
        let (_, rest) = page
            .text
            .split_once(&format!("name=\"{name}\" value=\""))
            .expect("a hidden field");
        rest.split('"').next().expect("its value").to_owned()
    };
    let fields = ["query", "as_of_unix_ms", "known_size", "known_beyond"];
    let size = hidden("known_size");
    let form: String = fields
        .iter()
        .map(|name| format!("&{name}={}", hidden(name).replace('=', "%3D")))
        .collect();
    world.later(600_000);
    world.county("assign 'Boat 4' Creek").await;
    let form = format!("token={}&incident=Mill{form}", caller.token);
    let done = caller.post(&format!("/craft/{craft}/assign"), &form).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, said) = world.run("county", "sent 'Boat 3'").await;
    let known = format!("judged for 2026-03-14 09:00 UTC, by {size} entries");
    assert!(said.contains(&known), "{said}");
}
