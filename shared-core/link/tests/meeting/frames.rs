//! HTTP/2 as nobody should speak it: each known attack, and each break of the protocol, against the
//! county's server, while a station of the county goes on with its work.
//!
//! A connection that breaks the protocol is ended; what only wastes is counted, and ended or answered
//! for as long as the caller takes the answers. Memory is measured where the county is a process
//! of its own, in the end-to-end tests. The CVE numbers are from memory, the RUSTSEC number
//! is the one that deny.toml keeps out.

use std::sync::Arc;
use std::time::Duration;

use rustls::ClientConfig;
use sponson_link::tls::{self, Learnt, Trusted};

use crate::raw::{
    ACK, CONTINUATION, DATA, END_HEADERS, END_STREAM, GOAWAY, HEADERS, PING, PRIORITY,
    PUSH_PROMISE, RST_STREAM, Raw, SETTINGS, WINDOW_UPDATE, frame, head, literal, message,
    settings_of,
};
use crate::world::{County, Station, limited};

const INTRODUCE: &str = "/sponson.service.v1.Admission/Introduce";
const WATCH: &str = "/grpc.health.v1.Health/Watch";

/// Frames of a flood: more than any count that ends one (h2 0.4: 20 resets that wait to be taken, 1,024
/// resets of its own, 25,600 bytes of empty frames).
const MANY: u32 = 30_000;

/// How long a connection may take to end once everything is sent, or to answer.
const SOON: Duration = Duration::from_secs(20);

/// What becomes of a connection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ending {
    /// It is ended.
    Ended,
    /// It goes on, and answers.
    GoesOn,
}

use Ending::{Ended, GoesOn};

/// Bytes to send after the beginning of a connection, piece by piece.
type Bytes = Box<dyn Iterator<Item = Vec<u8>> + Send>;

/// One attack: what it is, who published it, what is sent, what becomes of the connection.
type Attack = (&'static str, &'static str, Bytes, Ending);

fn once(bytes: Vec<u8>) -> Bytes {
    Box::new(std::iter::once(bytes))
}

/// So many pieces, 100 at a time.
fn flood(count: u32, piece: impl Fn(u32) -> Vec<u8> + Send + 'static) -> Bytes {
    Box::new((0..count / 100).map(move |hundred| {
        let pieces = (hundred * 100..hundred * 100 + 100).map(&piece);
        pieces.collect::<Vec<_>>().concat()
    }))
}

/// After a first piece.
fn after(first: Vec<u8>, rest: Bytes) -> Bytes {
    Box::new(std::iter::once(first).chain(rest))
}

fn call_begun(stream: u32, path: &str) -> Vec<u8> {
    frame(HEADERS, END_HEADERS, stream, &head(path, &[]))
}

fn word(number: u32) -> Vec<u8> {
    number.to_be_bytes().to_vec()
}

/// Floods that were published as attacks.
fn floods() -> Vec<Attack> {
    let reset = |stream| frame(RST_STREAM, 0, stream, &word(8));
    let headers = |bytes: usize| {
        let mut block = Vec::new();
        literal(&mut block, "x-more", &"y".repeat(bytes));
        frame(CONTINUATION, 0, 1, &block)
    };
    let watching = [call_begun(1, WATCH), frame(DATA, 0, 1, &message(0, 0, &[]))].concat();
    vec![
        (
            "calls that are taken back at once",
            "CVE-2023-44487",
            flood(MANY, move |n| {
                [call_begun(1 + 2 * n, INTRODUCE), reset(1 + 2 * n)].concat()
            }),
            Ended,
        ),
        (
            "calls that make the server reset them",
            "CVE-2025-8671",
            flood(MANY, |n| {
                let stream = 1 + 2 * n;
                [
                    call_begun(stream, INTRODUCE),
                    frame(WINDOW_UPDATE, 0, stream, &word(0)),
                ]
                .concat()
            }),
            Ended,
        ),
        (
            "a head that goes on for ever",
            "CVE-2024-27316",
            after(
                frame(HEADERS, 0, 1, &head(INTRODUCE, &[])),
                flood(MANY, move |_| headers(100)),
            ),
            Ended,
        ),
        (
            "a head that goes on for ever with nothing",
            "CVE-2019-9518",
            after(
                frame(HEADERS, 0, 1, &head(INTRODUCE, &[])),
                flood(MANY, |_| frame(CONTINUATION, 0, 1, &[])),
            ),
            Ended,
        ),
        (
            "empty pieces of a body",
            "CVE-2019-9518, RUSTSEC-2026-0258",
            after(
                call_begun(1, INTRODUCE),
                flood(3 * MANY, |_| frame(DATA, 0, 1, &[])),
            ),
            Ended,
        ),
        (
            "pieces of a body after its message",
            "CVE-2019-9518",
            after(watching, flood(3 * MANY, |_| frame(DATA, 0, 1, &[]))),
            Ended,
        ),
        (
            "pings, their answers read",
            "CVE-2019-9512",
            flood(MANY, |n| frame(PING, 0, 0, &[word(n), word(n)].concat())),
            GoesOn,
        ),
        (
            "settings, their answers read",
            "CVE-2019-9515",
            flood(MANY, |_| frame(SETTINGS, 0, 0, &[])),
            GoesOn,
        ),
        (
            "streams in another order again and again",
            "CVE-2019-9513",
            flood(MANY, |n| {
                frame(
                    PRIORITY,
                    0,
                    1 + 2 * n,
                    &[word(0), vec![n.to_be_bytes()[3]]].concat(),
                )
            }),
            GoesOn,
        ),
        (
            "windows by one byte",
            "CVE-2019-9511",
            flood(MANY, |_| frame(WINDOW_UPDATE, 0, 0, &word(1))),
            GoesOn,
        ),
        (
            "frames of no known kind",
            "RFC 9113 section 4.1",
            flood(MANY, |_| frame(0xfe, 0xff, 0, &[7; 100])),
            GoesOn,
        ),
    ]
}

/// Heads that are too large, or are none.
#[expect(clippy::too_many_lines, reason = "a table, one entry a case")]
fn heads() -> Vec<Attack> {
    let named_nothing = {
        let mut block = head(INTRODUCE, &[]);
        for _ in 0..4000 {
            literal(&mut block, "", "");
        }
        frame(HEADERS, END_HEADERS, 1, &block)
    };
    let long = {
        let text = "y".repeat(15_000);
        let mut first = frame(HEADERS, 0, 1, &head(INTRODUCE, &[("x-a", &text)]));
        for n in 0..20 {
            let mut block = Vec::new();
            literal(&mut block, "x-b", &text);
            let last = if n == 19 { END_HEADERS } else { 0 };
            first.extend(frame(CONTINUATION, last, 1, &block));
        }
        first
    };
    let indexed = {
        // A value kept in the table (RFC 7541 section 6.2.1), then named 12,000 times by one byte.
        let mut block = head(INTRODUCE, &[]);
        block.extend([0x40, 3]);
        block.extend(b"x-a");
        block.extend([0x7f, 0xa1, 0x1d]);
        block.extend([b'y'; 127 + 0x21 + (0x1d << 7)]);
        block.extend([0xbe; 12_000]);
        frame(HEADERS, END_HEADERS, 1, &block)
    };
    let block = |bytes: &[u8]| once(frame(HEADERS, END_HEADERS, 1, bytes));
    vec![
        (
            "4,000 headers without a name",
            "CVE-2019-9516",
            once(named_nothing),
            Ended,
        ),
        (
            "a head of 300 KB",
            "RFC 9113 section 10.5.1",
            once(long),
            Ended,
        ),
        (
            "45 MB of head in 16 KB",
            "CVE-2016-6581",
            once(indexed),
            Ended,
        ),
        (
            "a place that the table has not",
            "RFC 7541 section 3.3",
            block(&[0xff, 0xff, 0x7f]),
            Ended,
        ),
        (
            "a table larger than allowed",
            "RFC 7541 section 6.3",
            block(&[0x3f, 0xff, 0xff, 0x7f]),
            Ended,
        ),
        (
            "a number without end",
            "RFC 7541 section 5.1",
            block(&[0xff; 100]),
            Ended,
        ),
        (
            "no method and no path",
            "RFC 9113 section 8.3.1",
            block(&[]),
            GoesOn,
        ),
        (
            "a name in capitals",
            "RFC 9113 section 8.2.1",
            once(frame(
                HEADERS,
                END_HEADERS,
                1,
                &head(INTRODUCE, &[("X-A", "y")]),
            )),
            Ended,
        ),
        (
            "a line break in a value",
            "RFC 9113 section 8.2.1",
            once(frame(
                HEADERS,
                END_HEADERS,
                1,
                &head(INTRODUCE, &[("x-a", "y\r\nz: 1")]),
            )),
            Ended,
        ),
        (
            "a header of the connection",
            "RFC 9113 section 8.2.2",
            once(frame(
                HEADERS,
                END_HEADERS,
                1,
                &head(INTRODUCE, &[("transfer-encoding", "chunked")]),
            )),
            GoesOn,
        ),
    ]
}

/// Frames that break the protocol.
#[expect(clippy::too_many_lines, reason = "a table, one entry a case")]
fn breaks() -> Vec<Attack> {
    let settings = |name, value| once(frame(SETTINGS, 0, 0, &settings_of(&[(name, value)])));
    let open = || call_begun(1, WATCH);
    let also = |bytes: Vec<u8>| once([open(), bytes].concat());
    let most = word(0x7fff_ffff);
    let twice = |stream| {
        [
            frame(WINDOW_UPDATE, 0, stream, &most),
            frame(WINDOW_UPDATE, 0, stream, &most),
        ]
        .concat()
    };
    let streams = flood(1000, |n| call_begun(1 + 2 * n, WATCH));
    vec![
        (
            "a call on stream 0",
            "RFC 9113 section 6.2",
            once(call_begun(0, INTRODUCE)),
            Ended,
        ),
        (
            "a call on an even stream",
            "RFC 9113 section 5.1.1",
            once(call_begun(2, INTRODUCE)),
            Ended,
        ),
        (
            "a stream that goes back",
            "RFC 9113 section 5.1.1",
            once([call_begun(9, WATCH), call_begun(7, WATCH)].concat()),
            Ended,
        ),
        (
            "the last stream, then the first",
            "RFC 9113 section 5.1.1",
            once([call_begun(0x7fff_ffff, WATCH), call_begun(1, WATCH)].concat()),
            Ended,
        ),
        (
            "the last stream",
            "RFC 9113 section 5.1.1",
            once(call_begun(0x7fff_ffff, WATCH)),
            GoesOn,
        ),
        (
            "a body of no call",
            "RFC 9113 section 5.1",
            once(frame(DATA, 0, 5, b"x")),
            Ended,
        ),
        (
            "a body on stream 0",
            "RFC 9113 section 6.1",
            once(frame(DATA, 0, 0, b"x")),
            Ended,
        ),
        (
            "more padding than frame",
            "RFC 9113 section 6.1",
            also(frame(DATA, 8, 1, &[200, 1, 1])),
            Ended,
        ),
        (
            "a reset of no call",
            "RFC 9113 section 6.4",
            once(frame(RST_STREAM, 0, 5, &word(8))),
            Ended,
        ),
        (
            "a reset of 3 bytes",
            "RFC 9113 section 6.4",
            also(frame(RST_STREAM, 0, 1, &[0; 3])),
            Ended,
        ),
        (
            "settings on a stream",
            "RFC 9113 section 6.5",
            once(frame(SETTINGS, 0, 1, &[])),
            Ended,
        ),
        (
            "settings of 5 bytes",
            "RFC 9113 section 6.5",
            once(frame(SETTINGS, 0, 0, &[0; 5])),
            Ended,
        ),
        (
            "settings taken, with a payload",
            "RFC 9113 section 6.5",
            once(frame(SETTINGS, ACK, 0, &[0; 6])),
            Ended,
        ),
        (
            "a window beyond the most",
            "RFC 9113 section 6.5.2",
            settings(4, 0x8000_0000),
            Ended,
        ),
        (
            "frames of 100 bytes wanted",
            "RFC 9113 section 6.5.2",
            settings(5, 100),
            Ended,
        ),
        (
            "a push that is neither on nor off",
            "RFC 9113 section 6.5.2",
            settings(2, 7),
            Ended,
        ),
        (
            "a promise from the caller",
            "RFC 9113 section 8.4",
            also(frame(PUSH_PROMISE, END_HEADERS, 1, &word(2))),
            Ended,
        ),
        (
            "a ping of 7 bytes",
            "RFC 9113 section 6.7",
            once(frame(PING, 0, 0, &[0; 7])),
            Ended,
        ),
        (
            "a ping on a stream",
            "RFC 9113 section 6.7",
            once(frame(PING, 0, 1, &[0; 8])),
            Ended,
        ),
        (
            "a farewell on a stream",
            "RFC 9113 section 6.8",
            once(frame(GOAWAY, 0, 1, &[0; 8])),
            Ended,
        ),
        (
            "the window of all beyond the most",
            "RFC 9113 section 6.9.1",
            once(twice(0)),
            Ended,
        ),
        (
            "the window of a call beyond the most",
            "RFC 9113 section 6.9.1",
            also(twice(1)),
            GoesOn,
        ),
        (
            "a head that goes on from nothing",
            "RFC 9113 section 6.10",
            once(frame(CONTINUATION, END_HEADERS, 1, &[])),
            Ended,
        ),
        (
            "a body within a head",
            "RFC 9113 section 6.10",
            once(
                [
                    frame(HEADERS, 0, 1, &head(WATCH, &[])),
                    frame(DATA, 0, 1, b"x"),
                ]
                .concat(),
            ),
            Ended,
        ),
        (
            "a frame beyond 16 KiB",
            "RFC 9113 section 4.2",
            also(frame(DATA, 0, 1, &[0; 16_385])),
            Ended,
        ),
        (
            "a call after its end",
            "RFC 9113 section 5.1",
            once(
                [
                    call_begun(1, WATCH),
                    frame(DATA, END_STREAM, 1, &[]),
                    frame(DATA, 0, 1, b"x"),
                ]
                .concat(),
            ),
            Ended,
        ),
        (
            "1,000 calls at once",
            "RFC 9113 section 5.1.2",
            streams,
            GoesOn,
        ),
    ]
}

/// The last ping, to which whoever still answers answers.
const LAST: &[u8; 8] = b"the last";

/// Sends it all, reading meanwhile; says what became of the connection.
async fn attack(address: &str, config: Arc<ClientConfig>, bytes: Bytes) -> Option<Ending> {
    let raw = Raw::begun(address, config).await.expect("open");
    let (mut sending, mut reading) = raw.split();
    let sent = async {
        for piece in bytes {
            if sending.bytes(&piece).await.is_err() {
                return;
            }
        }
        let _ = sending.bytes(&frame(PING, 0, 0, LAST)).await;
        std::future::pending::<()>().await;
    };
    let read = async {
        loop {
            match reading.next().await {
                None => return Ended,
                Some(got) if got.kind == PING && got.payload == LAST => return GoesOn,
                Some(_) => {}
            }
        }
    };
    let both = async {
        tokio::pin!(sent, read);
        tokio::select! {
            () = &mut sent => read.await,
            ending = &mut read => ending,
        }
    };
    tokio::time::timeout(SOON, both).await.ok()
}

/// Tries these one after the other, with and without an admitted key, while the county is used.
async fn check(seed: u64, attacks: fn() -> Vec<Attack>) {
    let county = County::found(seed).await;
    let (north, south) = (
        Station::join(&county, "North", 10).await,
        Station::join(&county, "South", 20).await,
    );
    let trusted = || Trusted::Learn(Learnt::default());
    let stranger = tls::client_without_key(trusted()).expect("tls");
    let known = tls::client(&south.identity, trusted()).expect("tls");
    let mut wrong = Vec::new();
    for config in [stranger, known] {
        for (what, source, bytes, wanted) in attacks() {
            let under_way = attack(&county.address, Arc::clone(&config), bytes);
            let at = county.at();
            let (ending, synced) = tokio::join!(under_way, north.try_sync(&at));
            synced.unwrap_or_else(|failed| panic!("{what} ({source}): {failed}"));
            if ending != Some(wanted) {
                wrong.push(format!("{what} ({source}): {ending:?}, not {wanted:?}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    north.register("Quay 1").await;
    north.sync(&county).await;
    south.sync(&county).await;
    county.stop().await;
}

#[tokio::test]
async fn floods_are_ended_or_answered_and_others_are_served() {
    limited(check(1, floods)).await;
}

#[tokio::test]
async fn heads_that_are_too_large_or_none_reach_nobody() {
    limited(check(2, heads)).await;
}

#[tokio::test]
async fn a_connection_that_breaks_the_protocol_is_ended() {
    limited(check(3, breaks)).await;
}
