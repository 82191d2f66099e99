//! A sheet as it is written: one field for one key, quantities still as text.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;

use crate::answer::Basis;
use crate::event::{Severity, WaterType};
use crate::ids::{LineId, MissionId, ModelId, PartId, StopId};
use crate::load::PlateCounts;
use crate::standard::{
    Also, AtBank, CraftClass, CrewJackets, HardUse, HoldSort, Propulsion, RuleEffect, SoftRule,
    Towing, Waters, WeighsAs,
};

use super::carried::{RawFits, RawFuel, RawSignal, RawSignals};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawSheet {
    pub(super) model: ModelId,
    pub(super) label: String,
    pub(super) revision: u32,
    pub(super) class: CraftClass,
    pub(super) crew_min: u32,
    pub(super) operator_level: Option<String>,
    pub(super) rig_minutes: Option<u32>,
    pub(super) limits: Option<RawLimits>,
    pub(super) launch: Option<RawLaunch>,
    pub(super) length: Option<String>,
    #[serde(default)]
    pub(super) load: RawLoadRule,
    #[serde(default)]
    pub(super) propulsion: Propulsion,
    #[serde(default)]
    pub(super) waters: BTreeSet<Waters>,
    pub(super) signals: Option<RawSignals>,
    pub(super) fuel: Option<RawFuel>,
    pub(super) check: RawCheck,
    pub(super) missions: BTreeMap<MissionId, RawMission>,
    pub(super) part: Vec<RawPart>,
    #[serde(default)]
    pub(super) item: Vec<RawItem>,
    #[serde(default)]
    pub(super) inspection: Vec<RawInspection>,
    #[serde(default)]
    pub(super) question: Vec<RawQuestion>,
    #[serde(default)]
    pub(super) after_use: Vec<RawAfterUse>,
    #[serde(default)]
    pub(super) stop: Vec<RawStop>,
}

/// A stop of the walk; an older sheet has none.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawStop {
    pub(super) id: StopId,
    pub(super) label: String,
    #[serde(default)]
    pub(super) parts: Vec<PartId>,
    #[serde(default)]
    pub(super) lines: Vec<LineId>,
    #[serde(default)]
    pub(super) also: Vec<Also>,
}

/// How a craft goes into the water; an older sheet has none of it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawLaunch {
    pub(super) bank: Option<AtBank>,
    pub(super) ramp_minutes: Option<u32>,
    pub(super) bank_minutes: Option<u32>,
    pub(super) basis: Basis,
    pub(super) source: String,
}

/// How a craft is loaded; an older sheet has none of it.
#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawLoadRule {
    pub(super) plate_counts: Option<PlateCounts>,
    pub(super) lying_seats: Option<u32>,
    pub(super) crew_jackets: CrewJackets,
}

/// Body weights that a life jacket serves.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawWearer {
    pub(super) from: Option<String>,
    pub(super) over: Option<String>,
    pub(super) to: Option<String>,
    pub(super) under: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawMission {
    pub(super) label: String,
    pub(super) crew_min: Option<u32>,
    pub(super) operator_level: Option<String>,
    pub(super) wind: Option<String>,
    pub(super) current: Option<String>,
    pub(super) tow: Option<Towing>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawLimits {
    pub(super) wind: Option<String>,
    pub(super) current: Option<String>,
    pub(super) tow: Option<Towing>,
    pub(super) basis: Basis,
    pub(super) source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawCheck {
    pub(super) every: String,
    pub(super) grace: String,
    pub(super) minutes: u32,
    #[serde(default = "noted")]
    pub(super) released: RuleEffect,
    #[serde(default = "not_proven")]
    pub(super) count_owed: RuleEffect,
    pub(super) basis: Basis,
    pub(super) source: String,
}

/// A sheet of before this setting only notes that a full check is owed.
const fn noted() -> RuleEffect {
    RuleEffect::Note
}

/// What an opened bag does in a sheet that does not say.
const fn not_proven() -> RuleEffect {
    RuleEffect::Unproven
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawAfterUse {
    pub(super) id: LineId,
    pub(super) label: String,
    #[serde(default)]
    pub(super) water: BTreeSet<WaterType>,
    pub(super) owed: RuleEffect,
    #[serde(with = "SeverityWord")]
    pub(super) severity: Severity,
    pub(super) minutes: Option<u32>,
    pub(super) basis: Basis,
    pub(super) source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawPart {
    pub(super) id: PartId,
    pub(super) label: String,
    pub(super) pressure: Option<RawPressure>,
    pub(super) gear: Option<RawGear>,
    #[serde(default)]
    pub(super) joined_to: BTreeSet<PartId>,
    #[serde(default)]
    pub(super) between_runs: bool,
    pub(super) basis: Basis,
    pub(super) source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawPressure {
    pub(super) low: String,
    pub(super) nominal: String,
    pub(super) high: String,
    pub(super) implausible_below: String,
    pub(super) implausible_above: String,
    pub(super) relief: Option<String>,
    pub(super) relief_line: Option<LineId>,
    #[serde(default = "note")]
    pub(super) iced: RuleEffect,
    pub(super) volume: Option<String>,
    pub(super) stand: String,
    pub(super) settle: String,
    pub(super) soft: SoftRule,
    pub(super) top_up_minutes: u32,
    pub(super) read_minutes: u32,
}

/// What an iced relief valve does in a sheet that does not say.
const fn note() -> RuleEffect {
    RuleEffect::Note
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawGear {
    pub(super) missing: RuleEffect,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawItem {
    pub(super) id: LineId,
    pub(super) label: String,
    pub(super) count: u32,
    #[serde(default)]
    pub(super) missions: BTreeSet<MissionId>,
    #[serde(default)]
    pub(super) count_for: BTreeMap<MissionId, u32>,
    #[serde(default)]
    pub(super) alternatives: Vec<LineId>,
    pub(super) dated: Option<RawDated>,
    pub(super) short: RuleEffect,
    #[serde(with = "SeverityWord")]
    pub(super) severity: Severity,
    pub(super) count_every: Option<String>,
    #[serde(default)]
    pub(super) adds_air: bool,
    pub(super) air_up_to: Option<String>,
    #[serde(default)]
    pub(super) high_pressure: bool,
    pub(super) stroke: Option<String>,
    pub(super) mass: Option<String>,
    #[serde(default)]
    pub(super) weighs_as: WeighsAs,
    pub(super) wearer: Option<RawWearer>,
    pub(super) from_length: Option<String>,
    pub(super) count_minutes: Option<u32>,
    pub(super) asked_from: Option<String>,
    pub(super) signal: Option<RawSignal>,
    #[serde(default)]
    pub(super) fits: RawFits,
    #[serde(default)]
    pub(super) needs: Vec<LineId>,
    pub(super) without: Option<RuleEffect>,
    #[serde(default)]
    pub(super) not_for: BTreeSet<MissionId>,
    #[serde(default)]
    pub(super) between_runs: bool,
    pub(super) basis: Basis,
    pub(super) source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawDated {
    pub(super) life: Option<String>,
    pub(super) soon: String,
    pub(super) undated_counts: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawInspection {
    pub(super) id: LineId,
    pub(super) label: String,
    pub(super) part: Option<PartId>,
    pub(super) every: Option<String>,
    pub(super) every_engine: Option<String>,
    pub(super) soon_engine: Option<String>,
    pub(super) hold: Option<HoldSort>,
    #[serde(default)]
    pub(super) hard_use: HardUse,
    #[serde(default)]
    pub(super) clears_immersion: bool,
    pub(super) run_least: Option<String>,
    pub(super) grace: String,
    pub(super) soon: String,
    pub(super) overdue: RuleEffect,
    pub(super) never: RuleEffect,
    pub(super) failed: RuleEffect,
    #[serde(with = "SeverityWord")]
    pub(super) severity: Severity,
    pub(super) minutes: Option<u32>,
    pub(super) asked_from: Option<String>,
    #[serde(default)]
    pub(super) uses: Vec<RawMaterial>,
    pub(super) basis: Basis,
    pub(super) source: String,
}

/// What an inspection uses up; an older sheet has none of it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawMaterial {
    pub(super) item: LineId,
    pub(super) label: String,
    pub(super) count: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawQuestion {
    pub(super) id: LineId,
    pub(super) label: String,
    pub(super) part: Option<PartId>,
    #[serde(default)]
    pub(super) missions: BTreeSet<MissionId>,
    pub(super) no: RuleEffect,
    #[serde(with = "SeverityWord")]
    pub(super) severity: Severity,
    #[serde(default)]
    pub(super) no_is_fault: bool,
    pub(super) unanswered: RuleEffect,
    #[serde(default)]
    pub(super) between_runs: bool,
    pub(super) minutes: Option<u32>,
    pub(super) asked_from: Option<String>,
    pub(super) basis: Basis,
    pub(super) source: String,
}

#[derive(Deserialize)]
#[serde(remote = "Severity", rename_all = "lowercase")]
pub(super) enum SeverityWord {
    Disabling,
    Restrictive,
    Major,
    Minor,
}
