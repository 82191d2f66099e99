//! The county's pages: answers, assignments and exports for people with a browser, on a listener
//! of their own.
//!
//! Two doors stand before every page (see `guard`): the request must name this server and, where it
//! changes anything, come from a page of ours; and beyond the county's own machine nothing is
//! readable without a session. What is shown is made elsewhere; what is true is asked through
//! [`sponson_link::local::pages`]; what is recorded is recorded by the commands.

use std::net::SocketAddr;
use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::{from_fn, from_fn_with_state};
use sponson_client::settings::Settings;
use sponson_link::local::Host;
use sponson_link::local::pages::Door;
use sponson_show::svg::Ground;
use tokio::net::TcpListener;
use tokio::sync::watch;

use crate::clock_check::ClockCheck;

pub mod at;
mod changes;
mod connections;
mod county;
mod craft;
mod enter;
mod exports;
mod files;
mod guard;
pub mod headers;
mod kit_moves;
mod light;
pub mod limits;
mod query;
mod record;
pub mod routes;
mod state;
mod tries;
mod visit;

pub use at::{PagesError, Wanted};

use at::{At, Encryption};
use state::Pages;

/// The pages of a county, bound to their address: whoever connects from now on waits for them.
#[derive(Debug)]
pub struct PagesUp {
    listener: TcpListener,
    address: SocketAddr,
    at: At,
    encryption: Option<Encryption>,
    door: Door,
    county: String,
    clock: ClockCheck,
    ground: Ground,
}

impl PagesUp {
    /// Binds the address; port 0 is any that is free.
    ///
    /// # Errors
    /// When the address cannot be listened at, or TLS cannot be set up.
    pub async fn begin(
        wanted: &Wanted,
        host: Host,
        settings: &Settings,
    ) -> Result<Self, PagesError> {
        let listen = |source| PagesError::Listen {
            address: wanted.address,
            source,
        };
        let ground = wanted.ground()?;
        let listener = TcpListener::bind(wanted.address).await.map_err(listen)?;
        let address = listener.local_addr().map_err(listen)?;
        let (at, encryption) = wanted.settle(address, &host.identity)?;
        let door = Door::of(host).ok_or(PagesError::NoCounty)?;
        let served_at = Some(at.url.clone());
        door.visitors().lock().await.serve_at(served_at);
        Ok(Self {
            listener,
            address,
            at,
            encryption,
            door,
            county: settings.name.clone().unwrap_or_else(|| "County".to_owned()),
            clock: ClockCheck::of(settings, false),
            ground,
        })
    }

    /// Where they listen.
    #[must_use]
    pub const fn address(&self) -> SocketAddr {
        self.address
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

    /// Serves until the sender of `told` is dropped, then drains within a bounded time.
    pub async fn serve(self, told: watch::Receiver<()>) {
        let encryption = self.encryption.map(|it| it.config);
        let pages = Pages::new(
            self.door,
            self.at,
            (self.county, self.clock, self.ground),
            told.clone(),
        );
        let pages = Arc::new(pages);
        let router = router(&pages);
        connections::serve(self.listener, encryption, router, told).await;
        pages.door.visitors().lock().await.serve_at(None);
    }
}

/// All routes, behind the layers; the last one is the outermost.
fn router(pages: &Arc<Pages>) -> Router {
    routes::router()
        .fallback(exports::nothing)
        .layer(DefaultBodyLimit::max(limits::BODY_BYTES_MAX))
        .layer(from_fn_with_state(Arc::clone(pages), guard::guard))
        .layer(from_fn_with_state(Arc::clone(pages), guard::bounded))
        .layer(from_fn(headers::add))
        .with_state(Arc::clone(pages))
}
