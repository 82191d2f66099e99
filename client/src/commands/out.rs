//! `out`: people declare a craft out of service.

use clap::Args;
use sponson_proto::event::v1::{Kind, OutOfService, OutReason};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::catalogue::subject;
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Declare a craft out of service.
#[derive(Args, Debug)]
pub struct OutArgs {
    /// Number of the craft.
    craft: String,
    /// Why.
    #[arg(value_enum)]
    reason: Reason,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

impl OutArgs {
    /// Out of service, mechanical.
    #[must_use]
    pub const fn mechanical(craft: String, note: Option<String>) -> Self {
        Self {
            craft,
            reason: Reason::Mechanical,
            note,
        }
    }
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Reason {
    Mechanical,
    Personnel,
    Rest,
}

/// Records the statement.
///
/// # Errors
/// When the craft is not known, or the service refuses.
pub async fn run(args: &OutArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let (reason, word) = match args.reason {
        Reason::Mechanical => (OutReason::Mechanical, "mechanical"),
        Reason::Personnel => (OutReason::Personnel, "personnel"),
        Reason::Rest => (OutReason::Rest, "rest"),
    };
    let message = OutOfService {
        reason: reason as i32,
    };
    let record = Record::about([subject(craft)]).note(args.note.as_deref());
    let event = session.record(Kind::OutOfService, &message, record).await?;
    let said = format!("{}: out of service ({word})", clean(&craft.number));
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}
