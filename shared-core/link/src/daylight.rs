//! When it is dark at a place: sunset to sunrise, by the Solar Position Algorithm (Reda and Andreas
//! 2003, in the solar-positioning library).
//!
//! Worked out here, at the edge, once for each question, and given in with it: the engine reckons no
//! sun, and a signed answer lists what was used. Sunset is the usual one: the upper limb at a level
//! horizon, standard refraction. Hills and weather make it dark sooner.

use solar_positioning::time::JulianDate;
use solar_positioning::{Horizon, Location, SolarEvents, SolarPositions, delta_t};
use sponson_readiness::conditions::{Light, Position};
use sponson_readiness::moment::Moment;

/// How far before and after a job the light is looked at, so that the night that it lies in is seen
/// from its sunset to its sunrise: a day and a half.
const AROUND_MS: i64 = 36 * 3_600_000;

/// Milliseconds in a day.
const DAY_MS: f64 = 86_400_000.0;

/// Julian date of 1970-01-01T00:00Z.
const UNIX_JULIAN: f64 = 2_440_587.5;

/// Most stretches of dark that are looked for: a job of 60 days has 63 nights.
const NIGHTS_MAX: usize = 64;

/// When it is dark at a place around a job that lasts so many seconds; none in years for which the
/// sun is not known here (before 1900 and after 2200).
#[must_use]
pub fn light(position: Position, at: Moment, duration_s: u32) -> Option<Light> {
    let job_ms = i64::from(duration_s).saturating_mul(1_000);
    let from = at.plus_ms(-AROUND_MS);
    let to = at.plus_ms(job_ms).plus_ms(AROUND_MS);
    dark_between(position, from, to)
}

fn dark_between(position: Position, from: Moment, to: Moment) -> Option<Light> {
    let sky = Sky::new(position, from)?;
    let mut dark = Vec::new();
    let mut begun = (!sky.is_up(from)?).then_some(from);
    let mut at = from;
    while dark.len() < NIGHTS_MAX {
        let Some(sunset) = begun.or(sky.next(at, to, Change::Sunset)?) else {
            break;
        };
        begun = None;
        let sunrise = sky.next(sunset, to, Change::Sunrise)?;
        at = sunrise.unwrap_or(to);
        dark.push((sunset, at));
        if sunrise.is_none() {
            break;
        }
    }
    Some(Light { from, to, dark })
}

/// What the sun does at the horizon.
#[derive(Clone, Copy)]
enum Change {
    Sunrise,
    Sunset,
}

/// The sun over one place, in one year.
struct Sky {
    location: Location,
    /// Terrestrial less universal time, seconds.
    delta_t: f64,
}

impl Sky {
    fn new(position: Position, around: Moment) -> Option<Self> {
        let year = 1970.0 + around.0 as f64 / (365.2425 * DAY_MS);
        if !(1900.0..=2200.0).contains(&year) {
            return None;
        }
        Some(Self {
            location: Location {
                latitude: f64::from(position.lat_e7) / 1e7,
                longitude: f64::from(position.lon_e7) / 1e7,
            },
            delta_t: delta_t::estimate(year).ok()?,
        })
    }

    fn is_up(&self, at: Moment) -> Option<bool> {
        let at = JulianDate::new(julian(at), self.delta_t).ok()?;
        let sun = SolarPositions::new().at_from_julian(at, self.location, 0.0, None);
        let sun = sun.ok()?;
        Some(sun.elevation_angle() > Horizon::SunriseSunset.elevation_angle())
    }

    /// The next such change in a stretch; the outer none when it cannot be worked out.
    fn next(&self, from: Moment, to: Moment, change: Change) -> Option<Option<Moment>> {
        let sun = SolarEvents::new();
        let (from, to) = (julian(from), julian(to));
        let horizon = Horizon::SunriseSunset;
        let found = match change {
            Change::Sunrise => {
                sun.next_rise_from_julian(from, to, self.location, self.delta_t, horizon)
            }
            Change::Sunset => {
                sun.next_set_from_julian(from, to, self.location, self.delta_t, horizon)
            }
        };
        found.ok().map(|at| at.map(to_second))
    }
}

fn julian(at: Moment) -> f64 {
    UNIX_JULIAN + at.0 as f64 / DAY_MS
}

/// To the second: finer than anybody sees the sun go.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the years are checked: far within an i64"
)]
fn to_second(julian: f64) -> Moment {
    let seconds = (julian - UNIX_JULIAN) * 86_400.0;
    Moment((seconds + 0.5).floor() as i64 * 1_000)
}

#[cfg(test)]
mod tests;
