//! Boat standards and the county's policy as data: TOML text in, checked values out.
//!
//! Parsed at the door: a value of these types is right. Errors name the place, the value, the
//! limit and the remedy.

use std::collections::{BTreeMap, BTreeSet};

use crate::answer::Basis;
use crate::ids::{LineId, MissionId, ModelId};
use crate::load::PlateCounts;

mod between_runs;
mod built_in;
mod carried;
mod coherent;
mod fault_policy;
mod lines;
mod people;
mod policy;
mod quantity;
mod sheet;
mod stops;

pub use between_runs::BetweenRuns;
pub use built_in::built_in;
pub use carried::{FUEL, Fits, FuelRule, Propulsion, SIGNALS, Signal, SignalBy, Signals, Waters};
pub use fault_policy::{Cure, FaultPolicy, Reporting};
pub use lines::{
    AfterUse, CheckRule, Dated, Every, GearRule, HardUse, HoldSort, InspectionLine, Item, Material,
    Part, PressureRule, Question, RuleEffect, SoftRule, WeighsAs,
};
pub use people::PeoplePolicy;
pub use policy::{
    AheadPolicy, AirPolicy, AskedBackPolicy, CalloutPolicy, CylinderRule, DoubtedPolicy,
    FuelPolicy, HoldPolicy, KeepPosition, LeakPolicy, LoadPolicy, MadeMonth, MadeReady, MarkDay,
    MarkPolicy, PagesPolicy, PicturesPolicy, PressurePolicy, RecurringPolicy, SamePlace,
    ShiftPolicy, SparesPolicy, StationNetwork, Sun, Undated, WhatToDo,
};
pub use sheet::SHEET_MAX;
pub use stops::{Also, BAG_STOP, RESERVED_STOPS, SheetStop};

/// The lead's sheet for one model of craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standard {
    /// The model.
    pub model: ModelId,
    /// In words.
    pub label: String,
    /// Revision.
    pub revision: u32,
    /// What sort of boat.
    pub class: CraftClass,
    /// Missions that it may work in, with their own settings.
    pub missions: BTreeMap<MissionId, Mission>,
    /// Least crew.
    pub crew_min: u32,
    /// Level that one operator must hold; none when the agency asks for none.
    pub operator_level: Option<String>,
    /// Parts, in the order in which one walks round the craft.
    pub parts: Vec<Part>,
    /// Kit.
    pub items: Vec<Item>,
    /// Inspections.
    pub inspections: Vec<InspectionLine>,
    /// Questions answered yes, no or not applicable.
    pub questions: Vec<Question>,
    /// How often a full check is owed, and what a stale one does.
    pub check: CheckRule,
    /// What is owed after use.
    pub after_use: Vec<AfterUse>,
    /// Minutes to rig from rolled.
    pub rig_minutes: Option<u32>,
    /// Wind, current and towing.
    pub limits: LimitRule,
    /// Length, millimetres.
    pub length_mm: Option<u32>,
    /// What people, motor and crew come to.
    pub load: LoadRule,
    /// How craft of the model are driven.
    pub propulsion: Propulsion,
    /// Waters that they work on; empty when the sheet does not say.
    pub waters: BTreeSet<Waters>,
    /// Distress signals.
    pub signals: Option<Signals>,
    /// Fuel.
    pub fuel: Option<FuelRule>,
    /// How it goes into the water; none when the sheet does not say.
    pub launch: Option<LaunchRule>,
    /// Stops of the walk round it, in order; empty when the sheet names none.
    pub stops: Vec<SheetStop>,
    /// The revision in which each line first stood, as far as earlier revisions are known.
    pub first_in: BTreeMap<LineId, u32>,
}

/// Sorts of craft.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CraftClass {
    /// Inflatable with inflatable floor.
    Inflatable,
    /// Rigid hull with inflatable tubes.
    RigidInflatable,
    /// Flat-bottom aluminium boat.
    FlatBottom,
    /// Paddled raft.
    Raft,
}

/// How a craft of the model goes into the water.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LaunchRule {
    /// Whether it goes in at a bank, or needs a ramp; none when the sheet does not say.
    pub bank: Option<AtBank>,
    /// Minutes by a ramp; none for the county's setting.
    pub ramp_minutes: Option<u32>,
    /// Minutes at a bank; none for the county's setting.
    pub bank_minutes: Option<u32>,
    /// Source.
    pub cited: Cited,
}

/// Whether a craft goes in at a bank.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AtBank {
    /// Its crew carry it.
    GoesIn,
    /// It needs a ramp.
    NeedsRamp,
}

/// How a craft of the model is loaded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LoadRule {
    /// What the plate counts when it has one weight only; none when the sheet does not say.
    pub plate_counts: Option<PlateCounts>,
    /// Seats that somebody lying down takes.
    pub lying_seats: u32,
    /// Whose life jackets the crew wear.
    pub crew_jackets: CrewJackets,
}

/// Whose life jackets the crew wear.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CrewJackets {
    /// Those counted aboard.
    #[default]
    Counted,
    /// Their own, which nobody counts.
    Own,
}

/// Limits of wind, current and towing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LimitRule {
    /// Of every mission that sets none of its own.
    pub every: Limits,
    /// Source; none where the sheet sets no limits.
    pub cited: Option<Cited>,
}

/// Limits of one mission, or of all; what is none is not limited.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// Most wind, millimetres a second.
    pub wind_mm_s: Option<u32>,
    /// Most current, millimetres a second.
    pub current_mm_s: Option<u32>,
    /// Whether it may tow.
    pub tow: Option<Towing>,
}

/// Whether a craft may tow another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Towing {
    /// It may.
    Yes,
    /// It may not.
    No,
}

/// A mission in a standard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mission {
    /// In words.
    pub label: String,
    /// Least crew for it, when more than the standard's.
    pub crew_min: Option<u32>,
    /// Level that one operator must hold for it, where other than the standard's.
    pub operator_level: Option<String>,
    /// Its own limits, where they are others than the craft's.
    pub limits: Limits,
}

/// Source of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cited {
    /// Where the requirement comes from.
    pub basis: Basis,
    /// Source.
    pub source: String,
}

/// The county's settings for judging.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Policy {
    /// Air assumed at the launch when none is given, milli-degree Celsius.
    pub air_mc: i32,
    /// Elevation assumed, millimetres.
    pub elevation_mm: i32,
    /// A crew member in gear, grams.
    pub crew_mass_g: u64,
    /// A person brought aboard, grams.
    pub person_mass_g: u64,
    /// A station not heard for longer is said first, hours.
    pub silent_hours: u32,
    /// Temperature of the bay is taken to lie within this of a stated one when a craft has not
    /// stood long enough, milli-kelvin.
    pub unsettled_spread_mk: u32,
    /// Offset of the county's day from UTC, minutes: which day a moment falls on.
    pub utc_offset_min: i32,
    /// How long a job is taken to last when nobody says, seconds.
    pub duration_s: u32,
    /// Seeing less far than this is restricted visibility, metres.
    pub restricted_visibility_m: u32,
    /// Above this age a weather report is told to be old, seconds.
    pub report_old_s: u32,
    /// Units that the county shows.
    pub units: Units,
    /// How printed dates are read.
    pub marks: MarkPolicy,
    /// Settings for pressures.
    pub pressure: PressurePolicy,
    /// Settings for air, pumps and cylinders.
    pub free_air: AirPolicy,
    /// Settings for loads.
    pub load: LoadPolicy,
    /// Leaks.
    pub leak: LeakPolicy,
    /// Hold tests.
    pub hold: HoldPolicy,
    /// Crews and operators.
    pub people: PeoplePolicy,
    /// Settings for fuel.
    pub fuel: FuelPolicy,
    /// Settings for spare kit.
    pub spares: SparesPolicy,
    /// Settings for call-outs.
    pub callout: CalloutPolicy,
    /// Settings for pictures.
    pub pictures: PicturesPolicy,
    /// Faults and repairs.
    pub faults: FaultPolicy,
    /// Pages of stations.
    pub pages: PagesPolicy,
    /// What is asked back while a check is entered.
    pub asked_back: AskedBackPolicy,
    /// What keeps failing, and what to do about it.
    pub recurring: RecurringPolicy,
    /// When readings are doubted.
    pub doubted: DoubtedPolicy,
    /// Crew shifts.
    pub shifts: ShiftPolicy,
    /// Looking ahead.
    pub ahead: AheadPolicy,
}

/// Units shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub struct Units {
    /// Pressure.
    pub pressure: PressureUnit,
    /// Temperature.
    pub temperature: TemperatureUnit,
    /// Mass.
    pub mass: MassUnit,
}

/// Units of pressure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PressureUnit {
    /// Pounds-force per square inch.
    Psi,
    /// Millibar.
    Mbar,
    /// Kilopascal.
    Kpa,
}

/// Units of temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum TemperatureUnit {
    /// Fahrenheit.
    F,
    /// Celsius.
    C,
}

/// Units of mass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum MassUnit {
    /// Pounds.
    Lb,
    /// Kilograms.
    Kg,
}

/// Why a sheet or a policy was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum StandardError {
    /// Not TOML, or a field of another type.
    #[error("{what} cannot be read: {detail}")]
    Unreadable {
        /// Which text.
        what: &'static str,
        /// The parser's words, with line and column.
        detail: String,
    },
    /// A value that cannot be.
    #[error("{place}: {field} is {value}; {limit}")]
    Value {
        /// Line or part.
        place: String,
        /// Field.
        field: &'static str,
        /// Value as written.
        value: String,
        /// What is allowed, and the remedy.
        limit: String,
    },
}
