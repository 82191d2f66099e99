//! `inspect`: an inspection of the boat standard was done.

use clap::Args;
use sponson_proto::event::v1::{InspectionDone, InspectionResult, Kind};
use sponson_show::terminal::Exit;
use sponson_show::{clean, units};

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
