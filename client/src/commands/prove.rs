//! `prove`: writes a file that shows anybody that the county stored an event.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use sponson_proto::service::v1::ProveRequest;
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::catalogue::short_event;
use crate::error::CommandError;
use crate::new_file::{NewFile, Readers};
use crate::session::Session;

/// Write a proof that the county stored an event, for somebody who has no copy of the log.
///
/// Whoever gets the file checks it with `sponson verify --proof`, on any machine.
#[derive(Args, Debug)]
pub struct ProveArgs {
    /// The event, by its short name in log.
    pub event: String,
    /// File to write; it must not be there yet. Named after the event when not given.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// Proves.
///
/// # Errors
/// When the county did not confirm the event, or the file cannot be written.
pub async fn run(args: &ProveArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let request = ProveRequest {
        event: args.event.clone(),
    };
    let reply = session.service().prove(request).await?.into_inner();
    let named = || PathBuf::from(format!("{}.proof", short_event(&reply.event_id)));
    let file = args.out.clone().unwrap_or_else(named);
    write_new(&file, &reply.file)?;
    let line = format!(
        "proof of event {} written to {}",
        short_event(&reply.event_id),
        clean(&file.display().to_string())
    );
    session.terminal().result(&line)?;
    Ok(Exit::Fine)
}

/// Writes a file that is not there yet.
///
/// # Errors
/// When it is there, or cannot be written.
pub fn write_new(file: &Path, bytes: &[u8]) -> Result<(), CommandError> {
    let new = NewFile::begin(file, Readers::Anybody)?;
    new.written(new.file().write_all(bytes))?;
    new.name()
}
