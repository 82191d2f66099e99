//! Pages that are bound to their address: whoever connects from now on waits for them.

use std::net::SocketAddr;
use std::sync::Arc;

use axum::Router;
use sponson_link::local::Host;
use sponson_link::local::pages::Door;
use tokio::net::TcpListener;
use tokio::sync::watch;

use super::at::{At, AtError, Encryption, Wanted};
use super::limits::Patience;
use super::{Front, connections};

/// A listener of pages, and what is needed to serve them.
#[derive(Debug)]
pub struct Bound {
    listener: TcpListener,
    address: SocketAddr,
    at: At,
    encryption: Option<Encryption>,
    door: Door,
}

impl Bound {
    /// Binds the address; port 0 is any that is free.
    ///
    /// # Errors
    /// When the address cannot be listened at, or TLS cannot be set up.
    pub async fn begin(wanted: &Wanted, host: Host) -> Result<Self, AtError> {
        let listen = |source| AtError::Listen {
            address: wanted.address,
            source,
        };
        let listener = TcpListener::bind(wanted.address).await.map_err(listen)?;
        let address = listener.local_addr().map_err(listen)?;
        let (at, encryption) = wanted.settle(address, &host.identity)?;
        let door = Door::of(host);
        let served_at = Some(at.url.clone());
        door.visitors().lock().await.serve_at(served_at);
        Ok(Self {
            listener,
            address,
            at,
            encryption,
            door,
        })
    }

    /// Where they listen.
    #[must_use]
    pub const fn address(&self) -> SocketAddr {
        self.address
    }

    /// Where they are served.
    #[must_use]
    pub const fn at(&self) -> &At {
        &self.at
    }

    /// The door behind them.
    #[must_use]
    pub const fn door(&self) -> &Door {
        &self.door
    }

    /// What to tell whoever started them, a line each.
    #[must_use]
    pub fn said(&self) -> Vec<String> {
        let mut lines = vec![format!("pages at {}/", self.at.url)];
        let print = self.encryption.as_ref();
        if let Some(print) = print.and_then(|it| it.fingerprint.as_ref()) {
            lines.push(format!("their certificate, SHA-256: {print}"));
        }
        lines
    }

    /// Serves routes that stand behind `front` until the sender of `told` is dropped, then drains
    /// within a bounded time.
    pub async fn serve(self, front: Arc<Front>, router: Router, told: watch::Receiver<()>) {
        let encryption = self.encryption.map(|it| it.config);
        let patience = Patience::default();
        connections::serve(self.listener, encryption, router, told, patience).await;
        front.door.visitors().lock().await.serve_at(None);
    }
}
