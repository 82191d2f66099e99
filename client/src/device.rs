//! One device's folder and how its local service is reached or kept up.

use std::path::{Path, PathBuf};

use sponson_link::local::{self, ConnectError, Local, Opening, SOCKET, Side};

use crate::error::CommandError;
use crate::settings::Places;
use crate::surroundings::Surroundings;

/// What is needed to open the folder of a device; its launch places are added by whoever has read
/// the settings.
#[must_use]
pub fn opening(places: &Places, side: Side, surroundings: &Surroundings) -> Opening {
    Opening {
        folder: places.data.clone(),
        side,
        clock: surroundings.clock.clone(),
        entropy: surroundings.entropy.clone(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        places: None,
    }
}

/// Reaches the local service of a folder: another process's, else this one's own.
///
/// # Errors
/// When nobody serves the folder and it cannot be opened.
pub async fn reach(opening: Opening) -> Result<Local, ConnectError> {
    local::connect(opening).await
}

/// The socket of a device's folder.
#[must_use]
pub fn socket(folder: &Path) -> PathBuf {
    folder.join(SOCKET)
}

/// Waits until this process is told to end: SIGTERM, or ctrl-c.
///
/// # Errors
/// When the system does not let signals be awaited.
pub async fn told_to_end() -> Result<(), CommandError> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut terminate = signal(SignalKind::terminate())?;
    tokio::select! {
        _ = terminate.recv() => Ok(()),
        interrupted = tokio::signal::ctrl_c() => Ok(interrupted?),
    }
}
