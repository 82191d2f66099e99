//! Only what is about one station, or one craft. Counts of weeks and visits are made anew of what
//! remains.

use std::collections::BTreeMap;

use sponson_readiness::ahead::{
    Ahead, By, DueItem, InTime, Late, Material, Planned, ShelfNeed, Visit, WeekCount, What,
};
use sponson_readiness::dates::Day;
use sponson_readiness::ids::{LineId, SubjectId};

use crate::table::monday;

/// What is wanted; everything where nothing is named.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Narrow {
    /// One station.
    pub station: Option<SubjectId>,
    /// One craft.
    pub craft: Option<SubjectId>,
}

impl Narrow {
    const fn is_all(self) -> bool {
        self.station.is_none() && self.craft.is_none()
    }

    fn has(self, station: Option<SubjectId>, craft: Option<SubjectId>) -> bool {
        let at = self.station.is_none_or(|wanted| station == Some(wanted));
        at && self.craft.is_none_or(|wanted| craft == Some(wanted))
    }
}

/// What remains. A visit keeps its day: it is the same visit, of which less is told.
#[must_use]
pub fn narrowed(ahead: &Ahead, to: Narrow) -> Ahead {
    if to.is_all() {
        return ahead.clone();
    }
    let kept = |item: &&DueItem| to.has(item.station, item.craft);
    let mut due: Vec<DueItem> = ahead.due.iter().filter(kept).cloned().collect();
    let visits = visits(ahead, &mut due);
    let often = ahead.often.iter();
    let not_known = ahead.not_known.iter();
    Ahead {
        weeks: weeks(&due, ahead.from),
        visits,
        due,
        often: often
            .filter(|it| to.has(it.station, Some(it.craft)))
            .cloned()
            .collect(),
        not_known: not_known
            .filter(|it| to.has(it.station, Some(it.craft)))
            .cloned()
            .collect(),
        shelf: shelf(&ahead.shelf, to),
        late: late(&ahead.late, to),
        stations: ahead.stations.clone(),
        ..*ahead
    }
}

/// Visits that do any of what remains; each item is told where its visit now stands.
fn visits(ahead: &Ahead, due: &mut [DueItem]) -> Vec<Visit> {
    let mut of: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (at, item) in due.iter().enumerate() {
        if let Planned::Visit(visit) = item.planned {
            of.entry(visit).or_default().push(at);
        }
    }
    let mut all = Vec::new();
    for (visit, items) in of {
        let Some(visit) = ahead.visits.get(visit) else {
            continue;
        };
        for item in &items {
            if let Some(item) = due.get_mut(*item) {
                item.planned = Planned::Visit(all.len());
            }
        }
        let done: Vec<&DueItem> = items.iter().filter_map(|item| due.get(*item)).collect();
        all.push(Visit {
            minutes: done.iter().filter_map(|item| item.minutes).sum(),
            minutes_not_known: count(done.iter().filter(|item| item.minutes.is_none()).count()),
            bring: bring(&done),
            items,
            ..*visit
        });
    }
    all
}

/// Kit whose date runs out and what inspections use up.
fn bring(items: &[&DueItem]) -> Vec<Material> {
    let mut all: BTreeMap<(LineId, String), u32> = BTreeMap::new();
    for item in items {
        for one in &item.uses {
            *all.entry((one.item.clone(), one.label.clone()))
                .or_default() += one.count;
        }
        if let What::KitDate {
            item: line, count, ..
        } = &item.what
        {
            *all.entry((line.clone(), item.label.clone())).or_default() += count;
        }
    }
    let all = all.into_iter();
    all.map(|((item, label), count)| Material { item, label, count })
        .collect()
}

fn weeks(due: &[DueItem], from: Day) -> Vec<WeekCount> {
    let mut all: BTreeMap<(Day, Option<SubjectId>), WeekCount> = BTreeMap::new();
    for item in due {
        let week = monday(item.due.max(from));
        let of = all.entry((week, item.station)).or_insert(WeekCount {
            week,
            station: item.station,
            items: 0,
            overdue: 0,
            by_engine: 0,
            minutes: 0,
        });
        of.items += 1;
        of.overdue += u32::from(item.standing.is_overdue());
        of.by_engine += u32::from(item.by == By::EngineHours);
        of.minutes += item.minutes.unwrap_or(0);
    }
    all.into_values().collect()
}

/// The stock of a station is one for all its craft: of one craft alone only what it wants is told,
/// and what is there covers others too.
fn shelf(all: &[ShelfNeed], to: Narrow) -> Vec<ShelfNeed> {
    let at = |need: &&ShelfNeed| to.station.is_none_or(|wanted| need.station == Some(wanted));
    let wanted = |need: &&ShelfNeed| {
        to.craft
            .is_none_or(|craft| need.wanted.iter().any(|one| one.craft == Some(craft)))
    };
    all.iter().filter(at).filter(wanted).cloned().collect()
}

/// The share in time is that of the station or the craft; of both together that of the craft.
fn late(late: &Late, to: Narrow) -> Late {
    let of_station = |it: &&(SubjectId, InTime)| Some(it.0) == to.station && to.craft.is_none();
    let of_craft = |it: &&(SubjectId, String, InTime)| Some(it.0) == to.craft;
    let done = late.done.iter();
    Late {
        done: done
            .filter(|it| to.has(it.station, Some(it.craft)))
            .cloned()
            .collect(),
        county: None,
        by_station: late.by_station.iter().filter(of_station).copied().collect(),
        by_craft: late.by_craft.iter().filter(of_craft).cloned().collect(),
        by_line: Vec::new(),
    }
}

fn count(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
