//! What happened to numbered gear, and what was counted in bags and on shelves. Every list is in order
//! of time, ties by event id.

use super::craft::{
    FaultPast, InspectionPast, MeterPast, OutPast, RepairPast, SignOffPast, Unvouched,
};
use crate::event::{Author, CylinderMarks, CylinderReading, DateMark, GearKind, ItemCount};
use crate::ids::{EventId, SubjectId};
use crate::moment::Moment;

/// One piece of numbered gear.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GearPast {
    /// Its id.
    pub id: SubjectId,
    /// Its number now.
    pub number: String,
    /// What sort of thing it is.
    pub kind: GearKind,
    /// Model; empty when not said.
    pub model: String,
    /// Maker's batch; empty when not said.
    pub batch: String,
    /// When it was made.
    pub made: Option<DateMark>,
    /// Marks of a cylinder.
    pub cylinder: CylinderMarks,
    /// When it was first registered.
    pub registered: Moment,
    /// When it was condemned.
    pub ended: Option<Moment>,
    /// Stations at which it was by itself, each from a moment on.
    pub stations: Vec<(Moment, SubjectId)>,
    /// The craft that it was on, each from a moment on; none for off any.
    pub on: Vec<(Moment, Option<SubjectId>)>,
    /// Its engine meter.
    pub meters: Vec<MeterPast>,
    /// Its faults, whatever craft it was on.
    pub faults: Vec<FaultPast>,
    /// Repairs of it.
    pub repairs: Vec<RepairPast>,
    /// Sign-offs about it.
    pub sign_offs: Vec<SignOffPast>,
    /// Inspections of it.
    pub inspections: Vec<InspectionPast>,
    /// Gauges of a cylinder, each with its moment and event.
    pub gauges: Vec<(Moment, EventId, CylinderReading)>,
    /// Times out of service.
    pub out: Vec<OutPast>,
    /// Events that nobody vouches for.
    pub unvouched: Vec<Unvouched>,
}

/// A bag.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BagPast {
    /// Its id.
    pub id: SubjectId,
    /// Its number.
    pub number: String,
    /// Where it was, each from a moment on: stations only.
    pub stations: Vec<(Moment, SubjectId)>,
    /// The craft that it was on, each from a moment on; none for off any.
    pub on: Vec<(Moment, Option<SubjectId>)>,
    /// What was counted in it.
    pub counts: Vec<CountPast>,
}

/// A shelf for spares.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShelfPast {
    /// Its id.
    pub id: SubjectId,
    /// What people call it.
    pub number: String,
    /// Stations, each from a moment on.
    pub stations: Vec<(Moment, SubjectId)>,
    /// What was counted on it.
    pub counts: Vec<CountPast>,
}

/// A count of items.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountPast {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
    /// What was there, each with its lots.
    pub counts: Vec<ItemCount>,
}
