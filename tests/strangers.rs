//! Strangers against a county that is a process of its own, so that what they cost it can be measured:
//! its memory stays within a bound whatever they do, it says nothing of a fault of its own, and a
//! station goes on syncing meanwhile.
//!
//! What becomes of each connection is held where the server is asked directly (`frames`, `packed`, `slow`
//! and `crowd` of the link crate's tests); from there comes the stranger's end of a connection.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use end_to_end::county::World;
use end_to_end::faults::{Outcome, Tally};
use end_to_end::process::Running;
use rustls::ClientConfig;
use sponson_link::limits::{STRANGERS_PER_ADDRESS_MAX, STREAMS_MAX};
use sponson_link::tls::{self, Learnt, Trusted};
use tokio::task::JoinSet;

#[expect(dead_code, reason = "the tests of the link crate use the rest of it")]
#[path = "../shared-core/link/tests/meeting/raw.rs"]
mod raw;

use raw::{
    CONTINUATION, DATA, END_HEADERS, END_STREAM, HEADERS, PING, RST_STREAM, Raw, frame, head,
    literal, message, tcp,
};

/// Most that the county's memory may grow by, whatever strangers do: 64 of them with 128 messages of
/// 4 KiB each hold 32 MiB, their heads of 16 KiB 128 MiB more. Those of one address, as here, hold an
/// eighth of it; the rest is the county's own work, and what its allocator keeps: 68 MiB were measured,
/// 128 on a machine that is busy with other things.
const GROWTH_MAX_KIB: u64 = 160 * 1024;

/// How long each way goes on at most.
const LONG: Duration = Duration::from_millis(1500);

const INTRODUCE: &str = "/sponson.service.v1.Admission/Introduce";
const WATCH: &str = "/grpc.health.v1.Health/Watch";

/// What a stranger sends again and again, by the number of the piece.
type Piece = fn(u32) -> Vec<u8>;

/// Ways to cost a county memory or work, who published them, what opens them, what goes on.
const WAYS: [(&str, &str, Option<Piece>, Piece); 9] = [
    (
        "messages that say they are large and come on and on",
        "CWE-770",
        Some(large_begun),
        large,
    ),
    ("messages that unpack to 127 MiB", "CWE-409", None, bombs),
    (
        "pings whose answers nobody reads",
        "CVE-2019-9512",
        None,
        pings,
    ),
    (
        "calls that are taken back at once",
        "CVE-2023-44487",
        None,
        resets,
    ),
    (
        "calls that the server has to reset",
        "CVE-2025-8671",
        None,
        made_resets,
    ),
    (
        "a head that goes on for ever",
        "CVE-2024-27316",
        Some(head_begun),
        more_head,
    ),
    ("replies that never end", "CWE-400", None, watches),
    (
        "heads of 15 KB, of calls that never go on",
        "CWE-770",
        None,
        heads,
    ),
    (
        "empty pieces of a body",
        "RUSTSEC-2026-0258",
        Some(large_begun),
        empty,
    ),
];

fn streams() -> impl Iterator<Item = u32> {
    (0..STREAMS_MAX).map(|number| 1 + 2 * number)
}

fn open(stream: u32, path: &str) -> Vec<u8> {
    frame(HEADERS, END_HEADERS, stream, &head(path, &[]))
}

fn large_begun(_: u32) -> Vec<u8> {
    let begun = streams().map(|stream| {
        let said = message(0, 4 * 1024 * 1024, &[]);
        [open(stream, INTRODUCE), frame(DATA, 0, stream, &said)].concat()
    });
    begun.collect::<Vec<_>>().concat()
}

fn large(number: u32) -> Vec<u8> {
    frame(DATA, 0, 1 + 2 * (number % STREAMS_MAX), &[0; 16_384])
}

fn bombs(number: u32) -> Vec<u8> {
    // As `packed` of the link crate's tests makes them (RFC 8878 section 3.1.1), here of 1,020 runs.
    let mut bytes = vec![0x28, 0xb5, 0x2f, 0xfd, 0x00, 17 << 3];
    for run in 1..=1_020 {
        let head = u32::from(run == 1_020) | 1 << 1 | (128 * 1024) << 3;
        bytes.extend(&u32::to_le_bytes(head)[..3]);
        bytes.push(b'x');
    }
    let stream = 1 + 2 * number;
    let packed = message(1, bytes.len(), &bytes);
    let zstd = head(INTRODUCE, &[("grpc-encoding", "zstd")]);
    [
        frame(HEADERS, END_HEADERS, stream, &zstd),
        frame(DATA, END_STREAM, stream, &packed),
    ]
    .concat()
}

fn pings(_: u32) -> Vec<u8> {
    frame(PING, 0, 0, b"12345678").repeat(500)
}

fn resets(number: u32) -> Vec<u8> {
    let stream = 1 + 2 * number;
    let back = frame(RST_STREAM, 0, stream, &8_u32.to_be_bytes());
    [open(stream, INTRODUCE), back].concat()
}

fn made_resets(number: u32) -> Vec<u8> {
    let stream = 1 + 2 * number;
    let wrong = frame(raw::WINDOW_UPDATE, 0, stream, &0_u32.to_be_bytes());
    [open(stream, INTRODUCE), wrong].concat()
}

fn head_begun(_: u32) -> Vec<u8> {
    frame(HEADERS, 0, 1, &head(INTRODUCE, &[]))
}

fn more_head(_: u32) -> Vec<u8> {
    let mut block = Vec::new();
    literal(&mut block, "x-more", &"y".repeat(1000));
    frame(CONTINUATION, 0, 1, &block)
}

fn watches(number: u32) -> Vec<u8> {
    let stream = 1 + 2 * number;
    let asked = frame(DATA, END_STREAM, stream, &message(0, 0, &[]));
    [open(stream, WATCH), asked].concat()
}

fn heads(number: u32) -> Vec<u8> {
    let text = "y".repeat(15_000);
    let block = head(INTRODUCE, &[("x-more", &text)]);
    frame(HEADERS, END_HEADERS, 1 + 2 * number, &block)
}

fn empty(number: u32) -> Vec<u8> {
    frame(DATA, 0, 1 + 2 * (number % STREAMS_MAX), &[])
}

/// One stranger: sends until the county ends it or the time is over, and never reads.
async fn stranger(
    address: SocketAddr,
    config: Arc<ClientConfig>,
    begun: Option<Piece>,
    go_on: Piece,
) {
    let Ok(mut raw) = Raw::begun(&address.to_string(), config).await else {
        return;
    };
    let going_on = async {
        if let Some(begun) = begun {
            raw.bytes(&begun(0)).await?;
        }
        for number in 0.. {
            raw.bytes(&go_on(number)).await?;
        }
        Ok::<_, std::io::Error>(())
    };
    // How it ended does not matter here.
    let _ = tokio::time::timeout(LONG, going_on).await;
}

/// The most memory that a process ever had, KiB (proc(5), VmHWM).
fn most_kib(process: &Running) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{}/status", process.id()));
    let status = status.expect("it runs");
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let number = line.and_then(|line| line.split_whitespace().next());
    number
        .and_then(|number| number.parse().ok())
        .expect("a number")
}

#[test]
fn strangers_cost_a_county_little_and_a_station_goes_on() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let station = world.joined("Millrace", address);
    station.sync_by_hand();
    station.fine(&["sync"]);
    let config = tls::client_without_key(Trusted::Learn(Learnt::default())).expect("tls");
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    let mut tally = Tally::begin(
        "strangers",
        "ways in which strangers cost a county memory and work",
        0,
    );
    let mut before = most_kib(&up);
    let begun = before;
    for (what, source, first, go_on) in WAYS {
        let mut strangers = JoinSet::new();
        for _ in 0..STRANGERS_PER_ADDRESS_MAX {
            let config = Arc::clone(&config);
            strangers.spawn_on(stranger(address, config, first, go_on), runtime.handle());
        }
        let synced = station.run(&["sync"]);
        runtime.block_on(async { while strangers.join_next().await.is_some() {} });
        let mut outcome = Outcome::default();
        if synced.code() != Some(0) {
            outcome.wrong(format!("{what} ({source}): the station's sync: {synced:?}"));
        }
        let now = most_kib(&up);
        if now - begun > GROWTH_MAX_KIB {
            outcome.wrong(format!("{what} ({source}): {} KiB more", now - before));
        }
        before = now;
        tally.count += 1;
        tally.add(outcome);
    }
    // As many as may arrive from one address, and never shake hands: other addresses come in.
    let idle = runtime.block_on(async {
        let mut idle = Vec::new();
        for _ in 0..600 {
            idle.push(tcp("127.0.0.1", &address.to_string()).await);
        }
        let elsewhere = Raw::connect_from("127.0.0.2", &address.to_string(), config).await;
        assert!(elsewhere.is_ok(), "from another address");
        idle
    });
    drop(idle);
    tally.note = format!(
        "the county's memory grew by {} MiB at most",
        (most_kib(&up) - begun) / 1024
    );
    let ended = up.terminate();
    assert_eq!(ended.code(), Some(0), "{ended:?}");
    assert!(!ended.err.contains("panicked"), "{}", ended.err);
    tally.end();
}
