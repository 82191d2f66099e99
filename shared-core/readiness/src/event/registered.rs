//! Craft and numbered gear as they are registered.

use super::DateMark;
use crate::ids::{ModelId, SubjectId};

/// A craft as registered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CraftRegistered {
    /// Painted number, radio call sign.
    pub number: String,
    /// Model of the standard.
    pub model: ModelId,
    /// Station.
    pub station: SubjectId,
    /// The maker's plate.
    pub plate: Plate,
    /// Fabric of an inflatable; empty when not said.
    pub fabric: String,
    /// Maker's batch; empty when not said.
    pub batch: String,
}
/// The maker's plate; what it does not say is absent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Plate {
    /// Persons.
    pub persons: Option<u32>,
    /// Persons alone, grams.
    pub persons_mass_g: Option<u64>,
    /// Persons, motor and gear, grams.
    pub total_mass_g: Option<u64>,
    /// Greatest motor power, watts.
    pub power_w: Option<u32>,
    /// Greatest motor mass, grams.
    pub motor_mass_g: Option<u32>,
}
/// Numbered gear as registered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GearRegistered {
    /// Painted number.
    pub number: String,
    /// What it is.
    pub kind: GearKind,
    /// Maker's model, as written.
    pub model: String,
    /// Station.
    pub station: SubjectId,
    /// Mass, grams.
    pub mass_g: Option<u32>,
    /// Power, watts.
    pub power_w: Option<u32>,
    /// Connector or fitting.
    pub connector: String,
    /// Maker's batch; empty when not said.
    pub batch: String,
    /// When it was made.
    pub made: Option<DateMark>,
    /// What is marked on a cylinder, or on that of a breathing set.
    pub cylinder: Box<CylinderMarks>,
    /// What is known of a pump.
    pub pump: PumpMarks,
}
/// What is marked on a cylinder; what is not known is absent.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CylinderMarks {
    /// Volume of water that it takes, millilitres.
    pub water_volume_ml: Option<u32>,
    /// Service pressure, kilopascal.
    pub service_kpa: Option<u32>,
    /// Its specification as stamped: `3AA`; empty when not said.
    pub specification: String,
    /// When it was last requalified.
    pub requalified: Option<DateMark>,
    /// What its gauge showed when it was registered, kilopascal.
    pub gauge_kpa: Option<u32>,
    /// Its temperature then, milli-degree Celsius.
    pub gauge_mc: Option<i32>,
}
/// What is known of a pump; what is not is absent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PumpMarks {
    /// Air that one stroke takes in, millilitres.
    pub stroke_ml: Option<u32>,
    /// Greatest gauge that it reaches, pascal.
    pub most_pa: Option<u32>,
    /// What it runs on.
    pub runs_on: Option<PumpPower>,
}
/// What a pump runs on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PumpPower {
    /// Worked by hand.
    Hand,
    /// Worked by foot.
    Foot,
    /// A battery.
    Battery,
}
/// Sorts of numbered gear.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum GearKind {
    /// Outboard motor.
    Motor,
    /// Portable fuel tank.
    FuelTank,
    /// Fuel line.
    FuelLine,
    /// Air cylinder.
    Cylinder,
    /// Inflatable floor.
    InflatableFloor,
    /// Pump.
    Pump,
    /// Pressure gauge.
    Gauge,
    /// Radio.
    Radio,
    /// Trailer.
    Trailer,
    /// Battery.
    Battery,
    /// Breathing apparatus with its cylinder.
    BreathingSet,
}
