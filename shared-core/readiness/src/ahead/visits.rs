//! Visits: the fewest days on which the due work of a station is done together.
//!
//! Each thing can be done on any day from `visit_window` before it is due, today at the earliest, to
//! the day on which it is due; what is overdue, today. A round of one thing is not done before the
//! round before it is due. A visit is a day that does every thing whose span it lies in.
//!
//! The fewest visits are found one by one: of the things that no visit does yet take the one whose
//! span ends first, visit on its last day, and do everything whose span that day lies in. No plan has
//! fewer: the things that were taken have spans that do not meet (each begins after the visit of the
//! one before, else that visit would have done it), so every plan needs a visit for each of them.

use std::collections::BTreeMap;

use chrono::Duration;

use super::item::{DueItem, On, Planned, What, WhyNoVisit};
use crate::dates::Day;
use crate::ids::SubjectId;
use crate::standard::Material;

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

/// The days on which a thing can be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Span {
    pub(super) to: Day,
    pub(super) from: Day,
    pub(super) item: usize,
}

/// Plans the visits, and says of each item which does it.
pub(super) fn plan(due: &mut [DueItem], today: Day, window_days: u32) -> Vec<Visit> {
    let mut by_station: BTreeMap<SubjectId, Vec<Span>> = BTreeMap::new();
    for (item, from) in first_days(due, today, window_days).into_iter().enumerate() {
        let Some(one) = due.get(item) else { break };
        // What is decided, or done with the checks, is not for a visit wherever it is.
        let is_for_a_visit = one.planned == Planned::Not(WhyNoVisit::StationNotKnown);
        if let Some(station) = one.station.filter(|_| is_for_a_visit) {
            let to = one.due.max(today);
            by_station
                .entry(station)
                .or_default()
                .push(Span { to, from, item });
        }
    }
    let mut visits: Vec<Visit> = Vec::new();
    for (station, spans) in by_station {
        let days = fewest(spans).into_iter();
        visits.extend(days.map(|(day, spans)| visit(due, station, (day, &spans))));
    }
    visits.sort_by_key(|visit| (visit.day, visit.station));
    for (place, visit) in visits.iter().enumerate() {
        for item in &visit.items {
            if let Some(one) = due.get_mut(*item) {
                one.planned = Planned::Visit(place);
            }
        }
    }
    visits
}

/// The first day on which each item can be done.
fn first_days(due: &[DueItem], today: Day, window_days: u32) -> Vec<Day> {
    let mut before: BTreeMap<(&On, &What, u32), Day> = BTreeMap::new();
    for item in due {
        before.insert((&item.on, &item.what, item.round), item.due);
    }
    let first = |item: &DueItem| {
        let window = Duration::days(i64::from(window_days));
        let pulled = item.due.checked_sub_signed(window).unwrap_or(today);
        let round_before = item.round.checked_sub(1);
        let last = round_before.and_then(|round| before.get(&(&item.on, &item.what, round)));
        let after_last = last.and_then(|last| last.succ_opt()).unwrap_or(today);
        pulled.max(after_last).max(today).min(item.due.max(today))
    };
    due.iter().map(first).collect()
}

/// The fewest days, each with what it does.
pub(super) fn fewest(mut spans: Vec<Span>) -> Vec<(Day, Vec<Span>)> {
    spans.sort_unstable();
    let mut days: Vec<(Day, Vec<Span>)> = Vec::new();
    for span in spans {
        match days.last_mut() {
            // Spans come by their ends, so that the last visit is not after this one's.
            Some((day, does)) if span.from <= *day => does.push(span),
            Some(_) | None => days.push((span.to, vec![span])),
        }
    }
    days
}

fn visit(due: &[DueItem], station: SubjectId, (day, spans): (Day, &[Span])) -> Visit {
    let mut items: Vec<usize> = spans.iter().map(|span| span.item).collect();
    items.sort_unstable();
    let done = || items.iter().filter_map(|item| due.get(*item));
    let minutes = done().filter_map(|item| item.minutes);
    let unknown = done().filter(|item| item.minutes.is_none()).count();
    Visit {
        station,
        day,
        not_before: spans.iter().map(|span| span.from).max().unwrap_or(day),
        minutes: minutes.fold(0, u32::saturating_add),
        minutes_not_known: u32::try_from(unknown).unwrap_or(u32::MAX),
        bring: bring(done().flat_map(|item| &item.uses)),
        items,
    }
}

fn bring<'m>(uses: impl Iterator<Item = &'m Material>) -> Vec<Material> {
    let mut all: BTreeMap<&crate::ids::LineId, Material> = BTreeMap::new();
    for used in uses {
        let known = all.entry(&used.item).or_insert_with(|| Material {
            count: 0,
            ..used.clone()
        });
        known.count = known.count.saturating_add(used.count);
    }
    all.into_values().collect()
}

#[cfg(test)]
mod tests;
