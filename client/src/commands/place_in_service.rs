//! `place-in-service`: the list from delivered to ready.

use clap::Args;
use sponson_proto::answer::v1::Question;
use sponson_show::terminal::Exit;

use crate::error::CommandError;
use crate::session::Session;

/// Show the steps that take a craft from delivered to ready, in the order in which they are done,
/// each ticked off by the entry that proves it.
///
/// Ends with 1 while a step is open. Advice only: local procedure, the maker's manual and the person
/// in charge decide.
#[derive(Args, Debug)]
pub struct PlaceInServiceArgs {
    /// Number of the craft.
    craft: String,
    /// Print the list as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Answers.
///
/// # Errors
/// When the craft is not known, or the service refuses.
pub async fn run(
    args: &PlaceInServiceArgs,
    session: &mut Session<'_>,
) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.asked(catalogue.craft(&args.craft)?);
    let question = Question {
        craft,
        ..Question::default()
    };
    let reply = session.ask(question).await?;
    let shown = if args.json {
        &reply.in_service_json
    } else {
        &reply.in_service_text
    };
    session.terminal().result(shown)?;
    let open = reply
        .in_service_text
        .lines()
        .any(|line| line.starts_with("[ ]"));
    Ok(if open { Exit::Judged } else { Exit::Fine })
}
