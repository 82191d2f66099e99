//! A stranger's own end of a connection: TLS as it likes, then HTTP/2 frames written by hand (RFC 9113
//! section 4.1; header blocks as RFC 7541 section 6.2.2 has them, literals without an index).
//!
//! Says nothing about what is right or wrong: it sends what it is told and gives what comes back.

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;

use rustls::ClientConfig;
use rustls::pki_types::ServerName;
use tokio::io::{AsyncRead, AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpSocket, TcpStream};
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;

/// What opens an HTTP/2 connection (RFC 9113 section 3.4).
pub(crate) const PREFACE: &[u8] = b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n";

pub(crate) const DATA: u8 = 0;
pub(crate) const HEADERS: u8 = 1;
pub(crate) const PRIORITY: u8 = 2;
pub(crate) const RST_STREAM: u8 = 3;
pub(crate) const SETTINGS: u8 = 4;
pub(crate) const PUSH_PROMISE: u8 = 5;
pub(crate) const PING: u8 = 6;
pub(crate) const GOAWAY: u8 = 7;
pub(crate) const WINDOW_UPDATE: u8 = 8;
pub(crate) const CONTINUATION: u8 = 9;

pub(crate) const END_STREAM: u8 = 1;
/// Of SETTINGS and PING.
pub(crate) const ACK: u8 = 1;
pub(crate) const END_HEADERS: u8 = 4;

/// A frame that came.
#[derive(Clone, Debug)]
pub(crate) struct Frame {
    pub(crate) kind: u8,
    pub(crate) stream: u32,
    pub(crate) payload: Vec<u8>,
}

/// A connection to a server of ours, after its handshake.
pub(crate) struct Raw {
    stream: TlsStream<TcpStream>,
}

/// A connection from one of this machine's own addresses.
pub(crate) async fn tcp(from: &str, to: &str) -> io::Result<TcpStream> {
    let socket = TcpSocket::new_v4()?;
    let own: SocketAddr = format!("{from}:0").parse().map_err(io::Error::other)?;
    socket.bind(own)?;
    socket.connect(to.parse().map_err(io::Error::other)?).await
}

impl Raw {
    pub(crate) async fn connect(to: &str, config: Arc<ClientConfig>) -> io::Result<Self> {
        Self::connect_from("127.0.0.1", to, config).await
    }

    pub(crate) async fn connect_from(
        from: &str,
        to: &str,
        config: Arc<ClientConfig>,
    ) -> io::Result<Self> {
        let tcp = tcp(from, to).await?;
        tcp.set_nodelay(true)?;
        let name = ServerName::try_from("county.example").map_err(io::Error::other)?;
        let stream = TlsConnector::from(config).connect(name, tcp).await?;
        Ok(Self { stream })
    }

    /// The same, and HTTP/2 begun with the settings that the protocol takes for granted.
    pub(crate) async fn begun(to: &str, config: Arc<ClientConfig>) -> io::Result<Self> {
        let mut raw = Self::connect(to, config).await?;
        raw.begin(&[]).await?;
        Ok(raw)
    }

    pub(crate) async fn begin(&mut self, settings: &[(u16, u32)]) -> io::Result<()> {
        self.bytes(PREFACE).await?;
        self.frame(SETTINGS, 0, 0, &settings_of(settings)).await
    }

    pub(crate) async fn bytes(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.stream.write_all(bytes).await?;
        self.stream.flush().await
    }

    pub(crate) async fn frame(
        &mut self,
        kind: u8,
        flags: u8,
        stream: u32,
        payload: &[u8],
    ) -> io::Result<()> {
        self.bytes(&frame(kind, flags, stream, payload)).await
    }

    /// A call of a method, whole.
    pub(crate) async fn call(&mut self, stream: u32, path: &str, body: &[u8]) -> io::Result<()> {
        let mut bytes = frame(HEADERS, END_HEADERS, stream, &head(path, &[]));
        for piece in body.chunks(16_384) {
            bytes.extend(frame(DATA, 0, stream, piece));
        }
        bytes.extend(frame(DATA, END_STREAM, stream, &[]));
        self.bytes(&bytes).await
    }

    /// The next frame; none when the connection has ended.
    pub(crate) async fn next(&mut self) -> Option<Frame> {
        next_of(&mut self.stream).await
    }

    /// Reads until the other side ends the connection; gives the codes of its farewells (GOAWAY).
    pub(crate) async fn farewells(&mut self) -> Vec<u32> {
        let mut codes = Vec::new();
        while let Some(frame) = self.next().await {
            if let (GOAWAY, Some(code)) = (frame.kind, word(&frame.payload, 4)) {
                codes.push(code);
            }
        }
        codes
    }

    /// What is under it, for whoever speaks HTTP/2 by a library.
    pub(crate) fn into_stream(self) -> TlsStream<TcpStream> {
        self.stream
    }

    /// The ends for the one that sends and the one that reads.
    pub(crate) fn split(self) -> (Sending, Reading) {
        let (reading, sending) = tokio::io::split(self.stream);
        (Sending(sending), Reading(reading))
    }
}

/// The half that sends.
pub(crate) struct Sending(tokio::io::WriteHalf<TlsStream<TcpStream>>);

/// The half that reads.
pub(crate) struct Reading(tokio::io::ReadHalf<TlsStream<TcpStream>>);

impl Sending {
    pub(crate) async fn bytes(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.write_all(bytes).await?;
        self.0.flush().await
    }
}

impl Reading {
    /// The next frame; none when the connection has ended.
    pub(crate) async fn next(&mut self) -> Option<Frame> {
        next_of(&mut self.0).await
    }

    /// Reads on and drops what comes, until the end.
    pub(crate) async fn rest(&mut self) -> u64 {
        let mut piece = vec![0; 65_536];
        let mut read = 0;
        while let Ok(length @ 1..) = self.0.read(&mut piece).await {
            read += u64::try_from(length).expect("fits");
        }
        read
    }
}

async fn next_of(stream: &mut (impl AsyncRead + Unpin)) -> Option<Frame> {
    let mut head = [0; 9];
    stream.read_exact(&mut head).await.ok()?;
    let [high, middle, low, kind, _, number @ ..] = head;
    let length = u32::from_be_bytes([0, high, middle, low]);
    let mut payload = vec![0; usize::try_from(length).ok()?];
    stream.read_exact(&mut payload).await.ok()?;
    Some(Frame {
        kind,
        stream: u32::from_be_bytes(number) & 0x7fff_ffff,
        payload,
    })
}

fn word(bytes: &[u8], at: usize) -> Option<u32> {
    let bytes = bytes.get(at..at + 4)?;
    Some(u32::from_be_bytes(bytes.try_into().ok()?))
}

pub(crate) fn frame(kind: u8, flags: u8, stream: u32, payload: &[u8]) -> Vec<u8> {
    let length = u32::try_from(payload.len()).expect("fits").to_be_bytes();
    let mut bytes = length[1..].to_vec();
    bytes.extend([kind, flags]);
    bytes.extend(stream.to_be_bytes());
    bytes.extend(payload);
    bytes
}

pub(crate) fn settings_of(settings: &[(u16, u32)]) -> Vec<u8> {
    let mut bytes = Vec::new();
    for (name, value) in settings {
        bytes.extend(name.to_be_bytes());
        bytes.extend(value.to_be_bytes());
    }
    bytes
}

/// The header block of a call.
pub(crate) fn head(path: &str, also: &[(&str, &str)]) -> Vec<u8> {
    let mut block = Vec::new();
    for (name, value) in [
        (":method", "POST"),
        (":scheme", "http"),
        (":path", path),
        (":authority", "county.example"),
        ("content-type", "application/grpc"),
        ("te", "trailers"),
    ] {
        literal(&mut block, name, value);
    }
    for (name, value) in also {
        literal(&mut block, name, value);
    }
    block
}

/// A header by its name and value, in full.
pub(crate) fn literal(block: &mut Vec<u8>, name: &str, value: &str) {
    block.push(0);
    for text in [name, value] {
        length(block, 7, text.len());
        block.extend(text.as_bytes());
    }
}

/// An integer with a prefix of so many bits, which are free in the byte that it begins (RFC 7541
/// section 5.1).
fn length(block: &mut Vec<u8>, prefix: u32, number: usize) {
    let most = (1_usize << prefix) - 1;
    if number < most {
        block.push(u8::try_from(number).expect("below the prefix"));
        return;
    }
    block.push(u8::try_from(most).expect("seven bits"));
    let mut rest = number - most;
    while rest >= 128 {
        block.push(u8::try_from(rest % 128 + 128).expect("a byte"));
        rest /= 128;
    }
    block.push(u8::try_from(rest).expect("a byte"));
}

/// A message of a call: its flag, its length as somebody says it, its bytes.
pub(crate) fn message(flag: u8, said: usize, bytes: &[u8]) -> Vec<u8> {
    let mut all = vec![flag];
    all.extend(u32::try_from(said).expect("fits").to_be_bytes());
    all.extend(bytes);
    all
}
