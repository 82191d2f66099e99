//! What was done after its day, and by how much.

use crate::dates::Day;
use crate::ids::{EventId, LineId, SubjectId};

/// What was done late.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Late {
    /// Every inspection that was done after its day, or is past it now, the latest first.
    pub done: Vec<DoneLate>,
    /// Over all of the county; none before anything was due.
    pub county: Option<InTime>,
    /// By station, as it was then.
    pub by_station: Vec<(SubjectId, InTime)>,
    /// By craft, with its number.
    pub by_craft: Vec<(SubjectId, String, InTime)>,
    /// By inspection, with the standard's words.
    pub by_line: Vec<(LineId, String, InTime)>,
}

/// One inspection that was done late.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DoneLate {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Its station on the due day.
    pub station: Option<SubjectId>,
    /// The inspection.
    pub inspection: LineId,
    /// In the standard's words.
    pub label: String,
    /// The day on which it was due; none where engine hours alone made it due.
    pub due: Option<Day>,
    /// How it ended.
    pub past: Past,
    /// Days late, by the calendar.
    pub days: Option<i64>,
    /// Engine time late, seconds.
    pub engine_s: Option<u64>,
    /// Whether that was within the standard's grace.
    pub in_grace: bool,
}

/// How being late ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Past {
    /// It was done on this day.
    Done(Day, EventId),
    /// It is not done yet: the days are still running.
    StillRunning,
}

/// How much was done in time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InTime {
    /// Due days that came, done or not.
    pub due: u32,
    /// Of these, done on or before the day.
    pub in_time: u32,
    /// Exact 95 % interval of the share (Clopper and Pearson), each from 0 to 1.
    pub share: (f64, f64),
    /// Median days of those that were late; none when none was.
    pub median_days_late: Option<i64>,
}
