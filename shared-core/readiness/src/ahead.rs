//! What comes due over the coming year: by station and week, grouped into visits, with what must be
//! on the shelf by when, and what was done late.
//!
//! Nothing of it decides readiness. The due days are the engine's own: the same functions say here
//! what is due and there what is overdue. Days of later rounds stand on one assumption, and each
//! item says which: that the round before is done on the day on which it is due, or, where that has
//! passed, today. Engine hours are expected from the motor's own use, with an interval.

mod engine_use;
mod item;
mod late;
mod shelf;
mod visits;
mod weeks;

use std::collections::BTreeMap;

pub use engine_use::{DaysUntil, EngineLeft, EngineUse, MeterRead, Reached, UseNotKnown};
pub use item::{
    By, CountedFrom, DueItem, NotKnown, Often, On, Planned, Standing, What, WhyNoVisit, WhyNotKnown,
};
pub use late::{DoneLate, InTime, Late, Past};
pub use shelf::{NeedFor, ShelfNeed, Wanted};
pub use visits::Visit;
pub use weeks::WeekCount;

pub use crate::standard::Material;

use crate::dates::Day;
use crate::engine::County;
use crate::engine::ahead::gather;
use crate::history::History;
use crate::ids::SubjectId;
use crate::moment::Moment;

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AheadAsked {
    /// The moment from which it is looked ahead; events after it are not in the records.
    pub from: Moment,
    /// The asker's moment.
    pub now: Moment,
    /// Days to look ahead: a year is 366, so that a yearly thing is always in it.
    pub days: u32,
}

/// What comes due.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ahead {
    /// The county's day from which it is told.
    pub from: Day,
    /// The last day.
    pub until: Day,
    /// Every item, by day, station, number and label.
    pub due: Vec<DueItem>,
    /// What is done with the boat checks, too often to be listed day by day.
    pub often: Vec<Often>,
    /// What will come due on a day that nobody can tell, and why.
    pub not_known: Vec<NotKnown>,
    /// Days on which the due work of a station is done together, by day and station.
    pub visits: Vec<Visit>,
    /// Counts by station and week.
    pub weeks: Vec<WeekCount>,
    /// What must be on the shelf of each station by when.
    pub shelf: Vec<ShelfNeed>,
    /// What was done after its day.
    pub late: Late,
    /// Names of the stations.
    pub stations: BTreeMap<SubjectId, String>,
    /// Days that a visit may do a thing before it is due.
    pub window_days: u32,
    /// Days from ordering to having.
    pub lead_days: u32,
}

/// What comes due in a county.
///
/// The records are those of the asked moment, as for an answer; the history tells how much motors run
/// and what was done late, and may hold nothing.
#[must_use]
pub fn ahead(county: &County<'_>, history: &History, asked: &AheadAsked) -> Ahead {
    let settings = &county.policy.ahead;
    let mut gathered = gather(county, history, asked);
    gathered.due.sort_by(|one, other| {
        let key = |it: &DueItem| (it.due, it.station, it.number.clone(), it.label.clone());
        key(one).cmp(&key(other)).then_with(|| {
            (&one.what, &one.on, one.round).cmp(&(&other.what, &other.on, other.round))
        })
    });
    let visits = visits::plan(&mut gathered.due, gathered.today, settings.window_days);
    let times = shelf::Times {
        today: gathered.today,
        until: gathered.until,
        lead_days: settings.lead_days,
    };
    let shelf = shelf::plan(
        (&gathered.due, &visits),
        (&gathered.wants, &gathered.stocked),
        times,
    );
    let late = late::late(county, history, &gathered.due);
    Ahead {
        from: gathered.today,
        until: gathered.until,
        weeks: weeks::count(&gathered.due),
        due: gathered.due,
        often: gathered.often,
        not_known: gathered.not_known,
        visits,
        shelf,
        late,
        stations: county
            .stations
            .iter()
            .map(|(id, station)| (*id, station.name.clone()))
            .collect(),
        window_days: settings.window_days,
        lead_days: settings.lead_days,
    }
}
