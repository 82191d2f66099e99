//! `disagreements`: what stations, apart, recorded differently, and what settles it.

use clap::Args;
use sponson_proto::answer::v1::Question;
use sponson_show::dates;
use sponson_show::terminal::Exit;

use crate::error::CommandError;
use crate::session::Session;

/// List what stations recorded differently without knowing of each other, which counts until then,
/// and what settles it.
#[derive(Args, Debug)]
pub struct DisagreementsArgs {
    /// Number of one craft; all when not given.
    craft: Option<String>,
    /// As they stood at this moment instead of now, for example "2026-03-14 08:30".
    #[arg(long, value_name = "TIME")]
    as_of: Option<String>,
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
    let offset = catalogue.policy().utc_offset_min;
    let as_of = args.as_of.as_deref();
    let as_of = as_of.map(|text| dates::moment("--as-of", text, offset));
    let craft = match &args.craft {
        Some(name) => catalogue.asked(catalogue.craft(name)?),
        None => String::new(),
    };
    let question = Question {
        as_of_unix_ms: as_of.transpose()?.map(|moment| moment.0),
        craft,
        ..Question::default()
    };
    let reply = session.ask(question).await?;
    let shown = if args.json {
        &reply.disagreements_json
    } else {
        &reply.disagreements_text
    };
    session.terminal().result(shown)?;
    Ok(Exit::Fine)
}
