//! `back`: people declare a craft back in service.

use clap::Args;
use sponson_proto::event::v1::{Kind, Returned};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::catalogue::subject;
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Declare a craft back in service. Ends the statements that are known here, and no others.
#[derive(Args, Debug)]
pub struct BackArgs {
    /// Number of the craft.
    craft: String,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records the return.
///
/// # Errors
/// When the craft is not known or not out of service here, or the service refuses.
pub async fn run(args: &BackArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    if craft.out.is_empty() {
        return Err(CommandError::Refused {
            field: "CRAFT".to_owned(),
            value: clean(&craft.number),
            limit: "it is not out of service as far as is known here: sync first if somebody \
                    else declared it"
                .to_owned(),
        });
    }
    let message = Returned {
        ends: craft.out.clone(),
    };
    let record = Record::about([subject(craft)]).note(args.note.as_deref());
    let event = session.record(Kind::Returned, &message, record).await?;
    session.recorded(
        &format!("{}: back in service", clean(&craft.number)),
        &event,
    )?;
    Ok(Exit::Fine)
}
