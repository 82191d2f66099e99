//! `verify`: checks every signature, chain, leaf and row; or a proof file, without any log; or a
//! signed answer, by this copy of it.

mod answer;
mod proof;
mod record;

use std::path::PathBuf;

use clap::Args;
use sponson_proto::service::v1::VerifyRequest;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::error::CommandError;
use crate::progress::Progress;
use crate::session::Session;
pub use proof::check as check_proof;
pub use record::{check_record, not_held_against};

/// Check every signature, chain and row of this copy of the log; or a file that somebody gave you.
#[derive(Args, Debug)]
pub struct VerifyArgs {
    /// Check a proof file instead, as written by prove. Needs no copy of the log.
    #[arg(long, value_name = "FILE")]
    pub proof: Option<PathBuf>,
    /// Check the signed record of a craft instead, as written by record --signed. Needs no copy of the
    /// log; where one is here, an entry that is missing is found too.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["proof", "answer"])]
    pub record: Option<PathBuf>,
    /// With --proof or --record: the county that you mean, as about shows it, or any admission code of
    /// it.
    #[arg(long, value_name = "COUNTY", conflicts_with = "answer")]
    pub county: Option<String>,
    /// Check a signed answer instead, as written by ready --signed: gives it again from this copy
    /// of the log. Ends with 1 when too little is held here to say.
    #[arg(long, value_name = "FILE", conflicts_with = "proof")]
    pub answer: Option<PathBuf>,
}

/// Verifies.
///
/// # Errors
/// When anything is wrong, or the service fails.
pub async fn run(args: &VerifyArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    if let Some(file) = &args.record {
        return record::complete(file, args.county.as_deref(), session).await;
    }
    if args.county.is_some() {
        return Err(CommandError::Argument {
            field: "--county",
            value: clean(args.county.as_deref().unwrap_or_default()),
            limit: "it goes with --proof or --record".to_owned(),
        });
    }
    if let Some(file) = &args.answer {
        return answer::check(file, session).await;
    }
    let mut stream = session
        .service()
        .verify(VerifyRequest {})
        .await?
        .into_inner();
    let mut progress = Progress::start(session.terminal().attended(), "verify");
    let mut report = None;
    while let Some(reply) = stream.message().await? {
        progress.at(reply.done, reply.total);
        report = reply.report.or(report);
    }
    progress.end();
    let report = report.unwrap_or_default();
    let number = |count: u64, noun| print::count(i64::try_from(count).unwrap_or(i64::MAX), noun);
    if report.wrong.is_empty() {
        let line = format!(
            "all is well: {}, {}, {} in the county log",
            number(report.events, "event"),
            number(report.chains, "chain"),
            number(report.county_size, "place")
        );
        session.terminal().result(&line)?;
        if let Some(line) = pictures(report.pictures, report.pictures_missing) {
            session.terminal().result(&line)?;
        }
        return Ok(Exit::Fine);
    }
    let lines: Vec<String> = report.wrong.iter().map(|line| clean(line)).collect();
    session.terminal().result(&lines.join("\n"))?;
    if lines.len() as u64 == report.parted {
        return Err(CommandError::Parted(number(report.parted, "device")));
    }
    let wrong = i64::try_from(lines.len()).unwrap_or(i64::MAX);
    Err(CommandError::StoreWrong(print::count(wrong, "thing")))
}

/// What is here of the pictures and what is not: a fact, and no damage.
fn pictures(held: u64, missing: u64) -> Option<String> {
    let number = |count: u64| print::count(i64::try_from(count).unwrap_or(i64::MAX), "picture");
    match (held, missing) {
        (0, 0) => None,
        (held, 0) => Some(format!("{} here, each as its event says", number(held))),
        (held, missing) => Some(format!(
            "{} here, each as its event says; {} not here, which is no damage: the county or another \
             station may have them",
            number(held),
            number(missing)
        )),
    }
}
