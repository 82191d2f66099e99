//! One line that is asked for, and a person at the terminal who answers it.

use inquire::{InquireError, Text};
use sponson_show::clean;

use crate::error::CommandError;

/// One line that is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Prompt<'a> {
    /// What is asked.
    pub prompt: &'a str,
    /// How to type it; after a line that could not be, what was wrong with it.
    pub help: &'a str,
    /// What stands there already, to be set right.
    pub typed: &'a str,
}

/// Whoever asks.
pub type Ask<'a> = &'a mut (dyn FnMut(&Prompt<'_>) -> Result<String, CommandError> + Send);

/// Asks at the terminal of this process; blocks.
///
/// # Errors
/// When the person breaks off.
pub fn at_the_terminal(prompt: &Prompt<'_>) -> Result<String, CommandError> {
    let (asked, help, typed) = (
        clean(prompt.prompt),
        clean(prompt.help),
        clean(prompt.typed),
    );
    Text::new(&asked)
        .with_help_message(&help)
        .with_initial_value(&typed)
        .prompt()
        .map_err(broken_off)
}

/// Why a question at the terminal was not answered.
pub(crate) fn broken_off(error: InquireError) -> CommandError {
    match error {
        InquireError::OperationCanceled | InquireError::OperationInterrupted => {
            CommandError::BrokenOff
        }
        InquireError::NotTTY => CommandError::NobodyToAsk {
            instead: "--from FILE",
        },
        InquireError::IO(error) => CommandError::Terminal(error),
        InquireError::InvalidConfiguration(why) => {
            CommandError::Terminal(std::io::Error::other(why))
        }
        InquireError::Custom(why) => CommandError::Terminal(std::io::Error::other(why.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_breaks_off_and_nobody_there_are_two_things() {
        let broke_off = broken_off(InquireError::OperationInterrupted);
        assert!(matches!(broke_off, CommandError::BrokenOff));
        let without_terminal = broken_off(InquireError::NotTTY);
        assert!(matches!(without_terminal, CommandError::NobodyToAsk { .. }));
    }
}
