//! Limits on what anybody can send, and that the server ends in time.

use std::time::Instant;

use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

use crate::world::{PATIENCE, World};

#[tokio::test]
async fn what_is_too_big_is_refused() {
    let world = World::up().await;
    let caller = world.signed_in("M2", "lead").await;
    let craft = world.craft("Boat%203").await;
    let long = caller.get(&format!("/?metar={}", "x".repeat(7000))).await;
    assert_eq!(long.status, 414);
    let many = format!("/?{}", "a=1&".repeat(300));
    assert_eq!(caller.get(&many).await.status, 400);
    let head = "x".repeat(20_000);
    let big = caller.send("GET", "/", &[("X-Long", &head)], "").await;
    assert_eq!(big.status, 431);
    let form = format!("token={}&incident={}", caller.token, "x".repeat(20_000));
    let path = format!("/craft/{craft}/assign");
    assert_eq!(caller.post(&path, &form).await.status, 413);
    let text = [
        ("Content-Type", "text/plain"),
        ("Sec-Fetch-Site", "same-origin"),
    ];
    let other = caller.send("POST", &path, &text, "incident=A").await;
    assert_eq!(other.status, 415);
    assert_eq!(caller.get("/").await.status, 200, "it goes on");
}

#[tokio::test]
async fn it_ends_in_time_with_pages_that_listen_and_callers_that_hang() {
    let mut world = World::up().await;
    let mut listening = world.caller().listen(&[]).await;
    listening.hear(": listening", 1).await;
    let address = world.pages.expect("serves");
    let mut hanging = TcpStream::connect(address).await.expect("listens");
    hanging
        .write_all(b"POST /light HTTP/1.1\r\n")
        .await
        .expect("sends");
    let begun = Instant::now();
    world.stop().await;
    assert!(begun.elapsed() < PATIENCE);
    listening.end().await;
    assert!(TcpStream::connect(address).await.is_err(), "nobody listens");
}

#[tokio::test]
async fn pages_that_listen_are_bounded() {
    let world = World::up().await;
    let mut room = Vec::new();
    // One connection less than one address may have, for the one that asks.
    for _ in 0..sponson_client::web::limits::LISTENERS_MAX - 1 {
        let mut listening = world.caller().listen(&[]).await;
        listening.hear(": listening", 1).await;
        room.push(listening);
    }
    assert_eq!(world.caller().get("/").await.status, 200);
    let mut last = world.caller().listen(&[]).await;
    last.hear(": listening", 1).await;
    room.push(last);
    let mut more = TcpStream::connect(world.pages.expect("serves"))
        .await
        .expect("the system takes it");
    let mut none = Vec::new();
    let cut = tokio::time::timeout(PATIENCE, more.read_to_end(&mut none));
    let _ = cut.await.expect("cut at once");
    assert!(none.is_empty(), "one address has no more room");
}
