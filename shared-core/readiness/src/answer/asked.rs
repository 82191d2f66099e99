//! The question as judged: what was given, what was assumed, what is known against the clock.

use super::{CalloutAsked, TogetherAsked};
use crate::conditions::{Conditions, Dark, Lights};
use crate::ids::MissionId;
use crate::load::{CrewAsked, Party};
use crate::moment::Moment;
use crate::weather_report::ReportAsked;
use crate::without::Without;
use std::collections::BTreeSet;

/// The question as judged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked {
    /// The moment that is judged.
    pub as_of: Moment,
    /// The asker's moment: bounds what the county has not stored.
    pub now: Moment,
    /// The mission; none when the general standard was asked for.
    pub mission: Option<MissionId>,
    /// Air at the launch, milli-degree Celsius.
    pub air_mc: i32,
    /// Water at the launch, milli-degree Celsius.
    pub water_mc: i32,
    /// Elevation of the launch, millimetres.
    pub elevation_mm: i32,
    /// Crew as given.
    pub crew: CrewAsked,
    /// People to bring home, as given.
    pub people: Vec<Party>,
    /// How long the job lasts, seconds.
    pub duration_s: u32,
    /// Whether it is dark meanwhile.
    pub dark: Dark,
    /// Whether lights are needed: in the dark and in restricted visibility.
    pub lights: Lights,
    /// Place, duration, light and weather as they were given.
    pub conditions: Conditions,
    /// What was asked of craft together.
    pub together: Option<TogetherAsked>,
    /// The weather report that conditions were made from.
    pub weather_report: Option<ReportAsked>,
    /// What was taken as not there.
    pub without: Without,
    /// The call-out that was asked, with the ways that were given.
    pub callout: Option<CalloutAsked>,
    /// What was not given, and so assumed.
    pub assumed: BTreeSet<Assumed>,
    /// What is known against the asker's clock.
    pub clock: AskerClock,
}
impl Asked {
    /// Sunset and sunrise of the night that the job begins in, else of the next; none where that
    /// is not known, or the sun does not set or rise.
    #[must_use]
    pub fn night(&self) -> (Option<Moment>, Option<Moment>) {
        let mut light = self.conditions.light.iter();
        let around = light.find(|light| light.from <= self.as_of && self.as_of <= light.to);
        around.map_or((None, None), |light| light.night_at(self.as_of))
    }
}
/// What is known against the asker's clock, and so which moment was judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum AskerClock {
    /// Nothing.
    #[default]
    NotDoubted,
    /// It differs from the county's: the county's time was judged.
    Off {
        /// The county's less the asker's, milliseconds.
        county_minus_device_ms: i64,
    },
    /// It is before the newest time that the county has shown: that time was judged.
    BeforeCounty {
        /// The newest time less the asker's, milliseconds.
        behind_ms: i64,
    },
    /// It differed at the last sync, and the device was started again since, so it may have been
    /// set: each craft was judged at both times, and the worse counts.
    WasOff {
        /// The county's less the asker's then, milliseconds.
        county_minus_device_ms: i64,
        /// The other time at which it was judged.
        other: Moment,
    },
    /// It was set since the device was started: each craft was judged by the clock as it is and as
    /// it was, and the worse counts.
    Changed {
        /// The clock as it is less the clock as it was, milliseconds.
        by_ms: i64,
        /// The other time at which it was judged.
        other: Moment,
    },
}
/// Inputs that can be assumed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Assumed {
    /// Mission: general.
    Mission,
    /// Air temperature: the county's setting.
    Air,
    /// Water temperature: the air's.
    Water,
    /// Elevation: the county's setting.
    Elevation,
    /// Crew: the standard's least crew, at the county's weight unless one was given.
    Crew,
    /// Weight of the given crew: the county's setting.
    CrewWeight,
    /// Weight of some of the people: the heaviest of their size, an adult's the county's setting.
    PeopleWeight,
    /// Place: not known, and so not whether it is dark.
    Place,
    /// Duration: the county's setting.
    Duration,
    /// Visibility: clear.
    Visibility,
    /// Wind: within the limits of the standard.
    Wind,
    /// Current: within the limits of the standard.
    Current,
    /// Pressure of the air: the standard atmosphere's at the elevation.
    Ambient,
}
