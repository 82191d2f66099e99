//! Counts by station and week.

use crate::dates::Day;
use crate::ids::SubjectId;

/// What comes due in one week at one station.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WeekCount {
    /// Its Monday. What is overdue stands in the week of the day asked about.
    pub week: Day,
    /// The station; none for what stands at no station that is known.
    pub station: Option<SubjectId>,
    /// All that comes due.
    pub items: u32,
    /// Of these, overdue already.
    pub overdue: u32,
    /// Of these, due by engine hours on an expected day.
    pub by_engine: u32,
    /// Minutes of what has known minutes.
    pub minutes: u32,
}
