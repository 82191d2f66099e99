//! `let-in`: makes a link that lets a member in to the county's pages.

use clap::Args;
use sponson_client::commands::let_in::{self, PageRoleWord};
use sponson_client::session::Session;
use sponson_client::settings::{Places, Settings};
use sponson_show::terminal::Exit;

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

/// Makes the link.
///
/// # Errors
/// When the member cannot be one, or the service refuses.
pub async fn run(
    args: &LetInArgs,
    (settings, places): (&Settings, &Places),
    session: &mut Session<'_>,
) -> Result<Exit, CountyError> {
    let link = let_in::make(&args.member, args.role, args.hours, session).await?;
    let at = if link.pages_at.is_empty() {
        let wanted = Wanted::of(None, settings, places)?;
        wanted.map_or_else(String::new, |wanted| wanted.url_when_served())
    } else {
        link.pages_at.clone()
    };
    let_in::tell(&args.member, &at, &link, session)?;
    Ok(Exit::Fine)
}
