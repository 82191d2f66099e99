//! What must be on the shelf of a station by when.

use crate::dates::Day;
use crate::ids::{LineId, SubjectId};

/// What a station will want of one thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShelfNeed {
    /// The station; none for craft that stand at no station that is known.
    pub station: Option<SubjectId>,
    /// Under which it is counted.
    pub item: LineId,
    /// In words.
    pub label: String,
    /// Good units there today: shelves, the station's store, spare bags.
    pub there: u32,
    /// Units there whose own date runs out before anybody wants them.
    pub runs_out_unused: u32,
    /// Shelves and bags whose count is too old to rely on, or that nobody counted.
    pub not_counted: u32,
    /// What is wanted, by day.
    pub wanted: Vec<Wanted>,
    /// How many are to be ordered over the time asked.
    pub short: u32,
    /// The day by which the first of them must be there; none when nothing is short.
    pub by: Option<Day>,
    /// The day by which they must be ordered: that day less the lead time, today at the earliest.
    pub order_by: Option<Day>,
}

/// Units that are wanted on one day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The day by which they are wanted.
    pub day: Day,
    /// How many.
    pub count: u32,
    /// Of these, not covered by what is there.
    pub short: u32,
    /// What for.
    pub for_what: NeedFor,
    /// The craft, where it is for one.
    pub craft: Option<SubjectId>,
    /// Its number; empty where it is for none.
    pub number: String,
}

/// What a unit is wanted for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NeedFor {
    /// The craft lacks it today.
    ShortNow,
    /// What is aboard runs out.
    RunsOut,
    /// An inspection uses it up.
    Inspection(LineId, String),
    /// What was taken from the shelf runs out in its turn.
    RunsOutAgain,
}
