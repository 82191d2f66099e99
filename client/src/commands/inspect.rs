//! `inspect`: an inspection of the boat standard was done.

use clap::Args;
use sponson_proto::event::v1::{InspectionDone, InspectionResult, Kind};
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::{self, print};

use crate::catalogue::subject;
use crate::check_file::known_line;
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Record that an inspection of the boat standard was done.
#[derive(Args, Debug)]
pub struct InspectArgs {
    /// Number of the craft.
    craft: String,
    /// Inspection of its boat standard, for example engine-service.
    inspection: String,
    /// How it ended.
    #[arg(value_enum)]
    result: Outcome,
    /// Engine meter at the time, for example 112.4h.
    #[arg(long, value_name = "TIME")]
    meter: Option<String>,
    /// How long the engine ran at it, for example 3min: less than the boat standard wants is not
    /// passed.
    #[arg(long, value_name = "TIME")]
    ran: Option<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
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
    let ids = standard.inspections.iter().map(|line| line.id.as_str());
    let inspection = known_line("INSPECTION", "inspection", &args.inspection, ids, &standard)?;
    let meter = args
        .meter
        .as_deref()
        .map(|text| units::span("--meter", text))
        .transpose()?;
    let (result, word) = match args.result {
        Outcome::Passed => (InspectionResult::Passed, "passed"),
        Outcome::Failed => (InspectionResult::Failed, "failed"),
    };
    if let (Some(ran), Outcome::Passed) = (&args.ran, args.result) {
        let mut lines = standard.inspections.iter();
        let line = lines.find(|line| line.id.as_str() == inspection);
        ran_enough(line.and_then(|line| line.run_least_s), ran)?;
    }
    let message = InspectionDone {
        inspection: inspection.clone(),
        result: result as i32,
        engine_s: meter.map(u64::from),
    };
    let record = Record::about([subject(craft)]).note(args.note.as_deref());
    let event = session
        .record(Kind::InspectionDone, &message, record)
        .await?;
    session.recorded(
        &format!("{}: {inspection} {word}", clean(&craft.number)),
        &event,
    )?;
    Ok(Exit::Fine)
}

/// Refuses to call passed what did not run as long as the boat standard wants.
fn ran_enough(least_s: Option<u32>, ran: &str) -> Result<(), CommandError> {
    let ran_s = units::span("--ran", ran)?;
    match least_s {
        Some(least_s) if ran_s < least_s => Err(CommandError::Argument {
            field: "--ran",
            value: clean(ran),
            limit: format!(
                "the boat standard wants at least {}: run it for longer, or record it as failed",
                print::span(i64::from(least_s) * 1_000)
            ),
        }),
        Some(_) | None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 46 CFR 185.720(b): a weekly run of 2 min 30 s does not satisfy 3 min.
    #[test]
    fn a_run_that_is_too_short_is_not_passed() {
        for (least_s, ran, is_enough) in [
            (Some(180), "150 s", false),
            (Some(180), "3 min", true),
            (Some(180), "10 min", true),
            (None, "150 s", true),
        ] {
            assert_eq!(ran_enough(least_s, ran).is_ok(), is_enough, "{ran}");
        }
        let refused = ran_enough(Some(180), "150 s").expect_err("too short");
        assert!(refused.to_string().contains("at least 3 min"), "{refused}");
    }
}
