//! Engine hours expected: how much a motor runs, from its own meter readings.

use crate::dates::Day;

/// What the meter has to do with a due day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EngineLeft {
    /// Engine time left, seconds: negative past due.
    pub left_s: i64,
    /// When it will have run for that long.
    pub reached: Result<Reached, UseNotKnown>,
}

/// When a motor will have run for so long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reached {
    /// The expected day.
    pub expected: Day,
    /// The first and last day of a 95 % interval; no last one where it may never come.
    pub between: (Day, Option<Day>),
    /// The use that it is reckoned from.
    pub of: EngineUse,
}

/// How much a motor runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EngineUse {
    /// Engine time that its readings show, seconds.
    pub run_s: u64,
    /// Days between the first and the last of them, without stretches that a changed meter hides.
    pub days: u32,
    /// Stretches between readings.
    pub stretches: u32,
    /// Of these, those in which it ran.
    pub ran: u32,
}

/// Why the use of a motor is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum UseNotKnown {
    /// No meter was read often enough.
    NotRead,
    /// The readings lie within less time than the county's setting asks for, days.
    TooShort(u32),
    /// It did not run.
    NotRun,
}
