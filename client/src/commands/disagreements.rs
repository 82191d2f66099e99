//! `disagreements`: what stations, apart, recorded differently, and what settles it.

use clap::Args;
use sponson_show::terminal::Exit;

use super::ready::When;
use crate::error::CommandError;
use crate::session::Session;

/// List what stations recorded differently without knowing of each other, which counts until then,
/// and what settles it.
#[derive(Args, Debug)]
pub struct DisagreementsArgs {
    /// Number of one craft; all when not given.
    craft: Option<String>,
    /// Moment, and what was known.
    #[command(flatten)]
    when: When,
    /// Print them as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Lists the open disagreements.
///
/// # Errors
/// When a value cannot be, a name is not known, or the service refuses.
pub async fn run(
    args: &DisagreementsArgs,
    session: &mut Session<'_>,
) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let mut question = args.when.question(&catalogue)?;
    if let Some(name) = &args.craft {
        question.craft = catalogue.asked(catalogue.craft(name)?);
    }
    let reply = session.ask(question).await?;
    let shown = if args.json {
        &reply.disagreements_json
    } else {
        &reply.disagreements_text
    };
    session.terminal().result(shown)?;
    Ok(Exit::Fine)
}
