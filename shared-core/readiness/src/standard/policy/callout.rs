//! The county's settings for call-outs, from the `[callout]` table of its policy.
//!
//! A policy that was signed before a setting existed stands for its default. Nothing is published
//! for any of them: each default is common practice without a source, and a county times its own.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;

use crate::answer::Basis;
use crate::ids::MissionId;
use crate::standard::quantity::Spot;
use crate::standard::{Cited, CraftClass, StandardError};

/// Longest time of one step: a day.
const STEP_S_MAX: u32 = 86_400;

/// Stations with a time of their own: more than a county has.
const STATIONS_MAX: usize = 500;

/// Settings for call-outs. Times are whole minutes, rounded up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CalloutPolicy {
    /// Minutes until a station's crew is raised. Default 15.
    pub raise_crew: u32,
    /// The same for stations by name, as it is written.
    pub raise_crew_at: BTreeMap<String, u32>,
    /// Whether a craft is made ready while its crew is raised. Default: after.
    pub made_ready: MadeReady,
    /// Minutes to go in by a ramp. Default 5.
    pub launch_ramp: u32,
    /// Minutes to go in at a bank. Default 10.
    pub launch_bank: u32,
    /// Sorts of craft that go in at a bank where their boat standard does not say. Default:
    /// inflatables and rafts, which a crew carries.
    pub bank: BTreeSet<CraftClass>,
    /// Source of those.
    pub cited: Cited,
    /// Missions for which a second craft stands by. Default: swiftwater and flood.
    pub safety_boat: BTreeSet<MissionId>,
    /// Source of that.
    pub safety_boat_cited: Cited,
}

/// When a craft is made ready.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MadeReady {
    /// By its crew, once that is raised.
    AfterCrew,
    /// By whoever is at the station, while the crew is raised.
    Meanwhile,
}

impl CalloutPolicy {
    /// Minutes until a station's crew is raised.
    #[must_use]
    pub fn raise_crew_of(&self, station: &str) -> Option<u32> {
        let mut own = self.raise_crew_at.iter();
        own.find(|(name, _)| same_name(name, station))
            .map(|(_, minutes)| *minutes)
    }
}

fn same_name(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawCallout {
    raise_crew: String,
    made_ready: MadeReady,
    launch_ramp: String,
    launch_bank: String,
    bank: BTreeSet<CraftClass>,
    basis: Basis,
    source: String,
    raise_crew_at: BTreeMap<String, String>,
    safety_boat: RawSafetyBoat,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
struct RawSafetyBoat {
    missions: BTreeSet<MissionId>,
    basis: Basis,
    source: String,
}

fn no_source() -> String {
    "common practice, no source".to_owned()
}

impl Default for RawCallout {
    fn default() -> Self {
        Self {
            raise_crew: "15 min".to_owned(),
            made_ready: MadeReady::AfterCrew,
            launch_ramp: "5 min".to_owned(),
            launch_bank: "10 min".to_owned(),
            bank: BTreeSet::from([CraftClass::Inflatable, CraftClass::Raft]),
            basis: Basis::Agency,
            source: no_source(),
            raise_crew_at: BTreeMap::new(),
            safety_boat: RawSafetyBoat::default(),
        }
    }
}

impl Default for RawSafetyBoat {
    fn default() -> Self {
        Self {
            missions: ["swiftwater", "flood"].map(MissionId::from).into(),
            basis: Basis::Agency,
            source: no_source(),
        }
    }
}

impl RawCallout {
    /// Reads the settings.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the field, the value and what is allowed.
    pub(super) fn checked(self) -> Result<CalloutPolicy, StandardError> {
        Ok(CalloutPolicy {
            raise_crew: minutes("raise_crew", &self.raise_crew)?,
            raise_crew_at: by_station(self.raise_crew_at)?,
            made_ready: self.made_ready,
            launch_ramp: minutes("launch_ramp", &self.launch_ramp)?,
            launch_bank: minutes("launch_bank", &self.launch_bank)?,
            bank: self.bank,
            cited: Cited {
                basis: self.basis,
                source: self.source,
            },
            safety_boat: self.safety_boat.missions,
            safety_boat_cited: Cited {
                basis: self.safety_boat.basis,
                source: self.safety_boat.source,
            },
        })
    }
}

fn by_station(raw: BTreeMap<String, String>) -> Result<BTreeMap<String, u32>, StandardError> {
    let spot = at("raise_crew_at");
    if raw.len() > STATIONS_MAX {
        let value = format!("{} stations", raw.len());
        return Err(spot.refuse(&value, "name at most 500 stations"));
    }
    let mut times: BTreeMap<String, u32> = BTreeMap::new();
    for (name, text) in raw {
        if times.keys().any(|known| same_name(known, &name)) {
            return Err(spot.refuse(&name, "is named twice: give one time for each station"));
        }
        let time = minutes("raise_crew_at", &text)?;
        times.insert(name, time);
    }
    Ok(times)
}

fn minutes(field: &'static str, text: &str) -> Result<u32, StandardError> {
    let time_s = at(field).time_s(text)?;
    if time_s > STEP_S_MAX {
        return Err(at(field).refuse(text, "give at most 24 h"));
    }
    Ok(time_s.div_ceil(60))
}

fn at(field: &'static str) -> Spot<'static> {
    Spot {
        place: "policy, callout",
        field,
    }
}
