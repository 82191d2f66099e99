//! One thing that comes due, and why it is due then.

use super::engine_use::{EngineLeft, UseNotKnown};
use crate::answer::{Basis, Mark};
use crate::dates::Day;
use crate::event::GearKind;
use crate::ids::{EventId, LineId, SubjectId};
use crate::standard::{Every, Material};

/// One thing that comes due.
#[derive(Clone, Debug, PartialEq)]
pub struct DueItem {
    /// What.
    pub what: What,
    /// The craft that it is of; none for gear, bags and shelves that are on none.
    pub craft: Option<SubjectId>,
    /// What it is on: the craft itself, or gear or a bag that may move.
    pub on: On,
    /// The number that people know it by: the craft's, else that of what it is on.
    pub number: String,
    /// Its station; none when stations disagree, or nobody said.
    pub station: Option<SubjectId>,
    /// In the standard's words; for gear its number.
    pub label: String,
    /// The day on which it is due: the last on which it is still in time. For engine hours the
    /// expected one; for what is due now, because it is overdue or was never done, today.
    pub due: Day,
    /// Where engine hours have a part: the first and last day between which it comes due, with a
    /// level of 95 %; no last one where that may never come. Of later rounds it is wider than need be.
    pub between: Option<(Day, Option<Day>)>,
    /// Which of calendar and engine hours comes first.
    pub by: By,
    /// How it stands today.
    pub standing: Standing,
    /// Days after the due day during which being overdue is only noted.
    pub grace_days: u32,
    /// From where the due day is counted.
    pub counted_from: CountedFrom,
    /// Which of several within the time asked: 1 for the next one.
    pub round: u32,
    /// What the meter has to do with it.
    pub engine: Option<EngineLeft>,
    /// Whether hard use since makes it due sooner.
    pub used_hard: bool,
    /// Minutes that it takes, when the standard says.
    pub minutes: Option<u32>,
    /// What it uses up.
    pub uses: Vec<Material>,
    /// Where the requirement comes from.
    pub basis: Basis,
    /// Its source.
    pub source: String,
    /// Events behind it.
    pub evidence: Vec<EventId>,
    /// The visit that does it, or why none does.
    pub planned: Planned,
}

/// What comes due.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// An inspection of the standard.
    Inspection(LineId),
    /// Units of kit run out.
    KitDate {
        /// Line of the standard.
        item: LineId,
        /// How many.
        count: u32,
        /// How the mark was read, where it names no day.
        mark: Option<Mark>,
    },
    /// A cylinder is to be tested again.
    Requalification,
    /// A cylinder is to be retired.
    CylinderLife,
    /// Gear of another kind reaches the end of its service life.
    GearLife(GearKind),
    /// A waiver ends: its faults are to be repaired by then.
    WaiverEnds(EventId),
    /// The date on the tag of a sealed bag: what is in it is to be counted.
    SealTag,
}

/// What a thing is on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum On {
    /// The craft itself.
    Craft(SubjectId),
    /// Numbered gear, by its number.
    Gear(SubjectId, String),
    /// A bag, by its number.
    Bag(SubjectId, String),
}

/// Which interval ends first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum By {
    /// A day of the calendar.
    Calendar,
    /// Engine hours, on the expected day.
    EngineHours,
    /// It is due now, whatever the interval.
    Now,
}

/// How a thing stands today.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Past its day or its engine hours.
    Overdue {
        /// The day on which it was due, where that is known.
        since: Option<Day>,
        /// Days since then.
        days: Option<i64>,
        /// Engine time past due, seconds.
        engine_s: Option<u64>,
    },
    /// Never done, or done so that it proves nothing: due now.
    NeverDone,
    /// It failed: to be put right and done again.
    Failed,
    /// Not yet due.
    InTime,
}

impl Standing {
    /// Whether it is past its day, or was never done. Inspections, dates of kit and cylinders are what
    /// the engine's answer lists as overdue. Tags of bags, which it tells as a count that is owed, and
    /// service lives that the county's looking ahead alone sets are past their day too.
    #[must_use]
    pub const fn is_overdue(self) -> bool {
        match self {
            Self::Overdue { .. } | Self::NeverDone => true,
            Self::Failed | Self::InTime => false,
        }
    }
}

/// From where a due day is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CountedFrom {
    /// The day on which it was last done. A later round is counted from there too, as many
    /// intervals on, as long as the calendar alone decides.
    LastDone(Day),
    /// The day on which it is expected to be done: today for what is overdue, the expected day
    /// where engine hours come first.
    ExpectedDone(Day),
    /// A date that is printed or stamped on the thing, or a day that somebody set.
    Marked,
    /// Nobody can show when it was done: due now.
    Nothing,
}

/// Whether a visit does it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Planned {
    /// The visit, by its place in the list of visits.
    Visit(usize),
    /// None does.
    Not(WhyNoVisit),
}

/// Why no visit does a thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WhyNoVisit {
    /// It is not known at which station it is.
    StationNotKnown,
    /// It is done with the boat checks, more often than visits are made.
    WithTheChecks,
    /// It is decided, not done on the craft.
    ToBeDecided,
}

/// Something that is done with the boat checks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Often {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Its station.
    pub station: Option<SubjectId>,
    /// The inspection; none for the full boat check.
    pub inspection: Option<LineId>,
    /// In the standard's words; empty for the full boat check.
    pub label: String,
    /// How often.
    pub every: Every,
    /// When it is due next; today when it is owed.
    pub next: Day,
    /// Whether it is owed already.
    pub owed: bool,
    /// How often it falls due within the time asked.
    pub times: u32,
    /// Minutes that each takes, when the standard says.
    pub minutes: Option<u32>,
}

/// Something that will come due on a day that nobody can tell.
#[derive(Clone, Debug, PartialEq)]
pub struct NotKnown {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Its station.
    pub station: Option<SubjectId>,
    /// The inspection.
    pub inspection: LineId,
    /// In the standard's words.
    pub label: String,
    /// Engine time that is left, seconds, where the meter says.
    pub left_s: Option<u64>,
    /// Why.
    pub why: WhyNotKnown,
}

/// Why a day cannot be told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WhyNotKnown {
    /// It is due by engine hours, and the use of the motor is not known.
    Use(UseNotKnown),
    /// It is due by engine hours, and no meter was noted when it was last done.
    NoMeter,
}
