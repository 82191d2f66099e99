//! `reckon night`: sunrise and sunset, and whether a job runs into the dark.

use clap::Args;
use sponson_link::daylight;
use sponson_proto::answer::v1::conditions::Visibility as WireVisibility;
use sponson_readiness::conditions::Visibility;
use sponson_readiness::moment::Moment;
use sponson_show::reckoned::{self, NightAsked, Reckoned};
use sponson_show::{clean, dates, units};

use super::{Now, built_in_policy};
use crate::commands::ready::visibility;
use crate::error::CommandError;

/// Sunrise and sunset of a day at a place, and whether a job needs lights.
#[derive(Args, Debug)]
pub(super) struct NightArgs {
    /// The place, latitude and longitude, for example 44.9,-103.2.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    at: String,
    /// When the job begins, for example "2026-11-25 15:30", or a day alone for its noon; now when not
    /// given. Local time of this device, unless it ends in Z or an offset such as -06:00: sunrise and
    /// sunset are those of that day, in that time.
    #[arg(long, value_name = "TIME")]
    time: Option<String>,
    /// How long the job lasts, for example 3h.
    #[arg(long, value_name = "TIME")]
    duration: Option<String>,
    /// How far one sees: clear, restricted, or a distance such as 1mi.
    #[arg(long, value_name = "clear|restricted|DISTANCE")]
    visibility: Option<String>,
}

/// Longest job, seconds: as in a question to the log.
const DURATION_MAX_S: u32 = 30 * 86_400;

impl NightArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self, now: Now) -> Result<Reckoned, CommandError> {
        let position = units::position("--at", &self.at)?;
        let (at, utc_offset_min) = self.moment(now)?;
        let asked = NightAsked {
            position,
            at,
            duration_s: self.duration_s()?,
            visibility: self.visibility()?,
            utc_offset_min,
        };
        // Without a job the whole local day is looked at all the same: it lies within a day and a
        // half of any moment of it.
        let light = daylight::light(position, at, asked.duration_s.unwrap_or_default());
        let light = light.ok_or_else(|| CommandError::Argument {
            field: "--time",
            value: clean(self.time.as_deref().unwrap_or("now")),
            limit: "the sun is known here from 1900 to 2200".to_owned(),
        })?;
        Ok(reckoned::night(&asked, &light, &built_in_policy()?))
    }

    fn moment(&self, now: Now) -> Result<(Moment, i32), CommandError> {
        let Some(text) = &self.time else {
            return Ok((Moment(now.unix_ms), now.utc_offset_min));
        };
        let noon;
        let text = if text.contains(':') {
            text
        } else {
            noon = format!("{text} 12:00");
            &noon
        };
        Ok(dates::moment_and_zone("--time", text, now.utc_offset_min)?)
    }

    fn duration_s(&self) -> Result<Option<u32>, CommandError> {
        let Some(text) = &self.duration else {
            return Ok(None);
        };
        let s = units::span("--duration", text)?;
        if s > DURATION_MAX_S {
            return Err(CommandError::Argument {
                field: "--duration",
                value: clean(text),
                limit: "give at most 30 days".to_owned(),
            });
        }
        Ok(Some(s))
    }

    fn visibility(&self) -> Result<Option<Visibility>, CommandError> {
        let given = self.visibility.as_deref().map(visibility).transpose()?;
        Ok(given.map(|given| match given {
            WireVisibility::VisibilityM(m) => Visibility::Metres(m),
            WireVisibility::VisibilityWord(word) if word == "clear" => Visibility::Clear,
            WireVisibility::VisibilityWord(_) => Visibility::Restricted,
        }))
    }
}

#[cfg(test)]
mod tests;
