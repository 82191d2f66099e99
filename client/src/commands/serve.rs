//! `serve`: keeps the local service up.

use clap::Args;
use sponson_link::local::{self, Listening};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::device::{opening, socket, told_to_end};
use crate::error::CommandError;
use crate::settings::{Places, Settings};
use crate::surroundings::Surroundings;

/// Keep the local service up until told to end. Other commands then go through it.
#[derive(Args, Debug)]
pub struct ServeArgs {}

/// Serves until SIGTERM or ctrl-c.
///
/// # Errors
/// When the folder cannot be opened or the socket cannot be made.
pub async fn run(
    _args: &ServeArgs,
    places: &Places,
    settings: &Settings,
    surroundings: &mut Surroundings,
) -> Result<Exit, CommandError> {
    let until = async {
        if let Err(error) = told_to_end().await {
            tracing::error!(%error, "signals cannot be awaited: ending");
        }
    };
    serve_until(places, settings, surroundings, until).await?;
    Ok(Exit::Fine)
}

/// Serves the folder of a station until `shutdown`.
///
/// # Errors
/// When the folder cannot be opened or the socket cannot be made.
pub async fn serve_until(
    places: &Places,
    settings: &Settings,
    surroundings: &mut Surroundings,
    shutdown: impl Future<Output = ()> + Send,
) -> Result<(), CommandError> {
    let side = settings.station_side()?;
    let opening = opening(places, side, surroundings).with_places(settings.launch_places(places));
    let host = opening.host().await?;
    let shared = host.shared.clone();
    let socket = socket(&places.data);
    let listening = Listening::begin(socket.clone())?;
    let line = format!("serving {}", clean(&socket.display().to_string()));
    surroundings.terminal().talk(&line)?;
    tracing::info!(socket.path = %socket.display(), "local service up");
    let ended = local::serve(host, listening, shutdown).await;
    shared.close().await;
    Ok(ended?)
}
