//! Counts by station and week.

use std::collections::BTreeMap;

use chrono::{Datelike as _, Duration};

use super::item::{By, DueItem};
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

/// Weeks in which anything comes due, by week and station.
pub(super) fn count(due: &[DueItem]) -> Vec<WeekCount> {
    let mut weeks: BTreeMap<(Day, Option<SubjectId>), WeekCount> = BTreeMap::new();
    for item in due {
        let week = monday(item.due);
        let station = item.station;
        let count = weeks.entry((week, station)).or_insert(WeekCount {
            week,
            station,
            items: 0,
            overdue: 0,
            by_engine: 0,
            minutes: 0,
        });
        count.items += 1;
        count.overdue += u32::from(item.standing.is_overdue());
        count.by_engine += u32::from(item.by == By::EngineHours);
        count.minutes = count.minutes.saturating_add(item.minutes.unwrap_or(0));
    }
    weeks.into_values().collect()
}

/// The Monday of the week of a day (ISO 8601).
fn monday(day: Day) -> Day {
    let days = day.weekday().num_days_from_monday();
    day.checked_sub_signed(Duration::days(i64::from(days)))
        .unwrap_or(day)
}
