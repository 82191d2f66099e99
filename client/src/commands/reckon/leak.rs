//! `reckon leak`: how fast a part leaks by its readings, and when it reaches a minimum.

mod readings;

use std::path::PathBuf;

use clap::Args;
use sponson_readiness::leak::{REFERENCE, Relief};
use sponson_readiness::pressure::Air;
use sponson_show::reckoned::{self, LeakAsked, Reckoned};
use sponson_show::{clean, units};

use crate::error::CommandError;

/// How fast a part leaks by its readings, and when it reaches a minimum.
///
/// A CSV file with a heading. Columns: t_days (or days) or time; gauge; temperature; ambient (where
/// it was measured). Values with their unit ('3.1 psi', '62 F'), or the unit in the heading:
/// gauge_psi, gauge_mbar, gauge_kpa, gauge_pa, temp_c, temp_f, ambient_pa, ambient_hpa. A column
/// 'before' says what was done before a reading: added, let-out, inflated or repaired; nothing is
/// fitted across that. Lines that begin with # are left out.
#[derive(Args, Debug)]
pub(super) struct LeakArgs {
    /// The readings of one part.
    #[arg(long, value_name = "FILE.csv")]
    readings: PathBuf,
    /// Only rows with this value in the column 'part' or 'case'.
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
    /// Gauge that it should not fall below, for example 140mbar.
    #[arg(long, value_name = "PRESSURE")]
    minimum: Option<String>,
    /// Temperature at which that is asked, for example 4C; 15 °C when not given.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    at: Option<String>,
    /// Air pressure at which that is asked; 1013.25 hPa when not given.
    #[arg(long, value_name = "PRESSURE")]
    ambient_at: Option<String>,
    /// Setting of the part's relief valve, for example 280mbar.
    #[arg(long, value_name = "PRESSURE")]
    relief: Option<String>,
    /// How much warmer than at the readings the bay may have been between them, for example 5C.
    #[arg(
        long,
        value_name = "DIFFERENCE",
        allow_hyphen_values = true,
        requires = "relief",
        default_value = "5C"
    )]
    swing: String,
}

impl LeakArgs {
    /// # Errors
    /// When a value cannot be, the file cannot be read, or nothing can be fitted.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let mut assumed = Vec::new();
        let read = readings::read(&self.readings, self.only.as_deref())?;
        if read.ambient_assumed {
            assumed.push("air pressure 1013.25 hPa where the file has none".to_owned());
        }
        let minimum = gauge("--minimum", self.minimum.as_deref())?;
        let at = self.at(minimum.is_some(), &mut assumed)?;
        let relief = gauge("--relief", self.relief.as_deref())?;
        let asked = LeakAsked {
            steps: read.steps,
            day_0: read.day_0,
            relief: relief.map(|pa| self.relief(pa)).transpose()?,
            minimum_pa: minimum,
            at,
            assumed,
        };
        reckoned::leak(asked).map_err(|why| CommandError::Refused {
            field: "--readings".to_owned(),
            value: clean(&self.readings.display().to_string()),
            limit: why,
        })
    }

    fn at(&self, is_asked: bool, assumed: &mut Vec<String>) -> Result<Air, CommandError> {
        let temperature = self
            .at
            .as_deref()
            .map(|text| units::temperature("--at", text, None));
        let ambient = self.ambient_at.as_deref();
        let ambient = ambient.map(|text| units::absolute("--ambient-at", text, None));
        let (temperature, ambient) = (temperature.transpose()?, ambient.transpose()?);
        if is_asked && temperature.is_none() {
            assumed.push("the minimum is asked at 15 °C".to_owned());
        }
        if is_asked && ambient.is_none() {
            assumed.push("the minimum is asked at 1013.25 hPa".to_owned());
        }
        Ok(Air {
            temperature_mc: temperature.unwrap_or(REFERENCE.temperature_mc),
            ambient_pa: ambient
                .and_then(|pa| u32::try_from(pa.0).ok())
                .map_or(REFERENCE.ambient_pa, f64::from),
        })
    }

    fn relief(&self, relief_pa: f64) -> Result<Relief, CommandError> {
        let zero = units::temperature("--swing", "0C", None)?;
        let swing = match self.swing.trim().strip_suffix(['F', 'f']) {
            // A difference, not a temperature: 9 °F are 5 °C.
            Some(number) => units::temperature("--swing", &format!("{number}C"), None)? * 5 / 9,
            None => units::temperature("--swing", &self.swing, None)?,
        };
        if swing < zero {
            return Err(CommandError::Argument {
                field: "--swing",
                value: clean(&self.swing),
                limit: "give how much warmer it may have been, 0C or more".to_owned(),
            });
        }
        Ok(Relief {
            relief_pa,
            swing_mk: swing,
        })
    }
}

fn gauge(field: &'static str, text: Option<&str>) -> Result<Option<f64>, CommandError> {
    let Some(text) = text else {
        return Ok(None);
    };
    let pa = units::gauge_unrounded(field, text)?;
    if pa > 0.0 {
        return Ok(Some(pa));
    }
    Err(CommandError::Argument {
        field,
        value: clean(text),
        limit: "give a gauge above 0".to_owned(),
    })
}

#[cfg(test)]
mod tests;
