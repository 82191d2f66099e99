//! The county's pages: answers, assignments and exports for people with a browser, on a listener
//! of their own.
//!
//! Two doors stand before every page (see `guard`): the request must name this server and, where it
//! changes anything, come from a page of ours; and beyond the county's own machine nothing is
//! readable without a session. What is shown is made elsewhere; what is true is asked through
//! [`sponson_link::local::pages`]; what is recorded is recorded by the commands.

use std::net::SocketAddr;
use std::sync::Arc;

use sponson_client::settings::Settings;
use sponson_client::web::{self, Bound};
use sponson_link::local::Host;
use sponson_show::svg::Ground;
use tokio::sync::watch;

use crate::clock_check::ClockCheck;

mod county;
mod craft;
mod craft_record;
mod due;
mod exports;
mod faults;
mod gauges;
mod kit_moves;
mod query;
mod record;
pub mod routes;
mod state;
mod wanted;

pub use wanted::{PagesError, Wanted};

use state::Pages;

/// Greatest body: an incident, why, and a question.
const BODY_BYTES_MAX: usize = 16 * 1024;

/// The pages of a county, bound to their address: whoever connects from now on waits for them.
#[derive(Debug)]
pub struct PagesUp {
    bound: Bound,
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
        let ground = wanted.ground()?;
        Ok(Self {
            bound: Bound::begin(&wanted.at, host).await?,
            county: settings.name.clone().unwrap_or_else(|| "County".to_owned()),
            clock: ClockCheck::of(settings, false),
            ground,
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

    /// Serves until the sender of `told` is dropped, then drains within a bounded time.
    pub async fn serve(self, told: watch::Receiver<()>) {
        let pages = Pages::new(
            &self.bound,
            (self.county, self.clock, self.ground),
            told.clone(),
        );
        let pages = Arc::new(pages);
        let front = Arc::clone(&pages.front);
        let routes = routes::router().fallback(exports::nothing);
        let router = web::behind(&front, routes, BODY_BYTES_MAX, pages);
        self.bound.serve(front, router, told).await;
    }
}
