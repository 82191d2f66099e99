//! `reckon`: what the engine reckons, by hand, without a log and without the county.

mod air;
mod cylinder;
mod distance;
mod due;
pub(crate) mod hold;
mod leak;
mod load;
mod night;
mod plate;
mod pressure;
mod trend;

use clap::{Args, Subcommand};
use sponson_readiness::standard::{AirPolicy, Policy};
use sponson_show::reckoned::Reckoned;
use sponson_show::terminal::{Exit, Terminal};

use crate::catalogue::LookupError;
use crate::error::CommandError;

/// Reckon by hand what the answers rest on: works anywhere, and records nothing.
///
/// Advice only: local procedure, the maker's manual and the person in charge decide.
#[derive(Args, Debug)]
pub struct ReckonArgs {
    #[command(subcommand)]
    what: What,
    /// Print the result as JSON, for other programs.
    #[arg(long, global = true)]
    json: bool,
}

#[derive(Debug, Subcommand)]
enum What {
    Air(air::AirArgs),
    Cylinder(cylinder::CylinderArgs),
    Distance(distance::DistanceArgs),
    Due(due::DueArgs),
    Hold(hold::HoldArgs),
    Leak(leak::LeakArgs),
    Load(Box<load::LoadArgs>),
    Plate(plate::PlateArgs),
    Night(night::NightArgs),
    Pressure(Box<pressure::PressureArgs>),
    Trend(trend::TrendArgs),
}

/// The device's clock, for what is asked of now and of local time.
#[derive(Clone, Copy, Debug)]
pub struct Now {
    /// Milliseconds since 1970.
    pub unix_ms: i64,
    /// Local time, minutes east of UTC.
    pub utc_offset_min: i32,
}

/// Reckons, and shows the result.
///
/// # Errors
/// When a value cannot be, or the result cannot be written.
pub fn run(args: &ReckonArgs, now: Now, mut terminal: Terminal<'_>) -> Result<Exit, CommandError> {
    let reckoned = match &args.what {
        What::Air(args) => args.reckon()?,
        What::Cylinder(args) => args.reckon()?,
        What::Distance(args) => args.reckon()?,
        What::Due(args) => args.reckon()?,
        What::Hold(args) => args.reckon()?,
        What::Leak(args) => args.reckon()?,
        What::Load(args) => args.reckon()?,
        What::Plate(args) => args.reckon()?,
        What::Night(args) => args.reckon(now)?,
        What::Pressure(args) => args.reckon()?,
        What::Trend(args) => args.reckon()?,
    };
    show(&reckoned, args.json, &mut terminal)
}

fn show(
    reckoned: &Reckoned,
    json: bool,
    terminal: &mut Terminal<'_>,
) -> Result<Exit, CommandError> {
    let text = if json {
        reckoned.to_json()
    } else {
        reckoned.to_terminal()
    };
    terminal.result(&text)?;
    Ok(Exit::Fine)
}

/// The settings for air that come with the program: no county is asked.
fn free_air_policy() -> Result<AirPolicy, CommandError> {
    built_in_policy().map(|policy| policy.free_air)
}

/// The settings that come with the program: no county is asked.
fn built_in_policy() -> Result<Policy, CommandError> {
    Policy::parse(Policy::default_text()).map_err(|source| {
        LookupError::Unreadable {
            what: "policy".to_owned(),
            source,
        }
        .into()
    })
}
