//! The accept loop of the pages: bounded everywhere, so that one slow caller holds up nobody.

use std::collections::BTreeMap;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};
use std::time::Duration;

use axum::Router;
use axum::extract::Extension;
use hyper_util::rt::{TokioExecutor, TokioIo, TokioTimer};
use hyper_util::server::conn::auto;
use hyper_util::service::TowerToHyperService;
use rustls::ServerConfig;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};
use tokio::task::JoinSet;
use tokio::time::Sleep;
use tokio_rustls::TlsAcceptor;

use super::guard::From;
use super::limits::{
    CONNECTIONS_MAX, CONNECTIONS_PER_ADDRESS_MAX, DRAIN, HANDSHAKES_MAX, HEAD_BYTES_MAX, Patience,
};

/// Pause after a failed accept (too many open files): long enough for some to be closed.
const PAUSE_AFTER_FAILURE: Duration = Duration::from_millis(100);

/// Serves until `told` says to end, then lets requests in progress end for at most [`DRAIN`].
pub async fn serve(
    listener: TcpListener,
    encryption: Option<Arc<ServerConfig>>,
    router: Router,
    mut told: watch::Receiver<()>,
    patience: Patience,
) {
    let acceptor = encryption.map(TlsAcceptor::from);
    let room = Room::default();
    let mut connections = JoinSet::new();
    loop {
        let accepted = tokio::select! {
            // Only ever dropped.
            _ = told.changed() => break,
            accepted = listener.accept() => accepted,
        };
        // Those that ended take no memory any more.
        while connections.try_join_next().is_some() {}
        let (tcp, address) = match accepted {
            Ok(accepted) => accepted,
            Err(error) => {
                tracing::warn!(%error, "a connection to the pages could not be accepted");
                tokio::time::sleep(PAUSE_AFTER_FAILURE).await;
                continue;
            }
        };
        let Some(place) = room.take(address.ip()) else {
            tracing::debug!(%address, "no room for a connection to the pages");
            continue;
        };
        let served = Served {
            router: router.clone(),
            told: told.clone(),
            patience,
        };
        let acceptor = acceptor.clone();
        connections.spawn(async move {
            connection(tcp, address, (acceptor, &place), served).await;
            drop(place);
        });
    }
    drop(listener);
    let ended = async { while connections.join_next().await.is_some() {} };
    if tokio::time::timeout(DRAIN, ended).await.is_err() {
        tracing::warn!(drain = ?DRAIN, "requests to the pages were cut");
    }
}

/// What a connection is served with.
struct Served {
    router: Router,
    told: watch::Receiver<()>,
    patience: Patience,
}

async fn connection(
    tcp: TcpStream,
    address: SocketAddr,
    (acceptor, place): (Option<TlsAcceptor>, &Place),
    served: Served,
) {
    let patience = served.patience;
    // Small pieces of a page are not kept back; without it they only come later.
    let _ = tcp.set_nodelay(true);
    let Some(acceptor) = acceptor else {
        return requests(Patient::new(tcp, patience.write), address, served).await;
    };
    // Never closed.
    let Ok(shaking) = Arc::clone(&place.room.handshakes).acquire_owned().await else {
        return;
    };
    let shaken = tokio::time::timeout(patience.handshake, acceptor.accept(tcp)).await;
    drop(shaking);
    match shaken {
        Ok(Ok(tls)) => requests(Patient::new(tls, patience.write), address, served).await,
        Ok(Err(error)) => tracing::debug!(%address, %error, "a handshake with the pages failed"),
        Err(_) => tracing::debug!(%address, "a handshake with the pages took too long"),
    }
}

/// Answers the requests of one connection.
async fn requests<S: AsyncRead + AsyncWrite + Unpin + Send + 'static>(
    stream: Patient<S>,
    address: SocketAddr,
    served: Served,
) {
    let Served {
        router,
        mut told,
        patience,
    } = served;
    let mut builder = auto::Builder::new(TokioExecutor::new()).http1_only();
    builder
        .http1()
        .timer(TokioTimer::new())
        .header_read_timeout(patience.head)
        .max_buf_size(HEAD_BYTES_MAX);
    let router = router.layer(Extension(From(address.ip())));
    let serving = builder.serve_connection(TokioIo::new(stream), TowerToHyperService::new(router));
    tokio::pin!(serving);
    let ended = tokio::select! {
        ended = &mut serving => ended,
        _ = told.changed() => {
            serving.as_mut().graceful_shutdown();
            serving.await
        }
    };
    if let Err(error) = ended {
        tracing::debug!(%address, error = %error, "a connection to the pages ended");
    }
}

/// Room for connections: so many in all, and of one address.
#[derive(Clone, Debug)]
struct Room {
    taken: Arc<Mutex<BTreeMap<IpAddr, usize>>>,
    handshakes: Arc<Semaphore>,
}

/// The place of one connection; free again when dropped.
#[derive(Debug)]
struct Place {
    room: Room,
    address: IpAddr,
}

impl Default for Room {
    fn default() -> Self {
        Self {
            taken: Arc::default(),
            handshakes: Arc::new(Semaphore::new(HANDSHAKES_MAX)),
        }
    }
}

impl Room {
    fn take(&self, address: IpAddr) -> Option<Place> {
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        let all: usize = taken.values().sum();
        let there = taken.get(&address).copied().unwrap_or(0);
        if all >= CONNECTIONS_MAX || there >= CONNECTIONS_PER_ADDRESS_MAX {
            return None;
        }
        taken.insert(address, there + 1);
        Some(Place {
            room: self.clone(),
            address,
        })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut taken = self
            .room
            .taken
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        match taken.get_mut(&self.address) {
            Some(there) if *there > 1 => *there -= 1,
            Some(_) | None => drop(taken.remove(&self.address)),
        }
    }
}

/// A stream that ends when its reader takes nothing for too long.
struct Patient<S> {
    inner: S,
    patience: Duration,
    waits: Option<Pin<Box<Sleep>>>,
}

impl<S> Patient<S> {
    const fn new(inner: S, patience: Duration) -> Self {
        Self {
            inner,
            patience,
            waits: None,
        }
    }

    /// Starts to count when nothing was taken; stops when something was.
    fn counted<T>(
        &mut self,
        cx: &mut Context<'_>,
        polled: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if polled.is_ready() {
            self.waits = None;
            return polled;
        }
        let patience = self.patience;
        let waits = self
            .waits
            .get_or_insert_with(|| Box::pin(tokio::time::sleep(patience)));
        match waits.as_mut().poll(cx) {
            Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Patient<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_read(cx, buf)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Patient<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &[u8],
    ) -> Poll<io::Result<usize>> {
        let polled = Pin::new(&mut self.inner).poll_write(cx, buf);
        self.counted(cx, polled)
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let polled = Pin::new(&mut self.inner).poll_flush(cx);
        self.counted(cx, polled)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let polled = Pin::new(&mut self.inner).poll_shutdown(cx);
        self.counted(cx, polled)
    }
}
