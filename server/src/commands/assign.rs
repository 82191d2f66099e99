//! `assign`: sends a craft to an incident.

use bytes::Bytes;
use clap::Args;
use sha2::{Digest as _, Sha256};
use sponson_client::catalogue::subject;
use sponson_client::commands::ready::Launch;
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{Assigned, Kind};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::error::CountyError;

/// Assign a craft to an incident. Shows its report first, keeps which report that was, and never
/// refuses.
#[derive(Args, Debug)]
pub struct AssignArgs {
    /// Number of the craft.
    craft: String,
    /// Name or number of the incident.
    incident: String,
    #[command(flatten)]
    launch: Box<Launch>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records the assignment.
///
/// # Errors
/// When the craft is not known, a value cannot be, or the service refuses.
pub async fn run(args: &AssignArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let mut question = args.launch.question(&catalogue)?;
    question.craft.clone_from(&craft.number);
    let mission = question.mission.clone();
    let shown = session.ask(question).await?;
    session.terminal().talk(&shown.text)?;
    let message = Assigned {
        incident: args.incident.trim().to_owned(),
        mission,
        shown_sha256: Bytes::copy_from_slice(&Sha256::digest(shown.json.as_bytes())),
    };
    let record = Record::about([subject(craft)]).note(args.note.as_deref());
    let event = session.record(Kind::Assigned, &message, record).await?;
    let said = format!(
        "{}: assigned to {}",
        clean(&craft.number),
        clean(&message.incident)
    );
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}
