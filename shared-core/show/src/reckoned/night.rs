//! Sunrise, sunset and the dark of a job, in words.

use sponson_readiness::conditions::{Dark, Light, Position, Visibility};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Policy;

use super::Reckoned;
use crate::units::print;

/// A job of which the light is asked for.
#[derive(Clone, Copy, Debug)]
pub struct NightAsked {
    /// Where.
    pub position: Position,
    /// When it begins.
    pub at: Moment,
    /// How long it lasts, seconds; a moment alone when none.
    pub duration_s: Option<u32>,
    /// How far one sees there.
    pub visibility: Option<Visibility>,
    /// Local time, minutes east of UTC: whose day's sunrise and sunset are told.
    pub utc_offset_min: i32,
}

/// A day, milliseconds.
const DAY_MS: i64 = 86_400_000;

/// Sunrise and sunset of the day, the night, and whether lights are needed. `light` is known for at
/// least the day and the job.
#[must_use]
pub fn night(asked: &NightAsked, light: &Light, policy: &Policy) -> Reckoned {
    let night = Night::new(asked, light, policy);
    Reckoned {
        what: "night",
        given: given(asked),
        figures: night.figures(),
        lines: night.lines(),
        assumed: night.assumed(),
        sources: vec![
            "sunrise and sunset: Solar Position Algorithm, Reda and Andreas 2003; upper limb at a \
             level horizon, standard refraction; hills and weather make it dark sooner"
                .to_owned(),
            "lights from sunset to sunrise and in restricted visibility: 33 CFR 83.20".to_owned(),
        ],
    }
}

fn given(asked: &NightAsked) -> Vec<(&'static str, serde_json::Value)> {
    let (word, metres) = match asked.visibility {
        None => (None, None),
        Some(Visibility::Clear) => (Some("clear"), None),
        Some(Visibility::Restricted) => (Some("restricted"), None),
        Some(Visibility::Metres(m)) => (Some("metres"), Some(m)),
    };
    vec![
        ("lat_deg", (f64::from(asked.position.lat_e7) / 1e7).into()),
        ("lon_deg", (f64::from(asked.position.lon_e7) / 1e7).into()),
        ("time", print::rfc3339(asked.at).into()),
        ("duration_s", asked.duration_s.into()),
        ("visibility", word.into()),
        ("visibility_m", metres.into()),
        ("utc_offset_min", asked.utc_offset_min.into()),
    ]
}

struct Night<'a> {
    asked: &'a NightAsked,
    /// Sunrise and sunset of the local day.
    sunrise: Option<Moment>,
    sunset: Option<Moment>,
    /// The night that the job begins in, else the next.
    night: (Option<Moment>, Option<Moment>),
    dark: Dark,
    is_restricted: bool,
}

impl<'a> Night<'a> {
    fn new(asked: &'a NightAsked, light: &Light, policy: &Policy) -> Self {
        let offset_ms = i64::from(asked.utc_offset_min) * 60_000;
        let local_ms = asked.at.plus_ms(offset_ms).0;
        let midnight = Moment(local_ms.div_euclid(DAY_MS) * DAY_MS).plus_ms(-offset_ms);
        let of_day = |at: &Moment| {
            let since_ms = at.since(midnight);
            (0..DAY_MS).contains(&since_ms) && *at > light.from && *at < light.to
        };
        let mut sunrises = light.dark.iter().map(|(_, to)| *to);
        let mut sunsets = light.dark.iter().map(|(from, _)| *from);
        let job_ms = i64::from(asked.duration_s.unwrap_or_default()) * 1_000;
        Self {
            asked,
            sunrise: sunrises.find(of_day),
            sunset: sunsets.find(of_day),
            night: light.night_at(asked.at),
            dark: light.during(asked.at, asked.at.plus_ms(job_ms)),
            is_restricted: match asked.visibility {
                None | Some(Visibility::Clear) => false,
                Some(Visibility::Restricted) => true,
                Some(Visibility::Metres(m)) => m < policy.restricted_visibility_m,
            },
        }
    }

    /// From when lights are needed.
    fn lights_from(&self) -> Option<Moment> {
        match self.dark {
            _ if self.is_restricted => Some(self.asked.at),
            Dark::Yes => Some(self.asked.at),
            Dark::Partly { from, .. } => Some(from),
            Dark::No | Dark::NotKnown => None,
        }
    }

    fn figures(&self) -> Vec<(&'static str, serde_json::Value)> {
        let utc = |at: Option<Moment>| at.map(print::rfc3339).into();
        let local = |at: Option<Moment>| at.map(|at| self.local(at)).into();
        vec![
            ("sunrise", utc(self.sunrise)),
            ("sunset", utc(self.sunset)),
            ("sunrise_local", local(self.sunrise)),
            ("sunset_local", local(self.sunset)),
            ("night_from", utc(self.night.0)),
            ("night_to", utc(self.night.1)),
            ("dark", self.dark.id().into()),
            ("restricted_visibility", self.is_restricted.into()),
            ("lights_from", utc(self.lights_from())),
        ]
    }

    fn local(&self, at: Moment) -> String {
        print::local(at, self.asked.utc_offset_min)
    }

    /// A moment in local time and in UTC.
    fn both(&self, at: Moment) -> String {
        let utc = print::local(at, 0);
        let time = utc.split_once(' ').map_or(utc.as_str(), |(_, time)| time);
        format!("{} ({time} UTC)", self.local(at))
    }

    fn lines(&self) -> Vec<String> {
        let at = self.both(self.asked.at);
        let job = self.asked.duration_s.map_or_else(String::new, |s| {
            format!(" for {}", print::span(i64::from(s) * 1_000))
        });
        let dark = match self.dark {
            Dark::No => "daylight".to_owned(),
            Dark::Yes => "dark".to_owned(),
            Dark::Partly { from, to } if from == self.asked.at => {
                format!("dark until {}", self.both(to))
            }
            Dark::Partly { from, .. } => format!("dark from {}", self.both(from)),
            Dark::NotKnown => "not known".to_owned(),
        };
        let day = [("sunrise", self.sunrise), ("sunset", self.sunset)].map(|(name, at)| match at {
            Some(at) => format!("{name} {}", self.both(at)),
            None => format!("no {name} that day"),
        });
        let night = match self.night {
            (Some(from), Some(to)) => Some(format!(
                "night from {} to {}",
                self.both(from),
                self.both(to)
            )),
            (None, _) | (_, None) => None,
        };
        let lights = match self.lights_from() {
            None => "lights not needed".to_owned(),
            Some(from) if self.is_restricted => {
                format!(
                    "lights needed from {}: visibility is restricted",
                    self.both(from)
                )
            }
            Some(from) => format!("lights needed from {}", self.both(from)),
        };
        let first = format!("{at}{job}: {dark}");
        [Some(first), Some(lights)]
            .into_iter()
            .chain(day.map(Some))
            .chain([night])
            .flatten()
            .collect()
    }

    fn assumed(&self) -> Vec<String> {
        let visibility = match self.asked.visibility {
            None => Some("clear visibility".to_owned()),
            Some(Visibility::Metres(_)) => Some(
                "restricted visibility is less than the settings that come with the program say"
                    .to_owned(),
            ),
            Some(Visibility::Clear | Visibility::Restricted) => None,
        };
        visibility.into_iter().collect()
    }
}

#[cfg(test)]
mod tests;
