//! Stands between a station and its county and makes of what each says what an end of another version
//! would have said: fields that an earlier one did not have are taken out, or a later one's added, in
//! every message and every message within it, both ways.
//!
//! It has the keys of both, which nobody but a test has. Signed bytes it passes on as they are.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use bytes::Bytes;
use prost::Message as _;
use prost::encoding::{
    DecodeContext, WireType, decode_key, decode_varint, encode_varint, skip_field,
};
use prost_types::FileDescriptorSet;
use prost_types::field_descriptor_proto::Type;
use rustls::ClientConfig;
use sponson_link::Identity;
use sponson_link::station::CountyAt;
use sponson_link::tls::{self, Trusted};
use tokio::net::TcpListener;
use tokio::task::JoinHandle;
use tokio_rustls::TlsAcceptor;
use tonic::codegen::http::{HeaderMap, HeaderName, Request, Response, header};

use crate::raw::{Raw, message};
use crate::world::County;

/// Which version both ends seem to be of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Speaks {
    /// c125db6: no beginnings of logs, nothing of when stations were met, no pictures.
    First,
    /// 1338746: no pictures.
    Coordinator,
    /// One that is to come.
    Later,
}

/// The highest number of a field that the first version knew, of each message that has grown since
/// (`git show c125db6:proto/sponson/sync/v1/sync.proto`). The services of that day have not.
const FIRST_KNEW: [(&str, u32); 2] = [("ExchangeRequest", 9), ("ExchangeReply", 8)];

/// What began later.
const PICTURES: &str = "/sponson.service.v1.Pictures/";

/// Fields of numbers that nothing here has, of every wire type (protobuf.dev, Encoding): a varint, 8
/// bytes, bytes, a group with a varint in it, 4 bytes.
const LATER_FIELDS: &[u8] = &[
    0xc0, 0x3e, 0x07, 0xc9, 0x3e, 1, 2, 3, 4, 5, 6, 7, 8, 0xd2, 0x3e, 0x03, b'n', b'e', b'w', 0xdb,
    0x3e, 0x08, 0x01, 0xdc, 0x3e, 0xe5, 0x3e, 1, 2, 3, 4,
];

/// What the messages are made of.
pub(crate) struct Shapes {
    /// Messages within a message, by its name and the number of the field.
    within: BTreeMap<(String, u32), String>,
    /// Names of request and reply, by path.
    methods: BTreeMap<String, (String, String)>,
}

fn short(name: &str) -> String {
    name.rsplit('.').next().unwrap_or(name).to_owned()
}

impl Shapes {
    pub(crate) fn read() -> Self {
        let set = FileDescriptorSet::decode(sponson_proto::DESCRIPTORS).expect("descriptors");
        let (mut within, mut methods) = (BTreeMap::new(), BTreeMap::new());
        for file in &set.file {
            for message in &file.message_type {
                for field in &message.field {
                    if field.r#type() == Type::Message {
                        let number = u32::try_from(field.number()).expect("positive");
                        let key = (message.name().to_owned(), number);
                        within.insert(key, short(field.type_name()));
                    }
                }
            }
            for service in &file.service {
                for method in &service.method {
                    let path = format!("/{}.{}/{}", file.package(), service.name(), method.name());
                    let names = (short(method.input_type()), short(method.output_type()));
                    methods.insert(path, names);
                }
            }
        }
        Self { within, methods }
    }

    /// A message as an end of that version would have said it.
    pub(crate) fn said_by(&self, speaks: Speaks, name: &str, mut bytes: &[u8]) -> Vec<u8> {
        let mut said = Vec::new();
        while !bytes.is_empty() {
            let whole = bytes;
            let (number, wire) = decode_key(&mut bytes).expect("a message of ours");
            let known = FIRST_KNEW.iter().find(|(grown, _)| *grown == name);
            let is_known = speaks != Speaks::First || known.is_none_or(|(_, most)| number <= *most);
            let inner = self.within.get(&(name.to_owned(), number));
            if let Some(inner) = inner.filter(|_| wire == WireType::LengthDelimited) {
                let length = decode_varint(&mut bytes).expect("a length");
                let (value, rest) = bytes.split_at(usize::try_from(length).expect("fits"));
                bytes = rest;
                let value = self.said_by(speaks, inner, value);
                if is_known {
                    encode_varint(u64::from(number << 3 | 2), &mut said);
                    encode_varint(value.len() as u64, &mut said);
                    said.extend(value);
                }
                continue;
            }
            skip_field(wire, number, &mut bytes, DecodeContext::default()).expect("a field");
            if is_known {
                said.extend(&whole[..whole.len() - bytes.len()]);
            }
        }
        if speaks == Speaks::Later {
            said.extend(LATER_FIELDS);
        }
        said
    }
}

/// It, at its own port.
pub(crate) struct Between {
    pub(crate) at: CountyAt,
    /// Messages that were said otherwise than they came.
    pub(crate) changed: Arc<AtomicU64>,
    task: JoinHandle<()>,
}

impl Drop for Between {
    fn drop(&mut self) {
        self.task.abort();
    }
}

/// One connection's way on.
#[derive(Clone)]
struct Way {
    speaks: Speaks,
    shapes: Arc<Shapes>,
    county: String,
    config: Arc<ClientConfig>,
    changed: Arc<AtomicU64>,
}

impl Between {
    /// Between this county and this station.
    pub(crate) async fn begin(county: &County, station: &Identity, speaks: Speaks) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let at = CountyAt {
            address: listener.local_addr().expect("bound").to_string(),
            ..county.at()
        };
        let acceptor = TlsAcceptor::from(tls::server(&county.host.identity).expect("tls"));
        let pinned = Trusted::Keys(BTreeSet::from([county.host.identity.tls_key()]));
        let changed = Arc::new(AtomicU64::new(0));
        let way = Way {
            speaks,
            shapes: Arc::new(Shapes::read()),
            county: county.address.clone(),
            config: tls::client(station, pinned).expect("tls"),
            changed: Arc::clone(&changed),
        };
        let task = tokio::spawn(async move {
            while let Ok((tcp, _)) = listener.accept().await {
                let (acceptor, way) = (acceptor.clone(), way.clone());
                tokio::spawn(async move {
                    let stream = acceptor
                        .accept(tcp)
                        .await
                        .expect("the station shakes hands");
                    let mut calls = h2::server::handshake(stream).await.expect("HTTP/2");
                    while let Some(Ok((request, reply))) = calls.accept().await {
                        tokio::spawn(pass(way.clone(), request, reply));
                    }
                });
            }
        });
        Self { at, changed, task }
    }
}

/// Headers of a call without those of how its messages are packed: they are passed on unpacked.
fn unpacked(headers: &HeaderMap) -> HeaderMap {
    let packed = ["grpc-encoding", "grpc-accept-encoding"].map(HeaderName::from_static);
    let mut headers = headers.clone();
    for name in packed.iter().chain([&header::CONTENT_LENGTH]) {
        headers.remove(name);
    }
    headers
}

async fn body(mut from: h2::RecvStream) -> (Vec<u8>, Option<HeaderMap>) {
    let mut bytes = Vec::new();
    while let Some(piece) = from.data().await {
        let piece = piece.expect("a piece");
        let _ = from.flow_control().release_capacity(piece.len());
        bytes.extend(piece);
    }
    (bytes, from.trailers().await.expect("read"))
}

impl Way {
    /// The messages of a body, said as that version says them.
    fn said(&self, name: &str, mut body: &[u8]) -> Bytes {
        let mut said = Vec::new();
        while let Some((head, rest)) = body.split_first_chunk::<5>() {
            let length = u32::from_be_bytes([head[1], head[2], head[3], head[4]]);
            let (bytes, rest) = rest.split_at(usize::try_from(length).expect("fits"));
            body = rest;
            let bytes = match head[0] {
                0 => bytes.to_vec(),
                _ => zstd::stream::decode_all(bytes).expect("packed by us"),
            };
            let other = self.shapes.said_by(self.speaks, name, &bytes);
            self.changed
                .fetch_add(u64::from(other != bytes), Ordering::Relaxed);
            said.extend(message(0, other.len(), &other));
        }
        said.into()
    }
}

async fn pass(
    way: Way,
    request: Request<h2::RecvStream>,
    mut reply: h2::server::SendResponse<Bytes>,
) {
    let path = request.uri().path().to_owned();
    if way.speaks != Speaks::Later && path.starts_with(PICTURES) {
        let unknown = Response::builder()
            .header("content-type", "application/grpc")
            .header("grpc-status", "12");
        let _ = reply.send_response(unknown.body(()).expect("a reply"), true);
        return;
    }
    let (asked, answered) = way.shapes.methods.get(&path).expect("a method of ours");
    let mut on = Request::builder()
        .method("POST")
        .uri(format!("http://county.example{path}"));
    *on.headers_mut().expect("right") = unpacked(request.headers());
    let (bytes, _) = body(request.into_body()).await;
    let raw = Raw::connect(&way.county, Arc::clone(&way.config)).await;
    let begun = h2::client::handshake(raw.expect("open").into_stream()).await;
    let (client, connection) = begun.expect("HTTP/2");
    tokio::spawn(connection);
    let mut client = client.ready().await.expect("ready");
    let (answer, mut sending) = client
        .send_request(on.body(()).expect("a request"), false)
        .expect("sent");
    let _ = sending.send_data(way.said(asked, &bytes), true);
    let answer = answer.await.expect("an answer");
    let mut head = Response::builder().status(answer.status());
    *head.headers_mut().expect("right") = unpacked(answer.headers());
    let head = head.body(()).expect("a reply");
    if answer.body().is_end_stream() {
        let _ = reply.send_response(head, true);
        return;
    }
    let (bytes, trailers) = body(answer.into_body()).await;
    let mut back = reply.send_response(head, false).expect("it listens");
    let _ = back.send_data(way.said(answered, &bytes), false);
    let _ = back.send_trailers(trailers.unwrap_or_default());
}
