//! How a message is packed (gRPC over HTTP/2, PROTOCOL-HTTP2.md: flag, length, bytes) when it says what
//! is not so: compressed and not said how, longer than it is, small and unpacking to hundreds of
//! MiB. Each is refused before any service sees it, and each refusal says why.

use std::sync::Arc;

use prost::Message as _;
use rustls::ClientConfig;
use sponson_link::limits::{MESSAGE_BYTES_MAX, STRANGER_MESSAGE_BYTES_MAX};
use sponson_link::tls::{self, Learnt, Trusted};
use sponson_proto::service::v1::AdmitRequest;
use tonic::codegen::http::{HeaderMap, Request};
use tonic::{Code, Status};

use crate::raw::{Raw, message};
use crate::world::{County, Station, limited};

const INTRODUCE: &str = "/sponson.service.v1.Admission/Introduce";
const ADMIT: &str = "/sponson.service.v1.Admission/Admit";
const WATCH: &str = "/grpc.health.v1.Health/Watch";
const REFLECTION: &str = "/grpc.reflection.v1.ServerReflection/ServerReflectionInfo";
const EXCHANGE: &str = "/sponson.sync.v1.Sync/Exchange";
const GET_LIMITS: &str = "/sponson.service.v1.County/GetLimits";

/// A zstd frame (RFC 8878 section 3.1.1) whose blocks are runs of one byte: 4 bytes for each 128 KiB.
/// The window is 128 KiB at exponent 7, and doubles with each.
fn bomb(blocks: usize, window_exponent: u8) -> Vec<u8> {
    // Magic number; neither content size nor checksum; exponent of the window, mantissa 0.
    let mut bytes = vec![0x28, 0xb5, 0x2f, 0xfd, 0x00, window_exponent << 3];
    for number in 1..=blocks {
        // Last block or not, type 1 (run), size 128 KiB.
        let head = u32::from(number == blocks) | 1 << 1 | (128 * 1024) << 3;
        bytes.extend(&u32::to_le_bytes(head)[..3]);
        bytes.push(b'x');
    }
    bytes
}

/// Sends a body to a method; gives the status of the reply.
async fn call(
    address: &str,
    config: Arc<ClientConfig>,
    path: &str,
    headers: &[(&'static str, &'static str)],
    body: Vec<u8>,
) -> Status {
    let raw = Raw::connect(address, config).await.expect("open");
    let begun = h2::client::handshake(raw.into_stream()).await;
    let (mut client, connection) = begun.expect("HTTP/2");
    tokio::spawn(connection);
    let mut request = Request::builder()
        .method("POST")
        .uri(format!("http://county.example{path}"))
        .header("te", "trailers");
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    let request = request.body(()).expect("a request");
    let (reply, mut sending) = client.send_request(request, false).expect("sent");
    sending.send_data(body.into(), true).expect("sent");
    let reply = match reply.await {
        Ok(reply) => reply,
        Err(error) => return Status::aborted(error.to_string()),
    };
    if reply.status() != 200 {
        return Status::unknown(format!("HTTP {}", reply.status()));
    }
    status(reply).await
}

/// The status that stands in the head of a reply without a body, else behind it.
async fn status(mut reply: tonic::codegen::http::Response<h2::RecvStream>) -> Status {
    if let Some(status) = Status::from_header_map(reply.headers()) {
        return status;
    }
    let body = reply.body_mut();
    while let Some(piece) = body.data().await {
        let length = piece.expect("a piece").len();
        let _ = body.flow_control().release_capacity(length);
    }
    let trailers: HeaderMap = body.trailers().await.expect("read").expect("trailers");
    Status::from_header_map(&trailers).expect("a status")
}

const GRPC: (&str, &str) = ("content-type", "application/grpc");
const ZSTD: (&str, &str) = ("grpc-encoding", "zstd");

/// Path, headers, body, code, and what the reply says.
type Packed = (
    &'static str,
    Vec<(&'static str, &'static str)>,
    Vec<u8>,
    Code,
    &'static str,
);

/// What is packed wrong whoever sends it, to a method that they may call with messages up to a limit.
#[expect(clippy::too_many_lines, reason = "a table, one entry a case")]
fn wrong(path: &'static str, most: usize) -> Vec<Packed> {
    let packed = |flag, bytes: &[u8]| message(flag, bytes.len(), bytes);
    let whole = bomb(1, 7);
    let cut = &whole[..whole.len() - 1];
    vec![
        (
            path,
            vec![GRPC],
            packed(1, b""),
            Code::Internal,
            "no grpc-encoding was specified",
        ),
        (
            path,
            vec![GRPC],
            packed(2, b""),
            Code::Internal,
            "invalid compression flag",
        ),
        (
            path,
            vec![GRPC],
            packed(255, b""),
            Code::Internal,
            "invalid compression flag",
        ),
        (
            path,
            vec![GRPC, ("grpc-encoding", "gzip")],
            packed(1, b"\x1f\x8b"),
            Code::Unimplemented,
            "isn't supported",
        ),
        (
            path,
            vec![GRPC, ("grpc-encoding", "\u{e4}")],
            packed(1, b""),
            Code::Unimplemented,
            "isn't supported",
        ),
        // 4 KiB that unpack to 127 MiB, and a frame that needs a window beyond 128 MiB.
        (
            path,
            vec![GRPC, ZSTD],
            packed(1, &bomb(1_020, 7)),
            Code::ResourceExhausted,
            "size limit",
        ),
        (
            path,
            vec![GRPC, ZSTD],
            packed(1, &bomb(1, 21)),
            Code::Internal,
            "Error decompressing",
        ),
        (
            path,
            vec![GRPC, ZSTD],
            packed(1, cut),
            Code::Internal,
            "Error decompressing",
        ),
        (
            path,
            vec![GRPC, ZSTD],
            packed(1, b"no zstd"),
            Code::Internal,
            "Error decompressing",
        ),
        (
            path,
            vec![GRPC],
            message(0, 0xffff_ffff, b""),
            Code::OutOfRange,
            "too large",
        ),
        (
            path,
            vec![GRPC],
            message(0, most + 1, b""),
            Code::OutOfRange,
            "too large",
        ),
        (
            path,
            vec![GRPC, ZSTD],
            message(1, most + 1, b""),
            Code::OutOfRange,
            "too large",
        ),
        // Just fits, and is no message.
        (
            path,
            vec![GRPC],
            packed(0, &vec![0xff; most]),
            Code::Internal,
            "failed to decode",
        ),
        (
            path,
            vec![GRPC],
            message(0, 10, b"x"),
            Code::Internal,
            "Unexpected EOF",
        ),
        (
            path,
            vec![GRPC],
            b"\0\0".to_vec(),
            Code::Internal,
            "Unexpected EOF",
        ),
        (
            path,
            vec![GRPC],
            Vec::new(),
            Code::Internal,
            "Missing request message",
        ),
        (
            path,
            vec![("content-type", "text/html")],
            packed(0, b""),
            Code::Unknown,
            "HTTP 415",
        ),
        (path, vec![], packed(0, b""), Code::Unknown, "HTTP 415"),
    ]
}

async fn check(county: &County, config: &Arc<ClientConfig>, tries: Vec<Packed>) {
    let mut said = Vec::new();
    for (number, (path, headers, body, code, words)) in tries.into_iter().enumerate() {
        let status = call(&county.address, Arc::clone(config), path, &headers, body).await;
        if status.code() != code || !status.message().contains(words) {
            said.push(format!(
                "{number} at {path}: {status}, not {code:?} '{words}'"
            ));
        }
    }
    assert!(said.is_empty(), "{}", said.join("\n"));
}

fn trusted() -> Trusted {
    Trusted::Learn(Learnt::default())
}

/// A device asks to be let in under a name of so many bytes.
fn asked(name: usize) -> Vec<u8> {
    let request = AdmitRequest {
        secret: vec![1; 10].into(),
        device: "x".repeat(name),
        ..AdmitRequest::default()
    };
    request.encode_to_vec()
}

#[tokio::test]
async fn what_a_stranger_packs_wrong_is_refused_at_4_kib() {
    limited(async {
        let county = County::found(1).await;
        let config = tls::client_without_key(trusted()).expect("tls");
        check(
            &county,
            &config,
            wrong(INTRODUCE, STRANGER_MESSAGE_BYTES_MAX),
        )
        .await;
        // As long as one may be it is read, and refused for what it says.
        let round = asked(STRANGER_MESSAGE_BYTES_MAX).len() - STRANGER_MESSAGE_BYTES_MAX;
        let longest = asked(STRANGER_MESSAGE_BYTES_MAX - round);
        assert_eq!(longest.len(), STRANGER_MESSAGE_BYTES_MAX);
        let whole = message(0, longest.len(), &longest);
        let read = (
            ADMIT,
            vec![GRPC],
            whole,
            Code::InvalidArgument,
            "at most 64",
        );
        check(&county, &config, vec![read]).await;
        let over = |path| {
            let said = message(0, STRANGER_MESSAGE_BYTES_MAX + 1, b"");
            (path, vec![GRPC], said, Code::OutOfRange, "too large")
        };
        check(&county, &config, [ADMIT, WATCH].map(over).to_vec()).await;
        // The library's reflection ends its stream without a word.
        let (path, headers, body, ..) = over(REFLECTION);
        check(&county, &config, vec![(path, headers, body, Code::Ok, "")]).await;
        // A method that is shut reads nothing of what is sent.
        let shut = |path| {
            let said = message(0, 0xffff_ffff, b"");
            (path, vec![GRPC], said, Code::Unauthenticated, "no key")
        };
        check(&county, &config, [EXCHANGE, "/no/Such"].map(shut).to_vec()).await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn what_a_device_packs_wrong_is_refused_at_4_mib() {
    limited(async {
        let county = County::found(2).await;
        let north = Station::join(&county, "North", 10).await;
        let config = tls::client(&north.identity, trusted()).expect("tls");
        check(&county, &config, wrong(EXCHANGE, MESSAGE_BYTES_MAX)).await;
        // 1 MiB that unpack to 32 GiB.
        let large = bomb(262_000, 17);
        let large = message(1, large.len(), &large);
        let tries = vec![
            (
                EXCHANGE,
                vec![GRPC, ZSTD],
                large,
                Code::ResourceExhausted,
                "size limit",
            ),
            ("/no/Such", vec![GRPC], Vec::new(), Code::Unimplemented, ""),
        ];
        check(&county, &config, tries).await;
        north.sync(&county).await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_deadline_that_is_none_is_passed_over() {
    limited(async {
        let county = County::found(3).await;
        let north = Station::join(&county, "North", 10).await;
        let config = tls::client(&north.identity, trusted()).expect("tls");
        let mut tries = Vec::new();
        // gRPC over HTTP/2: at most 8 digits and a unit.
        for timeout in [
            "",
            "-1S",
            "99999999999999999999H",
            "1",
            "S",
            "1e9S",
            "99999999H",
        ] {
            let headers = vec![GRPC, ("grpc-timeout", timeout)];
            tries.push((GET_LIMITS, headers, message(0, 0, b""), Code::Ok, ""));
        }
        check(&county, &config, tries).await;
        county.stop().await;
    })
    .await;
}
