//! Serving the local service: on a Unix socket, or on one pipe.

use std::io;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};

use tokio::io::DuplexStream;
use tokio::net::UnixListener;
use tokio::sync::oneshot;
use tokio_stream::wrappers::UnixListenerStream;
use tonic::transport::Server;
use tonic::transport::server::Router;

use super::Host;
use super::scrub::scrub;
use super::service::LocalService;
use super::under_way;
use crate::limits::{DRAIN, LOCAL_MESSAGE_BYTES_MAX, STREAMS_MAX};
use crate::stubs::service::local_server::LocalServer;

/// Why the local service did not run.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The socket could not be made.
    #[error("cannot listen at {path}: {source}; a socket's path may have at most 107 bytes")]
    Socket {
        /// The socket.
        path: PathBuf,
        /// The system's words.
        source: io::Error,
    },
    /// Serving failed.
    #[error("the local service ended: {0}")]
    Transport(#[from] tonic::transport::Error),
}

/// The socket of a folder, at which commands can connect from now on.
#[derive(Debug)]
pub struct Listening {
    listener: UnixListener,
    socket: PathBuf,
}

impl Listening {
    /// Begins to listen. Whoever calls holds the store, so a socket that is there already was left
    /// over by a process that ended. To be called within a runtime.
    ///
    /// # Errors
    /// When the socket cannot be made.
    pub fn begin(socket: PathBuf) -> Result<Self, ServeError> {
        match listen(&socket) {
            Ok(listener) => Ok(Self { listener, socket }),
            Err(source) => Err(ServeError::Socket {
                path: socket,
                source,
            }),
        }
    }

    /// The socket.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.socket
    }
}

/// Serves on a Unix socket until `shutdown`.
///
/// # Errors
/// When the listener fails.
pub async fn serve(
    host: Host,
    listening: Listening,
    shutdown: impl Future<Output = ()> + Send,
) -> Result<(), ServeError> {
    let Listening { listener, socket } = listening;
    let scrubbing = tokio::spawn(scrub(host.shared.clone()));
    tokio::spawn(under_way::go_on(host.shared.clone()));
    let (stop, stopped) = oneshot::channel::<()>();
    let serving =
        router(host).serve_with_incoming_shutdown(UnixListenerStream::new(listener), async {
            // A dropped sender stops as well.
            let _ = stopped.await;
        });
    tokio::pin!(serving, shutdown);
    let ended = tokio::select! {
        ended = &mut serving => ended,
        () = &mut shutdown => {
            // Gone before the drain: who comes now opens the folder or waits for it.
            remove(&socket);
            drop(stop);
            match tokio::time::timeout(DRAIN, serving).await {
                Ok(ended) => ended,
                Err(_) => Ok(()),
            }
        }
    };
    scrubbing.abort();
    remove(&socket);
    Ok(ended?)
}

/// Serves one pipe until the other end of it is closed.
pub(super) async fn pipe(host: Host, pipe: DuplexStream) {
    let streams = tokio_stream::once(Ok::<_, io::Error>(pipe));
    // Returns at once; the connection goes on in a task of its own.
    if let Err(error) = router(host).serve_with_incoming(streams).await {
        tracing::error!(%error, "the local service ended");
    }
}

fn router(host: Host) -> Router {
    let service = LocalServer::new(LocalService::new(host))
        .max_decoding_message_size(LOCAL_MESSAGE_BYTES_MAX)
        .max_encoding_message_size(LOCAL_MESSAGE_BYTES_MAX);
    Server::builder()
        .max_concurrent_streams(STREAMS_MAX)
        .add_service(service)
}

/// Listens for this user only. The socket gets its name once its mode is set.
fn listen(socket: &Path) -> io::Result<UnixListener> {
    let beside = socket.with_extension("new");
    match std::fs::remove_file(&beside) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
        Ok(()) | Err(_) => {}
    }
    let listener = UnixListener::bind(&beside)?;
    std::fs::set_permissions(&beside, std::fs::Permissions::from_mode(0o600))?;
    std::fs::rename(&beside, socket)?;
    Ok(listener)
}

fn remove(socket: &Path) {
    if let Err(error) = std::fs::remove_file(socket)
        && error.kind() != io::ErrorKind::NotFound
    {
        tracing::warn!(%error, socket = %socket.display(), "the socket was left over");
    }
}
