//! Air, use, repairs, hold tests, and why a craft is out of service.

use super::{ItemCount, Meter};
use crate::ids::{FaultId, PartId, SubjectId};

/// Air added or let out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AirChanged {
    /// The part.
    pub part: PartId,
    /// Which way.
    pub direction: AirDirection,
    /// Gauge before, pascal.
    pub before_pa: Option<i64>,
    /// Gauge after, pascal.
    pub after_pa: Option<i64>,
    /// Air temperature, milli-degree Celsius.
    pub air_mc: Option<i32>,
    /// How it was added; none when not said.
    pub source: Option<AirSource>,
    /// The pump or cylinder that gave it.
    pub source_gear: Option<SubjectId>,
    /// Gauge of the cylinder afterwards, kilopascal.
    pub source_after_kpa: Option<u32>,
}
/// How air is added.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AirSource {
    /// Hand pump.
    HandPump,
    /// Foot pump.
    FootPump,
    /// Electric pump.
    ElectricPump,
    /// Cylinder.
    Cylinder,
    /// A firefighter's breathing set.
    BreathingSet,
    /// Compressor.
    Compressor,
}
/// Added or let out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AirDirection {
    /// Added.
    Added,
    /// Let out.
    LetOut,
}
/// A use of the craft.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Use {
    /// Time out, seconds.
    pub duration_s: u32,
    /// Engine time, seconds.
    pub engine_s: Option<u32>,
    /// Meters afterwards.
    pub meters: Vec<Meter>,
    /// It capsized.
    pub capsized: bool,
    /// The motor was under water.
    pub motor_immersed: bool,
    /// Hard use: intervals by engine hours are halved.
    pub hard: bool,
    /// Items used up.
    pub used_up: Vec<ItemCount>,
    /// Water that it was in; none when not said.
    pub water: Option<WaterType>,
}
/// Water that a craft was in.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "lowercase")]
pub enum WaterType {
    /// Fresh.
    Fresh,
    /// Salt.
    Salt,
    /// Polluted, as flood water is.
    Polluted,
}
/// Work done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repair {
    /// The faults worked on.
    pub faults: Vec<FaultId>,
    /// The part.
    pub part: PartId,
    /// How.
    pub method: String,
    /// Batch of the glue; empty where none was said. Nothing is judged by it.
    pub glue_batch: String,
    /// What may not be done for how long.
    pub holds: Vec<RepairHold>,
}
/// A hold test of one part as done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HoldDone {
    /// The part.
    pub part: PartId,
    /// At the start.
    pub start: HoldPoint,
    /// At the end.
    pub end: HoldPoint,
    /// How long it was left alone, seconds.
    pub duration_s: u32,
}
/// One end of a hold test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HoldPoint {
    /// Gauge, pascal.
    pub gauge_pa: i64,
    /// The part's temperature, milli-degree Celsius; none when it was said to be the same at both
    /// ends.
    pub air_mc: Option<i32>,
    /// Ambient pressure, pascal; none when not measured.
    pub ambient_pa: Option<u32>,
}
/// Something that may not be done until a time has passed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RepairHold {
    /// What may not be done.
    pub kind: HoldKind,
    /// From the end of the work, seconds.
    pub duration_s: u32,
}
/// What a hold forbids.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HoldKind {
    /// Inflating.
    Inflate,
    /// Launching.
    Launch,
}
/// Why a craft was declared out of service; incident-command words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OutReason {
    /// Mechanical.
    Mechanical,
    /// Personnel.
    Personnel,
    /// Rest.
    Rest,
}
