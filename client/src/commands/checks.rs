//! `checks`: checks under way on this device.

use clap::Args;
use sponson_proto::service::v1::{EndUnderWayRequest, UnderWayRequest};
use sponson_show::terminal::Exit;

use crate::error::CommandError;
use crate::session::Session;
use crate::under_way::words::in_a_line;

/// List the checks that are under way here: begun, and not recorded yet.
///
/// They stand beside the log on this device alone. What ended is listed for a day.
#[derive(Args, Debug)]
pub struct ChecksArgs {
    /// Drop a check by its name in the list: nothing of it is recorded.
    #[arg(long, value_name = "CHECK")]
    drop: Option<String>,
}

/// Lists them, or drops one.
///
/// # Errors
/// When there is none of that name, it ended, or the service fails.
pub async fn run(args: &ChecksArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let now = session.now_unix_ms();
    if let Some(id) = &args.drop {
        let request = EndUnderWayRequest {
            id: id.trim().to_owned(),
            member: session.member().to_owned(),
        };
        let ended = session.service().end_under_way(request).await?.into_inner();
        let line = in_a_line(&ended.check.unwrap_or_default(), now);
        session.terminal().result(&line)?;
        return Ok(Exit::Fine);
    }
    let request = UnderWayRequest::default();
    let reply = session.service().under_way(request).await?.into_inner();
    if reply.checks.is_empty() {
        session.terminal().result("no check is under way here")?;
    }
    for check in &reply.checks {
        session.terminal().result(&in_a_line(check, now))?;
    }
    Ok(Exit::Fine)
}
