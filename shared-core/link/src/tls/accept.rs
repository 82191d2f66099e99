//! The accept loop: handshakes side by side, so that one slow caller holds up nobody.
//!
//! Bounded everywhere: handshakes at a time, their duration, connections; in all, and of one address
//! or key, so that whoever takes all that it can get leaves room for the others. Connections without
//! an admitted key have room of their own, and stand for a short time only; the others stand for a
//! long one. Says nothing about what a caller may do.

use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use sponson_log::ids::Digest;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{mpsc, watch};
use tokio::task::JoinHandle;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::server::TlsStream;
use tokio_stream::wrappers::ReceiverStream;
use tonic::transport::server::Connected;

use super::key_of;
use super::room::{Origin, Place, Room};
use crate::limits::{HANDSHAKES_MAX, Patience, Places};

/// Pause after a failed accept (too many open files): long enough for some to be closed.
const PAUSE_AFTER_FAILURE: Duration = Duration::from_millis(100);

/// Who is at the other end of a connection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Peer {
    /// Its address; for logs.
    pub address: SocketAddr,
    /// SHA-256 of its TLS key, which it proved to hold; none when it showed none.
    pub tls_key: Option<Digest>,
}

/// A connection after its handshake.
pub struct PeerStream {
    inner: TlsStream<TcpStream>,
    peer: Peer,
    cut: Cut,
    was_cut: bool,
    _place: Placed,
}

/// The place of a connection.
#[derive(Debug)]
enum Placed {
    /// Of a key that is known.
    Known { _place: Place<Digest> },
    /// Of anybody else.
    Stranger { _place: Place<Origin> },
}

/// Which TLS keys are known: their connections have room of their own.
#[derive(Clone)]
pub struct Known(Arc<dyn Fn(Digest) -> Asking + Send + Sync>);

/// Whether a key is known, once that was found out.
pub type Asking = Pin<Box<dyn Future<Output = bool> + Send>>;

impl Known {
    /// Keys of which this says so; it is asked at each connection.
    #[must_use]
    pub fn by(known: impl Fn(Digest) -> Asking + Send + Sync + 'static) -> Self {
        Self(Arc::new(known))
    }

    /// Nobody is.
    #[must_use]
    pub fn nobody() -> Self {
        Self::by(|_| Box::pin(std::future::ready(false)))
    }
}

impl std::fmt::Debug for Known {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Known")
    }
}

/// Ready once the connection is to be cut.
type Cut = Pin<Box<dyn Future<Output = ()> + Send + Sync>>;

impl std::fmt::Debug for PeerStream {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "PeerStream({:?})", self.peer)
    }
}

/// The accept loop. Dropping it ends the loop and cuts all connections.
#[derive(Debug)]
pub struct Accepting {
    streams: Option<ReceiverStream<io::Result<PeerStream>>>,
    task: JoinHandle<()>,
    /// Dropping it cuts the connections.
    _uncut: watch::Sender<()>,
}

impl Accepting {
    /// Begins to accept.
    #[must_use]
    pub fn begin(
        listener: TcpListener,
        acceptor: TlsAcceptor,
        known: Known,
        (patience, places): (Patience, Places),
    ) -> Self {
        let (sender, receiver) = mpsc::channel(HANDSHAKES_MAX);
        let (uncut, cut) = watch::channel(());
        let door = Door {
            acceptor,
            known,
            patience,
            shaking: Room::of(places.handshakes),
            stations: Room::of(places.connections),
            strangers: Room::of(places.strangers),
            cut,
        };
        let arriving = Room::of(places.arriving);
        let task = tokio::spawn(accept_all(listener, door, arriving, sender));
        Self {
            streams: Some(ReceiverStream::new(receiver)),
            task,
            _uncut: uncut,
        }
    }

    /// The connections; can be taken once.
    pub const fn take_streams(&mut self) -> Option<ReceiverStream<io::Result<PeerStream>>> {
        self.streams.take()
    }

    /// Stops accepting; connections that are there stay.
    pub fn stop(&self) {
        self.task.abort();
    }
}

impl Drop for Accepting {
    fn drop(&mut self) {
        self.task.abort();
    }
}

/// What stands between a caller and its connection.
#[derive(Clone)]
struct Door {
    acceptor: TlsAcceptor,
    known: Known,
    patience: Patience,
    shaking: Room<Origin>,
    stations: Room<Digest>,
    strangers: Room<Origin>,
    cut: watch::Receiver<()>,
}

async fn accept_all(
    listener: TcpListener,
    door: Door,
    arriving: Room<Origin>,
    sender: mpsc::Sender<io::Result<PeerStream>>,
) {
    loop {
        let (tcp, address) = match listener.accept().await {
            Ok(accepted) => accepted,
            Err(error) => {
                tracing::warn!(%error, "a connection could not be accepted");
                tokio::time::sleep(PAUSE_AFTER_FAILURE).await;
                continue;
            }
        };
        if sender.is_closed() {
            return;
        }
        let Some(place) = arriving.take(Origin::of(address.ip())) else {
            tracing::debug!(%address, "no room for a connection");
            continue;
        };
        let (door, sender) = (door.clone(), sender.clone());
        tokio::spawn(async move {
            let arrived = door.arrive(tcp, address).await;
            drop(place);
            match arrived {
                Ok(stream) => drop(sender.send(Ok(stream)).await),
                Err(error) => tracing::debug!(%address, %error, "a handshake failed"),
            }
        });
    }
}

impl Door {
    /// Shakes hands, and gives the connection its place.
    async fn arrive(self, tcp: TcpStream, address: SocketAddr) -> io::Result<PeerStream> {
        tcp.set_nodelay(true)?;
        let origin = Origin::of(address.ip());
        let shaken = tokio::time::timeout(self.patience.handshake, async {
            let shaking = self.shaking.wait(origin).await;
            Ok::<_, io::Error>((self.acceptor.accept(tcp).await?, shaking))
        });
        let (inner, shaking) = shaken.await??;
        let (_, session) = inner.get_ref();
        let tls_key = session
            .peer_certificates()
            .and_then(<[_]>::first)
            .and_then(key_of);
        let known = match tls_key {
            Some(key) => tokio::time::timeout(self.patience.call, (self.known.0)(key))
                .await?
                .then_some(key),
            None => None,
        };
        drop(shaking);
        let (place, ends) = match known {
            Some(key) => {
                let place = self.stations.take(key).ok_or_else(no_room)?;
                // The server says farewell at its age. Were it told of the time for calls in progress
                // too, it would only cut, and say nothing before (tonic 0.14.9).
                let ends = self.patience.age + self.patience.age_grace;
                (Placed::Known { _place: place }, ends)
            }
            None => {
                let place = self.strangers.take(origin).ok_or_else(no_room)?;
                let ends = self.patience.stranger;
                (Placed::Stranger { _place: place }, ends)
            }
        };
        Ok(PeerStream {
            inner,
            peer: Peer { address, tls_key },
            cut: when_cut(self.cut, ends),
            was_cut: false,
            _place: place,
        })
    }
}

fn no_room() -> io::Error {
    io::Error::other("there are as many connections as there may be")
}

/// Ready once the sender is dropped, since nothing is ever sent, or after a while.
fn when_cut(mut uncut: watch::Receiver<()>, ends: Duration) -> Cut {
    Box::pin(async move {
        let told = async move { while uncut.changed().await.is_ok() {} };
        // Which of the two it was does not matter.
        let _ = tokio::time::timeout(ends, told).await;
    })
}

impl PeerStream {
    /// Goes on with the connection unless it is cut. While a server waits to write, it may not read:
    /// so that whoever takes nothing is cut too, both look.
    fn unless_cut<T>(
        &mut self,
        cx: &mut Context<'_>,
        go_on: impl FnOnce(Pin<&mut TlsStream<TcpStream>>, &mut Context<'_>) -> Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        self.was_cut = self.was_cut || self.cut.as_mut().poll(cx).is_ready();
        if self.was_cut {
            return Poll::Ready(Err(io::ErrorKind::ConnectionAborted.into()));
        }
        go_on(Pin::new(&mut self.inner), cx)
    }
}

impl Connected for PeerStream {
    type ConnectInfo = Peer;

    fn connect_info(&self) -> Peer {
        self.peer.clone()
    }
}

impl AsyncRead for PeerStream {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        self.unless_cut(cx, |inner, cx| inner.poll_read(cx, buf))
    }
}

impl AsyncWrite for PeerStream {
    fn poll_write(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &[u8],
    ) -> Poll<io::Result<usize>> {
        self.unless_cut(cx, |inner, cx| inner.poll_write(cx, buf))
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.unless_cut(cx, TlsStream::poll_flush)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.unless_cut(cx, TlsStream::poll_shutdown)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bufs: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        self.unless_cut(cx, |inner, cx| inner.poll_write_vectored(cx, bufs))
    }

    fn is_write_vectored(&self) -> bool {
        self.inner.is_write_vectored()
    }
}
