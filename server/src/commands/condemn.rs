//! `condemn`: a craft or a piece of gear is never to be used again.

use clap::Args;
use sponson_client::catalogue::subject;
use sponson_client::confirm::{Asked, confirm};
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{Condemned, CondemnedReason, Kind, SubjectType};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::error::CountyError;

/// Condemn a craft or a piece of gear: it is never to be used again.
#[derive(Args, Debug)]
pub struct CondemnArgs {
    /// Number of the craft or gear.
    what: String,
    /// Why.
    #[arg(value_enum)]
    reason: Reason,
    /// In words.
    #[arg(long)]
    note: Option<String>,
    /// Do not ask.
    #[arg(long)]
    yes: bool,
}

impl CondemnArgs {
    /// To be condemned without being asked again.
    #[must_use]
    pub(super) const fn of(what: String, reason: Reason, note: Option<String>) -> Self {
        Self {
            what,
            reason,
            note,
            yes: true,
        }
    }
}

/// Why a thing is never to be used again.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub(super) enum Reason {
    WornOut,
    Damaged,
    LifeExpired,
    FailedTest,
    Recalled,
}

/// Records the statement.
///
/// # Errors
/// When the thing is not known, nobody confirms, or the service refuses.
pub async fn run(args: &CondemnArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let kinds = [SubjectType::Craft, SubjectType::Gear];
    let thing = catalogue.find(&kinds, &args.what)?;
    let number = clean(&thing.number);
    let question = format!("{number}: condemn it, never to be used again?");
    confirm(session, Asked::from(args.yes), &question).await?;
    let (reason, word) = match args.reason {
        Reason::WornOut => (CondemnedReason::WornOut, "worn out"),
        Reason::Damaged => (CondemnedReason::Damaged, "damaged"),
        Reason::LifeExpired => (CondemnedReason::LifeExpired, "past its life"),
        Reason::FailedTest => (CondemnedReason::FailedTest, "failed a test"),
        Reason::Recalled => (CondemnedReason::Recalled, "recalled"),
    };
    let message = Condemned {
        reason: reason.into(),
    };
    let record = Record::about([subject(thing)]).note(args.note.as_deref());
    let event = session.record(Kind::Condemned, &message, record).await?;
    session.recorded(&format!("{number}: condemned ({word})"), &event)?;
    Ok(Exit::Fine)
}
