//! A station's pages: checks, faults and everything else at the station, for a crew with a browser,
//! on a listener of their own.
//!
//! The door before them is that of all pages (`web`). What is shown is made in `show`; what is true
//! is asked of the log; what is recorded is recorded as the commands do it.

use std::net::SocketAddr;
use std::sync::Arc;

use sponson_link::local::Host;
use sponson_link::local::pages::Door;
use sponson_link::refusal::Refusal;
use sponson_readiness::standard::StationNetwork;
use tokio::sync::watch;

use crate::catalogue::Catalogue;
use crate::settings::Settings;
use crate::web::at::{AtError, Reach, Wanted};
use crate::web::{self, Bound};

mod coming;
mod craft;
mod files;
mod home;
mod let_in;
mod paper;
mod pictures;
mod record;
mod round;
pub mod routes;
mod state;
mod sync;
mod who;
mod work;

use state::Pages;

/// Where the pages are when nothing else is said: this machine alone.
pub const USUAL_PORT: u16 = 7343;

/// Greatest body where a route has no limit of its own: a whole check of 300 fields of 200 bytes.
const BODY_BYTES_MAX: usize = 64 * 1024;

/// Why the pages are not served as was asked.
#[derive(Debug, thiserror::Error)]
pub enum PagesError {
    /// The address, a name or TLS.
    #[error(transparent)]
    At(#[from] AtError),
    /// The policy keeps them to this machine.
    #[error(
        "--pages is {0}, which can be reached from elsewhere, and the policy in force says [pages] station_network = \"no\": serve at 127.0.0.1:{USUAL_PORT}, or ask the lead to sign a policy with \"yes\""
    )]
    NotAllowed(SocketAddr),
    /// The log refused.
    #[error("{}: {}", .0.what(), .0.to_do())]
    Refused(Refusal),
}

/// The pages of a station, bound to their address: whoever connects from now on waits for them.
#[derive(Debug)]
pub struct PagesUp {
    bound: Bound,
    county: String,
}

impl PagesUp {
    /// Binds the address; port 0 is any that is free.
    ///
    /// # Errors
    /// When the policy does not allow it, the address cannot be listened at, or TLS cannot be set
    /// up.
    pub async fn begin(
        wanted: &Wanted,
        host: Host,
        settings: &Settings,
    ) -> Result<Self, PagesError> {
        let door = Door::of(host.clone());
        if !wanted.address.ip().is_loopback() && !network_allowed(&door).await? {
            return Err(PagesError::NotAllowed(wanted.address));
        }
        Ok(Self {
            bound: Bound::begin(wanted, host).await?,
            county: settings.name.clone().unwrap_or_else(|| "County".to_owned()),
        })
    }

    /// Where they listen.
    #[must_use]
    pub const fn address(&self) -> SocketAddr {
        self.bound.address()
    }

    /// What to tell whoever started them, a line each.
    #[must_use]
    pub fn said(&self) -> Vec<String> {
        self.bound.said()
    }

    /// Serves until the sender of `told` is dropped, or the policy keeps them to this machine again;
    /// then drains within a bounded time.
    pub async fn serve(self, told: watch::Receiver<()>) {
        let (tell, told_pages) = watch::channel(());
        let (door, reach) = (self.bound.door().clone(), self.bound.at().reach);
        let pages = Pages::new(&self.bound, self.county, told_pages.clone());
        let pages = Arc::new(pages);
        let front = Arc::clone(&pages.front);
        let routes = routes::router().fallback(files::nothing);
        let router = web::behind(&front, routes, BODY_BYTES_MAX, pages);
        let ending = async {
            to_end(&door, reach, told).await;
            drop(tell);
        };
        tokio::join!(self.bound.serve(front, router, told_pages), ending);
    }
}

/// Waits until the pages are to end.
async fn to_end(door: &Door, reach: Reach, mut told: watch::Receiver<()>) {
    let mut changes = door.changes();
    loop {
        if reach == Reach::Network && !network_allowed(door).await.unwrap_or(false) {
            tracing::warn!("the policy keeps the pages to this machine: they end");
            return;
        }
        tokio::select! {
            // Only ever dropped.
            _ = told.changed() => return,
            changed = changes.changed() => if changed.is_err() { return },
        }
    }
}

/// Whether the policy in force lets a station serve its pages beyond its own machine.
async fn network_allowed(door: &Door) -> Result<bool, PagesError> {
    let reply = door.catalogue().await.map_err(PagesError::Refused)?;
    let catalogue = Catalogue::new(reply);
    Ok(match catalogue.policy().pages.station_network {
        StationNetwork::Yes => true,
        StationNetwork::No => false,
    })
}
