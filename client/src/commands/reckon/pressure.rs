//! `reckon pressure`: what a gauge will show at another temperature and air pressure.

use clap::Args;
use sponson_show::reckoned::{self, AirOutside, PressureAsked, Reckoned};
use sponson_show::{clean, units};

use super::air::not_negative;
use super::built_in_policy;
use crate::error::CommandError;

/// What the gauge of a part will show elsewhere, and how far that can be off.
#[derive(Args, Debug)]
pub(super) struct PressureArgs {
    /// Gauge as read, for example 240mbar.
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    gauge: String,
    /// Temperature at the reading, for example 20C.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    from: String,
    /// Temperature there, for example 4C: the colder of air and water for too soft, the warmer for
    /// too hard.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    to: String,
    #[command(flatten)]
    outside: OutsideArgs,
    /// Setting of the part's relief valve, for example 250mbar.
    #[arg(long, value_name = "PRESSURE")]
    relief: Option<String>,
    /// The hottest that the part has been since the reading, for example 45C.
    #[arg(
        long,
        value_name = "TEMPERATURE",
        allow_hyphen_values = true,
        requires = "relief"
    )]
    hottest: Option<String>,
    /// Gauge that is wanted there: says what to bring the part to here.
    #[arg(long, value_name = "PRESSURE")]
    wanted: Option<String>,
}

/// Air pressure outside, at the reading and there.
#[derive(Args, Debug)]
struct OutsideArgs {
    /// Elevation at the reading, for example 0m.
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    elevation_from: Option<String>,
    /// Elevation there, for example 1500m. As at the reading when nothing is given.
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    elevation_to: Option<String>,
    /// Air pressure as measured at the reading, for example 101.325kPa.
    #[arg(long, value_name = "PRESSURE", conflicts_with_all = ["elevation_from", "altimeter_from"])]
    ambient_from: Option<String>,
    /// Air pressure as measured there, for example 84.3kPa.
    #[arg(long, value_name = "PRESSURE", conflicts_with_all = ["elevation_to", "altimeter_to"])]
    ambient_to: Option<String>,
    /// Altimeter setting at the reading, for example 29.92inHg; with --elevation-from.
    #[arg(long, value_name = "PRESSURE", requires = "elevation_from")]
    altimeter_from: Option<String>,
    /// Altimeter setting there; with --elevation-to.
    #[arg(long, value_name = "PRESSURE", requires = "elevation_to")]
    altimeter_to: Option<String>,
}

impl PressureArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let relief_pa = optional("--relief", self.relief.as_deref())?;
        let hottest = self.hottest.as_deref();
        let hottest = hottest.map(|text| units::temperature("--hottest", text, None));
        let asked = PressureAsked {
            gauge_pa: not_negative("--gauge", &self.gauge)?,
            from_mc: units::temperature("--from", &self.from, None)?,
            to_mc: units::temperature("--to", &self.to, None)?,
            from: self.outside.from()?.unwrap_or(AirOutside::NotGiven),
            to: self.outside.to()?,
            relief_pa,
            hottest_mc: hottest.transpose()?,
            wanted_pa: optional("--wanted", self.wanted.as_deref())?,
        };
        if let (Some(relief_pa), Some(wanted_pa), Some(text)) =
            (relief_pa, asked.wanted_pa, &self.wanted)
            && wanted_pa > relief_pa
        {
            return Err(CommandError::Argument {
                field: "--wanted",
                value: clean(text),
                limit: "it is above the setting of --relief: the valve holds no more".to_owned(),
            });
        }
        Ok(reckoned::pressure(&asked, &built_in_policy()?.pressure))
    }
}

impl OutsideArgs {
    fn from(&self) -> Result<Option<AirOutside>, CommandError> {
        outside(
            ("--ambient-from", self.ambient_from.as_deref()),
            ("--altimeter-from", self.altimeter_from.as_deref()),
            ("--elevation-from", self.elevation_from.as_deref()),
        )
    }

    fn to(&self) -> Result<Option<AirOutside>, CommandError> {
        outside(
            ("--ambient-to", self.ambient_to.as_deref()),
            ("--altimeter-to", self.altimeter_to.as_deref()),
            ("--elevation-to", self.elevation_to.as_deref()),
        )
    }
}

type Given<'a> = (&'static str, Option<&'a str>);

fn outside(
    ambient: Given<'_>,
    altimeter: Given<'_>,
    elevation: Given<'_>,
) -> Result<Option<AirOutside>, CommandError> {
    let pressure = |(field, text): Given<'_>| -> Result<Option<u32>, CommandError> {
        let air = text.map(|text| units::absolute(field, text, None));
        Ok(air.transpose()?.and_then(|air| u32::try_from(air.0).ok()))
    };
    if let Some(pa) = pressure(ambient)? {
        return Ok(Some(AirOutside::Measured(pa)));
    }
    let (field, text) = elevation;
    let elevation_mm = text.map(|text| units::elevation(field, text)).transpose()?;
    Ok(match (pressure(altimeter)?, elevation_mm) {
        (Some(pa), Some(mm)) => Some(AirOutside::Altimeter(pa, mm)),
        (None, Some(mm)) => Some(AirOutside::Elevation(mm)),
        (_, None) => None,
    })
}

fn optional(field: &'static str, text: Option<&str>) -> Result<Option<i64>, CommandError> {
    text.map(|text| not_negative(field, text)).transpose()
}

#[cfg(test)]
mod tests;
