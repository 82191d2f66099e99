//! `inspect`: an inspection of the boat standard was done; a hold test with what was read.

mod held;

use clap::Args;
use sponson_proto::event::v1::{InspectionDone, InspectionResult, Kind};
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::catalogue::subject;
use crate::check_file::known_line;
use crate::confirm::{Asked, confirm};
use crate::error::CommandError;
use crate::session::{Record, Session};
use crate::times;
use held::HeldArgs;

/// Record that an inspection of the boat standard was done, or what is owed after use: drying,
/// flushing, decontamination.
///
/// A hold test is recorded with what was read: --part tube-1 --start 260mbar@80F --end 200mbar@60F
/// --hours 24, once for each part. What was read decides whether it held, and is shown by both
/// corrections.
#[derive(Args, Debug)]
pub struct InspectArgs {
    /// Number of the craft.
    craft: String,
    /// Line of its boat standard, for example engine-service or motor-flush.
    inspection: String,
    /// How it ended; may be left out for a hold test with its values.
    #[arg(value_enum)]
    result: Option<Outcome>,
    #[command(flatten)]
    held: HeldArgs,
    /// Engine meter at the time, for example 112.4h.
    #[arg(long, value_name = "TIME")]
    meter: Option<String>,
    /// How long the engine ran at it, for example 3min: less than the boat standard wants is kept,
    /// and does not count.
    #[arg(long, value_name = "TIME")]
    ran: Option<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
    /// Record it as it is, also where it contradicts itself or proves nothing.
    #[arg(long)]
    yes: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Outcome {
    Passed,
    Failed,
}

/// Records the inspection.
///
/// # Errors
/// When a value cannot be, a name is not known, or the service refuses.
pub async fn run(args: &InspectArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let standard = catalogue.standard(craft)?.standard;
    let inspections = standard.inspections.iter().map(|line| line.id.as_str());
    let after_use = standard.after_use.iter().map(|line| line.id.as_str());
    let ids = inspections.chain(after_use);
    let inspection = known_line("INSPECTION", "inspection", &args.inspection, ids, &standard)?;
    let meter = args
        .meter
        .as_deref()
        .map(|text| times::of_meter("--meter", text))
        .transpose()?;
    let run_s = args
        .ran
        .as_deref()
        .map(|text| times::of_use("--ran", text))
        .transpose()?;
    let tests = args
        .held
        .read(&inspection, &standard, &catalogue.policy().hold)?;
    for line in tests.lines() {
        session.terminal().talk(&line)?;
    }
    let outcome = outcome(args.result, &tests)?;
    if let Some(question) = tests.contradicts(outcome == Outcome::Passed) {
        confirm(session, Asked::from(args.yes), &question).await?;
    }
    let (result, word) = match outcome {
        Outcome::Passed => (InspectionResult::Passed, "passed"),
        Outcome::Failed => (InspectionResult::Failed, "failed"),
    };
    let message = InspectionDone {
        inspection: inspection.clone(),
        result: result as i32,
        engine_s: meter.map(u64::from),
        run_s,
        holds: tests.messages(),
    };
    let mut lines = standard.inspections.iter();
    let line = lines.find(|line| line.id.as_str() == inspection);
    let part = line.and_then(|line| line.part.as_ref());
    let mut subjects = vec![subject(craft)];
    if let Some(part) = part {
        subjects.extend(catalogue.serving(craft, part.as_str()).map(subject));
    }
    let subjects = session.corrected(&subjects).unwrap_or(subjects);
    let least_s = line.and_then(|line| line.run_least_s);
    if let Some(told) = too_short(least_s, run_s) {
        session.terminal().talk(&told)?;
    }
    let record = Record::about(subjects).note(args.note.as_deref());
    let event = session
        .record(Kind::InspectionDone, &message, record)
        .await?;
    session.recorded(
        &format!("{}: {inspection} {word}", clean(&craft.number)),
        &event,
    )?;
    Ok(Exit::Fine)
}

/// As said, else by what was read.
fn outcome(said: Option<Outcome>, tests: &held::Tests) -> Result<Outcome, CommandError> {
    match (said, tests.is_empty()) {
        (Some(said), _) => Ok(said),
        (None, false) if tests.lost_too_much() => Ok(Outcome::Failed),
        (None, false) => Ok(Outcome::Passed),
        (None, true) => Err(CommandError::Argument {
            field: "RESULT",
            value: "missing".to_owned(),
            limit: "say passed or failed; a hold test can give --part, --start, --end and --hours \
                    instead"
                .to_owned(),
        }),
    }
}

/// What is said of a run that did not last as long as the boat standard wants. It is recorded all
/// the same: what people did is kept, and the engine judges it.
fn too_short(least_s: Option<u32>, run_s: Option<u32>) -> Option<String> {
    let (least_s, run_s) = least_s.zip(run_s)?;
    let span = |seconds: u32| print::span(i64::from(seconds) * 1_000);
    (run_s < least_s).then(|| {
        format!(
            "it ran for {}, and the boat standard wants {}: kept, and it does not count; run it again",
            span(run_s),
            span(least_s)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 46 CFR 185.720(b): a weekly run of 2 min 30 s does not satisfy 3 min.
    #[test]
    fn a_run_that_is_too_short_is_told() {
        for (least_s, run_s, is_told) in [
            (Some(180), Some(150), true),
            (Some(180), Some(180), false),
            (Some(180), Some(600), false),
            (Some(180), None, false),
            (None, Some(150), false),
        ] {
            assert_eq!(too_short(least_s, run_s).is_some(), is_told, "{run_s:?}");
        }
        let told = too_short(Some(180), Some(150)).expect("too short");
        assert!(told.contains("wants 3 min"), "{told}");
    }
}
