//! `release`: a craft is free again.

use clap::Args;
use sponson_client::CommandError;
use sponson_client::catalogue::subject;
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{Kind, Released};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::error::CountyError;

/// Release a craft from the assignments that are known here. A full check is owed then.
#[derive(Args, Debug)]
pub struct ReleaseArgs {
    /// Number of the craft.
    craft: String,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records the release, one event for each assignment.
///
/// # Errors
/// When the craft is not known or not assigned, or the service refuses.
pub async fn run(args: &ReleaseArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    if craft.assigned.is_empty() {
        return Err(CountyError::Command(CommandError::Refused {
            field: "CRAFT".to_owned(),
            value: clean(&craft.number),
            limit: "it is not assigned as far as is known here".to_owned(),
        }));
    }
    for assignment in &craft.assigned {
        let message = Released {
            assignment: assignment.clone(),
        };
        let record = Record::about([subject(craft)]).note(args.note.as_deref());
        let event = session.record(Kind::Released, &message, record).await?;
        session.recorded(&format!("{}: released", clean(&craft.number)), &event)?;
    }
    Ok(Exit::Fine)
}
