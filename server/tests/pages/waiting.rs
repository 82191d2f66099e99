//! How many callers the pages have room for at a time, and how long they wait for each: the accept
//! loop and the bounds of requests by themselves, with no county behind them.
//!
//! Where the programs wait for many seconds they wait for less than one here.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::Router;
use axum::body::Bytes;
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use rustls::ServerConfig;
use sponson_client::web::connections::serve;
use sponson_client::web::guard::{Bounds, bounded};
use sponson_client::web::limits::{
    CONNECTIONS_MAX, CONNECTIONS_PER_ADDRESS_MAX, HANDSHAKES_MAX, IN_FLIGHT_MAX, Patience,
    REQUEST_TIMEOUT,
};
use sponson_link::{Entropy, Identity, tls};
use tokio::io::{AsyncRead, AsyncReadExt as _, AsyncWrite, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpSocket, TcpStream};
use tokio::sync::watch;
use tokio_rustls::client::TlsStream;

use crate::network::shake_hands;
use crate::world::{PATIENCE, Reply, exchange};

const GET: &[u8] = b"GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n";

/// Pages that say little, until the sender is dropped.
struct Pages {
    address: SocketAddr,
    _told: watch::Sender<()>,
}

async fn pages(router: Router, patience: Patience, tls: Option<Arc<ServerConfig>>) -> Pages {
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
    let address = listener.local_addr().expect("an address");
    let (told, hears) = watch::channel(());
    tokio::spawn(serve(listener, tls, router, hears, patience));
    Pages {
        address,
        _told: told,
    }
}

fn hello() -> Router {
    Router::new().route("/", get(async || "hello"))
}

fn encryption() -> Option<Arc<ServerConfig>> {
    let identity = Identity::draw(&Entropy::system()).expect("keys");
    let names = ["county.example".to_owned()];
    let (config, _) = tls::pages::made(&identity, &names).expect("a certificate");
    Some(config)
}

async fn tcp(from: &str, to: SocketAddr) -> TcpStream {
    let socket = TcpSocket::new_v4().expect("a socket");
    let own = format!("{from}:0").parse().expect("an address");
    socket.bind(own).expect("an address of this machine");
    socket.connect(to).await.expect("the system takes it")
}

/// Reads until the other side ends, however it does.
async fn rest(stream: &mut (impl AsyncRead + Unpin)) -> Vec<u8> {
    let mut bytes = Vec::new();
    let read = tokio::time::timeout(PATIENCE, stream.read_to_end(&mut bytes));
    let _ = read.await.expect("ended in time");
    bytes
}

#[tokio::test]
async fn so_many_connections_are_there_at_a_time() {
    let pages = pages(hello(), Patience::default(), None).await;
    let mut held = Vec::new();
    for address in 1..=CONNECTIONS_MAX / CONNECTIONS_PER_ADDRESS_MAX {
        let from = format!("127.0.5.{address}");
        for _ in 0..CONNECTIONS_PER_ADDRESS_MAX {
            if held.len() + 1 == CONNECTIONS_MAX {
                let last = exchange(tcp(&from, pages.address).await, GET).await;
                assert_eq!(last.status, 200, "the last place");
            }
            held.push(tcp(&from, pages.address).await);
        }
    }
    let one_more = rest(&mut tcp("127.0.6.1", pages.address).await).await;
    assert!(one_more.is_empty(), "cut at once");
    held.pop();
    // Its place is free as soon as the pages noticed.
    loop {
        let mut stream = tcp("127.0.6.1", pages.address).await;
        let _ = stream.write_all(GET).await;
        if rest(&mut stream).await.starts_with(b"HTTP/1.1 200") {
            break;
        }
    }
}

/// Asks once more over a connection that stays.
async fn once_more(stream: &mut TlsStream<TcpStream>) {
    let request = b"GET / HTTP/1.1\r\nHost: x\r\n\r\n";
    stream.write_all(request).await.expect("sends");
    let mut reply = Vec::new();
    while !reply.ends_with(b"hello") {
        let read = stream.read_buf(&mut reply).await.expect("served");
        assert!(read > 0, "it goes on");
    }
}

#[tokio::test]
async fn so_many_shake_hands_at_a_time_and_the_next_waits() {
    let pages = pages(hello(), Patience::default(), encryption()).await;
    let to = pages.address;
    let mut through = shake_hands(tcp("127.0.0.1", to).await).await;
    let mut held = Vec::new();
    for number in 1..HANDSHAKES_MAX {
        let from = format!("127.0.7.{}", 1 + number / 32);
        held.push(tcp(&from, to).await);
    }
    let last = shake_hands(tcp("127.0.0.1", to).await).await;
    drop(last);
    held.push(tcp("127.0.7.3", to).await);
    let next = tokio::spawn(async move { shake_hands(tcp("127.0.0.2", to).await).await });
    // Whoever is through is served meanwhile.
    for _ in 0..50 {
        once_more(&mut through).await;
    }
    assert!(!next.is_finished(), "it waits for its turn");
    held.pop();
    once_more(&mut next.await.expect("its turn came")).await;
}

/// Waits for less than the programs do.
const SOON: Patience = Patience {
    handshake: Duration::from_millis(600),
    head: Duration::from_millis(800),
    write: Duration::from_millis(1_000),
};

#[tokio::test]
async fn whoever_sends_no_head_is_waited_for_so_long_and_holds_up_nobody() {
    let pages = pages(hello(), SOON, None).await;
    let begun = Instant::now();
    let mut slow = tcp("127.0.0.1", pages.address).await;
    slow.write_all(b"GET / HT").await.expect("sends");
    let mut idle = tcp("127.0.0.1", pages.address).await;
    let mut in_time = tcp("127.0.0.1", pages.address).await;
    in_time.write_all(&GET[..20]).await.expect("sends");
    let other = exchange(tcp("127.0.0.1", pages.address).await, GET).await;
    assert_eq!(other.status, 200);
    in_time.write_all(&GET[20..]).await.expect("sends");
    assert_eq!(Reply::read(&rest(&mut in_time).await).status, 200);
    for stream in [&mut slow, &mut idle] {
        // Closed, with or without a word.
        let said = rest(stream).await;
        assert!(begun.elapsed() >= SOON.head, "not before");
        assert!(!said.starts_with(b"HTTP/1.1 200"));
    }
}

#[tokio::test]
async fn whoever_ends_no_handshake_is_waited_for_so_long() {
    let pages = pages(hello(), SOON, encryption()).await;
    let begun = Instant::now();
    let mut silent = tcp("127.0.0.1", pages.address).await;
    once_more(&mut shake_hands(tcp("127.0.0.1", pages.address).await).await).await;
    rest(&mut silent).await;
    assert!(begun.elapsed() >= SOON.handshake, "not before");
}

#[tokio::test]
async fn whoever_takes_nothing_of_a_page_is_waited_for_so_long() {
    const PAGE_BYTES: usize = 16 * 1024 * 1024;
    let long = Router::new().route("/", get(async || vec![b'x'; PAGE_BYTES]));
    let pages = pages(long, SOON, None).await;
    // Slowly, longer than that in all.
    let mut slow = tcp("127.0.0.1", pages.address).await;
    slow.write_all(GET).await.expect("sends");
    let taking = async {
        let mut piece = vec![0; PAGE_BYTES / 32];
        for _ in 0..32 {
            slow.read_exact(&mut piece).await.expect("it goes on");
            tokio::time::sleep(SOON.write / 20).await;
        }
    };
    let begun = Instant::now();
    let mut nothing = tcp("127.0.0.1", pages.address).await;
    nothing.write_all(GET).await.expect("sends");
    // What is sent to an end that is closed comes back as an error.
    let refused = async {
        while nothing.write_all(b"x").await.is_ok() {
            tokio::time::sleep(SOON.write / 50).await;
        }
        begun.elapsed()
    };
    let both = async { tokio::join!(taking, refused) };
    let both = tokio::time::timeout(PATIENCE, both).await;
    let ((), after) = both.expect("it is ended");
    assert!(after >= SOON.write, "not before: {after:?}");
}

/// Pages that take a body, within bounds.
async fn within(time: Duration) -> Pages {
    let bounds = Bounds::new(IN_FLIGHT_MAX, time, "the county");
    let taking = Router::new()
        .route("/", post(async |body: Bytes| body))
        .layer(from_fn_with_state(bounds, bounded));
    pages(taking, Patience::default(), None).await
}

/// The head of a request whose body is asked for.
const BEGUN: &[u8] = b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\n\
    Expect: 100-continue\r\nConnection: close\r\n\r\n";

/// A request that is in progress: its body is waited for.
async fn in_progress(from: &str, to: SocketAddr) -> TcpStream {
    let mut stream = tcp(from, to).await;
    stream.write_all(BEGUN).await.expect("sends");
    let mut said = Vec::new();
    while !said.ends_with(b"\r\n\r\n") {
        let read = stream.read_buf(&mut said).await.expect("asked for");
        assert!(read > 0, "it goes on");
    }
    assert!(said.starts_with(b"HTTP/1.1 100"), "it is waited for");
    stream
}

async fn ended(mut stream: impl AsyncRead + AsyncWrite + Unpin) -> Reply {
    stream.write_all(b"hello").await.expect("sends");
    Reply::read(&rest(&mut stream).await)
}

#[tokio::test]
async fn so_many_requests_are_answered_at_a_time_and_the_next_is_asked_to_come_again() {
    let pages = within(REQUEST_TIMEOUT).await;
    let mut held = Vec::new();
    for number in 1..IN_FLIGHT_MAX {
        let from = format!("127.0.8.{}", 1 + number / 32);
        held.push(in_progress(&from, pages.address).await);
    }
    let last = in_progress("127.0.0.1", pages.address).await;
    let last = ended(last).await;
    assert_eq!((last.status, last.text.as_str()), (200, "hello"));
    held.push(in_progress("127.0.0.1", pages.address).await);
    let whole = [BEGUN, b"hello"].concat();
    let refused = exchange(tcp("127.0.0.1", pages.address).await, &whole).await;
    assert_eq!(refused.status, 503);
    assert_eq!(refused.header("retry-after"), "2");
    assert_eq!(refused.text, "The county is busy: try again in a moment.\n");
    let done = ended(held.pop().expect("one")).await;
    assert_eq!(done.status, 200, "those that had room are answered");
    ended(in_progress("127.0.0.1", pages.address).await).await;
}

#[tokio::test]
async fn a_request_may_take_so_long() {
    let time = Duration::from_millis(600);
    let pages = within(time).await;
    let begun = Instant::now();
    let in_time = ended(in_progress("127.0.0.1", pages.address).await).await;
    assert_eq!(in_time.status, 200);
    let mut never = in_progress("127.0.0.1", pages.address).await;
    let late = Reply::read(&rest(&mut never).await);
    assert!(begun.elapsed() >= time, "not before");
    assert_eq!((late.status, late.header("retry-after")), (503, "2"));
}
