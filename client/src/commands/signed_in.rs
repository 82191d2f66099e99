//! `signed-in`: who is signed in at the pages, and showing them out.

use clap::Args;
use sponson_proto::event::v1::Role;
use sponson_proto::service::v1::{PageSession, SignedInRequest};
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::error::CommandError;
use crate::session::Session;

/// List who is signed in at the pages, or end sessions.
#[derive(Args, Debug)]
pub struct SignedInArgs {
    /// Session to end, as it is listed, or all of a member by number. May be given again.
    #[arg(long, value_name = "SESSION|MEMBER")]
    end: Vec<String>,
    /// End all sessions.
    #[arg(long, conflicts_with = "end")]
    end_all: bool,
}

/// Ends what is to be ended, then lists.
///
/// # Errors
/// When a name is not that of a session, or the service refuses.
pub async fn run(args: &SignedInArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let request = SignedInRequest {
        end: args.end.clone(),
        end_all: args.end_all,
    };
    let reply = session.service().signed_in(request).await?.into_inner();
    if args.end_all || !args.end.is_empty() {
        let line = format!("ended: {}", print::count(i64::from(reply.ended), "session"));
        session.terminal().result(&line)?;
    }
    let offset = session.catalogue().await?.policy().utc_offset_min;
    let lines: Vec<String> = reply.sessions.iter().map(|it| line(it, offset)).collect();
    let said = match lines.as_slice() {
        [] => "nobody is signed in".to_owned(),
        lines => lines.join("\n"),
    };
    session.terminal().result(&said)?;
    Ok(Exit::Fine)
}

fn line(session: &PageSession, offset: i32) -> String {
    let role = match session.role() {
        Role::Coordinator => "coordinator",
        Role::Lead => "lead",
        Role::Crew | Role::Unspecified | Role::Maintenance | Role::County | Role::Reader => "crew",
    };
    let local = |unix_ms| print::local(Moment(unix_ms), offset);
    format!(
        "{}  {}, {role}: since {}, last used {}, ends {} at the latest when not used",
        clean(&session.name),
        clean(&session.member),
        local(session.begun_unix_ms),
        local(session.used_unix_ms),
        local(session.ends_unix_ms),
    )
}
