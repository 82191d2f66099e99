//! `due`: what is past due across the county.

use clap::Args;
use sponson_proto::answer::v1::Overdue;
use sponson_show::table::columns;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::commands::ready::When;
use crate::error::CommandError;
use crate::session::Session;

/// Show inspections and dates past due, the longest overdue first. Ends with 1 when there are any.
#[derive(Args, Debug)]
pub struct DueArgs {
    #[command(flatten)]
    when: When,
    /// Print the whole answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Lists what is past due.
///
/// # Errors
/// When the service refuses.
pub async fn run(args: &DueArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let question = args.when.question(&catalogue)?;
    let reply = session.ask(question).await?;
    let overdue = reply
        .answer
        .map(|answer| answer.overdue)
        .unwrap_or_default();
    let text = if args.json {
        reply.json
    } else if overdue.is_empty() {
        "nothing is past due".to_owned()
    } else {
        let rows: Vec<Vec<String>> = overdue.iter().map(row).collect();
        columns(&["craft", "what", "was due", "over by", "makes it"], &rows)
    };
    session.terminal().result(&text)?;
    Ok(if overdue.is_empty() {
        Exit::Fine
    } else {
        Exit::Judged
    })
}

fn row(overdue: &Overdue) -> Vec<String> {
    let due = if overdue.due.is_empty() {
        "never done"
    } else {
        &overdue.due
    };
    let over = match (overdue.days_over, overdue.engine_s_over) {
        (_, Some(engine_s)) => print::engine(engine_s),
        (Some(days), None) => print::count(days, "day"),
        (None, None) => String::new(),
    };
    vec![
        overdue.craft.clone(),
        overdue.label.clone(),
        due.to_owned(),
        over,
        overdue.effect.replace('_', " "),
    ]
}
