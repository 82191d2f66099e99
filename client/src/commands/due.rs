//! `due`: what is past due across the county, and what comes due.

use std::path::{Path, PathBuf};

use clap::Args;
use sponson_proto::answer::v1::Overdue;
use sponson_proto::service::v1::{AskReply, AskRequest};
use sponson_show::ahead::Show;
use sponson_show::table::columns;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::commands::prove::write_new;
use crate::commands::ready::When;
use crate::error::CommandError;
use crate::session::Session;

mod ahead;

pub use self::ahead::Ahead;

/// Show inspections and dates past due, the longest overdue first; or what comes due.
///
/// Without --ahead, --visits, --shelf and --late it lists what is past due, and ends with 1 when
/// there is anything. Nothing is recorded.
#[derive(Args, Debug)]
pub struct DueArgs {
    #[command(flatten)]
    when: When,
    #[command(flatten)]
    ahead: Ahead,
    /// The days on which the due work of each station is done together, with what to bring.
    #[arg(long, group = "what")]
    visits: bool,
    /// What must be on the shelf by when, what is there, and what to order by when.
    #[arg(long, group = "what")]
    shelf: bool,
    /// What was done late and how late, and how much was done in time.
    #[arg(long, group = "what", conflicts_with_all = ["ahead", "ics"])]
    late: bool,
    /// Also write the list to this file for a spreadsheet.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Also write the visits to this file for a calendar program (iCalendar).
    #[arg(long, value_name = "FILE", conflicts_with = "shelf")]
    ics: Option<PathBuf>,
    /// With --ics: an event for each thing that comes due, not for each visit.
    #[arg(long, requires = "ics")]
    each: bool,
    /// Print the whole answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl DueArgs {
    /// What of it is told; none when only what is past due is asked for.
    fn show(&self) -> Option<Show> {
        let chosen = [
            (self.visits, Show::Visits),
            (self.shelf, Show::Shelf),
            (self.late, Show::Late),
            (self.ahead.is_given() || self.ics.is_some(), Show::Due),
        ];
        let mut chosen = chosen.into_iter();
        chosen.find(|(is, _)| *is).map(|(_, show)| show)
    }
}

/// Lists what is past due, or what comes due.
///
/// # Errors
/// When a value cannot be, a name is not known, a file cannot be written, or the service refuses.
pub async fn run(args: &DueArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    match args.show() {
        Some(show) => coming(args, show, session).await,
        None => past_due(args, session).await,
    }
}

/// What comes due, or was done late; it judges nothing.
async fn coming(
    args: &DueArgs,
    show: Show,
    session: &mut Session<'_>,
) -> Result<Exit, CommandError> {
    if let Some(known_by) = &args.when.known_by {
        return Err(CommandError::Argument {
            field: "--known-by",
            value: sponson_show::clean(known_by),
            limit: "it goes with what is past due alone: leave it out, or choose the moment by \
                    --as-of"
                .to_owned(),
        });
    }
    let catalogue = session.catalogue().await?;
    let mut request = args.ahead.request(&catalogue)?;
    request.as_of_unix_ms = args.when.question(&catalogue)?.as_of_unix_ms;
    show.id().clone_into(&mut request.show);
    (request.text, request.json) = (!args.json, args.json);
    (request.csv, request.calendar) = (args.csv.is_some(), args.ics.is_some());
    request.each = args.each;
    let reply = session.ahead(request).await?;
    let shown = if args.json { &reply.json } else { &reply.text };
    session.terminal().result(shown)?;
    for (file, text) in [(&args.csv, &reply.csv), (&args.ics, &reply.calendar)] {
        written(file.as_deref(), text, session)?;
    }
    Ok(Exit::Fine)
}

/// Writes a file that was asked for, and says so.
fn written(file: Option<&Path>, text: &str, session: &mut Session<'_>) -> Result<(), CommandError> {
    let Some(file) = file else {
        return Ok(());
    };
    write_new(file, text.as_bytes())?;
    let name = sponson_show::clean(&file.display().to_string());
    Ok(session.terminal().talk(&format!("wrote {name}"))?)
}

async fn past_due(args: &DueArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let question = args.when.question(&catalogue)?;
    let request = AskRequest {
        question: Some(question),
        csv: args.csv.iter().map(|_| "overdue".to_owned()).collect(),
        ..AskRequest::default()
    };
    let reply: AskReply = session.ask_for(request, None).await?;
    let csv = reply.csv.first().cloned().unwrap_or_default();
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
    written(args.csv.as_deref(), &csv, session)?;
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
