//! `check`: a boat check, asked step by step or from a file.

use std::path::{Path, PathBuf};

use clap::Args;
use sponson_proto::event::v1::Kind;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::table::WIDTH;
use sponson_show::terminal::{Attended, Exit};

use crate::ask_along::{ask_along, at_the_terminal};
use crate::check_file::{CheckFile, CheckFileError, EXAMPLE, Extent, FILE_BYTES_MAX, build};
use crate::error::CommandError;
use crate::near::plain;
use crate::session::{Record, Session};

/// Record a boat check: step by step at the terminal, or from a file.
#[derive(Args, Debug)]
#[command(after_long_help = help_after())]
pub struct CheckArgs {
    /// Number of the craft.
    pub craft: String,
    /// Check file in TOML, described below; - for standard input. Asked step by step when not
    /// given.
    #[arg(long, value_name = "FILE")]
    pub from: Option<PathBuf>,
    /// How much is checked, when asked step by step.
    #[arg(long, value_enum, default_value_t = Extent::Full, conflicts_with = "from")]
    pub extent: Extent,
}

fn help_after() -> String {
    format!("A check file, every line of which but craft and extent may be left out:\n\n{EXAMPLE}")
}

/// Records the check.
///
/// # Errors
/// When the file cannot be read or does not fit the craft's standard, or the service refuses.
pub async fn run(args: &CheckArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let now = Moment(session.now_unix_ms());
    let file = match &args.from {
        Some(path) => {
            let file = CheckFile::parse(&read(path, session)?)?;
            same_craft(&file, &args.craft)?;
            file
        }
        None if session.terminal().attended() == Attended::No => {
            return Err(CommandError::NobodyToAsk {
                instead: "--from FILE",
            });
        }
        None => {
            let begun = CheckFile {
                craft: args.craft.clone(),
                extent: args.extent,
                ..CheckFile::default()
            };
            let known = catalogue.clone();
            let asking = tokio::task::spawn_blocking(move || {
                ask_along(begun, &known, now, &mut at_the_terminal)
            });
            asking.await.unwrap_or(Err(CommandError::BrokenOff))?
        }
    };
    let built = build(&file, &catalogue, now)?;
    if let Some(member) = &file.member {
        session.set_member(member);
    }
    let number = clean(&catalogue.craft(&file.craft)?.number);
    let record = Record {
        subjects: built.subjects,
        observed: built.observed,
        texts: built.texts,
    };
    let event = session.record(Kind::Check, &built.check, record).await?;
    let payload = prost::Message::encode_to_vec(&built.check).into();
    let what = crate::describe::describe(Kind::Check, &payload, &catalogue);
    session.recorded(&format!("{number}: {what}"), &event)?;
    if !built.left_out.is_empty() {
        session.terminal().talk(&left_out(&built.left_out))?;
    }
    Ok(Exit::Fine)
}

fn read(path: &Path, session: &mut Session<'_>) -> Result<String, CommandError> {
    let unreadable = |source| CommandError::Read {
        file: path.to_owned(),
        source,
    };
    if path == Path::new("-") {
        return session
            .terminal()
            .read_all(FILE_BYTES_MAX)
            .map_err(unreadable);
    }
    let length = std::fs::metadata(path).map_err(unreadable)?.len();
    if length > FILE_BYTES_MAX {
        return Err(CommandError::Refused {
            field: "check file".to_owned(),
            value: format!("{length} bytes long"),
            limit: format!("at most {FILE_BYTES_MAX} bytes are read: give one check a file"),
        });
    }
    std::fs::read_to_string(path).map_err(unreadable)
}

fn same_craft(file: &CheckFile, asked: &str) -> Result<(), CheckFileError> {
    if plain(&file.craft) == plain(asked) {
        return Ok(());
    }
    Err(CheckFileError::OtherCraft {
        in_file: clean(&file.craft),
        asked: clean(asked),
    })
}

/// Lines that a full check left out, wrapped to the terminal's width.
fn left_out(lines: &[String]) -> String {
    let mut text = format!("not in this full check ({}):\n ", lines.len());
    let mut width = 1;
    for (position, line) in lines.iter().enumerate() {
        let comma = if position + 1 < lines.len() { "," } else { "" };
        let length = line.chars().count() + comma.len() + 1;
        if width + length > WIDTH {
            text.push_str("\n ");
            width = 1;
        }
        text.push_str(&format!(" {line}{comma}"));
        width += length;
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_left_out_fits_the_terminal() {
        let lines: Vec<String> = (1..40).map(|number| format!("tube-{number}")).collect();
        let text = left_out(&lines);
        assert!(
            text.lines().all(|line| line.chars().count() <= WIDTH),
            "{text}"
        );
        assert!(text.ends_with(" tube-39"), "{text}");
    }
}
