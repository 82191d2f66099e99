//! The air that a craft's parts want at the launch, and where it may come from.

use super::Subject;
use crate::event::PumpPower;
use crate::ids::PartId;

/// Air to bring every part to its wanted gauge at the launch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AirNeeded {
    /// Temperature at which free air is told, milli-degree Celsius.
    pub reference_mc: i32,
    /// Pressure at which free air is told, pascal.
    pub reference_pa: u32,
    /// How much a part is taken to grow from slack to its wanted gauge, parts per million.
    pub growth_ppm: u32,
    /// Share of a pump's stroke that is taken to be lost, parts per million.
    pub losses_ppm: u32,
    /// Parts below their wanted gauge, in the order of the sheet.
    pub parts: Vec<PartAir>,
    /// Free air for all parts whose volume the sheet says, millilitres.
    pub free_air_ml: u64,
    /// Where it may come from, in the order of the sheet and of the numbers.
    pub from: Vec<AirFrom>,
}

/// The air that one part wants.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartAir {
    /// The part.
    pub part: PartId,
    /// What it will have at the launch, pascal; none when it is rolled up flat.
    pub from_pa: Option<i64>,
    /// What it is to have, pascal.
    pub to_pa: i64,
    /// Free air, millilitres; none when the sheet does not say its volume.
    pub free_air_ml: Option<u64>,
    /// Whether a cylinder may feed it.
    pub feed: Feed,
}

/// What may feed a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Feed {
    /// Anything that reaches its pressure.
    Any,
    /// No high-pressure source: it has no working relief valve.
    NoRelief,
    /// No high-pressure source: its relief valve may be iced.
    Iced,
}

/// Something aboard that adds air.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AirFrom {
    /// The numbered gear or the item of kit.
    pub source: Subject,
    /// Parts that it may feed and whose pressure it reaches.
    pub parts: Vec<PartId>,
    /// What it does for all of them.
    pub gives: Gives,
}

/// What a source does for the parts that it may feed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gives {
    /// A cylinder, or that of a breathing set.
    Cylinder {
        /// Its gauge at the launch, pascal; none when what is in it is not known.
        gauge_pa: Option<i64>,
        /// Its gauge afterwards, pascal; none when it cannot do it, or that is not known.
        after_pa: Option<i64>,
        /// How many such it takes; none when that is not known, or they give nothing.
        cylinders: Option<u64>,
        /// Whether it is a firefighter's.
        breathing: Breathing,
    },
    /// A pump.
    Pump {
        /// Strokes; none when its stroke is not known.
        strokes: Option<u64>,
        /// Greatest gauge that it reaches, pascal; none when any.
        most_pa: Option<i64>,
        /// What it runs on.
        runs_on: Option<PumpPower>,
    },
}

/// Whether a cylinder belongs to a breathing set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Breathing {
    /// It does: spent on a boat it is gone for a firefighter.
    Set,
    /// It does not.
    No,
}
