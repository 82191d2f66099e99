//! `kit-moves`: which spare kit to take from where, by day.

use clap::Args;
use sponson_client::commands::ready::{When, Without};
use sponson_client::session::Session;
use sponson_proto::answer::v1::Question;
use sponson_proto::service::v1::PlanKitMovesRequest;
use sponson_show::terminal::Exit;
use sponson_show::units;

use crate::error::CountyError;

/// Plan by day which spare kit to take from where, so that the most craft can go.
///
/// Most craft first, then fewest units moved, then the least way; never a spare that does not fit.
/// Givers keep what they need. Nothing is recorded.
#[derive(Args, Debug)]
pub struct KitMovesArgs {
    /// Mission for which craft are to be made ready; give it more than once for several, for all of
    /// which a craft then has to be ready that serves them. The general standard when not given.
    #[arg(long = "mission", value_name = "MISSION")]
    missions: Vec<String>,
    /// Air to judge by, for example -5C or 23F.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    air: Option<String>,
    /// Water to judge by.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    water: Option<String>,
    /// Judge this moment instead of now, for example "2026-03-14 08:30".
    #[arg(long, value_name = "TIME")]
    as_of: Option<String>,
    /// What is taken away.
    #[command(flatten)]
    without: Without,
    /// Let givers keep only what they need for these missions, not for every mission of their boat
    /// standard.
    #[arg(long)]
    keep_chosen_only: bool,
    /// Print the plan as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Plans.
///
/// # Errors
/// When a value cannot be, a mission is not known, or the service refuses.
pub async fn run(args: &KitMovesArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let shown = catalogue.policy().units.temperature;
    let temperature = |field, text: &Option<String>| {
        let text = text.as_deref();
        text.map(|text| units::temperature(field, text, Some(shown)))
            .transpose()
            .map_err(sponson_client::CommandError::from)
    };
    let when = When {
        as_of: args.as_of.clone(),
        known_by: None,
    };
    let request = PlanKitMovesRequest {
        question: Some(Question {
            air_mc: temperature("--air", &args.air)?,
            water_mc: temperature("--water", &args.water)?,
            without: args.without.asked(&catalogue)?,
            ..when.question(&catalogue)?
        }),
        missions: args.missions.clone(),
        keep_chosen_only: args.keep_chosen_only,
    };
    let reply = session.plan_kit_moves(request).await?;
    let shown = if args.json { &reply.json } else { &reply.text };
    session.terminal().result(shown)?;
    Ok(Exit::Fine)
}
