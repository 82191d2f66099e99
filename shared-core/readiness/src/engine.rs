//! The readiness engine: records and standards and a question in, an answer with its why out.

use std::collections::BTreeMap;

use crate::answer::{CountyAnswer, KnownBy};
use crate::ids::{MissionId, ModelId, SubjectId};
use crate::moment::Moment;
use crate::record::Record;
use crate::standard::{Policy, Standard};

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
    /// What the records rest on.
    pub known_by: &'a KnownBy,
}

/// A station.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Station {
    /// Its name.
    pub name: String,
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
}

/// Answers a question about the county.
#[must_use]
pub fn answer(_county: &County<'_>, _question: &Question) -> CountyAnswer {
    todo!()
}
