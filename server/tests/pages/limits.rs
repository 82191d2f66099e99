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
    let said = "longer than 16384 bytes: nothing was kept. Send less at a time.";
    assert!(long.text.contains(said), "{}", long.text);
}

#[tokio::test]
async fn a_form_of_a_station_has_room_for_so_much() {
    let mut world = World::up().await;
    let caller = world.station("M-1").await;
    let form = |length: usize| {
        let begun = format!("token={}&member=M-2&back=%2F&also=", caller.token);
        format!("{begun}{}", "n".repeat(length - begun.len()))
    };
    let fits = caller.post("/who", &form(64 * 1024)).await;
    assert_eq!(fits.status, 303, "{}", fits.text);
    let long = caller.post("/who", &form(64 * 1024 + 1)).await;
    assert_eq!(long.status, 413);
    let said = "longer than 65536 bytes: nothing was kept. Send less at a time.";
    assert!(long.text.contains(said), "{}", long.text);
}

/// Neither is a picture; only what is said of its length differs.
#[tokio::test]
async fn a_picture_and_what_is_sent_beside_it_have_room_for_so_much() {
    let mut world = World::up().await;
    let caller = world.station("M-1").await;
    let path = "/check/0a1b2c3d/picture";
    let origin = format!("http://{}", caller.host);
    let refused = async |kind: &str, body: &str| {
        let headers = [("Content-Type", kind), ("Origin", origin.as_str())];
        let reply = caller.send("POST", path, &headers, body).await;
        assert_eq!(reply.status, 400);
        reply.text
    };
    let most = sponson_client::pictures::FILE_BYTES_MAX;
    let with_form = most + 64 * 1024;
    for (bytes, said) in [
        (most, "is under way here"),
        (with_form, "is under way here"),
        (
            with_form + 1,
            "the picture is longer than is read; at most 16 MB is read",
        ),
    ] {
        let headers = [
            ("Content-Type", "image/jpeg"),
            ("Origin", origin.as_str()),
            ("X-Form-Token", caller.token.as_str()),
        ];
        let picture = "p".repeat(bytes);
        let reply = caller.send("POST", path, &headers, &picture).await;
        assert_eq!(reply.status, 400);
        assert!(reply.text.contains(said), "{bytes}: {}", reply.text);
    }
    for (length, too_long) in [(1024, false), (1025, true)] {
        let part = |name: &str, value: &str| {
            format!("--x\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n")
        };
        let stop = part("stop", &"s".repeat(length));
        let body = format!("{}{stop}--x--\r\n", part("token", &caller.token));
        let text = refused("multipart/form-data; boundary=x", &body).await;
        let said = "stop is 1025 bytes long; at most 1024 are read: nothing was kept";
        assert_eq!(text.contains(said), too_long, "{text}");
    }
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
