//! What comes due as text for a terminal: plain sentences first, then by station and week, or the
//! visits, the shelf, or what was done late.

use std::collections::BTreeMap;

use chrono::{Datelike as _, Days};
use sponson_readiness::ahead::{Ahead, DueItem, InTime};
use sponson_readiness::dates::Day;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;

use super::lines::Lines;
use crate::ahead::{
    Show, bring_text, day, due_text, first_lines, in_time_text, late_text, not_known_text, notes,
    often_text, shelf_text, station, visit_head, visit_time, wanted_text,
};
use crate::caution;
use crate::context::Context;
use crate::units::print;

/// What is told of it, at most 80 columns wide.
#[must_use]
pub fn ahead_report(ahead: &Ahead, show: Show, as_of: Moment, ctx: &Context) -> String {
    let mut lines = Lines::default();
    let zone = print::offset(ctx.utc_offset_min);
    lines.hanging("", &format!("As of {} ({zone}).", ctx.local(as_of)));
    match show {
        Show::Due => due(&mut lines, ahead, ctx),
        Show::Visits => visits(&mut lines, ahead, ctx),
        Show::Shelf => shelf(&mut lines, ahead, ctx),
        Show::Late => late(&mut lines, ahead, ctx),
    }
    lines.blank();
    if show != Show::Late {
        for note in notes(ahead) {
            lines.hanging("", &note);
        }
    }
    lines.hanging("", caution());
    lines.into_text()
}

fn due(lines: &mut Lines, ahead: &Ahead, ctx: &Context) {
    for line in first_lines(ahead, ctx) {
        lines.hanging("", &line);
    }
    for (at, weeks) in by_station_and_week(ahead) {
        lines.blank();
        lines.hanging("", &format!("{}:", station(at, ahead, ctx)));
        for (week, items) in weeks {
            lines.hanging("  ", &week_text(week, &items, ahead.from));
            for item in items {
                lines.hanging("    - ", &due_text(item));
            }
        }
    }
    let often: Vec<String> = ahead.often.iter().map(often_text).collect();
    section(
        lines,
        "With the boat checks, not listed day by day:",
        &often,
    );
    let not_known: Vec<String> = ahead.not_known.iter().map(not_known_text).collect();
    section(lines, "Due on a day that nobody can tell:", &not_known);
}

/// The week of a list, and how much falls due in it.
pub(crate) fn week_text(week: Day, items: &[&DueItem], today: Day) -> String {
    let things = crate::ahead::many(items.len(), "thing");
    if week <= today {
        format!("now and this week: {things}")
    } else {
        format!("week of {}: {things}", day(week))
    }
}

/// What comes due, by the Monday of its week.
pub(crate) type ByWeek<'a> = BTreeMap<Day, Vec<&'a DueItem>>;

/// By station, and by the Monday of the week; what is overdue stands in the week of today.
pub(crate) fn by_station_and_week(ahead: &Ahead) -> Vec<(Option<SubjectId>, ByWeek<'_>)> {
    let mut all: BTreeMap<Option<SubjectId>, ByWeek<'_>> = BTreeMap::new();
    for item in &ahead.due {
        let week = monday(item.due.max(ahead.from));
        let weeks = all.entry(item.station).or_default();
        weeks.entry(week).or_default().push(item);
    }
    let mut all: Vec<_> = all.into_iter().collect();
    all.sort_by_key(|(at, _)| by_name(*at, ahead));
    all
}

/// Stations stand in the order of their names, what stands at none at the end.
fn by_name(at: Option<SubjectId>, ahead: &Ahead) -> (bool, Option<&String>) {
    (at.is_none(), at.and_then(|id| ahead.stations.get(&id)))
}

/// The Monday of a day's week.
pub(crate) fn monday(day: Day) -> Day {
    let since = u64::from(day.weekday().num_days_from_monday());
    day.checked_sub_days(Days::new(since)).unwrap_or(day)
}

fn visits(lines: &mut Lines, ahead: &Ahead, ctx: &Context) {
    for line in first_lines(ahead, ctx) {
        lines.hanging("", &line);
    }
    for visit in &ahead.visits {
        lines.blank();
        lines.hanging("", &visit_head(visit, ahead, ctx));
        lines.hanging("    ", &visit_time(visit));
        for item in visit.items.iter().filter_map(|at| ahead.due.get(*at)) {
            lines.hanging("    - ", &due_text(item));
        }
        let bring = bring_text(&visit.bring);
        if !bring.is_empty() {
            lines.hanging("    ", &bring);
        }
    }
    let left: Vec<String> = crate::ahead::without_visit(ahead).map(due_text).collect();
    section(lines, "No visit does these:", &left);
}

fn shelf(lines: &mut Lines, ahead: &Ahead, ctx: &Context) {
    let short = ahead.shelf.iter().filter(|need| need.short > 0).count();
    let first = match short {
        0 => "Nothing has to be ordered, as far as counted.".to_owned(),
        short => format!("{} to be ordered.", crate::ahead::many(short, "thing")),
    };
    lines.hanging("", &first);
    let mut at: BTreeMap<Option<SubjectId>, Vec<_>> = BTreeMap::new();
    for need in &ahead.shelf {
        at.entry(need.station).or_default().push(need);
    }
    let mut at: Vec<_> = at.into_iter().collect();
    at.sort_by_key(|(at, _)| by_name(*at, ahead));
    for (at, needs) in at {
        lines.blank();
        lines.hanging("", &format!("{}:", station(at, ahead, ctx)));
        for need in needs {
            lines.hanging("  - ", &shelf_text(need, ahead.from));
            for wanted in &need.wanted {
                lines.hanging("      ", &wanted_text(wanted));
            }
        }
    }
}

fn late(lines: &mut Lines, ahead: &Ahead, ctx: &Context) {
    let late = &ahead.late;
    match &late.county {
        Some(county) => lines.hanging("", &format!("Across the county: {}.", in_time_text(county))),
        None if late.done.is_empty() => {
            lines.hanging("", "Nothing was late, as far as is known here.")
        }
        None => {}
    }
    let of = |name: String, share: &InTime| format!("{name}: {}", in_time_text(share));
    let stations = late.by_station.iter();
    let stations: Vec<String> = stations
        .map(|(id, share)| of(station(Some(*id), ahead, ctx), share))
        .collect();
    section(lines, "By station, as it was then:", &stations);
    let craft = late.by_craft.iter();
    let craft: Vec<String> = craft
        .map(|(_, number, share)| of(super::short_number(number), share))
        .collect();
    section(lines, "By craft:", &craft);
    let line = late.by_line.iter();
    let line: Vec<String> = line
        .map(|(line, label, share)| of(super::label_or(label, line.as_str()), share))
        .collect();
    section(lines, "By inspection:", &line);
    let done: Vec<String> = late.done.iter().map(late_text).collect();
    section(lines, "Done late, or late and not done yet:", &done);
}

fn section(lines: &mut Lines, title: &str, all: &[String]) {
    if all.is_empty() {
        return;
    }
    lines.blank();
    lines.hanging("", title);
    for text in all {
        lines.hanging("  - ", text);
    }
}

#[cfg(test)]
mod tests;
