//! `withdraw`: an earlier entry was wrong altogether.

use clap::Args;
use sponson_proto::event::v1::Kind;
use sponson_show::terminal::Exit;

use super::log::find_event;
use crate::catalogue::short_event;
use crate::corrects::Original;
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Withdraw an earlier entry, as if it had not been recorded. It stays in the log. To restate it
/// instead, record it again with --corrects.
///
/// By maintenance or the lead it takes effect at once; by a crew it stands beside the entry, and
/// the worse counts, until one of them withdraws it too.
#[derive(Args, Debug)]
pub struct WithdrawArgs {
    /// The entry by its short name, as log shows it.
    event: String,
    /// Why, in words.
    #[arg(long)]
    note: Option<String>,
}

/// Records the withdrawal, and says what it does.
///
/// # Errors
/// When there is no such entry, it cannot be withdrawn, or the service refuses.
pub async fn run(args: &WithdrawArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let line = find_event(&args.event, session).await?;
    let original = Original::of(&line)?;
    let about = session.about().await?;
    let record = Record::about(original.subjects().to_vec()).note(args.note.as_deref());
    let event = session
        .record(Kind::Correction, &original.withdrawn(), record)
        .await?;
    let said = format!(
        "withdrawal of {}: {}",
        short_event(&line.event_id),
        original.says(&about)
    );
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}
