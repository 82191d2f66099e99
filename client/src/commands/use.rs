//! `use`: the craft was on the water.

use bytes::Bytes;
use clap::Args;
use sponson_proto::event::v1::{ItemCount, Kind, MeterReading, SubjectType, Use, WaterType};
use sponson_readiness::standard::Standard;
use sponson_show::terminal::Exit;
use sponson_show::{clean, units};

use crate::catalogue::{Catalogue, subject};
use crate::check_file::known_line;
use crate::error::CommandError;
use crate::session::{Record, Session};
use crate::times;

/// Record that a craft was on the water.
#[derive(Args, Debug)]
pub struct UseArgs {
    /// Number of the craft.
    craft: String,
    /// How long, for example 90min or "1 h 30 min".
    #[arg(long)]
    time: String,
    /// Engine time of this use; the meter decides where there is one.
    #[arg(long, value_name = "TIME")]
    engine: Option<String>,
    /// A meter afterwards, as GEAR=TIME, for example M3=113.6h. May be given again.
    #[arg(long, value_name = "GEAR=TIME")]
    meter: Vec<String>,
    /// Water that it was in.
    #[arg(long, value_enum)]
    water: Option<Water>,
    /// It capsized.
    #[arg(long)]
    capsized: bool,
    /// Its motor was under water.
    #[arg(long)]
    motor_immersed: bool,
    /// Frequent starts and shifts, heavy loads, dirty water.
    #[arg(long)]
    hard: bool,
    /// Kit used up, as ITEM=COUNT. May be given again.
    #[arg(long, value_name = "ITEM=COUNT")]
    used_up: Vec<String>,
    /// Mission.
    #[arg(long)]
    mission: Option<String>,
    /// Anything else, in words.
    #[arg(long)]
    note: Option<String>,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Water {
    Fresh,
    Salt,
    Polluted,
}

/// Records the use.
///
/// # Errors
/// When a value cannot be, a name is not known, or the service refuses.
pub async fn run(args: &UseArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let standard = catalogue.standard(craft)?.standard;
    let mut subjects = vec![subject(craft)];
    let mut meters = Vec::new();
    for text in &args.meter {
        let (number, time) = pair("--meter", text, "M3=113.6h")?;
        let gear = if number == craft.number {
            Bytes::new()
        } else {
            let gear = catalogue.find(&[SubjectType::Gear], number)?;
            subjects.push(subject(gear));
            gear.id.clone()
        };
        meters.push(MeterReading {
            subject: gear,
            engine_s: u64::from(times::of_meter("--meter", time)?),
        });
    }
    if args.capsized || args.motor_immersed {
        // What was under water is that motor, also when another one is on the craft later.
        let motors = catalogue.serving(craft, "motor").map(subject);
        let further: Vec<_> = motors.filter(|motor| !subjects.contains(motor)).collect();
        subjects.extend(further);
    }
    let subjects = session.corrected(&subjects).unwrap_or(subjects);
    let duration_s = times::of_use("--time", &args.time)?;
    let message = Use {
        duration_s,
        engine_s: args
            .engine
            .as_deref()
            .map(|text| times::of_use("--engine", text))
            .transpose()?,
        meters,
        water: match args.water {
            None => WaterType::Unspecified,
            Some(Water::Fresh) => WaterType::Fresh,
            Some(Water::Salt) => WaterType::Salt,
            Some(Water::Polluted) => WaterType::Polluted,
        } as i32,
        capsized: args.capsized,
        motor_immersed: args.motor_immersed,
        hard: args.hard,
        used_up: used_up(&args.used_up, &standard)?,
        mission: mission(args.mission.as_deref(), &standard)?,
    };
    let record = Record::about(subjects).note(args.note.as_deref());
    let event = session.record(Kind::Use, &message, record).await?;
    let time = units::print::span(i64::from(duration_s) * 1000);
    let number = number_of(&catalogue, &args.craft);
    session.recorded(&format!("{number}: on the water for {time}"), &event)?;
    Ok(Exit::Fine)
}

fn number_of(catalogue: &Catalogue, name: &str) -> String {
    catalogue
        .craft(name)
        .map_or_else(|_| clean(name), |craft| clean(&craft.number))
}

fn used_up(texts: &[String], standard: &Standard) -> Result<Vec<ItemCount>, CommandError> {
    let ids = standard.items.iter().map(|item| item.id.as_str());
    texts
        .iter()
        .map(|text| {
            let (item, count) = pair("--used-up", text, "flare-red-hand=2")?;
            let count = count.parse().map_err(|_| CommandError::Argument {
                field: "--used-up",
                value: clean(text),
                limit: "give a whole number after the =, for example flare-red-hand=2".to_owned(),
            })?;
            Ok(ItemCount {
                item: known_line("--used-up", "item", item, ids.clone(), standard)?,
                count,
                ..ItemCount::default()
            })
        })
        .collect()
}

fn mission(name: Option<&str>, standard: &Standard) -> Result<String, CommandError> {
    let ids = standard.missions.keys().map(|id| id.as_str());
    let Some(name) = name else {
        return Ok(String::new());
    };
    Ok(known_line("--mission", "mission", name, ids, standard)?)
}

/// Splits `NAME=VALUE`.
pub(crate) fn pair<'t>(
    field: &'static str,
    text: &'t str,
    example: &str,
) -> Result<(&'t str, &'t str), CommandError> {
    match text.rsplit_once('=') {
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => {
            Ok((name.trim(), value.trim()))
        }
        Some(_) | None => Err(CommandError::Argument {
            field,
            value: clean(text),
            limit: format!("write it with an = in it, for example {example}"),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_are_split_at_the_last_sign() {
        for (text, split) in [
            ("M3=113.6h", Some(("M3", "113.6h"))),
            ("a=b=2", Some(("a=b", "2"))),
            ("M3", None),
            ("=3", None),
            ("M3=", None),
        ] {
            assert_eq!(pair("--meter", text, "M3=1h").ok(), split, "{text}");
        }
    }
}
