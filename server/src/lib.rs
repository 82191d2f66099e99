//! The county: its commands, each a client of the local service, and the server that stations meet.
//!
//! [`run`] is the whole program; [`run_async`] is the same inside a runtime that is there already.
//! Commands that any copy of the log has come from the station's program. Nothing here is global
//! and nothing ends the process.

mod arguments;
pub mod backup;
pub mod bring_in;
mod clock_check;
pub mod commands;
pub mod devices;
mod error;
pub mod ground;
pub mod pages;

use std::ffi::OsString;

use clap::Parser as _;
use sponson_client::{Surroundings, surroundings};
use sponson_show::terminal::Exit;

pub use clock_check::ClockCheck;
pub use commands::serve::{CountyUp, serve_until};
pub use error::CountyError;

/// Runs one command and says how it ended. The first argument is the program's name.
pub fn run(args: impl IntoIterator<Item = OsString>, surroundings: &mut Surroundings) -> Exit {
    match surroundings::runtime() {
        Ok(runtime) => runtime.block_on(run_async(args, surroundings)),
        Err(error) => surroundings.failed(&error),
    }
}

/// Runs one command inside a runtime that is there already.
pub async fn run_async(
    args: impl IntoIterator<Item = OsString>,
    surroundings: &mut Surroundings,
) -> Exit {
    let parsed = match arguments::Cli::try_parse_from(args) {
        Ok(parsed) => parsed,
        Err(error) => return surroundings.not_parsed(&error),
    };
    match arguments::dispatch(&parsed, surroundings).await {
        Ok(exit) => exit,
        Err(error) => {
            let exit = error.exit();
            // When stderr is gone too there is nobody left to tell; the number says it.
            let _ = surroundings.terminal().talk(&error.to_string());
            exit
        }
    }
}
