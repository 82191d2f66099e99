//! `let-in`: makes a link that lets a member in to the pages of a station, or of the county.

use clap::{Args, ValueEnum};
use sponson_proto::event::v1::Role;
use sponson_proto::service::v1::LetInRequest;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::svg::qr_in_blocks;
use sponson_show::terminal::{Attended, Exit};
use sponson_show::units::print;

use super::serve::wanted;
use crate::error::CommandError;
use crate::session::Session;
use crate::settings::{Places, Settings};

/// Make a link that lets a member in to this station's pages, once.
///
/// Give it to the member alone: whoever opens it first is taken for the member. At a terminal its
/// QR code is shown too, for a phone.
#[derive(Args, Debug)]
pub struct LetInArgs {
    /// Member number of whoever is let in.
    member: String,
    /// What the member may do there.
    #[arg(long, value_enum, default_value = "crew")]
    role: PageRoleWord,
    /// Hours for which the link works, at most 168.
    #[arg(long, default_value_t = 24, value_parser = clap::value_parser!(u32).range(1..=168))]
    hours: u32,
}

/// A role on the pages, as people name it.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum PageRoleWord {
    /// Reads; at a station also records.
    Crew,
    /// Also assigns and releases.
    Coordinator,
    /// Everything that the pages can do.
    Lead,
}

/// A link that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// The path behind the address of the pages.
    pub path: String,
    /// Where the pages are served now; empty when they are not.
    pub pages_at: String,
    /// Until when it works, in local time.
    pub until: String,
}

/// Makes a link.
///
/// # Errors
/// When the member cannot be one, or the service refuses.
pub async fn make(
    member: &str,
    role: PageRoleWord,
    hours: u32,
    session: &mut Session<'_>,
) -> Result<Link, CommandError> {
    let role = match role {
        PageRoleWord::Crew => Role::Crew,
        PageRoleWord::Coordinator => Role::Coordinator,
        PageRoleWord::Lead => Role::Lead,
    };
    let request = LetInRequest {
        member: member.trim().to_owned(),
        role: role.into(),
        hours,
    };
    let reply = session.service().let_in(request).await?.into_inner();
    let offset = session.catalogue().await?.policy().utc_offset_min;
    if reply.pages_at.is_empty() {
        session
            .terminal()
            .talk("note: the pages are not served now: start serve, then open the link")?;
    }
    Ok(Link {
        path: format!("/enter/{}", reply.code),
        pages_at: reply.pages_at,
        until: format!(
            "{} {}",
            print::local(Moment(reply.ends_unix_ms), offset),
            print::offset(offset)
        ),
    })
}

/// Tells of a link whose pages are at `at`.
///
/// # Errors
/// When the terminal cannot be written to.
pub fn tell(
    member: &str,
    at: &str,
    link: &Link,
    session: &mut Session<'_>,
) -> Result<(), CommandError> {
    let address = format!("{at}{}", link.path);
    let said = format!(
        "link for {}: {address}\nworks once, until {}",
        clean(member),
        link.until
    );
    session.terminal().result(&said)?;
    if session.terminal().attended() == Attended::Yes
        && let Some(code) = qr_in_blocks(&address)
    {
        session.terminal().talk(&code)?;
    }
    Ok(())
}

/// Makes the link.
///
/// # Errors
/// When the member cannot be one, or the service refuses.
pub async fn run(
    args: &LetInArgs,
    (settings, places): (&Settings, &Places),
    session: &mut Session<'_>,
) -> Result<Exit, CommandError> {
    let link = make(&args.member, args.role, args.hours, session).await?;
    let at = if link.pages_at.is_empty() {
        let wanted = wanted(None, places, settings)?;
        wanted.map_or_else(String::new, |wanted| wanted.url_when_served())
    } else {
        link.pages_at.clone()
    };
    tell(&args.member, &at, &link, session)?;
    Ok(Exit::Fine)
}
