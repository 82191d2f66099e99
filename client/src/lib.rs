//! The station: its commands, each a client of the local service, and its settings.
//!
//! [`run`] is the whole program; [`run_async`] is the same inside a runtime that is there already.
//! Nothing here is global, nothing ends the process, and clocks, random bytes and the terminal are
//! given. Commands that any copy of the log has ([`commands::log`], [`commands::verify`],
//! [`commands::about`], [`commands::carry`], [`commands::ready`]) serve the county's program too.

pub mod aboard;
mod arguments;
pub mod assigning;
mod beside;
pub mod catalogue;
pub mod check_file;
pub mod clock_words;
pub mod commands;
pub mod confirm;
pub mod corrects;
pub mod deciding;
pub mod describe;
pub mod device;
pub mod entries;
mod error;
pub mod filled;
pub mod lending;
pub mod near;
pub mod new_file;
pub mod pages;
pub mod paper;
pub mod pictures;
mod progress;
pub mod session;
pub mod settings;
pub mod surroundings;
pub mod taken_file;
mod text_beside;
pub mod times;
pub mod tracing_setup;
pub mod under_way;
pub mod web;

use std::ffi::OsString;

use clap::Parser as _;
use sponson_show::terminal::Exit;

pub use check_file::CheckFile;
pub use error::{CommandError, ServiceError};
pub use surroundings::Surroundings;

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
        Err(error) => surroundings.failed(&error),
    }
}
