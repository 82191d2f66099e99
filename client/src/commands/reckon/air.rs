//! `reckon air`: the air that a part wants, and what a cylinder or a pump does about it.

use clap::Args;
use sponson_show::reckoned::{self, AirAsked, PumpAsked, Reckoned};
use sponson_show::{clean, units};

use super::free_air_policy;
use crate::error::CommandError;

/// The air that brings a part from one gauge to another, from a cylinder or a pump.
#[derive(Args, Debug)]
pub(super) struct AirArgs {
    /// Volume of the part or of all parts together, for example 900L.
    #[arg(long, value_name = "VOLUME")]
    volume: String,
    /// Gauge that it has, for example 165mbar; 0 when it is slack.
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    gauge: String,
    /// Gauge that it is to have, for example 235mbar.
    #[arg(long, value_name = "PRESSURE")]
    to: String,
    /// Temperature of part, cylinder and air, for example 10C.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    temperature: String,
    /// Air pressure outside, for example 84.3kPa. Standard pressure when not given.
    #[arg(long, value_name = "PRESSURE")]
    ambient: Option<String>,
    /// Temperature at which litres of free air are told. 15C when not given.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    reference_temperature: Option<String>,
    /// Water volume and gauge of a cylinder, for example 6.8L@4500psi.
    #[arg(long, value_name = "VOLUME@PRESSURE")]
    cylinder: Option<String>,
    /// Stroke of a pump, for example 2L; with the greatest pressure that it reaches: 2L@6psi.
    #[arg(long, value_name = "VOLUME[@PRESSURE]")]
    pump: Option<String>,
    /// Share of each stroke that does not arrive, for example 10%.
    #[arg(long, value_name = "PERCENT", requires = "pump")]
    losses: Option<String>,
    /// How much the part grows from slack to the wanted gauge, for example 2%. When not given, both
    /// a part that keeps its volume and one that grows are told.
    #[arg(long, value_name = "PERCENT")]
    stretch: Option<String>,
}

impl AirArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let gauge_pa = not_negative("--gauge", &self.gauge)?;
        let to_pa = not_negative("--to", &self.to)?;
        if to_pa <= gauge_pa {
            let limit = "it must be above what the part has: no air is wanted";
            return Err(refused("--to", &self.to, limit));
        }
        let ambient = self.ambient.as_deref();
        let ambient = ambient.map(|text| units::absolute("--ambient", text, None));
        let ambient_pa = ambient
            .transpose()?
            .and_then(|air| u32::try_from(air.0).ok());
        let reference = self.reference_temperature.as_deref();
        let reference =
            reference.map(|text| units::temperature("--reference-temperature", text, None));
        let stretch = self.stretch.as_deref();
        let asked = AirAsked {
            volume_ml: some_volume("--volume", &self.volume)?,
            gauge_pa,
            to_pa,
            temperature_mc: units::temperature("--temperature", &self.temperature, None)?,
            ambient_pa,
            reference_mc: reference.transpose()?,
            cylinder: self.cylinder.as_deref().map(cylinder).transpose()?,
            pump: self.pump()?,
            growth_ppm: stretch
                .map(|text| percent("--stretch", text, 20))
                .transpose()?,
        };
        Ok(reckoned::air(&asked, &free_air_policy()?))
    }

    fn pump(&self) -> Result<Option<PumpAsked>, CommandError> {
        let Some(text) = &self.pump else {
            return Ok(None);
        };
        let (stroke, most) = match text.split_once('@') {
            Some((stroke, most)) => (stroke, Some(not_negative("--pump", most)?)),
            None => (text.as_str(), None),
        };
        let losses = self.losses.as_deref();
        Ok(Some(PumpAsked {
            stroke_ml: some_volume("--pump", stroke)?,
            most_pa: most,
            losses_ppm: losses
                .map(|text| percent("--losses", text, 90))
                .transpose()?,
        }))
    }
}

fn cylinder(text: &str) -> Result<(u32, i64), CommandError> {
    let Some((volume, gauge)) = text.split_once('@') else {
        let limit = "give water volume and gauge, for example 6.8L@4500psi";
        return Err(refused("--cylinder", text, limit));
    };
    let volume_ml = some_volume("--cylinder", volume)?;
    Ok((volume_ml, not_negative("--cylinder", gauge)?))
}

/// A volume of something.
pub(super) fn some_volume(field: &'static str, text: &str) -> Result<u32, CommandError> {
    match units::volume(field, text)? {
        0 => Err(refused(field, text, "it must be above 0")),
        volume_ml => Ok(volume_ml),
    }
}

/// A gauge pressure that is none of a vacuum.
pub(super) fn not_negative(field: &'static str, text: &str) -> Result<i64, CommandError> {
    let gauge_pa = units::gauge(field, text, None)?.0;
    if gauge_pa < 0 {
        let limit = "a gauge of a part or cylinder is not below 0: a slack part is 0psi";
        return Err(refused(field, text, limit));
    }
    Ok(gauge_pa)
}

/// Whole or tenth percent, in parts per million.
fn percent(field: &'static str, text: &str, most: u32) -> Result<u32, CommandError> {
    let limit = format!("give percent from 0 to {most}, for example 2%");
    let refuse = || refused(field, text, &limit);
    let number = text.trim().strip_suffix('%').ok_or_else(refuse)?.trim();
    let (whole, tenth) = number.split_once('.').unwrap_or((number, "0"));
    let digits = |text: &str| text.chars().all(|letter| letter.is_ascii_digit());
    if tenth.len() != 1 || !digits(tenth) || !digits(whole) {
        return Err(refuse());
    }
    let whole: u32 = whole.parse().map_err(|_| refuse())?;
    let tenth: u32 = tenth.parse().map_err(|_| refuse())?;
    let tenths = whole.saturating_mul(10).saturating_add(tenth);
    if tenths > most * 10 {
        return Err(refuse());
    }
    Ok(tenths * 1_000)
}

fn refused(field: &'static str, value: &str, limit: &str) -> CommandError {
    CommandError::Argument {
        field,
        value: clean(value),
        limit: limit.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;

    #[derive(Parser, Debug)]
    struct Typed {
        #[command(flatten)]
        air: AirArgs,
    }

    fn reckoned(rest: &str) -> Result<Reckoned, String> {
        let line = format!("air --volume 900L --gauge 165mbar --temperature -5C {rest}");
        let typed = Typed::try_parse_from(line.split(' '));
        let typed = typed.map_err(|error| error.to_string())?;
        typed.air.reckon().map_err(|error| error.to_string())
    }

    #[test]
    fn a_line_as_it_is_typed_is_read() {
        let rest = "--to 235mbar --ambient 84.3kPa --reference-temperature 59F --cylinder \
                    6.8L@4500psi --pump 2L@6psi --losses 12.5% --stretch 2%";
        let given = reckoned(rest).expect("a line that can be").given;
        for (name, value) in [
            ("volume_ml", 900_000),
            ("gauge_pa", 16_500),
            ("to_pa", 23_500),
            ("temperature_mc", -5_000),
            ("ambient_pa", 84_300),
            ("reference_mc", 15_000),
            ("cylinder_water_ml", 6_800),
            ("cylinder_gauge_pa", 31_026_408),
            ("pump_stroke_ml", 2_000),
            ("pump_most_pa", 41_369),
            ("pump_losses_ppm", 125_000),
            ("growth_ppm", 20_000),
        ] {
            let found = given.iter().find(|(known, _)| *known == name);
            assert_eq!(found.and_then(|(_, it)| it.as_i64()), Some(value), "{name}");
        }
    }

    #[test]
    fn what_cannot_be_is_refused_with_field_value_and_limit() {
        for (rest, said) in [
            ("--to 165mbar", "--to"),
            ("--to 100mbar", "no air is wanted"),
            ("--to -1psi", "--to"),
            ("--to 235", "has no unit"),
            ("--to 235mbar --cylinder 6.8L", "6.8L@4500psi"),
            ("--to 235mbar --cylinder 0L@4500psi", "above 0"),
            ("--to 235mbar --cylinder 6.8L@-3psi", "not below 0"),
            ("--to 235mbar --pump 0L", "above 0"),
            ("--to 235mbar --stretch 2", "for example 2%"),
            ("--to 235mbar --stretch 21%", "from 0 to 20"),
            ("--to 235mbar --losses 5%", "--pump"),
            ("--to 235mbar --pump 2L --losses 1.25%", "from 0 to 90"),
            ("--to 235mbar --ambient 10kPa", "--ambient"),
        ] {
            let why = reckoned(rest).expect_err(rest);
            assert!(why.contains(said), "{rest}: {why}");
        }
    }
}
