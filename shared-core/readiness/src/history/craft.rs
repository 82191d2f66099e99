//! What happened to one craft, or to gear as a craft's is told. Every list is in order of time, ties
//! by event id.

use crate::event::{
    AirChanged, Author, Extent, HoldDone, ItemCount, LineAnswer, OutReason, PartPlace, Plate,
    Reading, Severity, Stowage, Use,
};
use crate::ids::{EventId, FaultId, LineId, ModelId, PartId, SubjectId};
use crate::moment::Moment;

/// One craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CraftPast {
    /// Its id.
    pub id: SubjectId,
    /// Number painted on it now.
    pub number: String,
    /// Model of its boat standard.
    pub model: ModelId,
    /// Fabric; empty when not said.
    pub fabric: String,
    /// Maker's batch; empty when not said.
    pub batch: String,
    /// The maker's plate.
    pub plate: Plate,
    /// When it was first registered.
    pub registered: Moment,
    /// When it was condemned.
    pub ended: Option<Moment>,
    /// Stations, each from a moment on.
    pub stations: Vec<(Moment, SubjectId)>,
    /// Uses.
    pub uses: Vec<UsePast>,
    /// Engine meters: its own, and those of gear as they were read on it.
    pub meters: Vec<MeterPast>,
    /// Faults found on it, also of gear fitted to it.
    pub faults: Vec<FaultPast>,
    /// Answers 'no' to lines of its standard.
    pub noes: Vec<NoPast>,
    /// Repairs.
    pub repairs: Vec<RepairPast>,
    /// Sign-offs.
    pub sign_offs: Vec<SignOffPast>,
    /// Gauge values.
    pub readings: Vec<ReadingPast>,
    /// Air added or let out.
    pub air: Vec<AirPast>,
    /// Inspections.
    pub inspections: Vec<InspectionPast>,
    /// Boat checks.
    pub checks: Vec<CheckPast>,
    /// Gear that was fitted to it.
    pub fitted: Vec<FittedPast>,
    /// Times out of service.
    pub out: Vec<OutPast>,
    /// Events that nobody vouches for.
    pub unvouched: Vec<Unvouched>,
}

impl CraftPast {
    /// A craft that was registered, and of which nothing else is known.
    #[must_use]
    pub fn registered(id: SubjectId, number: &str, model: ModelId, registered: Moment) -> Self {
        Self {
            id,
            number: number.to_owned(),
            model,
            fabric: String::new(),
            batch: String::new(),
            plate: Plate::default(),
            registered,
            ended: None,
            stations: Vec::new(),
            uses: Vec::new(),
            meters: Vec::new(),
            faults: Vec::new(),
            noes: Vec::new(),
            repairs: Vec::new(),
            sign_offs: Vec::new(),
            readings: Vec::new(),
            air: Vec::new(),
            inspections: Vec::new(),
            checks: Vec::new(),
            fitted: Vec::new(),
            out: Vec::new(),
            unvouched: Vec::new(),
        }
    }
}

/// An event that nobody vouches for: of what it says only faults are kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unvouched {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
}

/// One use on the water.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UsePast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
    /// How it was.
    pub used: Use,
}

/// One value of an engine meter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MeterPast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// The motor; none for the craft's own meter.
    pub gear: Option<SubjectId>,
    /// What it showed, seconds.
    pub engine_s: u64,
}

/// One fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultPast {
    /// Its id.
    pub id: FaultId,
    /// Craft on which it was found; none for gear that was on none.
    pub craft: Option<SubjectId>,
    /// Gear that it is on; none for the craft itself.
    pub gear: Option<SubjectId>,
    /// Part.
    pub part: PartId,
    /// Place on it.
    pub place: PartPlace,
    /// Class.
    pub class: String,
    /// Severity.
    pub severity: Severity,
    /// When it was found.
    pub found: Moment,
    /// Where the craft stood then, else the gear, else whence it was written.
    pub station: Option<SubjectId>,
    /// Who found it.
    pub by: Author,
    /// Engine meter at or before that, seconds: of the gear, else of the craft, else of the motor that
    /// was fitted.
    pub engine_s: Option<u64>,
    /// Repairs that name it, in order of time.
    pub repairs: Vec<EventId>,
    /// When it was signed off, and by which event.
    pub over: Option<(Moment, EventId)>,
    /// Whether somebody vouches for it. No figure counts one for which nobody does.
    pub confirmed: bool,
}

/// An answer 'no' to a line of the boat standard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoPast {
    /// Its id, by which a sign-off names it.
    pub id: FaultId,
    /// The line.
    pub line: LineId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
    /// When it was signed off, and by which event.
    pub over: Option<(Moment, EventId)>,
}

/// Work done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RepairPast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// The faults that it names.
    pub faults: Vec<FaultId>,
    /// Part.
    pub part: PartId,
    /// How.
    pub method: String,
    /// Batch of the glue; empty when not said.
    pub glue_batch: String,
    /// Who.
    pub by: Author,
}

/// A statement that faults are over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignOffPast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
    /// The faults that it names.
    pub closes: Vec<FaultId>,
}

/// A gauge value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadingPast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who wrote it.
    pub by: Author,
    /// Member number of whoever read it, where somebody else entered it; else empty.
    pub checked_by: String,
    /// The reading.
    pub reading: Reading,
}

/// Air added or let out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AirPast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
    /// What was done.
    pub air: AirChanged,
}

/// An inspection of the standard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InspectionPast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
    /// The line.
    pub line: LineId,
    /// Whether it passed.
    pub passed: bool,
    /// Engine meter at the time, seconds.
    pub engine_s: Option<u64>,
    /// How long the engine ran, seconds.
    pub run_s: Option<u32>,
    /// Hold tests with their values.
    pub holds: Vec<HoldDone>,
}

/// A boat check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckPast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who wrote it.
    pub by: Author,
    /// Member number of whoever checked, where somebody else entered it; else empty.
    pub checked_by: String,
    /// How far it went.
    pub extent: Extent,
    /// Revision of the standard that it answered.
    pub revision: Option<u32>,
    /// Counts, each with its lots.
    pub counts: Vec<ItemCount>,
    /// Answers.
    pub answers: Vec<LineAnswer>,
    /// How the craft was kept.
    pub stowage: Option<Stowage>,
}

/// A time for which gear was fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FittedPast {
    /// The gear.
    pub gear: SubjectId,
    /// The part that it served as.
    pub part: PartId,
    /// From then on.
    pub from: Moment,
    /// Until then; none where it still is.
    pub until: Option<Moment>,
}

/// A time out of service.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutPast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
    /// Why.
    pub reason: OutReason,
    /// When it came back, and by which event.
    pub back: Option<(Moment, EventId)>,
}
