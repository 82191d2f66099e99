//! The accept loop: handshakes side by side, so that one slow caller holds up nobody.
//!
//! Bounded everywhere: handshakes at a time, their duration, connections. Says nothing about what
//! a caller may do.

use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use sponson_log::ids::Digest;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, mpsc, watch};
use tokio::task::JoinHandle;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::server::TlsStream;
use tokio_stream::wrappers::ReceiverStream;
use tonic::transport::server::Connected;

use super::key_of;
use crate::limits::{CONNECTIONS_MAX, HANDSHAKE_TIMEOUT, HANDSHAKES_MAX};

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
    _counted: OwnedSemaphorePermit,
}

/// Ready once all connections are to be cut.
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
    pub fn begin(listener: TcpListener, acceptor: TlsAcceptor) -> Self {
        let (sender, receiver) = mpsc::channel(HANDSHAKES_MAX);
        let (uncut, cut) = watch::channel(());
        let task = tokio::spawn(accept_all(listener, acceptor, sender, cut));
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

async fn accept_all(
    listener: TcpListener,
    acceptor: TlsAcceptor,
    sender: mpsc::Sender<io::Result<PeerStream>>,
    cut: watch::Receiver<()>,
) {
    let handshakes = Arc::new(Semaphore::new(HANDSHAKES_MAX));
    let connections = Arc::new(Semaphore::new(CONNECTIONS_MAX));
    loop {
        // Neither semaphore is ever closed.
        let Ok(counted) = Arc::clone(&connections).acquire_owned().await else {
            return;
        };
        let Ok(shaking) = Arc::clone(&handshakes).acquire_owned().await else {
            return;
        };
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
        let (acceptor, sender, cut) = (acceptor.clone(), sender.clone(), cut.clone());
        tokio::spawn(async move {
            let done = handshake(acceptor, tcp, address).await;
            drop(shaking);
            match done {
                Ok((inner, peer)) => {
                    let stream = PeerStream {
                        inner,
                        peer,
                        cut: when_cut(cut),
                        _counted: counted,
                    };
                    drop(sender.send(Ok(stream)).await);
                }
                Err(error) => tracing::debug!(%address, %error, "a handshake failed"),
            }
        });
    }
}

async fn handshake(
    acceptor: TlsAcceptor,
    tcp: TcpStream,
    address: SocketAddr,
) -> io::Result<(TlsStream<TcpStream>, Peer)> {
    tcp.set_nodelay(true)?;
    let inner = tokio::time::timeout(HANDSHAKE_TIMEOUT, acceptor.accept(tcp)).await??;
    let (_, session) = inner.get_ref();
    let tls_key = session
        .peer_certificates()
        .and_then(<[_]>::first)
        .and_then(key_of);
    Ok((inner, Peer { address, tls_key }))
}

/// Ready once the sender is dropped: nothing is ever sent.
fn when_cut(mut uncut: watch::Receiver<()>) -> Cut {
    Box::pin(async move { while uncut.changed().await.is_ok() {} })
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
        // A server always reads, so this is where it hears of the cut.
        if self.cut.as_mut().poll(cx).is_ready() {
            return Poll::Ready(Err(io::ErrorKind::ConnectionAborted.into()));
        }
        Pin::new(&mut self.inner).poll_read(cx, buf)
    }
}

impl AsyncWrite for PeerStream {
    fn poll_write(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &[u8],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.inner).poll_write(cx, buf)
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_shutdown(cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bufs: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.inner).poll_write_vectored(cx, bufs)
    }

    fn is_write_vectored(&self) -> bool {
        self.inner.is_write_vectored()
    }
}
