//! What a crew writes down when it goes round a craft.

use super::DateMark;
use crate::ids::{LineId, MissionId, PartId, SubjectId};

/// What the gauge of a cylinder or breathing set showed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CylinderReading {
    /// The cylinder.
    pub subject: SubjectId,
    /// Gauge, kilopascal.
    pub gauge_kpa: u32,
    /// Its temperature, milli-degree Celsius.
    pub temperature_mc: Option<i32>,
}
/// A boat check.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Check {
    /// How far it went.
    pub extent: Extent,
    /// Revision of the model's standard that it answered; none when that event is not known.
    pub standard_revision: Option<u32>,
    /// Gauge values.
    pub readings: Vec<Reading>,
    /// Counts of items.
    pub counts: Vec<ItemCount>,
    /// Answers to lines.
    pub answers: Vec<LineAnswer>,
    /// Engine meters.
    pub meters: Vec<Meter>,
    /// Numbered things seen aboard.
    pub found_aboard: Vec<SubjectId>,
    /// Fuel.
    pub fuel: Vec<Fuel>,
    /// Faults found.
    pub faults: Vec<FaultFound>,
    /// How the craft is kept.
    pub stowage: Option<Stowage>,
    /// Gauges of cylinders.
    pub cylinders: Vec<CylinderReading>,
    /// Seals of bags.
    pub seals: Vec<BagSeal>,
    /// Member number of whoever checked, where somebody else entered it from paper; else empty.
    /// Nothing is judged by it.
    pub checked_by: String,
}
/// The seal of a bag: what it was checked by instead of by counting, or, beside counts in the bag,
/// what was put on it afterwards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BagSeal {
    /// The bag.
    pub bag: SubjectId,
    /// Number of the seal; none when it is broken or gone.
    pub number: Option<String>,
    /// Earliest date on its tag.
    pub earliest: Option<DateMark>,
}
/// How far a check went.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Extent {
    /// Every line.
    Full,
    /// The short check between runs.
    Short,
    /// Some lines.
    #[default]
    Part,
}
/// One gauge value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The part.
    pub part: PartId,
    /// Before or after anything was done about it.
    pub moment: ReadingMoment,
    /// Gauge pressure, pascal.
    pub gauge_pa: i64,
    /// Which gauge.
    pub gauge: Option<SubjectId>,
    /// Air that the craft stood in, milli-degree Celsius.
    pub air_mc: Option<i32>,
    /// For how long it had stood there, seconds.
    pub stood_s: Option<u32>,
    /// The fabric itself, milli-degree Celsius.
    pub fabric_mc: Option<i32>,
    /// Ambient pressure, pascal.
    pub ambient_pa: Option<u32>,
    /// Elevation, millimetres.
    pub elevation_mm: Option<i32>,
    /// Intercommunication valves.
    pub valves: Option<ValveState>,
    /// Seconds since inflating ended.
    pub since_inflating_s: Option<u32>,
}
/// Before or after.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReadingMoment {
    /// As found.
    AsFound,
    /// As left.
    AsLeft,
}
/// Intercommunication valves between chambers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ValveState {
    /// Shut: the reading proves this chamber.
    Shut,
    /// Open: the reading proves one chamber of those joined.
    Open,
}
/// How many of one item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ItemCount {
    /// Line of the standard.
    pub item: LineId,
    /// All that is there.
    pub count: u32,
    /// Of these, not serviceable.
    pub unserviceable: u32,
    /// Dates, where the item has them.
    pub lots: Vec<Lot>,
    /// Bag in which it was counted; none for the craft itself.
    pub bag: Option<SubjectId>,
}
/// Units of an item that share a date.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lot {
    /// How many.
    pub count: u32,
    /// Last date of use.
    pub expires: Option<DateMark>,
    /// When made.
    pub made: Option<DateMark>,
}
/// Answer to one line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineAnswer {
    /// The line.
    pub line: LineId,
    /// The answer.
    pub value: AnswerValue,
}
/// Yes, no, or not applicable.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AnswerValue {
    /// As it should be.
    Yes,
    /// Not as it should be.
    No,
    /// Not applicable, and why.
    NotApplicable(NotApplicable),
}
/// Why a line is not applicable.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NotApplicable {
    /// The craft does not have it.
    NotFitted,
    /// It could not be looked at: proves nothing.
    CouldNotLook,
    /// It does not concern how the craft is used here.
    NotUsedHere,
}
/// An engine meter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Meter {
    /// The motor; none for the craft's own meter.
    pub subject: Option<SubjectId>,
    /// What it shows, seconds.
    pub engine_s: u64,
}
/// Fuel in one tank.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fuel {
    /// The tank; none for the craft's own.
    pub tank: Option<SubjectId>,
    /// Amount, millilitres.
    pub amount_ml: u32,
    /// When it was filled.
    pub filled: Option<DateMark>,
    /// Petrol to oil by volume; none for unmixed.
    pub mix: Option<u32>,
}
/// A fault as found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultFound {
    /// The part.
    pub part: PartId,
    /// Where on it.
    pub place: PartPlace,
    /// Class: `leak`, `tear`, `seam-open`, ...
    pub class: String,
    /// How bad.
    pub severity: Severity,
    /// Missions that it rules out; empty for all.
    pub missions: Vec<MissionId>,
    /// Numbered gear that it is on.
    pub gear: Option<SubjectId>,
}
/// Where on a part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartPlace {
    /// Port, starboard, centre.
    pub side: Option<PlaceSide>,
    /// Forward of the transom, millimetres.
    pub from_transom_mm: Option<u32>,
    /// Which face.
    pub face: Option<Face>,
}
/// Side of the craft, looking forward.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PlaceSide {
    /// Left.
    Port,
    /// Right.
    Starboard,
    /// Middle.
    Centre,
}
/// Face of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Face {
    /// Upper.
    Top,
    /// Lower.
    Bottom,
    /// Towards the middle of the craft.
    Inboard,
    /// Away from it.
    Outboard,
}
/// How bad a fault is; the worst first. Published government boat practice (trade rules 7.2).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Not serviceable: shall not get underway.
    Disabling,
    /// Restricts operations: only under a waiver.
    Restrictive,
    /// Less effective, still operable.
    Major,
    /// No effect on readiness.
    Minor,
}
/// How a craft is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stowage {
    /// Ready to launch.
    Rigged,
    /// Inflated, not rigged.
    Inflated,
    /// Rolled up: minutes and air to rig.
    Rolled,
}
