//! Events of the trade, as the fold reads them: parsed, in context, with units in their names.
//!
//! Nothing here knows how an event was signed or sent. Whoever keeps the log parses it, decides
//! what is trusted, and hands over values of these types.

use crate::ids::{EventId, FaultId, LineId, MissionId, ModelId, PartId, SubjectId};
use crate::moment::{Interval, Moment};

/// One event about one or more subjects.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// Its id.
    pub id: EventId,
    /// Who wrote it.
    pub author: Author,
    /// The subjects, each with the heads of it that the device had seen.
    pub subjects: Vec<SubjectSeen>,
    /// When it happened.
    pub interval: Interval,
    /// Whether it may relieve anything.
    pub trust: Trust,
    /// Whether its author may sign faults off: decides what a correction of it can do.
    pub may_sign_off: bool,
    /// What it says.
    pub payload: Payload,
}

/// Who wrote an event.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Author {
    /// The signing key.
    pub key: [u8; 32],
    /// The station that the key belongs to; none for the county's own keys and unadmitted ones.
    pub station: Option<SubjectId>,
    /// Member number, a pseudonym; empty when not given.
    pub member: String,
}

impl Author {
    /// Whether two statements are of one person: by member number where both gave one, else by the
    /// device's key.
    #[must_use]
    pub fn is_same_person(&self, other: &Self) -> bool {
        let (one, two) = (self.member.trim(), other.member.trim());
        if one.is_empty() || two.is_empty() {
            self.key == other.key
        } else {
            one.eq_ignore_ascii_case(two)
        }
    }
}

/// A subject of an event and what the device had seen of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SubjectSeen {
    /// The subject.
    pub id: SubjectId,
    /// What sort of thing it is.
    pub kind: SubjectKind,
    /// Heads of the subject that the device held.
    pub seen: Vec<EventId>,
}

/// Sorts of subject.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SubjectKind {
    /// A boat.
    Craft,
    /// Numbered gear that moves between craft.
    Gear,
    /// A kit bag.
    Bag,
    /// A place for spares.
    Shelf,
    /// A station.
    Station,
    /// The county as a whole.
    County,
    /// A person, by member number.
    Member,
}

/// Whether an event may remove, supersede or grant anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Trust {
    /// Its key is admitted, has the role, and is within its good part.
    Trusted,
    /// It may only add: 'go and look'.
    Unconfirmed(Unconfirmed),
}

/// Why an event is not trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unconfirmed {
    /// The key is not admitted.
    NotAdmitted,
    /// The key does not have the role for this kind.
    NoRole,
    /// The event comes after the last good one of an ended key.
    AfterEnd,
    /// The chain of the key parts in two at or before this event.
    Forked,
}

/// What an event says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Payload {
    /// A craft is registered.
    CraftRegistered(CraftRegistered),
    /// Numbered gear is registered.
    GearRegistered(GearRegistered),
    /// A bag is registered.
    BagRegistered {
        /// Painted number.
        number: String,
        /// Its station.
        station: SubjectId,
        /// The craft that it belongs to; none when shared.
        craft: Option<SubjectId>,
    },
    /// A shelf for spares is registered.
    ShelfRegistered {
        /// What people call it.
        number: String,
        /// Its station.
        station: SubjectId,
    },
    /// The painted number of the first subject changed.
    NumberChanged {
        /// The new number.
        number: String,
    },
    /// The first subject is now somewhere else.
    Placed(Place),
    /// Gear is fitted to a craft.
    Fitted {
        /// The gear.
        gear: SubjectId,
        /// The craft.
        craft: SubjectId,
        /// The part that it serves as.
        part: PartId,
    },
    /// Gear is taken off a craft.
    TakenOff {
        /// The gear.
        gear: SubjectId,
        /// The craft.
        craft: SubjectId,
    },
    /// The first subject is never to be used again.
    Condemned,
    /// A model, a batch or a part is held everywhere.
    HeldCountyWide(CountyHold),
    /// A county-wide hold is lifted.
    HoldLifted {
        /// The hold.
        hold: EventId,
    },
    /// Spares counted.
    StockCounted(Vec<ItemCount>),
    /// Two registered subjects are one thing.
    SameAs {
        /// The one.
        one: SubjectId,
        /// The other.
        other: SubjectId,
    },
    /// A boat check.
    Check(Check),
    /// Air added or let out.
    AirChanged(AirChanged),
    /// On the water.
    Use(Use),
    /// Faults found outside a check.
    Fault(Vec<FaultFound>),
    /// Work done on faults.
    Repair(Repair),
    /// Named faults are over.
    SignOff {
        /// The faults that it closes.
        closes: Vec<FaultId>,
    },
    /// An inspection of the standard was done.
    InspectionDone {
        /// Line of the standard.
        inspection: LineId,
        /// Passed or failed.
        passed: bool,
        /// Engine meter at the time, seconds.
        engine_s: Option<u64>,
        /// How long the engine ran, seconds.
        run_s: Option<u32>,
        /// Hold tests of its parts, with their values.
        holds: Vec<HoldDone>,
    },
    /// Declared out of service.
    OutOfService(OutReason),
    /// Declared back in service.
    Returned {
        /// The statements that it ends.
        ends: Vec<EventId>,
    },
    /// Permission to go with restrictive faults.
    WaiverGranted {
        /// The faults.
        faults: Vec<FaultId>,
        /// Missions allowed.
        missions: Vec<MissionId>,
        /// Its end.
        until: Moment,
    },
    /// A waiver is taken back.
    WaiverWithdrawn {
        /// The waiver.
        waiver: EventId,
    },
    /// Assigned to a mission.
    Assigned {
        /// The incident, as the county numbers it.
        incident: String,
        /// The mission.
        mission: MissionId,
    },
    /// Released from an assignment.
    Released {
        /// The assignment.
        assignment: EventId,
    },
    /// Crews that the first subject, a station, can raise.
    CrewsAvailable(Crews),
    /// A level that the first subject, a member, holds.
    MemberLevel(MemberLevel),
    /// Restates or withdraws one original event about the same subjects.
    Correction {
        /// The original.
        original: EventId,
        /// The whole payload again; none for a withdrawal.
        restated: Option<Box<Payload>>,
    },
    /// Kept and shown, but it changes nothing that this engine judges.
    Remark(Remark),
    /// Says nothing any more, or not yet: its event was dismissed, or had not begun at the moment
    /// asked about. It only keeps the place of the event, through which later ones have seen what
    /// came before it.
    Silent,
    /// A kind or version that this replica does not know.
    NotUnderstood {
        /// The writer asked that the subjects be held as unproven until an upgrade.
        hold: bool,
    },
}

/// Kinds that are kept for people and for later rules.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Remark {
    /// A note.
    Note,
    /// A picture or document.
    Attachment,
    /// A decision of the lead.
    LeadDecision,
    /// Unconfirmed events dismissed.
    Dismissed,
    /// Contents beside another event removed.
    Redacted,
}

/// What a county-wide hold holds; each word empty for any.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountyHold {
    /// Model of craft or gear.
    pub model: String,
    /// Maker's batch.
    pub batch: String,
    /// Part; empty for the whole thing.
    pub part: String,
    /// Missions ruled out; empty for all.
    pub missions: Vec<MissionId>,
}

/// Crews that a station can raise, from a moment until another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crews {
    /// How many.
    pub crews: u32,
    /// Persons in all of them; none when not said.
    pub persons: Option<u32>,
    /// From then on.
    pub from: Moment,
    /// Until then, and no longer.
    pub until: Moment,
    /// Operators among them, by member number.
    pub operators: Vec<String>,
}

/// A level that a member holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MemberLevel {
    /// Member number.
    pub member: String,
    /// The level, for example `technician` or `swiftwater-technician`.
    pub level: String,
    /// Last date on which it is current; none when it has no end.
    pub until: Option<DateMark>,
}

/// Where a thing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// At a station.
    Station(SubjectId),
    /// On a craft.
    Craft(SubjectId),
    /// On a shelf.
    Shelf(SubjectId),
}

/// A date as printed: year, month and day, the last two may be missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DateMark {
    /// Year, for example 2027.
    pub year: i32,
    /// 1 to 12.
    pub month: Option<u32>,
    /// 1 to 31; only with a month.
    pub day: Option<u32>,
}

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
