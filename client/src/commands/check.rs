//! `check`: a boat check, asked line by line as one walks round the craft, or from a file.

use std::path::{Path, PathBuf};

use clap::Args;
use sponson_proto::event::v1::Kind;
use sponson_proto::service::v1::UnderWayKind;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::terminal::{Attended, Exit};

use crate::check_file::{CheckFile, CheckFileError, EXAMPLE, Extent, FILE_BYTES_MAX, build};
use crate::error::CommandError;
use crate::near::plain;
use crate::session::{Record, Session};
use crate::taken_file;
use crate::under_way::asking::{Beginning, ask_round, at_the_terminal};
use crate::under_way::words::wrapped;

/// Record a boat check: line by line at the terminal, or from a file.
///
/// At the terminal every line that is typed is kept at once: a check that was left, or cut short by
/// ctrl-c or a power cut, is gone on with by the same command. < goes one line back, > to the end.
#[derive(Args, Debug)]
#[command(after_long_help = help_after())]
pub struct CheckArgs {
    /// Number of the craft.
    pub craft: String,
    /// Check file in TOML, described below; - for standard input. Asked line by line when not
    /// given.
    #[arg(long, value_name = "FILE")]
    pub from: Option<PathBuf>,
    /// How much is checked, when asked line by line.
    #[arg(long, value_enum, default_value_t = Extent::Full, conflicts_with = "from")]
    pub extent: Extent,
    /// A new craft that is fitted out, over days.
    #[arg(long, conflicts_with_all = ["from", "extent"])]
    pub fitting_out: bool,
}

fn help_after() -> String {
    format!("A check file, every line of which but craft and extent may be left out:\n\n{EXAMPLE}")
}

/// Records the check.
///
/// # Errors
/// When the file cannot be read or does not fit the craft's standard, or the service refuses.
pub async fn run(args: &CheckArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let Some(path) = &args.from else {
        if session.terminal().attended() == Attended::No {
            return Err(CommandError::NobodyToAsk {
                instead: "--from FILE",
            });
        }
        return ask_round(&beginning(args), session, &mut at_the_terminal).await;
    };
    let catalogue = session.catalogue().await?;
    let now = Moment(session.now_unix_ms());
    let file = CheckFile::parse(&read(path, session)?)?;
    same_craft(&file, &args.craft)?;
    let built = build(&file, &catalogue, now)?;
    if let Some(member) = &file.member {
        session.set_member(member);
    }
    let number = clean(&catalogue.craft(&file.craft)?.number);
    let record = Record {
        subjects: built.subjects,
        observed: built.observed,
        texts: built.texts,
        pictures: Vec::new(),
    };
    let event = session.record(Kind::Check, &built.check, record).await?;
    let payload = prost::Message::encode_to_vec(&built.check).into();
    let what = crate::describe::describe(Kind::Check, &payload, &catalogue);
    session.recorded(&format!("{number}: {what}"), &event)?;
    if !built.left_out.is_empty() {
        let title = format!("not in this full check ({}):", built.left_out.len());
        session.terminal().talk(&wrapped(&title, &built.left_out))?;
    }
    Ok(Exit::Fine)
}

fn beginning(args: &CheckArgs) -> Beginning {
    let kind = match (args.fitting_out, args.extent) {
        (true, _) => UnderWayKind::FittingOut,
        (false, Extent::Full) => UnderWayKind::Full,
        (false, Extent::Short) => UnderWayKind::Short,
        (false, Extent::Part) => UnderWayKind::Part,
    };
    Beginning {
        craft: args.craft.clone(),
        kind,
        from_paper: false,
    }
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
    taken_file::text("check file", path, FILE_BYTES_MAX, "give one check a file")
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
