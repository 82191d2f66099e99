//! What a sheet says of kit beyond how many: signals and how they add up, what fits which craft,
//! what an item is worth nothing without.

use std::collections::BTreeSet;

use super::{Cited, RuleEffect};
use crate::event::Severity;
use crate::ids::{LineId, MissionId};

/// How craft of the model are driven.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Propulsion {
    /// By motor.
    #[default]
    Motor,
    /// By hand: a plate of this sort has no line for a motor (33 CFR 183.25(b)(4)).
    Manual,
}

/// Waters, as far as carriage rules tell them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Waters {
    /// Rivers and lakes inland.
    Inland,
    /// Coast, Great Lakes, and what joins them where it is 2 nautical miles wide or more.
    Coastal,
}

/// The distress signals that a craft carries, whatever kinds make them up.
///
/// Numbers and mixing: 33 CFR 175.130; launcher 175.113; by day from 16 ft 175.110; paddled craft
/// by night alone 175.115.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signals {
    /// In words.
    pub label: String,
    /// Missions that need them; empty for all.
    pub missions: BTreeSet<MissionId>,
    /// Waters on which they are asked for; empty for all.
    pub waters: BTreeSet<Waters>,
    /// Length from which they are asked by day as well, and by night at any hour, millimetres;
    /// none for every length.
    pub day_from_mm: Option<u32>,
    /// What too few by day do.
    pub day: RuleEffect,
    /// What too few by night do.
    pub night: RuleEffect,
    /// Severity of too few.
    pub severity: Severity,
    /// Source.
    pub cited: Cited,
}

/// Id under which the signals of a sheet stand among its lines.
pub const SIGNALS: &str = "signals";

/// What one kind of signal is good for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signal {
    /// When it can be seen.
    pub by: SignalBy,
    /// Units that do alone; fewer do with others that make up the rest.
    pub units: u32,
    /// The item that launches it; without one aboard it counts nothing.
    pub launcher: Option<LineId>,
}

/// When a signal can be seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SignalBy {
    /// By day.
    Day,
    /// By night.
    Night,
    /// By both.
    Both,
}

/// What a craft or its motor must be for an item to be of use on it; each list empty for any.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fits {
    /// Fabrics, as registered: glue and patches.
    pub fabric: Vec<String>,
    /// Connectors of the fitted motor: fuel tanks, lines, adapters.
    pub connector: Vec<String>,
    /// Maker's models of the fitted motor: propellers, plugs.
    pub motor: Vec<String>,
}

/// The fuel that must be aboard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FuelRule {
    /// In words.
    pub label: String,
    /// Least amount, millilitres.
    pub least_ml: u32,
    /// Other least amounts for some missions.
    pub least_for_ml: std::collections::BTreeMap<MissionId, u32>,
    /// Most that one tank holds, millilitres; none when the sheet does not say.
    pub tank_ml: Option<u32>,
    /// Petrol to oil by volume that the motor takes; none for unmixed.
    pub mix: Option<u32>,
    /// What too little does.
    pub short: RuleEffect,
    /// What an amount that nobody recorded does; none where a line of kit stands for it.
    pub unknown: Option<RuleEffect>,
    /// Severity of too little.
    pub severity: Severity,
    /// Source.
    pub cited: Cited,
}

/// Id under which the fuel of a sheet stands among its lines.
pub const FUEL: &str = "fuel";
