//! The readiness engine: records and standards and a question in, an answer with its why out.
//!
//! Pure. The records are those of the asked moment: whoever keeps the log decides which events
//! they hold. Says facts; text for people is made elsewhere.

use std::collections::{BTreeMap, BTreeSet};

use crate::answer::{CalloutAsked, CountyAnswer, CraftAnswer, KnownBy, TogetherAsked};
use crate::conditions::{Conditions, Position};
use crate::ids::{EventId, MissionId, ModelId, SubjectId};
use crate::load::{CrewAsked, Party};
use crate::moment::Moment;
use crate::record::Record;
use crate::standard::{Policy, Standard};
use crate::weather_report::WeatherReport;
use crate::without::Without;

mod after_use;
pub(crate) mod ahead;
mod air;
mod asked;
mod callout;
mod county;
mod craft;
mod disagreements;
mod facts;
mod faults;
mod finding;
mod freshness;
mod fuel;
mod gear;
pub(crate) mod holding;
mod holds;
mod in_service;
mod index;
mod inspections;
mod kit;
mod kit_moves;
pub(crate) mod leaks;
mod load;
mod motor;
mod on_craft;
mod parts;
mod people;
mod place;
mod questions;
mod sides;
mod spare;
mod standing;
pub mod table;
mod together;
mod verdict;
mod weather;

pub use asked::asked;
pub use disagreements::disagreements;
pub use holding::Nothing as HoldNothing;
pub use kit_moves::kit_county;
pub use leaks::{chamber_curves, chamber_leaks};
pub use on_craft::on_craft;
pub use people::crews_at;
pub use spare::spares;

/// Everything that an answer is a function of, apart from the question.
#[derive(Clone, Copy, Debug)]
pub struct County<'a> {
    /// The county's settings.
    pub policy: &'a Policy,
    /// Newest revision of the standard of each model.
    pub standards: &'a BTreeMap<ModelId, Standard>,
    /// Stations.
    pub stations: &'a BTreeMap<SubjectId, Station>,
    /// Records of craft, gear, bags and shelves.
    pub records: &'a BTreeMap<SubjectId, Record>,
    /// What of the log is not understood, beside what records hold themselves.
    pub not_understood: &'a NotUnderstood,
    /// What the records rest on.
    pub known_by: &'a KnownBy,
}

/// What of a log this version does not understand, beside what records hold themselves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NotUnderstood {
    /// Entries that ask to hold and belong to no record, and a policy that cannot be read: they hold
    /// every craft.
    pub entries: BTreeSet<EventId>,
    /// Boat standards that cannot be read, by model, where it is the newest of its model.
    pub sheets: BTreeMap<ModelId, EventId>,
}

/// A station.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Station {
    /// Its name.
    pub name: String,
    /// Its radio call; empty when not registered.
    pub call: String,
    /// Where it is; none when not registered.
    pub position: Option<Position>,
    /// Elevation, millimetres.
    pub elevation_mm: Option<i32>,
    /// Time of its newest signed head; none when never heard.
    pub last_heard: Option<Moment>,
}

/// A question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// The moment to judge.
    pub as_of: Moment,
    /// The asker's moment: bounds events that the county has not stored.
    pub now: Moment,
    /// One craft, or all when none.
    pub craft: Option<SubjectId>,
    /// The mission; general when none.
    pub mission: Option<MissionId>,
    /// Air at the launch, milli-degree Celsius.
    pub air_mc: Option<i32>,
    /// Water at the launch, milli-degree Celsius.
    pub water_mc: Option<i32>,
    /// Elevation of the launch, millimetres.
    pub elevation_mm: Option<i32>,
    /// Crew that goes.
    pub crew: CrewAsked,
    /// People to bring home.
    pub people: Vec<Party>,
    /// Place, duration, light, weather.
    pub conditions: Conditions,
    /// Which craft can go at once, when that is asked.
    pub together: Option<TogetherAsked>,
    /// The weather report that conditions were made from; it decides nothing here.
    pub weather_report: Option<WeatherReport>,
    /// What is taken as not there.
    pub without: Without,
    /// Who can get to the place, when that is asked.
    pub callout: Option<CalloutAsked>,
}

impl Question {
    /// The general question about all craft at a moment: nothing else given.
    #[must_use]
    pub const fn general(as_of: Moment, now: Moment) -> Self {
        Self {
            as_of,
            now,
            craft: None,
            mission: None,
            air_mc: None,
            water_mc: None,
            elevation_mm: None,
            crew: CrewAsked {
                count: None,
                mass_g: None,
            },
            people: Vec::new(),
            conditions: Conditions::NONE,
            together: None,
            weather_report: None,
            without: Without::NOTHING,
            callout: None,
        }
    }
}

/// Answers a question about the county, or about one craft of it.
///
/// A question about a craft that no record knows has an answer without craft.
#[must_use]
pub fn answer(county: &County<'_>, question: &Question) -> CountyAnswer {
    county::answer(county, question)
}

/// Answers a question about one craft; none when no record knows it.
#[must_use]
pub fn answer_craft(
    county: &County<'_>,
    question: &Question,
    craft: SubjectId,
) -> Option<CraftAnswer> {
    let index = index::Index::new(county.records);
    let asked = asked::asked(county.policy, question);
    let record = county.records.get(&craft)?;
    let differ = disagreements::of_county(county, &index, question, &asked);
    Some(craft::answer(county, &index, question, &asked, (record, &differ)).answer)
}
