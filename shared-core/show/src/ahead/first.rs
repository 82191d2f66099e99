//! What is said first: what is due this week at which station, and which visit does it.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike as _, Days};
use sponson_readiness::ahead::{Ahead, DueItem, Planned, Visit};
use sponson_readiness::dates::Day;
use sponson_readiness::ids::SubjectId;

use super::{about_day, listed, long_day, many, station};
use crate::context::Context;

/// Stations told one by one; of more only how many.
const STATIONS_MAX: usize = 8;

/// Plain sentences: overdue first, then this week at each station, then what is next, then the whole
/// time.
#[must_use]
pub fn first_lines(ahead: &Ahead, ctx: &Context) -> Vec<String> {
    let mut lines: Vec<String> = overdue(ahead, ctx).into_iter().collect();
    let week = this_week(ahead);
    let stations = week.len();
    for (at, items) in week.iter().take(STATIONS_MAX) {
        lines.push(at_station(*at, items, ahead, ctx));
    }
    if stations > STATIONS_MAX {
        let more = many(stations - STATIONS_MAX, "station");
        lines.push(format!("Something is due this week at {more} more."));
    }
    if stations == 0 {
        lines.push("Nothing more is due this week.".to_owned());
        lines.extend(next(ahead, ctx));
    }
    lines.push(whole(ahead));
    lines
}

fn overdue(ahead: &Ahead, ctx: &Context) -> Option<String> {
    let all: Vec<&DueItem> = ahead.due.iter().filter(|it| is_now(it)).collect();
    if all.is_empty() {
        return None;
    }
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    for item in &all {
        *at.entry(station(item.station, ahead, ctx)).or_default() += 1;
    }
    let mut at: Vec<(String, usize)> = at.into_iter().collect();
    at.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    let more = at.len().saturating_sub(STATIONS_MAX);
    let told = at.iter().take(STATIONS_MAX);
    let mut told: Vec<String> = told
        .map(|(name, count)| format!("{name} ({count})"))
        .collect();
    if more > 0 {
        told.push(format!("{more} more"));
    }
    let are = if all.len() == 1 { "is" } else { "are" };
    let things = many(all.len(), "thing");
    Some(format!(
        "{things} {are} overdue, or were never done: {}.",
        listed(&told)
    ))
}

/// Due now, and not only this week.
fn is_now(item: &DueItem) -> bool {
    item.standing.is_overdue()
        || matches!(item.standing, sponson_readiness::ahead::Standing::Failed)
}

/// What is due until Sunday and not due already, by station.
fn this_week(ahead: &Ahead) -> Vec<(Option<SubjectId>, Vec<&DueItem>)> {
    let sunday = sunday(ahead.from);
    let mut at: BTreeMap<Option<SubjectId>, Vec<&DueItem>> = BTreeMap::new();
    let due = ahead.due.iter();
    for item in due.filter(|item| !is_now(item) && item.due <= sunday) {
        at.entry(item.station).or_default().push(item);
    }
    let mut at: Vec<_> = at.into_iter().collect();
    at.sort_by_key(|(_, items)| std::cmp::Reverse(items.len()));
    at
}

/// The last day of a week that begins on a Monday.
fn sunday(day: Day) -> Day {
    let left = 6 - u64::from(day.weekday().num_days_from_monday());
    day.checked_add_days(Days::new(left)).unwrap_or(day)
}

fn at_station(at: Option<SubjectId>, items: &[&DueItem], ahead: &Ahead, ctx: &Context) -> String {
    let are = if items.len() == 1 { "is" } else { "are" };
    let things = many(items.len(), "thing");
    let name = match at {
        Some(_) => format!("at {}", station(at, ahead, ctx)),
        None => "on craft whose station is not known".to_owned(),
    };
    format!(
        "{things} {are} due this week {name}; {}.",
        visits_of(items, ahead)
    )
}

/// Which visits do them: `one visit on Tuesday 1 December does them`.
fn visits_of(items: &[&DueItem], ahead: &Ahead) -> String {
    let planned = items.iter().filter_map(|item| visit(item, ahead));
    let planned = planned.count();
    let visits: BTreeSet<Day> = items
        .iter()
        .filter_map(|item| visit(item, ahead))
        .map(|visit| visit.day)
        .collect();
    let days: Vec<String> = visits
        .iter()
        .map(|day| long_day(*day, ahead.from))
        .collect();
    let them = if items.len() == 1 { "it" } else { "them" };
    let left = items.len() - planned;
    let rest = match left {
        0 => String::new(),
        left => format!("; {left} of them without one"),
    };
    match days.as_slice() {
        [] => format!("no visit does {them}"),
        [day] => format!(
            "one visit on {day} does {}{rest}",
            if left == 0 { them } else { "the others" }
        ),
        days => format!("visits on {} do them{rest}", listed(days)),
    }
}

fn visit<'a>(item: &DueItem, ahead: &'a Ahead) -> Option<&'a Visit> {
    match item.planned {
        Planned::Visit(at) => ahead.visits.get(at),
        Planned::Not(_) => None,
    }
}

fn next(ahead: &Ahead, ctx: &Context) -> Option<String> {
    let item = ahead.due.iter().find(|item| !is_now(item))?;
    let on = long_day(item.due, ahead.from);
    let at = station(item.station, ahead, ctx);
    let same = ahead.due.iter();
    let same = same.filter(|it| !is_now(it) && it.due == item.due && it.station == item.station);
    Some(format!(
        "Next: {} on {on}, {at}.",
        many(same.count(), "thing")
    ))
}

fn whole(ahead: &Ahead) -> String {
    let until = about_day(ahead.until);
    if ahead.due.is_empty() {
        return format!("Until {until} nothing comes due that is known here.");
    }
    let things = many(ahead.due.len(), "thing");
    let come = if ahead.due.len() == 1 {
        "comes"
    } else {
        "come"
    };
    let visits = many(ahead.visits.len(), "visit");
    let done: usize = ahead.visits.iter().map(|visit| visit.items.len()).sum();
    let does = if ahead.visits.len() == 1 {
        "does"
    } else {
        "do"
    };
    format!("Until {until} {things} {come} due; {visits} {does} {done} of them.")
}

/// What everybody who reads it has to know.
#[must_use]
pub fn notes(ahead: &Ahead) -> Vec<String> {
    vec![
        format!(
            "A visit does a thing at most {} before it is due, never after. Later rounds stand on \
             the round before being done on its day.",
            many(
                usize::try_from(ahead.window_days).unwrap_or(usize::MAX),
                "day"
            )
        ),
        format!(
            "Ordering takes {} (a setting of the county). Expected days by engine hours are \
             reckoned from each motor's own meter readings, with an interval of 95 in 100.",
            many(
                usize::try_from(ahead.lead_days).unwrap_or(usize::MAX),
                "day"
            )
        ),
    ]
}
