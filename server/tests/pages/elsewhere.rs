//! Requests that no browser sends by itself: two readings of one message, names that lead here, paths
//! out of what is served, methods in disguise, and many who guess.

use std::net::{Ipv4Addr, SocketAddr};

use sponson_client::pages::routes::{Route as StationRoute, Taken};
use sponson_client::web::limits::WRONG_CODES_PER_ADDRESS_AND_MINUTE;
use sponson_server::pages::routes::{Gate, Route};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpSocket;

use crate::world::{Caller, PATIENCE, Reply, World, exchange};

/// Sends bytes as they are; gives all that comes back until the other side ends.
async fn sent(caller: &Caller, bytes: &str) -> String {
    let stream = tokio::net::TcpStream::connect(caller.address).await;
    let mut stream = stream.expect("it listens");
    // A refusal can come before everything was sent.
    let _ = stream.write_all(bytes.as_bytes()).await;
    let mut reply = Vec::new();
    let read = tokio::time::timeout(PATIENCE, stream.read_to_end(&mut reply));
    // Cut or closed: either is an end.
    let _ = read.await.expect("it ends in time");
    String::from_utf8_lossy(&reply).into_owned()
}

/// How many replies a text holds.
fn replies(text: &str) -> usize {
    text.matches("HTTP/1.1 ").count()
}

/// Messages that could be read in two ways, or in none. `HOST` is ours, `HIDDEN` a message that must not be
/// read as a second one, `LENGTH` its length.
const NOT_ONE: &[(&str, &str)] = &[
    (
        "two lengths",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nContent-Length: 0\r\nContent-Length: LENGTH\r\n\r\nHIDDEN",
    ),
    (
        "two lengths in one",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nContent-Length: 0, LENGTH\r\n\r\nHIDDEN",
    ),
    (
        "a length with a sign",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nContent-Length: +0\r\n\r\nHIDDEN",
    ),
    (
        "a length that is none",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nContent-Length: 0x0\r\n\r\nHIDDEN",
    ),
    (
        "a length below nothing",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nContent-Length: -1\r\n\r\nHIDDEN",
    ),
    (
        "a length beyond all",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nContent-Length: 18446744073709551616\r\n\r\nHIDDEN",
    ),
    (
        "another coding",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nTransfer-Encoding: chunked, identity\r\n\r\n0\r\n\r\nHIDDEN",
    ),
    (
        "a coding nobody knows",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nTransfer-Encoding: xchunked\r\n\r\n0\r\n\r\nHIDDEN",
    ),
    (
        "chunks in HTTP/1.0",
        "POST /light HTTP/1.0\r\nHost: HOST\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\nHIDDEN",
    ),
    (
        "a chunk with no size",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nTransfer-Encoding: chunked\r\n\r\n\r\nHIDDEN",
    ),
    (
        "a chunk beyond all",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nTransfer-Encoding: chunked\r\n\r\nfffffffffffffffff\r\nHIDDEN",
    ),
    (
        "a chunk below nothing",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nTransfer-Encoding: chunked\r\n\r\n-1\r\nHIDDEN",
    ),
    (
        "a chunk's end left out",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nTransfer-Encoding: chunked\r\n\r\n1\r\naXX0\r\n\r\nHIDDEN",
    ),
    (
        "an extension without end",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nTransfer-Encoding: chunked\r\n\r\n1;LONG\r\na\r\n0\r\n\r\nHIDDEN",
    ),
    (
        "a folded header",
        "GET / HTTP/1.1\r\nHost: HOST\r\nX-A: b\r\n c\r\n\r\nHIDDEN",
    ),
    (
        "a folded first header",
        "GET / HTTP/1.1\r\n Host: HOST\r\n\r\nHIDDEN",
    ),
    (
        "a blank before the colon",
        "GET / HTTP/1.1\r\nHost : HOST\r\n\r\nHIDDEN",
    ),
    (
        "a header without a name",
        "GET / HTTP/1.1\r\nHost: HOST\r\n: x\r\n\r\nHIDDEN",
    ),
    (
        "a line end alone in a value",
        "GET / HTTP/1.1\r\nHost: HOST\r\nX-A: b\rX-B: c\r\n\r\nHIDDEN",
    ),
    (
        "nothing in a value",
        "GET / HTTP/1.1\r\nHost: HOST\r\nX-A: b\0c\r\n\r\nHIDDEN",
    ),
    (
        "nothing in a path",
        "GET /\0 HTTP/1.1\r\nHost: HOST\r\n\r\nHIDDEN",
    ),
    (
        "a blank in a path",
        "GET /a b HTTP/1.1\r\nHost: HOST\r\n\r\nHIDDEN",
    ),
    (
        "a version to come",
        "GET / HTTP/9.9\r\nHost: HOST\r\n\r\nHIDDEN",
    ),
    ("no version", "GET /\r\nHost: HOST\r\n\r\nHIDDEN"),
    ("another protocol", "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\nHIDDEN"),
    (
        "a method of signs",
        "G@T / HTTP/1.1\r\nHost: HOST\r\n\r\nHIDDEN",
    ),
    (
        "more headers than anybody sends",
        "GET / HTTP/1.1\r\nHost: HOST\r\nMANY\r\nHIDDEN",
    ),
];

/// Messages that have one reading, whatever follows.
const ONE: &[(&str, &str)] = &[
    (
        "length and chunks",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\nConnection: close\r\n\r\n0\r\n\r\nHIDDEN",
    ),
    (
        "line ends of another sort",
        "GET / HTTP/1.1\nHost: HOST\nConnection: close\n\nHIDDEN",
    ),
    (
        "a body where none is",
        "GET / HTTP/1.1\r\nHost: HOST\r\nContent-Length: LENGTH\r\nConnection: close\r\n\r\nHIDDEN",
    ),
    (
        "lines before it",
        "\r\n\r\nGET / HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\nHIDDEN",
    ),
    (
        "a header after the chunks",
        "POST /light HTTP/1.1\r\nHost: HOST\r\nTransfer-Encoding: chunked\r\nConnection: close\r\n\r\n0\r\nHost: evil.example\r\nCookie: sponson=x\r\n\r\nHIDDEN",
    ),
];

/// A message with what its words stand for.
fn message(text: &str, caller: &Caller) -> String {
    let host = &caller.host;
    let hidden = format!("GET /nothing HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
    text.replace("HOST", host)
        .replace("LENGTH", &hidden.len().to_string())
        .replace("LONG", &"x".repeat(20_000))
        .replace("MANY", &"X-A: b\r\n".repeat(500))
        .replace("HIDDEN", &hidden)
}

/// RFC 9112, 2.2, 3.2, 5.1, 5.2, 6.1, 6.3, 7.1 and 11.2; CWE-444 (this and the other CWE numbers here are from memory).
#[tokio::test]
async fn a_message_that_could_be_read_in_two_ways_is_one_message_or_none() {
    let world = World::up().await;
    let caller = world.signed_in("M2", "coordinator").await;
    for (what, text) in NOT_ONE {
        let text = sent(&caller, &message(text, &caller)).await;
        assert!(replies(&text) <= 1, "{what}: {text}");
        let refused = text.is_empty() || text.starts_with("HTTP/1.1 4");
        assert!(refused, "{what}: {text}");
        assert!(!text.contains("Boat 3"), "{what}: {text}");
    }
    for (what, text) in ONE {
        let text = sent(&caller, &message(text, &caller)).await;
        assert_eq!(replies(&text), 1, "{what}: {text}");
    }
    assert_eq!(caller.get("/").await.status, 200, "it goes on");
}

/// Messages to somebody else, or to nobody.
const MISNAMED: &[(&str, &str)] = &[
    (
        "two hosts",
        "GET / HTTP/1.1\r\nHost: HOST\r\nHost: rebound.example\r\nConnection: close\r\n\r\n",
    ),
    ("none", "GET / HTTP/1.1\r\nConnection: close\r\n\r\n"),
    (
        "another address",
        "GET http://rebound.example/ HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n",
    ),
    (
        "a user in it",
        "GET http://x@HOST/ HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n",
    ),
    (
        "a way through",
        "CONNECT rebound.example:443 HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n",
    ),
    (
        "no path",
        "OPTIONS * HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n",
    ),
];

/// CWE-350 (a name that leads here, DNS rebinding), CWE-644; RFC 9110, 7.2; RFC 9112, 3.2.
#[tokio::test]
async fn no_other_name_is_served_however_it_is_said() {
    let world = World::up().await;
    let mut caller = world.caller();
    let ours = caller.host.clone();
    let port = caller.address.port();
    for host in [
        format!("rebound.example:{port}"),
        format!("127.0.0.1.rebound.example:{port}"),
        format!("localhost.:{port}"),
        format!("localhost.example:{port}"),
        format!("user@127.0.0.1:{port}"),
        format!("127.1:{port}"),
        format!("0x7f.0.0.1:{port}"),
        format!("2130706433:{port}"),
        format!("0177.0.0.1:{port}"),
        format!("127.0.0.2:{port}"),
        format!("0.0.0.0:{port}"),
        format!("[::]:{port}"),
        format!("[::ffff:127.0.0.1]:{port}"),
        format!("127.0.0.1:{port}:{port}"),
        format!("127.0.0.1 {port}"),
        format!("127.0.0.1:{port}, rebound.example"),
        format!("127.0.0.1:{port}#rebound.example"),
        format!("127.0.0.1:{port}/rebound.example"),
        format!("127.0.0.1\\rebound.example:{port}"),
        format!("\u{ff4c}ocalhost:{port}"),
    ] {
        caller.host.clone_from(&host);
        let reply = caller.get("/").await;
        assert!(
            matches!(reply.status, 400 | 421),
            "{host}: {}",
            reply.status
        );
        assert!(!reply.text.contains("Boat 3"), "{host}");
    }
    caller.host.clone_from(&ours);
    for header in [
        "X-Forwarded-Host",
        "X-Host",
        "Forwarded",
        "X-Original-URL",
        "X-Rewrite-URL",
    ] {
        let said = [(header, "host=rebound.example; /enter/x")];
        let reply = caller.send("GET", "/", &said, "").await;
        assert_eq!(reply.status, 200, "{header}");
        assert!(!reply.text.contains("rebound.example"), "{header}");
    }
    for (what, text) in MISNAMED {
        let text = sent(&caller, &message(text, &caller)).await;
        assert!(
            text.is_empty() || text.starts_with("HTTP/1.1 4"),
            "{what}: {text}"
        );
        assert!(!text.contains("Boat 3"), "{what}");
    }
}

/// CWE-22, OWASP Path Traversal; RFC 3986, 6.2.2.
#[tokio::test]
async fn no_path_leads_out_of_what_is_served() {
    let world = World::up().await;
    let craft = world.craft("Boat%203").await;
    let caller = world.caller();
    let key = world.path("stick.key");
    let key = std::fs::read_to_string(key).expect("the root key");
    let secret = key.lines().last().expect("its seed").to_owned();
    for path in [
        "/../stick.key",
        "/%2e%2e/stick.key",
        "/..%2fstick.key",
        "/%2e%2e%2f%2e%2e%2fstick.key",
        "/%252e%252e%252fstick.key",
        "/..\\stick.key",
        "/%5c..%5cstick.key",
        "/.%00./stick.key",
        "/%c0%ae%c0%ae/stick.key",
        "/%uff0e%uff0e/stick.key",
        "/county/settings.toml",
        "/county/visitors.json",
        "/./county",
        "//evil.example/",
        "//evil.example/%2f..",
        "///",
        "/%2f%2fevil.example/",
        "/craft/ID/../../who.csv",
        "/craft/ID%2frecord",
        "/craft/ID/record/file/",
        "/craft//",
        "/craft/%00",
        "/craft/..",
        "/craft/%2e%2e%2f%2e%2e%2fstick.key",
        "/craft/ID;jsessionid=x",
        "/craft/ID%0d%0aSet-Cookie:%20a=b",
        "/picture/..%2f..%2fstick.key",
        "/picture/%2e%2e",
        "/enter/..%2f..%2fstick.key",
        "/who.csv/../../stick.key",
        "/..;/stick.key",
        "/stick.key%00.csv",
        "/who.csv%00",
        "/WHO.CSV",
        "/who.csv/",
        "/.git/config",
        "/*",
    ] {
        let path = path.replace("ID", &craft);
        let reply = caller.get(&path).await;
        assert!(
            matches!(reply.status, 303 | 400 | 404),
            "{path}: {}",
            reply.status
        );
        if reply.status == 303 {
            let to = reply.header("location");
            assert!(
                to.starts_with("/craft/") || to.starts_with("/?"),
                "{path}: {to}"
            );
        }
        assert_eq!(reply.header("set-cookie"), "", "{path}");
        assert!(!reply.text.contains(&secret), "{path}");
    }
}

/// Asks for and sends something to each route, as a page of elsewhere lets a browser do.
async fn by_another_page(caller: &Caller, path: &str, takes_forms: bool) -> Vec<(String, Reply)> {
    let origin = ("Origin", "http://evil.example");
    let site = ("Sec-Fetch-Site", "cross-site");
    let mut replies = Vec::new();
    for method in ["OPTIONS", "GET", "HEAD"] {
        if method == "GET" && path == "/changes" {
            continue;
        }
        let asks = [
            origin,
            site,
            ("Access-Control-Request-Method", "POST"),
            ("Access-Control-Request-Headers", "content-type"),
            ("X-HTTP-Method-Override", "POST"),
            ("X-Method-Override", "DELETE"),
        ];
        if method == "HEAD" && path == "/changes" {
            continue;
        }
        replies.push((
            method.to_owned(),
            caller.send(method, path, &asks, "").await,
        ));
    }
    if takes_forms {
        let form = format!("token={}&incident=Creek+Road&_method=PUT", caller.token);
        for kind in [
            "application/x-www-form-urlencoded",
            "text/plain",
            "multipart/form-data; boundary=x",
            "application/json",
        ] {
            let about = [("Content-Type", kind), origin, site];
            let reply = caller.send("POST", path, &about, &form).await;
            replies.push((format!("POST as {kind}"), reply));
        }
    }
    replies
}

/// OWASP Cross-Site Request Forgery Prevention; Fetch Standard, CORS protocol; OWASP Clickjacking.
#[tokio::test]
async fn a_page_of_elsewhere_reads_nothing_and_changes_nothing() {
    let world = World::up().await;
    let craft = world.craft("Boat%203").await;
    let caller = world.signed_in("M2", "lead").await;
    let before = world.county("log").await;
    for route in Route::ALL {
        let path = route.path();
        let path = path
            .replace("{id}", &craft)
            .replace("{code}", &"a".repeat(32))
            .replace("{list}", "who.csv")
            .replace("{name}", &"ab".repeat(32));
        let file = matches!(route, Route::Style | Route::Script | Route::Icon);
        for (what, reply) in by_another_page(&caller, &path, route.takes_forms()).await {
            got_nothing(&format!("{route:?} {what}"), &what, &reply, file);
        }
    }
    assert_eq!(world.county("log").await, before);
    assert!(world.county("signed-in").await.contains("M2, lead"));
}

/// What a page of elsewhere got: no leave to read it, to frame it, or to take it for a script.
fn got_nothing(whole: &str, what: &str, reply: &Reply, is_file: bool) {
    let mut names = reply.headers.keys();
    let allowed = names.find(|name| name.starts_with("access-control"));
    assert_eq!(allowed, None, "{whole}");
    for (name, value) in [
        ("cross-origin-resource-policy", "same-origin"),
        ("x-frame-options", "DENY"),
        ("x-content-type-options", "nosniff"),
    ] {
        assert_eq!(reply.header(name), value, "{whole} {name}");
    }
    let policy = reply.header("content-security-policy");
    assert!(
        policy.contains("frame-ancestors 'none'"),
        "{whole}: {policy}"
    );
    let status = reply.status;
    assert!(
        !what.starts_with("POST") || matches!(status, 401 | 403),
        "{whole}: {status}"
    );
    assert!(
        what != "OPTIONS" || matches!(status, 401 | 405),
        "{whole}: {status}"
    );
    assert!(
        what != "HEAD" || reply.text.is_empty(),
        "{whole}: {}",
        reply.text
    );
    let kept = reply.header("cache-control");
    assert!(is_file || kept == "no-store", "{whole}: {kept}");
}

#[tokio::test]
async fn nor_of_a_station() {
    let mut world = World::up().await;
    let caller = world.station("M2").await;
    let found = caller.get("/find?number=Boat%203").await;
    let craft = found
        .header("location")
        .trim_start_matches("/craft/")
        .to_owned();
    let (_, before) = world.run("station", "log").await;
    for route in StationRoute::all() {
        if route.path.ends_with("/news") {
            continue;
        }
        let is_file = route.path.ends_with(".css")
            || route.path.ends_with(".js")
            || route.path.ends_with(".svg");
        let path = route
            .path
            .replace("{id}", &craft)
            .replace("{code}", &"a".repeat(32))
            .replace("{number}", "Boat%203")
            .replace("{name}", &"ab".repeat(32));
        let forms = route.taken != Taken::Read;
        for (what, reply) in by_another_page(&caller, &path, forms).await {
            got_nothing(&format!("{path} {what}"), &what, &reply, is_file);
        }
    }
    assert_eq!(world.run("station", "log").await.1, before);
}

/// OWASP Session Management: fixation, and what is left after signing out.
#[tokio::test]
async fn a_session_is_nobodys_but_the_one_that_was_given() {
    let world = World::up().await;
    let link = world.link("M17", "coordinator").await;
    let mut brought = world.caller();
    let chosen = "a".repeat(52);
    brought.cookie = format!("{}={chosen}", brought.session_cookie());
    let entered = brought.post(&link, "").await;
    assert_eq!(entered.status, 303, "{}", entered.text);
    assert!(
        !entered.header("set-cookie").contains(&chosen),
        "a token brought along"
    );
    assert!(!brought.get("/").await.text.contains("Member M17"));
    brought.keep_cookie(&entered);
    let token = brought.cookie.clone();
    assert!(brought.get("/").await.text.contains("Member M17"));
    let (name, value) = token.split_once('=').expect("a cookie");
    let flipped: String = value
        .chars()
        .map(|c| if c == 'a' { 'b' } else { 'a' })
        .collect();
    for cookie in [
        format!("{name}={}", &value[1..]),
        format!("{name}={value}a"),
        format!("{name}={flipped}"),
        format!("{name}=\"{value}\""),
        format!("{name}={value}%00"),
        format!("x{name}={value}"),
        format!("__Host-{name}={value}"),
        format!("{name}=; {}={value}", name.to_uppercase()),
        format!("{name}={chosen}; {name}={value}"),
    ] {
        let mut other = world.caller();
        other.cookie.clone_from(&cookie);
        assert!(
            !other.get("/").await.text.contains("Member M17"),
            "{cookie}"
        );
    }
    brought.token = crate::world::form_token(&brought.get("/").await.text);
    let left = brought
        .post("/leave", &format!("token={}", brought.token))
        .await;
    assert_eq!(left.status, 303);
    brought.cookie = token;
    assert!(
        !brought.get("/").await.text.contains("Member M17"),
        "it had ended"
    );
    let form = format!("token={}&incident=Creek+Road", brought.token);
    let craft = world.craft("Boat%203").await;
    let late = brought.post(&format!("/craft/{craft}/assign"), &form).await;
    assert_eq!(late.status, 401, "{}", late.text);
}

/// A request from another address of this machine: all of 127.0.0.0/8 is.
async fn from(caller: &Caller, last: u8, method: &str, path: &str) -> Reply {
    let socket = TcpSocket::new_v4().expect("a socket");
    let here = SocketAddr::from((Ipv4Addr::new(127, 0, 0, last), 0));
    socket.bind(here).expect("an address of this machine");
    let stream = socket.connect(caller.address).await.expect("it listens");
    let origin = format!("http://{}", caller.host);
    let request = caller.request(method, path, &[("Origin", &origin)], "");
    exchange(stream, request.as_bytes()).await
}

/// OWASP ASVS V2.2 (anti-automation), CWE-307, CWE-645 (shutting others out).
#[tokio::test]
async fn guessing_is_slowed_down_and_shuts_out_nobody_else() {
    let world = World::up().await;
    let caller = world.caller();
    let link = world.link("M17", "crew").await;
    let mut slowed = 0;
    // So many addresses that all tries are used up, each guessing a little more than it may.
    for last in 2..=63 {
        for number in 0..=WRONG_CODES_PER_ADDRESS_AND_MINUTE {
            let wrong = format!("/enter/{}", ["a", "b"][number % 2].repeat(32));
            let method = ["GET", "POST"][number % 2];
            let reply = from(&caller, last, method, &wrong).await;
            match reply.status {
                404 => {}
                429 => slowed += 1,
                other => panic!("{other}: {}", reply.text),
            }
        }
    }
    assert!(slowed >= 62, "slowed down {slowed} times");
    assert_eq!(
        from(&caller, 2, "POST", &link).await.status,
        429,
        "also with a link"
    );
    let entered = from(&caller, 200, "POST", &link).await;
    assert_eq!(entered.status, 303, "{}", entered.text);
    let named = format!("{}=", caller.session_cookie());
    assert!(entered.header("set-cookie").starts_with(&named));
}

/// A page that one is let in to does not tell elsewhere by which link.
#[tokio::test]
async fn no_page_tells_elsewhere_where_one_was() {
    let world = World::up().await;
    let caller = world.caller();
    let link = world.link("M17", "crew").await;
    let page = caller.get(&link).await;
    assert_eq!(page.header("referrer-policy"), "no-referrer");
    assert!(
        !page.text.contains("http://") && !page.text.contains("https://"),
        "{}",
        page.text
    );
    let open = Route::ALL
        .into_iter()
        .filter(|route| route.gate() == Gate::Open);
    assert_eq!(open.count(), 5, "what is open to anybody is known");
}
