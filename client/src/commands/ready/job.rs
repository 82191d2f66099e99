//! Place, duration and weather of a job, as typed.

use clap::Args;
use sponson_proto::answer::v1::Conditions;
use sponson_proto::answer::v1::conditions::{Ambient, Visibility};
use sponson_readiness::conditions::Position;
use sponson_show::{clean, units};

use crate::error::CommandError;

/// The job and its weather.
#[derive(Args, Debug, Default)]
pub struct Job {
    /// A weather report of a near aerodrome pasted as it is (METAR or SPECI), for example "KRAP 281652Z
    /// 31014G32KT 10SM M05/M07 A2992": air temperature, wind, visibility and altimeter setting are
    /// taken from it, where they are not given by hand.
    #[arg(long, value_name = "REPORT")]
    pub metar: Option<String>,
    /// Place of the launch: latitude and longitude, for example 44.9,-103.2, or the name of a launch
    /// place of the county's list. From it and the moment it is worked out whether it is dark.
    #[arg(long, value_name = "LAT,LON|NAME", allow_hyphen_values = true)]
    pub place: Option<String>,
    /// How long the job lasts, for example 2h.
    #[arg(long, value_name = "TIME")]
    pub duration: Option<String>,
    /// How far one sees: clear, restricted, or a distance such as 1mi.
    #[arg(long, value_name = "clear|restricted|DISTANCE")]
    pub visibility: Option<String>,
    /// Wind, for example 25kn.
    #[arg(long, value_name = "SPEED")]
    pub wind: Option<String>,
    /// Current of the water, for example 3kn.
    #[arg(long, value_name = "SPEED")]
    pub current: Option<String>,
    /// Another craft is to be towed.
    #[arg(long)]
    pub tow: bool,
    /// Pressure of the air at the launch, as read there, for example 84.3kPa.
    #[arg(long, value_name = "PRESSURE", conflicts_with = "altimeter")]
    pub ambient: Option<String>,
    /// Altimeter setting, as given on the air, for example 29.92inHg.
    #[arg(long, value_name = "PRESSURE")]
    pub altimeter: Option<String>,
}

impl Job {
    /// The conditions as a question carries them.
    ///
    /// # Errors
    /// When a value cannot be.
    pub fn conditions(&self) -> Result<Conditions, CommandError> {
        let place = self.place.as_deref().map(place).transpose()?;
        let (place, place_name) = match place {
            None => (None, String::new()),
            Some(Place::At(position)) => (Some(position), String::new()),
            Some(Place::Named(name)) => (None, name),
        };
        let speed = |field, text: &Option<String>| {
            text.as_deref()
                .map(|text| units::speed(field, text))
                .transpose()
        };
        Ok(Conditions {
            lat_e7: place.map(|place| place.lat_e7),
            lon_e7: place.map(|place| place.lon_e7),
            duration_s: self
                .duration
                .as_deref()
                .map(|text| units::span("--duration", text))
                .transpose()?,
            visibility: self.visibility.as_deref().map(visibility).transpose()?,
            wind_mm_s: speed("--wind", &self.wind)?,
            current_mm_s: speed("--current", &self.current)?,
            tow: self.tow,
            ambient: self.air_pressure()?,
            place_name,
        })
    }

    fn air_pressure(&self) -> Result<Option<Ambient>, CommandError> {
        let read = |field, text: &Option<String>| {
            text.as_deref()
                .map(|text| units::absolute(field, text, None))
                .transpose()
        };
        let ambient = read("--ambient", &self.ambient)?.map(|it| Ambient::AmbientPa(it.0));
        let altimeter = read("--altimeter", &self.altimeter)?;
        Ok(ambient.or(altimeter.map(|it| Ambient::AltimeterPa(it.0))))
    }
}

/// A place as typed.
#[derive(Debug, PartialEq)]
enum Place {
    At(Position),
    Named(String),
}

/// A position, else the name of a launch place: what has no letters but those of the compass is
/// meant as a position.
fn place(text: &str) -> Result<Place, CommandError> {
    let compass = |c: char| !c.is_alphabetic() || "NSEWnsew".contains(c);
    match units::position("--place", text) {
        Ok(position) => Ok(Place::At(position)),
        Err(error) if text.chars().all(compass) => Err(error.into()),
        Err(_) => Ok(Place::Named(text.trim().to_owned())),
    }
}

/// How far one sees, as typed.
///
/// # Errors
/// When it is neither a word for it nor a distance.
pub(crate) fn visibility(text: &str) -> Result<Visibility, CommandError> {
    let word = text.trim().to_lowercase();
    if matches!(word.as_str(), "clear" | "restricted") {
        return Ok(Visibility::VisibilityWord(word));
    }
    if !word.starts_with(|c: char| c.is_ascii_digit()) {
        return Err(CommandError::Argument {
            field: "--visibility",
            value: clean(text),
            limit: "give clear, restricted, or how far one sees, for example 1mi".to_owned(),
        });
    }
    let m = units::distance("--visibility", text)?;
    Ok(Visibility::VisibilityM(m))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_a_position_or_a_name() {
        for text in ["44.9,-103.2", "44.9N 103.2W", " 44.9 -103.2 "] {
            let found = place(text).expect(text);
            let wanted = Position {
                lat_e7: 449_000_000,
                lon_e7: -1_032_000_000,
            };
            assert_eq!(found, Place::At(wanted), "{text}");
        }
        for text in ["Mill Street ramp", "Ramp 4", "12th Street", " Ferry "] {
            let found = place(text).expect(text);
            assert_eq!(found, Place::Named(text.trim().to_owned()));
        }
        for text in ["44.9", "", "91,0", "44.9N", "44.9;-103.2"] {
            let error = place(text).expect_err(text).to_string();
            assert!(error.contains("--place"), "{error}");
        }
    }
}
