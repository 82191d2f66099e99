//! Places over all callers: every one taken, then one more. What one address or one key may take is in
//! `crowd`.
//!
//! Where there are hundreds of places there are few here, so that few callers fill them.

use std::sync::Arc;

use rustls::ClientConfig;
use sponson_link::Identity;
use sponson_link::limits::{
    AtATime, CALLS_MAX, CALLS_PER_CONNECTION_MAX, CALLS_PER_KEY_MAX, Patience, Places, STREAMS_MAX,
};
use sponson_link::tls::{self, Learnt, Trusted};

use crate::raw::{
    DATA, END_HEADERS, END_STREAM, HEADERS, RST_STREAM, Raw, frame, head, message, tcp,
};
use crate::world::{County, Station, limited};

const INTRODUCE: &str = "/sponson.service.v1.Admission/Introduce";
const GET_LIMITS: &str = "/sponson.service.v1.County/GetLimits";
const WATCH: &str = "/grpc.health.v1.Health/Watch";

/// REFUSED_STREAM (RFC 9113 section 7).
const REFUSED_STREAM: [u8; 4] = [0, 0, 0, 7];

fn config(identity: Option<&Identity>) -> Arc<ClientConfig> {
    let trusted = Trusted::Learn(Learnt::default());
    match identity {
        Some(identity) => tls::client(identity, trusted),
        None => tls::client_without_key(trusted),
    }
    .expect("tls")
}

/// Connects, and says whether the other side let it stay: its first frame shows it.
async fn stays(from: &str, to: &str, config: Arc<ClientConfig>) -> Option<Raw> {
    let mut raw = Raw::connect_from(from, to, config).await.ok()?;
    raw.begin(&[]).await.ok()?;
    raw.next().await.map(|_| raw)
}

/// The same, again and again until it does.
async fn stays_at_last(from: &str, to: &str, config: Arc<ClientConfig>) -> Raw {
    loop {
        if let Some(raw) = stays(from, to, Arc::clone(&config)).await {
            return raw;
        }
    }
}

async fn with_places(seed: u64, places: Places) -> County {
    County::found_within(seed, (Patience::default(), places)).await
}

#[tokio::test]
async fn so_many_arrive_at_a_time_and_the_next_is_turned_away() {
    limited(async {
        let arriving = AtATime {
            in_all: 6,
            of_each: 4,
        };
        let places = Places {
            arriving,
            ..Places::default()
        };
        let county = with_places(21, places).await;
        let mut idle = Vec::new();
        for from in [
            "127.0.0.1",
            "127.0.0.1",
            "127.0.0.1",
            "127.0.0.2",
            "127.0.0.2",
        ] {
            idle.push(tcp(from, &county.address).await.expect("open"));
        }
        let last = stays("127.0.0.3", &county.address, config(None)).await;
        drop(last.expect("the sixth place"));
        idle.push(tcp("127.0.0.3", &county.address).await.expect("open"));
        let one_more = stays("127.0.0.4", &county.address, config(None)).await;
        assert!(one_more.is_none(), "six are on their way");
        idle.pop();
        stays_at_last("127.0.0.4", &county.address, config(None)).await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn so_many_shake_hands_at_a_time_and_the_next_waits() {
    limited(async {
        let handshakes = AtATime {
            in_all: 2,
            of_each: 1,
        };
        let places = Places {
            handshakes,
            ..Places::default()
        };
        let county = with_places(22, places).await;
        let north = Station::join(&county, "North", 10).await;
        let known = config(Some(&north.identity));
        let mut through = stays("127.0.0.9", &county.address, known).await;
        let through = through.as_mut().expect("nobody is there");
        let one = tcp("127.0.0.1", &county.address).await.expect("open");
        let last = stays("127.0.0.2", &county.address, config(None)).await;
        drop(last.expect("the second place"));
        let two = tcp("127.0.0.2", &county.address).await.expect("open");
        let to = county.address.clone();
        let third = tokio::spawn(async move { stays("127.0.0.3", &to, config(None)).await });
        // Whoever is through is served meanwhile.
        for number in 0..50 {
            let stream = 1 + 2 * number;
            let none = message(0, 0, &[]);
            through.call(stream, GET_LIMITS, &none).await.expect("sent");
            while through.next().await.expect("served").kind != HEADERS {}
        }
        assert!(!third.is_finished(), "it waits for its turn");
        drop(one);
        let came = third.await.expect("no panic");
        assert!(came.is_some(), "its turn came");
        drop(two);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn so_many_connections_of_admitted_keys_stand_at_a_time() {
    limited(async {
        let connections = AtATime {
            in_all: 3,
            of_each: 2,
        };
        let places = Places {
            connections,
            ..Places::default()
        };
        let county = with_places(23, places).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        let of = |station: &Station| config(Some(&station.identity));
        let here = "127.0.0.1";
        let mut held = Vec::new();
        for station in [&north, &north, &south] {
            let raw = stays(here, &county.address, of(station)).await;
            held.push(raw.expect("three places"));
        }
        let one_more = stays(here, &county.address, of(&south)).await;
        assert!(one_more.is_none(), "all three are taken");
        let stranger = stays(here, &county.address, config(None)).await;
        assert!(stranger.is_some(), "strangers have places of their own");
        held.pop();
        stays_at_last(here, &county.address, of(&south)).await;
        county.stop().await;
    })
    .await;
}

/// The beginning of a call whose message never comes.
fn begun(stream: u32, path: &str) -> Vec<u8> {
    let mut bytes = frame(HEADERS, END_HEADERS, stream, &head(path, &[]));
    bytes.extend(frame(DATA, 0, stream, &message(0, 0, &[])[..4]));
    bytes
}

/// The stream of the next head that comes.
async fn next_head(raw: &mut Raw) -> u32 {
    next_head_but(0, raw).await
}

/// The same, of another stream than one whose reply goes on.
async fn next_head_but(other: u32, raw: &mut Raw) -> u32 {
    loop {
        let got = raw.next().await.expect("it stays connected");
        if got.kind == HEADERS && got.stream != other {
            return got.stream;
        }
    }
}

#[tokio::test]
async fn so_many_calls_are_in_progress_on_one_connection() {
    limited(async {
        let county = County::found(24).await;
        let raw = stays("127.0.0.1", &county.address, config(None)).await;
        let mut raw = raw.expect("room");
        let calls = u32::try_from(CALLS_PER_CONNECTION_MAX).expect("fits");
        for number in 0..calls - 1 {
            raw.bytes(&begun(1 + 2 * number, INTRODUCE))
                .await
                .expect("sent");
        }
        // The last place: a whole call is answered, and its place is free again.
        let (last, over) = (1 + 2 * calls, 5 + 2 * calls);
        let whole = message(0, 0, &[]);
        raw.call(last, INTRODUCE, &whole).await.expect("sent");
        assert_eq!(next_head(&mut raw).await, last);
        raw.bytes(&begun(last + 2, INTRODUCE)).await.expect("sent");
        raw.bytes(&begun(over, INTRODUCE)).await.expect("sent");
        let refused = next_head_but(last, &mut raw).await;
        assert_eq!(refused, over, "only that one is refused");
        // Those that were taken are answered once they are whole.
        let rest = frame(DATA, END_STREAM, 1, &whole[4..]);
        raw.bytes(&rest).await.expect("sent");
        assert_eq!(next_head_but(last, &mut raw).await, 1);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn so_many_streams_are_open_on_one_connection() {
    limited(async {
        let county = County::found(25).await;
        let raw = stays("127.0.0.1", &county.address, config(None)).await;
        let mut raw = raw.expect("room");
        for number in 0..STREAMS_MAX {
            let stream = 1 + 2 * number;
            // A watch is answered at once and goes on.
            raw.call(stream, WATCH, &message(0, 0, &[]))
                .await
                .expect("sent");
            assert_eq!(next_head(&mut raw).await, stream);
        }
        let over = 1 + 2 * STREAMS_MAX;
        raw.call(over, WATCH, &message(0, 0, &[]))
            .await
            .expect("sent");
        let refused = loop {
            let got = raw.next().await.expect("it stays connected");
            if got.stream == over {
                break got;
            }
        };
        assert_eq!(refused.kind, RST_STREAM);
        assert_eq!(refused.payload, REFUSED_STREAM);
        county.stop().await;
    })
    .await;
}

/// SETTINGS_INITIAL_WINDOW_SIZE of 0: replies are asked for and never taken.
const NOTHING_TAKEN: [(u16, u32); 1] = [(4, 0)];

#[tokio::test]
async fn so_many_calls_are_in_progress_over_all_keys() {
    limited(async {
        let county = County::found(26).await;
        let last = Station::join(&county, "Last", 30).await;
        let mut held = Vec::new();
        for number in 0..CALLS_MAX / CALLS_PER_KEY_MAX {
            let name = format!("Station {number}");
            let seed = 100 + u64::try_from(number).expect("few");
            let station = Station::join(&county, &name, seed).await;
            let config = config(Some(&station.identity));
            let mut raw = Raw::connect(&county.address, config).await.expect("open");
            raw.begin(&NOTHING_TAKEN).await.expect("begun");
            let calls = u32::try_from(CALLS_PER_KEY_MAX).expect("fits");
            for call in 0..calls {
                // The last place of all.
                if held.len() + 1 == CALLS_MAX / CALLS_PER_KEY_MAX && call + 1 == calls {
                    last.sync(&county).await;
                }
                let stream = 1 + 2 * call;
                raw.call(stream, GET_LIMITS, &message(0, 0, &[])).await.expect("sent");
                next_head(&mut raw).await;
            }
            held.push(raw);
        }
        let refused = last.try_sync(&county.at()).await.expect_err("no place left");
        insta::assert_snapshot!(refused, @"the county is busy: 128 calls are in progress, or 16 of this device, the most at a time: try again in 10 seconds");
        held.pop();
        while last.try_sync(&county.at()).await.is_err() {}
        county.stop().await;
    })
    .await;
}
