//! `air`: air added to a part or let out of it.

use clap::Args;
use sponson_proto::event::v1::{AirChanged, AirDirection, AirSource, Kind};
use sponson_readiness::standard::Standard;
use sponson_show::terminal::Exit;
use sponson_show::{clean, units};

use crate::catalogue::subject;
use crate::check_file::place;
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Record that air was added to a part or let out of it.
///
/// Without this a weekly top-up hides a leak for ever.
#[derive(Args, Debug)]
pub struct AirArgs {
    /// Number of the craft.
    craft: String,
    /// Part of its boat standard, for example tube-1.
    part: String,
    /// What was done.
    #[arg(value_enum)]
    done: Direction,
    /// Gauge before, for example 3.0psi.
    #[arg(long, value_name = "PRESSURE")]
    before: Option<String>,
    /// Gauge afterwards.
    #[arg(long, value_name = "PRESSURE")]
    after: Option<String>,
    /// Where the air came from.
    #[arg(long, value_enum)]
    by: Option<Source>,
    /// Number of the pump or cylinder.
    #[arg(long, value_name = "GEAR")]
    with: Option<String>,
    /// What the cylinder's gauge shows afterwards, for example 3900psi.
    #[arg(long, value_name = "PRESSURE", requires = "with")]
    cylinder_after: Option<String>,
    /// Air that the craft stood in, for example 8C.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    air: Option<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Direction {
    Added,
    LetOut,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Source {
    HandPump,
    FootPump,
    ElectricPump,
    Cylinder,
    BreathingSet,
    Compressor,
}

/// Records the air.
///
/// # Errors
/// When a value cannot be, a name is not known, or the service refuses.
pub async fn run(args: &AirArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let standard = catalogue.standard(craft)?.standard;
    let part = place("PART", &args.part, &standard)?;
    holds_air(&part, &standard)?;
    let shown = catalogue.policy().units;
    let mut subjects = vec![subject(craft)];
    let source_gear = match &args.with {
        None => bytes::Bytes::new(),
        Some(number) => {
            let gear = catalogue.gear(number)?;
            subjects.push(subject(gear));
            gear.id.clone()
        }
    };
    let gauge = |field, text: &Option<String>| {
        text.as_deref()
            .map(|text| units::gauge(field, text, Some(shown.pressure)).map(|gauge| gauge.0))
            .transpose()
    };
    let air_mc = args
        .air
        .as_deref()
        .map(|text| units::temperature("--air", text, Some(shown.temperature)));
    let message = AirChanged {
        part: part.clone(),
        direction: direction(args.done) as i32,
        source: args.by.map_or(AirSource::Unspecified, source) as i32,
        source_gear,
        gauge_before_pa: gauge("--before", &args.before)?,
        gauge_after_pa: gauge("--after", &args.after)?,
        air_mc: air_mc.transpose()?,
        source_after_kpa: cylinder_after(args.cylinder_after.as_deref())?,
    };
    in_order(args.done, &message)?;
    let event = session
        .record(Kind::AirChanged, &message, Record::about(subjects))
        .await?;
    let done = match args.done {
        Direction::Added => "air added to",
        Direction::LetOut => "air let out of",
    };
    session.recorded(&format!("{}: {done} {part}", clean(&craft.number)), &event)?;
    Ok(Exit::Fine)
}

fn cylinder_after(text: Option<&str>) -> Result<Option<u32>, CommandError> {
    let Some(text) = text else { return Ok(None) };
    match crate::check_file::cylinder_kpa("--cylinder-after", text)? {
        Some(kpa) => Ok(Some(kpa)),
        None => Err(CommandError::Argument {
            field: "--cylinder-after",
            value: clean(text),
            limit: "a cylinder's gauge is not below 0".to_owned(),
        }),
    }
}

/// Air goes into what holds air; that it did not is a slip in the name of the part.
fn holds_air(part: &str, standard: &Standard) -> Result<(), CommandError> {
    let mut parts = standard.parts.iter();
    let known = parts.find(|known| known.id.as_str() == part);
    if known.is_some_and(|known| known.pressure.is_some()) {
        return Ok(());
    }
    let holding = standard.parts.iter().filter(|part| part.pressure.is_some());
    let holding: Vec<&str> = holding.map(|part| part.id.as_str()).collect();
    Err(CommandError::Refused {
        field: "PART".to_owned(),
        value: part.to_owned(),
        limit: format!("it holds no air: give one of {}", holding.join(", ")),
    })
}

/// Added air makes the gauge rise, let-out air makes it fall.
fn in_order(done: Direction, message: &AirChanged) -> Result<(), CommandError> {
    let (Some(before), Some(after)) = (message.gauge_before_pa, message.gauge_after_pa) else {
        return Ok(());
    };
    let fits = match done {
        Direction::Added => after >= before,
        Direction::LetOut => after <= before,
    };
    if fits {
        return Ok(());
    }
    Err(CommandError::Refused {
        field: "--after".to_owned(),
        value: format!("{after} Pa, and --before {before} Pa"),
        limit: "air added makes the gauge rise, air let out makes it fall: exchange or correct \
                the two"
            .to_owned(),
    })
}

const fn direction(done: Direction) -> AirDirection {
    match done {
        Direction::Added => AirDirection::Added,
        Direction::LetOut => AirDirection::LetOut,
    }
}

const fn source(by: Source) -> AirSource {
    match by {
        Source::HandPump => AirSource::HandPump,
        Source::FootPump => AirSource::FootPump,
        Source::ElectricPump => AirSource::ElectricPump,
        Source::Cylinder => AirSource::Cylinder,
        Source::BreathingSet => AirSource::BreathingSet,
        Source::Compressor => AirSource::Compressor,
    }
}
