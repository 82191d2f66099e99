//! HTTP/2 as nobody should speak it: each known attack, and each break of the protocol, against the
//! county's server, while a station of the county goes on with its work.
//!
//! A connection that breaks the protocol is ended; what only wastes is counted, and ended or answered
//! for as long as the caller takes the answers. Memory is measured where the county is a process
//! of its own, in the end-to-end tests. The CVE numbers are from memory, the RUSTSEC number
//! is the one that deny.toml keeps out.

mod breaks;
mod floods;
mod heads;

use std::sync::Arc;
use std::time::Duration;

use Ending::{Ended, GoesOn};
use rustls::ClientConfig;
use sponson_link::tls::{self, Learnt, Trusted};

use crate::raw::{END_HEADERS, HEADERS, PING, Raw, frame, head};
use crate::world::{County, Station};

pub(crate) const INTRODUCE: &str = "/sponson.service.v1.Admission/Introduce";

pub(crate) const WATCH: &str = "/grpc.health.v1.Health/Watch";

/// Frames of a flood: more than any count that ends one (h2 0.4: 20 resets that wait to be taken, 1,024
/// resets of its own, 25,600 bytes of empty frames).
pub(crate) const MANY: u32 = 30_000;

/// How long a connection may take to end once everything is sent, or to answer.
pub(crate) const SOON: Duration = Duration::from_secs(20);

/// What becomes of a connection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ending {
    /// It is ended.
    Ended,
    /// It goes on, and answers.
    GoesOn,
}

/// Bytes to send after the beginning of a connection, piece by piece.
pub(crate) type Bytes = Box<dyn Iterator<Item = Vec<u8>> + Send>;

/// One attack: what it is, who published it, what is sent, what becomes of the connection.
pub(crate) type Attack = (&'static str, &'static str, Bytes, Ending);

pub(crate) fn once(bytes: Vec<u8>) -> Bytes {
    Box::new(std::iter::once(bytes))
}

/// So many pieces, 100 at a time.
pub(crate) fn flood(count: u32, piece: impl Fn(u32) -> Vec<u8> + Send + 'static) -> Bytes {
    Box::new((0..count / 100).map(move |hundred| {
        let pieces = (hundred * 100..hundred * 100 + 100).map(&piece);
        pieces.collect::<Vec<_>>().concat()
    }))
}

/// After a first piece.
pub(crate) fn after(first: Vec<u8>, rest: Bytes) -> Bytes {
    Box::new(std::iter::once(first).chain(rest))
}

pub(crate) fn call_begun(stream: u32, path: &str) -> Vec<u8> {
    frame(HEADERS, END_HEADERS, stream, &head(path, &[]))
}

pub(crate) fn word(number: u32) -> Vec<u8> {
    number.to_be_bytes().to_vec()
}

/// The last ping, to which whoever still answers answers.
pub(crate) const LAST: &[u8; 8] = b"the last";

/// Sends it all, reading meanwhile; says what became of the connection.
pub(crate) async fn attack(
    address: &str,
    config: Arc<ClientConfig>,
    bytes: Bytes,
) -> Option<Ending> {
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
pub(crate) async fn check(seed: u64, attacks: fn() -> Vec<Attack>) {
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
