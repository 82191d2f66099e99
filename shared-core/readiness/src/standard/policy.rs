//! The county's settings for judging, from TOML text.

mod ahead;
mod air;
mod asked_back;
mod callout;
mod doubted;
mod fuel;
mod leak;
mod load;
mod marks;
mod pages;
mod pictures;
mod pressure;
mod recurring;
mod shifts;
mod spares;
mod typed;

use serde::Deserialize;

pub use ahead::AheadPolicy;
pub use air::{AirPolicy, CylinderRule};
pub use asked_back::AskedBackPolicy;
pub use callout::{CalloutPolicy, MadeReady};
pub use doubted::DoubtedPolicy;
pub use fuel::FuelPolicy;
pub use leak::{HoldPolicy, LeakPolicy};
pub use load::LoadPolicy;
pub use marks::{MadeMonth, MarkDay, MarkPolicy, Undated};
pub use pages::{PagesPolicy, StationNetwork};
pub use pictures::{KeepPosition, PicturesPolicy};
pub use pressure::{PressurePolicy, Sun};
pub use recurring::{RecurringPolicy, SamePlace, WhatToDo};
pub use shifts::ShiftPolicy;
pub use spares::SparesPolicy;

use super::quantity::Spot;
use super::{Policy, StandardError, Units, built_in};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    air: String,
    elevation: String,
    crew_mass: String,
    person_mass: String,
    silent: String,
    unsettled_spread: String,
    utc_offset_min: i32,
    #[serde(default = "duration")]
    duration: String,
    #[serde(default = "restricted_visibility")]
    restricted_visibility: String,
    #[serde(default = "report_old")]
    report_old: String,
    units: Units,
    people: Option<super::people::Raw>,
    #[serde(default)]
    faults: super::fault_policy::Raw,
    #[serde(default)]
    pressure: pressure::RawPressure,
    #[serde(default)]
    free_air: air::RawAir,
    #[serde(default)]
    marks: MarkPolicy,
    #[serde(default)]
    cylinder: Vec<air::RawCylinder>,
    #[serde(default)]
    load: load::RawLoad,
    #[serde(default)]
    leak: leak::RawLeak,
    #[serde(default)]
    hold: leak::RawHold,
    #[serde(default)]
    fuel: fuel::RawFuel,
    #[serde(default)]
    spares: spares::RawSpares,
    #[serde(default)]
    callout: callout::RawCallout,
    #[serde(default)]
    pages: PagesPolicy,
    #[serde(default)]
    asked_back: asked_back::RawAskedBack,
    #[serde(default)]
    pictures: pictures::RawPictures,
    #[serde(default)]
    recurring: recurring::RawRecurring,
    #[serde(default)]
    doubted: doubted::RawDoubted,
    shifts: Option<shifts::RawShifts>,
    #[serde(default)]
    ahead: ahead::RawAhead,
}

/// Settings signed before there was this one stand as they are.
fn duration() -> String {
    "4 h".to_owned()
}

/// See [`duration`].
fn restricted_visibility() -> String {
    "2 nmi".to_owned()
}

/// See [`duration`].
fn report_old() -> String {
    "90 min".to_owned()
}

impl Policy {
    /// Text of the settings that come with the program.
    #[must_use]
    pub const fn default_text() -> &'static str {
        built_in::POLICY
    }

    /// Reads settings from TOML text.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the field, the value, what is allowed and how to put it right.
    pub fn parse(text: &str) -> Result<Self, StandardError> {
        let raw: Raw = toml::from_str(text).map_err(|error| StandardError::Unreadable {
            what: "policy",
            detail: error.to_string().trim_end().to_owned(),
        })?;
        let at = |field| Spot {
            place: "policy",
            field,
        };
        let silent_s = at("silent").time_s(&raw.silent)?;
        if silent_s < 3_600 {
            return Err(at("silent").refuse(&raw.silent, "give at least 1 h"));
        }
        // No place on Earth keeps a day further than 14 h from UTC.
        if raw.utc_offset_min.unsigned_abs() > 14 * 60 {
            let value = raw.utc_offset_min.to_string();
            return Err(at("utc_offset_min").refuse(&value, "give minutes from -840 to 840"));
        }
        Ok(Self {
            air_mc: at("air").temperature_mc(&raw.air)?,
            elevation_mm: at("elevation").elevation_mm(&raw.elevation)?,
            crew_mass_g: person(at("crew_mass"), &raw.crew_mass)?,
            person_mass_g: person(at("person_mass"), &raw.person_mass)?,
            silent_hours: silent_s / 3_600,
            unsettled_spread_mk: at("unsettled_spread").spread_mk(&raw.unsettled_spread)?,
            utc_offset_min: raw.utc_offset_min,
            duration_s: at("duration").time_s(&raw.duration)?,
            restricted_visibility_m: at("restricted_visibility")
                .distance_m(&raw.restricted_visibility)?,
            report_old_s: at("report_old").time_s(&raw.report_old)?,
            units: raw.units,
            people: raw.people.unwrap_or_default().read()?,
            marks: raw.marks,
            faults: raw.faults.read()?,
            pressure: raw.pressure.checked()?,
            free_air: raw.free_air.checked(raw.cylinder)?,
            load: raw.load.checked()?,
            leak: raw.leak.checked()?,
            hold: raw.hold.checked()?,
            fuel: raw.fuel.checked()?,
            spares: raw.spares.checked()?,
            callout: raw.callout.checked()?,
            pages: raw.pages,
            asked_back: raw.asked_back.checked()?,
            pictures: raw.pictures.checked()?,
            recurring: raw.recurring.checked()?,
            doubted: raw.doubted.checked()?,
            shifts: raw
                .shifts
                .map_or_else(|| Ok(shifts::by_day_and_night()), |raw| raw.checked())?,
            ahead: raw.ahead.checked()?,
        })
    }
}

/// Mass of a person: 40 kg is lighter than any adult whom a plate means, 250 kg heavier than any
/// rescuer in gear.
fn person(spot: Spot<'_>, text: &str) -> Result<u64, StandardError> {
    let mass_g = spot.mass_g(text)?;
    if !(40_000..=250_000).contains(&mass_g) {
        return Err(spot.refuse(text, "give from 40 kg (88 lb) to 250 kg (551 lb)"));
    }
    Ok(u64::from(mass_g))
}
