//! Asks a person to confirm what cannot simply be done again, before it is recorded.

use inquire::{Confirm, InquireError};
use sponson_show::clean;
use sponson_show::terminal::Attended;

use crate::error::CommandError;
use crate::session::Session;

/// What was given on the command line about being asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// It was said there already.
    SaidYes,
    /// It is to be asked.
    NotYet,
}

impl From<bool> for Asked {
    /// From a flag such as `--yes`.
    fn from(yes: bool) -> Self {
        if yes { Self::SaidYes } else { Self::NotYet }
    }
}

/// Asks at the terminal unless it was said already; fails when nobody sits there, and when the
/// answer is no.
///
/// # Errors
/// When it is not confirmed.
pub async fn confirm(
    session: &mut Session<'_>,
    asked: Asked,
    question: &str,
) -> Result<(), CommandError> {
    if asked == Asked::SaidYes {
        return Ok(());
    }
    if session.terminal().attended() == Attended::No {
        session.terminal().talk(question)?;
        return Err(CommandError::NobodyToAsk { instead: "--yes" });
    }
    let question = clean(question);
    let asking = move || Confirm::new(&question).with_default(false).prompt();
    match tokio::task::spawn_blocking(asking).await {
        Ok(Ok(true)) => Ok(()),
        Ok(Err(InquireError::IO(error))) => Err(CommandError::Terminal(error)),
        Ok(Err(InquireError::NotTTY)) => Err(CommandError::NobodyToAsk { instead: "--yes" }),
        Ok(Ok(false) | Err(_)) | Err(_) => Err(CommandError::BrokenOff),
    }
}

/// Asks whether to do one thing more; both answers are fine.
///
/// # Errors
/// When nobody sits at the terminal, with what to give instead, or whoever does breaks off.
pub async fn yes_or_no(
    session: &mut Session<'_>,
    question: &'static str,
    instead: &'static str,
) -> Result<bool, CommandError> {
    if session.terminal().attended() == Attended::No {
        session.terminal().talk(question)?;
        return Err(CommandError::NobodyToAsk { instead });
    }
    let asking = move || Confirm::new(question).with_default(false).prompt();
    match tokio::task::spawn_blocking(asking).await {
        Ok(Ok(yes)) => Ok(yes),
        Ok(Err(InquireError::IO(error))) => Err(CommandError::Terminal(error)),
        Ok(Err(InquireError::NotTTY)) => Err(CommandError::NobodyToAsk { instead }),
        Ok(Err(_)) | Err(_) => Err(CommandError::BrokenOff),
    }
}
