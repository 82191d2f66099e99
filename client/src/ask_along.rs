//! A boat check asked step by step, in the order of the standard: parts, questions, kit, meters,
//! faults. Each step is one line of text; a line that cannot be is asked again.
//!
//! What is typed becomes the same form as a check file and passes the same checks. Who asks is
//! given: a person at the terminal in the program, lines of text in a test.

mod steps;
#[cfg(test)]
mod tests;

use inquire::{InquireError, Text};
use sponson_proto::service::v1::CatalogueEntry;
use sponson_readiness::moment::Moment;

use crate::catalogue::Catalogue;
use crate::check_file::{CheckFile, build};
use crate::error::CommandError;
use crate::near::plain;
use steps::{Step, at_prompt, fill, steps};

/// One line that is asked for.
pub(crate) struct Prompt<'a> {
    /// What is asked.
    pub(crate) prompt: &'a str,
    /// How to type it; after a line that could not be, what was wrong with it.
    pub(crate) help: &'a str,
    /// What stands there already, to be set right.
    pub(crate) typed: &'a str,
}

/// Asks at the terminal of this process; blocks.
///
/// # Errors
/// When the person breaks off.
pub(crate) fn at_the_terminal(prompt: &Prompt<'_>) -> Result<String, CommandError> {
    Text::new(prompt.prompt)
        .with_help_message(prompt.help)
        .with_initial_value(prompt.typed)
        .prompt()
        .map_err(broken_off)
}

/// Asks for a whole check, line by line.
///
/// # Errors
/// When the person breaks off, or the craft has no standard here.
pub(crate) fn ask_along(
    begun: CheckFile,
    catalogue: &Catalogue,
    now: Moment,
    ask: &mut dyn FnMut(&Prompt<'_>) -> Result<String, CommandError>,
) -> Result<CheckFile, CommandError> {
    let craft = catalogue.craft(&begun.craft)?;
    let standard = catalogue.standard(craft)?.standard;
    let aboard = |sorts: &[&str]| -> Vec<String> {
        let entries = catalogue.entries().iter();
        let of_sort = |entry: &&CatalogueEntry| {
            entry.craft == craft.id && sorts.contains(&plain(&entry.gear).as_str())
        };
        entries
            .filter(of_sort)
            .map(|entry| entry.number.clone())
            .collect()
    };
    let meters = aboard(&["motor"]);
    let cylinders = aboard(&["cylinder", "breathingset"]);
    let mut file = begun;
    for step in steps(&standard, &meters, &cylinders) {
        while ask_one(&mut file, &step, (catalogue, now), ask)? == Next::SameAgain {}
    }
    Ok(file)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Next {
    SameAgain,
    Following,
}

fn ask_one(
    file: &mut CheckFile,
    step: &Step,
    (catalogue, now): (&Catalogue, Moment),
    ask: &mut dyn FnMut(&Prompt<'_>) -> Result<String, CommandError>,
) -> Result<Next, CommandError> {
    let (prompt, mut help) = (step.prompt(), step.help());
    let mut typed = String::new();
    loop {
        let text = ask(&Prompt {
            prompt: &prompt,
            help: &help,
            typed: &typed,
        })?;
        if text.trim().is_empty() {
            return Ok(Next::Following);
        }
        let mut tried = file.clone();
        let fits = fill(&mut tried, step, &text)
            .and_then(|()| build(&tried, catalogue, now).map_err(|error| error.to_string()))
            .map_err(|refusal| at_prompt(step, &refusal));
        match fits {
            Ok(_) => {
                *file = tried;
                let again = matches!(step, Step::Fault);
                return Ok(if again {
                    Next::SameAgain
                } else {
                    Next::Following
                });
            }
            Err(why) => {
                help = why;
                typed = text;
            }
        }
    }
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
