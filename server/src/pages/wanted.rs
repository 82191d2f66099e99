//! Where the county's pages are to be served, and what lies beneath its map.

use std::net::SocketAddr;
use std::path::PathBuf;

use sponson_client::settings::{Places, Settings};
use sponson_client::web::at::{self, AtError};
use sponson_show::svg::Ground;

use crate::ground::{self, GroundError};

/// Where the pages are when nothing else is said: this machine alone.
const USUAL_PORT: u16 = 7342;

/// Why the pages are not served as was asked.
#[derive(Debug, thiserror::Error)]
pub enum PagesError {
    /// The address, a name or TLS.
    #[error(transparent)]
    At(#[from] AtError),
    /// The map file cannot be what it says.
    #[error("map: {0}")]
    Map(#[from] GroundError),
}

/// Where the pages are to be served, as the settings and the command line say.
#[derive(Clone, Debug)]
pub struct Wanted {
    pub(super) at: at::Wanted,
    map: Option<PathBuf>,
}

impl Wanted {
    /// Reads what was asked; none when no pages are wanted.
    ///
    /// # Errors
    /// When it cannot be, or would be readable from elsewhere without TLS.
    pub fn of(
        said: Option<&str>,
        settings: &Settings,
        places: &Places,
    ) -> Result<Option<Self>, PagesError> {
        let usual = SocketAddr::from(([127, 0, 0, 1], USUAL_PORT));
        let at = at::Wanted::of(said, settings, places, usual)?;
        Ok(at.map(|at| Self {
            at,
            map: settings.map.as_ref().map(|map| places.beside(map)),
        }))
    }

    /// This machine alone, at the usual port.
    #[must_use]
    pub fn usual() -> Self {
        Self::here(USUAL_PORT)
    }

    /// This machine alone, at any port that is free.
    #[must_use]
    pub fn any_port() -> Self {
        Self::here(0)
    }

    fn here(port: u16) -> Self {
        Self {
            at: at::Wanted::here(port),
            map: None,
        }
    }

    /// The same with a map file beneath the stations.
    #[must_use]
    pub fn with_map(self, file: PathBuf) -> Self {
        Self {
            map: Some(file),
            ..self
        }
    }

    /// The address of the pages as a browser writes it, once they are served here.
    #[must_use]
    pub fn url_when_served(&self) -> String {
        self.at.url_when_served()
    }

    /// The county's own water, roads and boundary; nothing where no file is set.
    pub(super) fn ground(&self) -> Result<Ground, PagesError> {
        let read = self.map.as_deref().map(ground::read).transpose()?;
        Ok(read.unwrap_or_default())
    }
}
