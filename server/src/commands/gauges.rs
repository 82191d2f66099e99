//! `gauges`: as at a station, and for the lead by member number too.

use clap::Args;
use sponson_client::commands::gauges::{GaugesArgs, shown};
use sponson_client::session::Session;
use sponson_show::terminal::Exit;

use crate::error::CountyError;

/// Show gauge readings that are doubted: those that never move though the bay's temperature does, by
/// gauge and by crew shift, and gauges that read apart from the others.
#[derive(Args, Debug)]
pub struct CountyGaugesArgs {
    #[command(flatten)]
    shared: GaugesArgs,
    /// Tell it by member number too: to find out how a gauge is read, not to blame.
    #[arg(long)]
    members: bool,
}

/// Shows them.
///
/// # Errors
/// When a value cannot be, or the service refuses.
pub async fn run(args: &CountyGaugesArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    Ok(shown(&args.shared, args.members, session).await?)
}
