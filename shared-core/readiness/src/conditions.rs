//! Conditions of a job: where, for how long, in which light, wind and water.
//!
//! Given in with the question. Whether it is dark is worked out where the question is taken in,
//! from place and moment, and comes here as stretches of dark: the engine reckons no sun.

mod light;

pub use light::{Dark, Light, Lights};

use crate::pressure::{standard_pressure_pa, station_pressure_pa};

/// A place on the Earth (WGS 84), in units of 10^-7 degree, north and east positive: 11 mm or
/// finer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Position {
    /// Latitude, from -900,000,000 to 900,000,000.
    pub lat_e7: i32,
    /// Longitude, from -1,800,000,000 to 1,800,000,000.
    pub lon_e7: i32,
}

/// How far one sees.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Visibility {
    /// Clear.
    Clear,
    /// Restricted by fog, rain, snow, smoke.
    Restricted,
    /// So many metres: restricted or not by the county's setting.
    Metres(u32),
}

/// Whether something is to be towed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tow {
    /// Nothing.
    #[default]
    No,
    /// Another craft.
    Yes,
}

/// Pressure of the air at the launch, as it was given.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ambient {
    /// Read there, pascal.
    StationPa(i64),
    /// An altimeter setting, pascal: reduced to the sea, to be brought back to the elevation.
    AltimeterPa(i64),
}

/// Conditions as they were given; what is absent is assumed, and said to be.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Conditions {
    /// Place of the launch.
    pub position: Option<Position>,
    /// How long the job lasts, seconds.
    pub duration_s: Option<u32>,
    /// When it is dark there, around each moment that may be judged.
    pub light: Vec<Light>,
    /// How far one sees.
    pub visibility: Option<Visibility>,
    /// Wind, millimetres a second.
    pub wind_mm_s: Option<u32>,
    /// Current, millimetres a second.
    pub current_mm_s: Option<u32>,
    /// Whether something is to be towed.
    pub tow: Tow,
    /// Pressure of the air at the launch.
    pub ambient: Option<Ambient>,
}

impl Conditions {
    /// Nothing given.
    pub const NONE: Self = Self {
        position: None,
        duration_s: None,
        light: Vec::new(),
        visibility: None,
        wind_mm_s: None,
        current_mm_s: None,
        tow: Tow::No,
        ambient: None,
    };

    /// Pressure of the air at the launch, pascal: as read there, else from the altimeter setting
    /// and the elevation, else that of the standard atmosphere at the elevation (millimetres).
    #[must_use]
    pub fn ambient_pa(&self, elevation_mm: i32) -> f64 {
        match self.ambient {
            Some(Ambient::StationPa(pa)) => f64::from(within(pa)),
            Some(Ambient::AltimeterPa(pa)) => station_pressure_pa(within(pa), elevation_mm),
            None => standard_pressure_pa(elevation_mm),
        }
    }
}

/// Whoever asks is held to 300 to 1100 hPa before; a damaged value stays a pressure.
fn within(pa: i64) -> u32 {
    u32::try_from(pa.clamp(1_000, 1_000_000)).unwrap_or(101_325)
}
