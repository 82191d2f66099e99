//! What the engine says: one answer for the county, one part of it for each craft.
//!
//! Every conclusion carries its why. No bare booleans, no text for people: rules, subjects,
//! quantities with units, evidence.

use chrono::NaiveDate;

use crate::event::{OutReason, Stowage};
use crate::ids::{EventId, LineId, ModelId, SubjectId};
use crate::moment::Moment;
use crate::without::TakenAway;

mod air;
mod asked;
mod callout;
mod disagreement;
mod figures;
mod finding;
mod in_service;
mod rule;
mod together;
mod words;

pub use air::{AirFrom, AirNeeded, Breathing, Feed, Gives, PartAir};
pub use asked::{Asked, AskerClock, Assumed};
pub(crate) use callout::order_of;
pub use callout::{
    Access, BringHome, Brings, Call, Callout, CalloutAsked, Candidate, CoverLeft, CrewKnown,
    CrewToGo, Hindrance, KitAtRamp, LaunchBy, LaunchPlace, Reach, SaidAt, Second, Setting,
    SettingOf, SharedWith, StationCover, TimeToWater, Trips, Way,
};
pub use disagreement::{Differ, Disagreement, Said, Settle, Stated, Until};
pub use figures::{CountedBy, Homeward, InSun, Load, LoadLimit, PartPressure, PressureSpread};
pub use finding::{
    Action, Basis, Effect, Finding, LeakRate, Limit, Mark, Measure, Required, Subject, ToDo,
};
pub use in_service::{Step, StepId, StepState};
pub use rule::Rule;
pub use together::{Goes, KeptBack, Shared, Together, TogetherAsked};

/// Version of the rules of this engine: part of every answer.
pub const ENGINE_VERSION: u32 = 3;

/// Answer to one question about the whole county.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountyAnswer {
    /// The question as judged, with what was assumed.
    pub asked: Asked,
    /// What was known.
    pub known_by: KnownBy,
    /// Version of the rules.
    pub engine: u32,
    /// Stations, in order of name.
    pub stations: Vec<StationHeard>,
    /// Craft, in order of number.
    pub craft: Vec<CraftAnswer>,
    /// Items short, over all craft.
    pub missing_kit: Vec<MissingKit>,
    /// Inspections and dates past due, over all craft, the longest overdue first.
    pub overdue: Vec<Overdue>,
    /// What stations, apart, stated differently.
    pub disagreements: Vec<Disagreement>,
    /// Which craft can go at once; none when that was not asked.
    pub together: Option<Together>,
    /// Craft that the answer is given without, in order of number.
    pub taken_away: Vec<TakenAway>,
    /// Who can get to the place, when, with what; none when no call-out was asked.
    pub callout: Option<Callout>,
}

/// What the answer rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownBy {
    /// The county log; zeros when none is known yet.
    pub log_id: [u8; 16],
    /// How much of it.
    pub size: u64,
    /// Its root.
    pub root: [u8; 32],
    /// Events held that the county log does not prove.
    pub beyond: u64,
}

/// When a station was last heard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationHeard {
    /// The station.
    pub id: SubjectId,
    /// Its name.
    pub name: String,
    /// Time of the newest signed head; none when never.
    pub last_heard: Option<Moment>,
    /// Longer ago than the county's setting allows.
    pub silent: bool,
    /// Crews that it can raise at the asked moment; none when it has not said.
    pub crews: Option<CrewsAt>,
}

/// Crews that a station can raise at one moment: of what stands, the least.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CrewsAt {
    /// How many.
    pub crews: u32,
    /// Persons in all of them; none when not said.
    pub persons: Option<u32>,
    /// Until when that is known.
    pub until: Moment,
    /// Operators among them, by member number.
    pub operators: Vec<String>,
    /// The statements.
    pub evidence: Vec<EventId>,
}

/// What the engine concludes; the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Readiness {
    /// Ready.
    Ready,
    /// Ready, with limits.
    ReadyWithLimits,
    /// Nothing shows that it is ready: go and look.
    Unproven,
    /// Not ready.
    NotReady,
}

/// What people declared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Status {
    /// Available.
    Available,
    /// Assigned.
    Assigned {
        /// The incident.
        incident: String,
    },
    /// Out of service.
    OutOfService {
        /// Why.
        reason: OutReason,
    },
    /// Condemned.
    Condemned,
}

/// Answer for one craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CraftAnswer {
    /// The craft.
    pub id: SubjectId,
    /// Painted number; the first side where stations differ.
    pub number: String,
    /// Its model.
    pub model: ModelId,
    /// Where it is; more than one when stations differ.
    pub stations: Vec<SubjectId>,
    /// What the engine concludes.
    pub readiness: Readiness,
    /// What people declared.
    pub status: Status,
    /// Why, the worst first.
    pub why: Vec<Finding>,
    /// What it may not do, or only with care.
    pub limits: Vec<Limit>,
    /// Pressures predicted for the launch.
    pub pressures: Vec<PartPressure>,
    /// Whom it can bring home.
    pub load: Option<Load>,
    /// Air that its parts want at the launch; none when each has its wanted gauge, or none was read.
    pub air: Option<AirNeeded>,
    /// Minutes of work that would make it go; none when it takes something that is no matter of known
    /// minutes, or nothing known would.
    pub minutes_to_ready: Option<u32>,
    /// When its newest full check happened at the earliest.
    pub checked_at: Option<Moment>,
    /// How it is kept.
    pub stowage: Option<Stowage>,
    /// Crews that its station can raise; none when it has not said, or stations differ about where the
    /// craft is.
    pub crews: Option<CrewsAt>,
    /// Least crew for the asked mission.
    pub crew_least: u32,
    /// The steps by which it is placed in service; empty when it was not asked for alone.
    pub in_service: Vec<Step>,
}

/// An item short on one craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MissingKit {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// The item.
    pub item: LineId,
    /// In the standard's words.
    pub label: String,
    /// What counts.
    pub have: u32,
    /// What is needed.
    pub need: u32,
}

/// Something past due on one craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overdue {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Line of the standard.
    pub inspection: LineId,
    /// In the standard's words.
    pub label: String,
    /// When it was due; none when it was never done, or is due by engine hours alone.
    pub due: Option<NaiveDate>,
    /// Days since then.
    pub days_over: Option<i64>,
    /// Engine seconds past due, when that is what makes it overdue.
    pub engine_s_over: Option<u64>,
    /// What being overdue does.
    pub effect: Effect,
}
