//! Callers that are slow, stop, or vanish without a word: each is ended within its limit, and others
//! are served meanwhile.
//!
//! The limits are shorter here than in the programs, so that they can be waited for.

use std::sync::Arc;
use std::time::{Duration, Instant};

use rustls::ClientConfig;
use sponson_link::limits::{CONNECTION_AGE, CONNECTION_AGE_GRACE, Patience};
use sponson_link::tls::{self, ConnectError, Learnt, Trusted};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpListener;

use crate::raw::{
    ACK, CONTINUATION, DATA, END_HEADERS, END_STREAM, GOAWAY, HEADERS, PING, PREFACE, Raw,
    SETTINGS, frame, head, message, tcp,
};
use crate::world::{County, Station, limited};

const PATIENCE: Patience = Patience {
    handshake: Duration::from_millis(500),
    stranger: Duration::from_millis(2500),
    call: Duration::from_millis(500),
    silence: Duration::from_millis(700),
    sign_of_life: Duration::from_millis(700),
    age: CONNECTION_AGE,
    age_grace: CONNECTION_AGE_GRACE,
};

/// By far longer than each of these; the test of a limit that does not hold waits for so long.
const NEVER: Duration = Duration::from_secs(20);

/// Pause between two bytes of somebody slow.
const DRIP: Duration = Duration::from_millis(20);

const INTRODUCE: &str = "/sponson.service.v1.Admission/Introduce";
const WATCH: &str = "/grpc.health.v1.Health/Watch";
const GET_LIMITS: &str = "/sponson.service.v1.County/GetLimits";
const EXCHANGE: &str = "/sponson.sync.v1.Sync/Exchange";
const REFLECTION: &str = "/grpc.reflection.v1.ServerReflection/ServerReflectionInfo";

fn without_key() -> Arc<ClientConfig> {
    tls::client_without_key(Trusted::Learn(Learnt::default())).expect("tls")
}

fn with_key(station: &Station) -> Arc<ClientConfig> {
    tls::client(&station.identity, Trusted::Learn(Learnt::default())).expect("tls")
}

/// Sends byte by byte until the other side ends it.
async fn drip(raw: Raw, bytes: Vec<u8>) {
    let (mut sending, mut reading) = raw.split();
    let dripping = async {
        for byte in bytes.iter().cycle() {
            if sending.bytes(&[*byte]).await.is_err() {
                break;
            }
            tokio::time::sleep(DRIP).await;
        }
    };
    tokio::select! {
        () = dripping => {}
        _ = reading.rest() => {}
    }
}

/// Whether the other side ends it, of somebody who has one of these ways.
async fn way(number: usize, address: &str, config: Arc<ClientConfig>) -> bool {
    let ended = async {
        match number {
            0 => {
                // Says nothing.
                let mut tcp = tcp("127.0.0.1", address).await.expect("open");
                let _ = tcp.read_to_end(&mut Vec::new()).await;
            }
            1 => {
                // A handshake by the byte: a record of a hello that goes on for ever.
                let mut tcp = tcp("127.0.0.1", address).await.expect("open");
                let hello = [
                    &[0x16, 3, 1, 0x3f, 0xff, 1, 0, 0x3f, 0xf0, 3, 3][..],
                    &[7; 500],
                ];
                for byte in hello.concat() {
                    if tcp.write_all(&[byte]).await.is_err() {
                        break;
                    }
                    tokio::time::sleep(DRIP).await;
                }
            }
            2 => {
                // No word after the handshake.
                let mut raw = Raw::connect(address, config).await.expect("open");
                raw.farewells().await;
            }
            3 => {
                // The preface by the byte.
                let raw = Raw::connect(address, config).await.expect("open");
                drip(raw, PREFACE[..20].to_vec()).await;
            }
            4 => {
                // The head of a call by the byte, and it never ends.
                let mut raw = Raw::begun(address, config).await.expect("open");
                let start = frame(HEADERS, 0, 1, &head(INTRODUCE, &[]));
                raw.bytes(&start).await.expect("sent");
                drip(raw, frame(CONTINUATION, 0, 1, b"")).await;
            }
            5 => {
                // The body by the byte: a message of 1,000 bytes, pings answered or not.
                let mut raw = Raw::begun(address, config).await.expect("open");
                let mut start = frame(HEADERS, END_HEADERS, 1, &head(INTRODUCE, &[]));
                start.extend(frame(DATA, 0, 1, &message(0, 1000, &[])));
                raw.bytes(&start).await.expect("sent");
                drip(raw, frame(DATA, 0, 1, b"x")).await;
            }
            6 => {
                // Vanished without a word in the middle of nothing: no ping is answered.
                let mut raw = Raw::begun(address, config).await.expect("open");
                raw.frame(SETTINGS, ACK, 0, b"").await.expect("sent");
                raw.farewells().await;
            }
            other => panic!("no way {other}"),
        }
    };
    tokio::time::timeout(NEVER, ended).await.is_ok()
}

#[tokio::test]
async fn whoever_is_slow_or_vanishes_is_ended_and_others_are_served() {
    limited(async {
        let county = County::found_with(1, PATIENCE).await;
        let north = Station::join(&county, "North", 10).await;
        let tries = (0..7).map(|number| {
            let (address, config) = (county.address.clone(), without_key());
            tokio::spawn(async move { (number, way(number, &address, config).await) })
        });
        let tries: Vec<_> = tries.collect();
        north.register("Quay 1").await;
        north.sync(&county).await;
        for tried in tries {
            let (number, ended) = tried.await.expect("no panic");
            assert!(ended, "way {number}");
        }
        north.sync(&county).await;
        county.stop().await;
    })
    .await;
}

/// Answers every ping, until the other side ends it.
async fn lively(mut raw: Raw) {
    while let Some(got) = raw.next().await {
        if got.kind == PING && raw.frame(PING, ACK, 0, &got.payload).await.is_err() {
            return;
        }
    }
}

#[tokio::test]
async fn a_stranger_who_shows_life_is_ended_all_the_same() {
    limited(async {
        let county = County::found_with(2, PATIENCE).await;
        // What is open to all: a call that is never sent whole, and replies that never end.
        for path in [INTRODUCE, WATCH, REFLECTION] {
            let mut raw = Raw::begun(&county.address, without_key())
                .await
                .expect("open");
            let mut start = frame(HEADERS, END_HEADERS, 1, &head(path, &[]));
            start.extend(frame(DATA, 0, 1, &message(0, 0, &[])));
            raw.bytes(&start).await.expect("sent");
            let ended = tokio::time::timeout(NEVER, lively(raw)).await;
            assert!(ended.is_ok(), "{path}");
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_device_of_the_county_that_shows_life_stays_connected() {
    limited(async {
        let county = County::found_with(3, PATIENCE).await;
        let north = Station::join(&county, "North", 10).await;
        let raw = Raw::begun(&county.address, with_key(&north)).await;
        let longer = PATIENCE.stranger + PATIENCE.silence;
        let lively = tokio::time::timeout(longer, lively(raw.expect("open"))).await;
        assert!(lively.is_err(), "still there");
        // One that vanished is ended too.
        assert!(way(6, &county.address, with_key(&north)).await);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_call_that_is_never_sent_whole_is_answered_at_its_limit() {
    limited(async {
        let county = County::found_with(5, PATIENCE).await;
        let north = Station::join(&county, "North", 10).await;
        let raw = Raw::begun(&county.address, with_key(&north)).await;
        let mut raw = raw.expect("open");
        let mut start = frame(HEADERS, END_HEADERS, 1, &head(EXCHANGE, &[]));
        start.extend(frame(DATA, 0, 1, &message(0, 1000, b"\x0a")));
        raw.bytes(&start).await.expect("sent");
        let answered = tokio::time::timeout(NEVER, async {
            loop {
                let got = raw.next().await.expect("it stays connected");
                match got.kind {
                    HEADERS => return,
                    PING => drop(raw.frame(PING, ACK, 0, &got.payload).await),
                    _ => {}
                }
            }
        });
        assert!(
            answered.await.is_ok(),
            "the caller hears that it took too long"
        );
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn whoever_takes_nothing_of_what_is_sent_is_ended() {
    limited(async {
        let county = County::found_with(4, PATIENCE).await;
        let mut raw = Raw::begun(&county.address, without_key())
            .await
            .expect("open");
        // CVE-2019-9512 (from memory): pings without end, and their answers are never read. Once the other side can
        // write no more it reads no more.
        let pings = frame(PING, 0, 0, b"12345678").repeat(1000);
        let flood = async { while raw.bytes(&pings).await.is_ok() {} };
        let ended = tokio::time::timeout(NEVER, flood).await;
        assert!(ended.is_ok(), "cut, though it never read");
        Station::join(&county, "North", 10).await;
        county.stop().await;
    })
    .await;
}

/// What ends a connection for its age, and whether the call that was in progress was answered.
async fn old(address: &str, config: Arc<ClientConfig>, is_whole: bool) -> (Duration, bool) {
    let begun = Instant::now();
    let mut raw = Raw::begun(address, config).await.expect("open");
    let none = message(0, 0, &[]);
    let mut start = frame(HEADERS, END_HEADERS, 1, &head(GET_LIMITS, &[]));
    start.extend(frame(DATA, 0, 1, &none[..4]));
    raw.bytes(&start).await.expect("sent");
    let mut was_told = false;
    let mut answered = false;
    while let Some(got) = raw.next().await {
        match got.kind {
            PING => drop(raw.frame(PING, ACK, 0, &got.payload).await),
            GOAWAY if !was_told => {
                was_told = true;
                assert!(begun.elapsed() >= OLD.age, "not before its age");
                if is_whole {
                    let rest = frame(DATA, END_STREAM, 1, &none[4..]);
                    raw.bytes(&rest).await.expect("calls in progress go on");
                }
            }
            HEADERS => answered = true,
            _ => {}
        }
    }
    assert!(was_told, "it is told before it is ended");
    (begun.elapsed(), answered)
}

/// A county that ends connections soon.
const OLD: Patience = Patience {
    call: NEVER,
    silence: NEVER,
    age: Duration::from_millis(800),
    age_grace: Duration::from_millis(1500),
    ..PATIENCE
};

#[tokio::test]
async fn a_connection_ends_at_its_age_and_calls_in_progress_a_while_later() {
    limited(async {
        let county = County::found_with(6, OLD).await;
        let north = Station::join(&county, "North", 10).await;
        let ended = |is_whole| {
            let (address, config) = (county.address.clone(), with_key(&north));
            tokio::spawn(async move {
                tokio::time::timeout(NEVER, old(&address, config, is_whole)).await
            })
        };
        let (whole, never_whole) = (ended(true), ended(false));
        let (_, answered) = whole.await.expect("no panic").expect("it ends");
        assert!(answered, "a call in progress is answered");
        let (after, answered) = never_whole.await.expect("no panic").expect("it is cut");
        assert!(!answered);
        assert!(after >= OLD.age + OLD.age_grace, "not before: {after:?}");
        north.sync(&county).await;
        county.stop().await;
    })
    .await;
}

/// Somebody takes the connection and says nothing.
#[tokio::test]
async fn a_county_that_says_nothing_is_waited_for_no_longer_than_a_connection_may_take() {
    limited(async {
        let silent = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = silent.local_addr().expect("address").to_string();
        let time = Duration::from_millis(300);
        let begun = Instant::now();
        let waited = tls::channel_within(time, &address, without_key()).await;
        assert!(begun.elapsed() >= time, "for so long it is waited");
        let Err(error @ ConnectError::Unreachable { .. }) = waited else {
            panic!("{waited:?}");
        };
        let told = error.to_string();
        assert!(told.contains("no connection came about in 300ms"), "{told}");
        assert!(told.contains("check the network and the address"), "{told}");
    })
    .await;
}
