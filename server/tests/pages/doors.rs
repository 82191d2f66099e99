//! Every route, with every kind of caller; and what does not come from a page of ours.

use sponson_link::county::visitors::PageRole;
use sponson_server::pages::routes::{Gate, Route};

use crate::world::{Caller, Reply, World};

/// Goes through a route, with its form where it takes one.
async fn go(caller: &Caller, route: Route, craft: &str) -> Vec<Reply> {
    let path = route.path();
    let path = path
        .replace("{id}", craft)
        .replace("{code}", &"a".repeat(32))
        .replace("{list}", "who.csv")
        .replace("{name}", &"ab".repeat(32));
    let mut replies = Vec::new();
    if route != Route::Changes && !route.takes_forms() || route == Route::Enter {
        replies.push(caller.get(&path).await);
    }
    if route.takes_forms() {
        let token = &caller.token;
        let form = format!("token={token}&incident=Creek+Road&light=night");
        replies.push(caller.post(&path, &form).await);
    }
    replies
}

/// Whether a caller is let through, as far as sign-in and role go.
fn let_through(reply: &Reply) -> bool {
    !matches!(reply.status, 401 | 403)
}

#[tokio::test]
async fn every_route_asks_for_what_it_needs() {
    let world = World::up().await;
    let craft = world.craft("Boat%203").await;
    let nobody = world.caller();
    let crew = world.signed_in("M1", "crew").await;
    let coordinator = world.signed_in("M2", "coordinator").await;
    let lead = world.signed_in("M3", "lead").await;
    let callers = [
        (&nobody, None),
        (&crew, Some(PageRole::Crew)),
        (&coordinator, Some(PageRole::Coordinator)),
        (&lead, Some(PageRole::Lead)),
    ];
    // Leaving ends what the others need: it is tried with nobody alone.
    let all = Route::ALL.into_iter().filter(|it| *it != Route::Leave);
    for route in all {
        for (caller, role) in callers {
            let wanted = match route.gate() {
                Gate::Open | Gate::Reads => true,
                Gate::Records | Gate::SignedIn => role.is_some(),
                Gate::Has(least) => role.is_some_and(|role| role >= least),
            };
            for reply in go(caller, route, &craft).await {
                let got = let_through(&reply);
                assert_eq!(got, wanted, "{route:?} {role:?}: {}", reply.status);
                assert!(reply.status < 500, "{route:?}: {}", reply.text);
            }
        }
    }
    let left = go(&nobody, Route::Leave, &craft).await;
    assert!(left.iter().all(|reply| !let_through(reply)));
}

#[tokio::test]
async fn what_comes_from_elsewhere_changes_nothing() {
    let world = World::up().await;
    let craft = world.craft("Boat%203").await;
    let caller = world.signed_in("M2", "coordinator").await;
    let path = format!("/craft/{craft}/assign");
    let form = format!("token={}&incident=Creek+Road", caller.token);
    let ours = format!("http://{}", caller.host);
    let refused: &[&[(&str, &str)]] = &[
        &[],
        &[("Origin", "null")],
        &[("Origin", "http://evil.example")],
        &[("Origin", "http://127.0.0.1:1")],
        &[("Sec-Fetch-Site", "cross-site")],
        &[("Sec-Fetch-Site", "same-site"), ("Origin", &ours)],
        &[("Sec-Fetch-Site", "none"), ("Origin", &ours)],
        &[
            ("Sec-Fetch-Site", "same-origin"),
            ("Origin", "http://evil.example"),
        ],
    ];
    for about in refused {
        let reply = caller.post_from(&path, about, &form).await;
        assert_eq!(reply.status, 403, "{about:?}");
    }
    for token in ["", "token=", "token=0000"] {
        let form = format!("{token}&incident=Creek+Road");
        assert_eq!(caller.post(&path, &form).await.status, 403, "{token}");
    }
    let another = world.signed_in("M4", "coordinator").await;
    let of_another = format!("token={}&incident=Creek+Road", another.token);
    assert_eq!(caller.post(&path, &of_another).await.status, 403);
    let log = world.county("log").await;
    assert!(!log.contains("assigned"), "{log}");
    let same_origin = [("Sec-Fetch-Site", "same-origin"), ("Origin", "null")];
    let done = caller.post_from(&path, &same_origin, &form).await;
    assert_eq!(done.status, 303, "{}", done.text);
}

#[tokio::test]
async fn no_reading_changes_anything_and_no_other_method_is_known() {
    let world = World::up().await;
    let craft = world.craft("Boat%203").await;
    let caller = world.signed_in("M2", "lead").await;
    for path in ["assign", "release"] {
        let path = format!("/craft/{craft}/{path}");
        assert_eq!(caller.get(&path).await.status, 405);
    }
    assert_eq!(caller.get("/leave").await.status, 405);
    for method in ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"] {
        let reply = caller.send(method, "/", &[], "").await;
        assert_eq!(reply.status, 405, "{method}");
    }
}

#[tokio::test]
async fn another_name_is_not_served() {
    let world = World::up().await;
    let mut caller = world.caller();
    let port = caller.address.port();
    for (host, served) in [
        (format!("127.0.0.1:{port}"), true),
        (format!("localhost:{port}"), true),
        ("evil.example".to_owned(), false),
        (format!("evil.example:{port}"), false),
        (String::new(), false),
    ] {
        caller.host.clone_from(&host);
        let status = caller.get("/").await.status;
        assert_eq!(status == 200, served, "{host}: {status}");
        if !served {
            assert_eq!(status, 421, "{host}");
        }
    }
}

#[tokio::test]
async fn every_answer_carries_the_headers_that_keep_a_browser_in() {
    let world = World::up().await;
    let caller = world.caller();
    for path in [
        "/",
        "/answer.json",
        "/who.csv",
        "/nothing",
        "/enter/x",
        "/craft/none",
    ] {
        let reply = caller.get(path).await;
        for (name, value) in sponson_client::web::headers::ALWAYS {
            assert_eq!(reply.header(name.as_str()), value, "{path} {name}");
        }
        assert_eq!(reply.header("cache-control"), "no-store", "{path}");
    }
    assert!(!caller.get("/").await.text.contains("<style"));
}
