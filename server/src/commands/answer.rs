//! `answer`: what can go across the county.

use std::path::PathBuf;

use clap::Args;
use sponson_client::commands::about::came_after;
use sponson_client::commands::prove::write_new;
use sponson_client::commands::ready::{Launch, Together, Without};
use sponson_client::session::Session;
use sponson_proto::service::v1::AskRequest;
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::error::CountyError;

/// Show what can go across the county, what is short and what is overdue.
///
/// Advice only: local procedure, the maker's manual and the person in charge decide.
#[derive(Args, Debug)]
pub struct AnswerArgs {
    /// Number of one craft; all when not given.
    craft: Option<String>,
    #[command(flatten)]
    launch: Box<Launch>,
    #[command(flatten)]
    together: Together,
    #[command(flatten)]
    without: Without,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
    /// Print one section as a table for a spreadsheet instead (CSV, UTF-8): who, short, overdue,
    /// disagreements or stations.
    #[arg(long, value_name = "SECTION", conflicts_with_all = ["json", "why"])]
    csv: Option<String>,
    /// Also write the answer as a report of one page to print (HTML) to this file, which must not
    /// be there yet.
    #[arg(long, value_name = "FILE")]
    report: Option<PathBuf>,
    /// Also show what each finding rests on: who recorded it when, and who requires it.
    #[arg(long, conflicts_with = "json")]
    why: bool,
    /// Also write the answer, with all that it rests on, to this file, signed by the county;
    /// checked by verify --answer at any copy of the log.
    #[arg(long, value_name = "FILE")]
    signed: Option<PathBuf>,
    /// End with 1 when any craft is not ready or not proven, or anything is overdue.
    #[arg(long)]
    judge: bool,
}

/// Answers.
///
/// # Errors
/// When a value cannot be, or the service refuses.
pub async fn run(args: &AnswerArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let mut question = args.launch.question(&catalogue)?;
    question.together = args.together.asked()?;
    question.without = args.without.asked(&catalogue)?;
    if let Some(name) = &args.craft {
        question.craft = catalogue.asked(catalogue.craft(name)?);
    }
    let request = AskRequest {
        question: Some(question),
        csv: args.csv.iter().cloned().collect(),
        report: args.report.is_some(),
    };
    let reply = session.ask_for(request, args.signed.as_deref()).await?;
    let shown = match reply.csv.first() {
        Some(table) => table,
        None if args.json => &reply.json,
        None => &reply.text,
    };
    session.terminal().result(shown)?;
    if let Some(file) = &args.report {
        write_new(file, reply.report_html.as_bytes())?;
        let line = format!("report written to {}", clean(&file.display().to_string()));
        session.terminal().talk(&line)?;
    }
    if args.why {
        session.terminal().result(&reply.evidence_text)?;
    }
    let about = session.about().await?;
    if about.after_dismissal > 0 {
        session.terminal().talk(&came_after(&about))?;
    }
    let answer = reply.answer.unwrap_or_default();
    let fit = |readiness: &str| matches!(readiness, "ready" | "ready_with_limits");
    let short =
        !answer.overdue.is_empty() || answer.craft.iter().any(|craft| !fit(&craft.readiness));
    Ok(if args.judge && short {
        Exit::Judged
    } else {
        Exit::Fine
    })
}
