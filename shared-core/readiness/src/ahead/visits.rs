//! Visits: the fewest days on which the due work of a station is done together.

use super::item::Material;
use crate::dates::Day;
use crate::ids::SubjectId;

/// A day on which the due work of one station is done together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Visit {
    /// The station.
    pub station: SubjectId,
    /// The day: the last on which everything of it is still in time, or today for what is overdue.
    pub day: Day,
    /// The first day on which the same things could be done together.
    pub not_before: Day,
    /// What is done, by place in the list of due items.
    pub items: Vec<usize>,
    /// Minutes of what has known minutes.
    pub minutes: u32,
    /// How many of its items have no known minutes.
    pub minutes_not_known: u32,
    /// What must be brought: kit whose date runs out, and what inspections use up.
    pub bring: Vec<Material>,
}
