//! The local service: every command is a client of it.
//!
//! When another process serves the folder, a command dials its Unix socket; else it opens the
//! replica in its own process and talks to it over a pipe in memory. The same service either way.

use std::sync::Arc;

use tokio::sync::Mutex;

use crate::county::CountyServer;
use crate::county::codes::Codes;
use crate::county::visitors::Visitors;
use crate::identity::Identity;
use crate::shared::Shared;
use crate::station::CountyAt;

mod answers;
mod begun;
pub mod by_itself;
mod carry;
mod codes;
mod craft_record;
mod notes;
mod opening;
pub mod pages;
mod pictures;
mod prove;
mod read;
mod registry;
mod scrub;
mod serve;
mod service;
mod syncing;
mod trying;
pub mod under_way;
mod visitors;

pub use notes::{of as notes, served as served_notes};
pub use opening::{ConnectError, Local, Opening, PHOTOS_FOLDER, Side, connect, within};
pub use pictures::PictureOf;
pub use serve::{Listening, ServeError, serve};
pub use trying::{AskedLine, FigureLine, TriedTold, aboard_of};
pub use visitors::MEMBER_BYTES_MAX;

/// Name of the socket in a device's folder.
pub const SOCKET: &str = "socket";

/// What the local service of a process serves.
#[derive(Clone, Debug)]
pub struct Host {
    /// The replica.
    pub shared: Shared,
    /// The device's keys.
    pub identity: Arc<Identity>,
    /// What the replica is beside its log.
    pub role: HostRole,
    /// Version of the program, for people.
    pub version: String,
}

impl Host {
    /// At the county: its server, which shares everything with this service.
    #[must_use]
    pub fn county_server(&self) -> Option<CountyServer> {
        match &self.role {
            HostRole::County { codes, .. } => Some(CountyServer::new(
                self.shared.clone(),
                Arc::clone(&self.identity),
                Arc::clone(codes),
            )),
            HostRole::Station { .. } => None,
        }
    }
}

impl HostRole {
    /// Who may use the pages.
    #[must_use]
    pub const fn visitors(&self) -> &Arc<Mutex<Visitors>> {
        match self {
            Self::County { visitors, .. } | Self::Station { visitors, .. } => visitors,
        }
    }
}

/// What differs between the county and a station.
#[derive(Clone, Debug)]
pub enum HostRole {
    /// The county gives codes, and lets people in to its pages.
    County {
        /// Shared with the county's server.
        codes: Arc<Mutex<Codes>>,
        /// Shared with the county's pages.
        visitors: Arc<Mutex<Visitors>>,
    },
    /// A station syncs.
    Station {
        /// With this county.
        county: CountyAt,
        /// Shared with the station's pages.
        visitors: Arc<Mutex<Visitors>>,
    },
}
