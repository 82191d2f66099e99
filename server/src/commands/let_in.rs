//! `let-in`: makes a link that lets a member in to the county's pages.

use clap::{Args, ValueEnum};
use sponson_client::CommandError;
use sponson_client::session::Session;
use sponson_client::settings::{Places, Settings};
use sponson_proto::event::v1::Role;
use sponson_proto::service::v1::LetInRequest;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::error::CountyError;
use crate::pages::Wanted;

/// Make a link that lets a member in to the county's pages, once.
///
/// Give it to the member alone: whoever opens it first is taken for the member.
#[derive(Args, Debug)]
pub struct LetInArgs {
    /// Member number of whoever is let in.
    member: String,
    /// What the member may do there.
    #[arg(long, value_enum)]
    role: PageRoleWord,
    /// Hours for which the link works, at most 168.
    #[arg(long, default_value_t = 24, value_parser = clap::value_parser!(u32).range(1..=168))]
    hours: u32,
}

/// A role on the pages, as people name it.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum PageRoleWord {
    /// Reads.
    Crew,
    /// Also assigns and releases.
    Coordinator,
    /// Everything that the pages can do.
    Lead,
}

/// Makes the link.
///
/// # Errors
/// When the member cannot be one, or the service refuses.
pub async fn run(
    args: &LetInArgs,
    (settings, places): (&Settings, &Places),
    session: &mut Session<'_>,
) -> Result<Exit, CountyError> {
    let role = match args.role {
        PageRoleWord::Crew => Role::Crew,
        PageRoleWord::Coordinator => Role::Coordinator,
        PageRoleWord::Lead => Role::Lead,
    };
    let request = LetInRequest {
        member: args.member.trim().to_owned(),
        role: role.into(),
        hours: args.hours,
    };
    let reply = session.service().let_in(request).await;
    let reply = reply.map_err(CommandError::from)?.into_inner();
    let at = if reply.pages_at.is_empty() {
        session
            .terminal()
            .talk("note: the pages are not served now: start serve, then open the link")?;
        Wanted::of(None, settings, places)?
            .map_or_else(String::new, |wanted| wanted.url_when_served())
    } else {
        reply.pages_at
    };
    let offset = session.catalogue().await?.policy().utc_offset_min;
    let said = format!(
        "link for {}: {at}/enter/{}\nworks once, until {} {}",
        clean(&args.member),
        reply.code,
        print::local(Moment(reply.ends_unix_ms), offset),
        print::offset(offset),
    );
    session.terminal().result(&said)?;
    Ok(Exit::Fine)
}
