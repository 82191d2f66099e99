//! `gauges`: readings that are doubted, and gauges that read apart.

use clap::Args;
use sponson_proto::service::v1::GaugesRequest;
use sponson_show::dates;
use sponson_show::terminal::Exit;

use crate::error::CommandError;
use crate::session::Session;

/// Show gauge readings that are doubted: those that never move though the bay's temperature does, by
/// gauge and by crew shift, and gauges that read apart from the others. Nobody is named.
#[derive(Args, Debug)]
pub struct GaugesArgs {
    /// Look back from this moment instead of now, for example "2026-03-14 08:30".
    #[arg(long, value_name = "TIME")]
    as_of: Option<String>,
    /// Print it as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Shows them.
///
/// # Errors
/// When a value cannot be, or the service refuses.
pub async fn run(args: &GaugesArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    shown(args, false, session).await
}

/// The same, by member number too where `members` says so: at the county alone.
///
/// # Errors
/// When a value cannot be, or the service refuses.
pub async fn shown(
    args: &GaugesArgs,
    members: bool,
    session: &mut Session<'_>,
) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let offset = catalogue.policy().utc_offset_min;
    let as_of = args.as_of.as_deref();
    let as_of = as_of.map(|text| dates::moment("--as-of", text, offset));
    let request = GaugesRequest {
        as_of_unix_ms: as_of.transpose()?.map(|moment| moment.0),
        members,
    };
    let reply = session.gauges(request).await?;
    let shown = if args.json { &reply.json } else { &reply.text };
    session.terminal().result(shown)?;
    Ok(Exit::Fine)
}
