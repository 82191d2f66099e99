//! `decisions`: what the lead decided about faults that come again, and what became of it.

use clap::Args;
use sponson_proto::service::v1::DecisionsRequest;
use sponson_show::terminal::Exit;
use sponson_show::{clean, dates};

use crate::error::CommandError;
use crate::session::Session;

/// List what the lead decided about faults that come again: whether it was done, and whether the same
/// came again since.
#[derive(Args, Debug)]
pub struct DecisionsArgs {
    /// Ask about this moment instead of now, for example "2026-03-14 08:30".
    #[arg(long, value_name = "TIME")]
    as_of: Option<String>,
    /// Print them as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Lists them.
///
/// # Errors
/// When the time is none, or the service fails.
pub async fn run(args: &DecisionsArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let as_of = match &args.as_of {
        Some(text) => {
            let offset = session.catalogue().await?.policy().utc_offset_min;
            Some(dates::moment("--as-of", text, offset)?)
        }
        None => None,
    };
    let request = DecisionsRequest {
        as_of_unix_ms: as_of.map(|moment| moment.0),
    };
    let reply = session.service().decisions(request).await?.into_inner();
    for note in &reply.notes {
        session.terminal().talk(&format!("note: {}", clean(note)))?;
    }
    let shown = if args.json { &reply.json } else { &reply.text };
    session.terminal().result(shown)?;
    Ok(Exit::Fine)
}
