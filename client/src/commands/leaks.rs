//! `leaks`: chambers by the day on which they are too soft, hold tests, the readings of one craft.

use clap::Args;
use sponson_proto::answer::v1::Question;
use sponson_proto::service::v1::LeaksRequest;
use sponson_show::terminal::Exit;
use sponson_show::{dates, units};

use crate::error::CommandError;
use crate::session::Session;

/// Show chambers by the day on which they are too soft, and every hold test; or the readings of one
/// craft.
///
/// Days are told for a launch with this air and water. It decides nothing: what a leak does to a craft
/// is told by 'ready'.
#[derive(Args, Debug)]
pub struct LeaksArgs {
    /// One craft: everything that was read of each of its chambers, and what it loses.
    #[arg(long, value_name = "NUMBER")]
    craft: Option<String>,
    /// Air at the launch, for example -5C or 23F; the county's setting when not given.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    air: Option<String>,
    /// Water at the launch; as the air when not given.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    water: Option<String>,
    /// Judge this moment instead of now, for example "2026-03-14 08:30".
    #[arg(long, value_name = "TIME")]
    as_of: Option<String>,
    /// Print it as JSON, for other programs.
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Print the chambers that lose air as a table for a spreadsheet.
    #[arg(long)]
    csv: bool,
}

/// Shows them.
///
/// # Errors
/// When a value cannot be, the craft is not known, or the service refuses.
pub async fn run(args: &LeaksArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let policy = catalogue.policy();
    let temperature = |field, text: &Option<String>| {
        let text = text.as_deref();
        text.map(|text| units::temperature(field, text, Some(policy.units.temperature)))
            .transpose()
    };
    let as_of = args.as_of.as_deref();
    let as_of = as_of.map(|text| dates::moment("--as-of", text, policy.utc_offset_min));
    let request = LeaksRequest {
        question: Some(Question {
            craft: args.craft.clone().unwrap_or_default(),
            air_mc: temperature("--air", &args.air)?,
            water_mc: temperature("--water", &args.water)?,
            as_of_unix_ms: as_of.transpose()?.map(|moment| moment.0),
            ..Question::default()
        }),
    };
    let reply = session.leaks(request).await?;
    let shown = match (args.json, args.csv) {
        (true, _) => &reply.json,
        (false, true) => &reply.csv,
        (false, false) => &reply.text,
    };
    session.terminal().result(shown)?;
    Ok(Exit::Fine)
}
