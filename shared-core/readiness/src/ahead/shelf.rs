//! What must be on the shelf of a station by when.
//!
//! Wants are met in order of their days, each with what runs out first of all that is good for longer
//! than what it replaces: later wants can use fewer of the units, so that no other order leaves fewer
//! wants unmet. What was taken and itself runs out within the time asked is wanted again then. Units
//! that run out before anybody wants them count nothing.

use std::collections::{BTreeMap, VecDeque};

use chrono::Duration;

use super::item::{DueItem, Planned, What};
use super::visits::Visit;
use crate::dates::Day;
use crate::engine::ahead::{Lots, Stocked, Want};
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

/// Something wanted on a day.
#[derive(Clone, Debug)]
pub(super) struct Demand {
    pub(super) wanted: Wanted,
    /// What is good only until then does not do.
    pub(super) good_past: Day,
    /// Whether it stays aboard, where it runs out in its turn.
    pub(super) stays: bool,
}

/// Wants of one thing at one station.
type Demands = BTreeMap<(Option<SubjectId>, LineId), (String, Vec<Demand>)>;

/// The days of a plan.
#[derive(Clone, Copy, Debug)]
pub(super) struct Times {
    pub(super) today: Day,
    pub(super) until: Day,
    pub(super) lead_days: u32,
}

/// What every station will want, what is there, and what to order when.
pub(super) fn plan(
    (due, visits): (&[DueItem], &[Visit]),
    (wants, stocked): (&[Want], &[Stocked]),
    times: Times,
) -> Vec<ShelfNeed> {
    let mut demands = Demands::new();
    for want in wants {
        let day = visit_of_kit(due, visits, want).unwrap_or(want.day);
        let demand = Demand {
            wanted: Wanted {
                day,
                count: want.count,
                short: 0,
                for_what: want.for_what.clone(),
                craft: Some(want.craft),
                number: want.number.clone(),
            },
            good_past: want.day,
            stays: true,
        };
        add(
            &mut demands,
            (want.station, &want.item, &want.label),
            demand,
        );
    }
    for item in due {
        of_inspection(item, visits, times, &mut demands);
    }
    let there = |station: Option<SubjectId>, line: &LineId| {
        stocked
            .iter()
            .find(|it| Some(it.station) == station && it.item == *line)
    };
    let needs = demands
        .into_iter()
        .map(|((station, item), (label, demands))| {
            let there = there(station, &item);
            let lots = there.map(|it| it.lots.clone()).unwrap_or_default();
            let not_counted = there.map_or(0, |it| it.not_counted);
            let need = of_one(demands, lots, times);
            ShelfNeed {
                station,
                item,
                label,
                not_counted,
                ..need
            }
        });
    let mut needs: Vec<ShelfNeed> = needs.collect();
    needs.sort_by(|one, other| {
        let key = |it: &ShelfNeed| (it.station, it.order_by.is_none(), it.order_by);
        key(one)
            .cmp(&key(other))
            .then_with(|| one.label.cmp(&other.label))
    });
    needs
}

fn add(
    demands: &mut Demands,
    (station, item, label): (Option<SubjectId>, &LineId, &str),
    demand: Demand,
) {
    let known = demands.entry((station, item.clone()));
    let (_, known) = known.or_insert_with(|| (label.to_owned(), Vec::new()));
    known.push(demand);
}

/// The visit at which kit is changed before it runs out.
fn visit_of_kit(due: &[DueItem], visits: &[Visit], want: &Want) -> Option<Day> {
    let days = due
        .iter()
        .filter_map(|item| match (&item.what, item.planned) {
            (What::KitDate { item: line, .. }, Planned::Visit(visit))
                if item.craft == Some(want.craft) && *line == want.item && item.due == want.day =>
            {
                visits.get(visit).map(|visit| visit.day)
            }
            _ => None,
        });
    days.min()
}

/// What an inspection uses up, on the day on which it is done.
fn of_inspection(item: &DueItem, visits: &[Visit], times: Times, demands: &mut Demands) {
    let What::Inspection(line) = &item.what else {
        return;
    };
    let day = match item.planned {
        Planned::Visit(visit) => visits.get(visit).map_or(item.due, |visit| visit.day),
        Planned::Not(_) => item.due,
    };
    for used in &item.uses {
        let demand = Demand {
            wanted: Wanted {
                day: day.max(times.today),
                count: used.count,
                short: 0,
                for_what: NeedFor::Inspection(line.clone(), item.label.clone()),
                craft: item.craft,
                number: item.number.clone(),
            },
            // Good on the day is enough.
            good_past: day.pred_opt().unwrap_or(day),
            stays: false,
        };
        add(demands, (item.station, &used.item, &used.label), demand);
    }
}

/// One thing at one station.
pub(super) fn of_one(mut demands: Vec<Demand>, mut lots: Lots, times: Times) -> ShelfNeed {
    let there = lots.iter().map(|(_, units)| *units);
    let there = there.fold(0, u32::saturating_add);
    lots.sort_by_key(|(out, _)| (out.is_none(), *out));
    demands.sort_by(|one, other| {
        let key = |it: &Demand| (it.wanted.day, it.good_past);
        key(one)
            .cmp(&key(other))
            .then_with(|| one.wanted.number.cmp(&other.wanted.number))
    });
    let mut open: VecDeque<Demand> = demands.into();
    let mut wanted: Vec<Wanted> = Vec::new();
    while let Some(mut demand) = open.pop_front() {
        let (met, again) = meet(&demand, &mut lots, times);
        demand.wanted.short = demand.wanted.count.saturating_sub(met);
        for one in again {
            let at = open.partition_point(|it| it.wanted.day <= one.wanted.day);
            open.insert(at, one);
        }
        wanted.push(demand.wanted);
    }
    let unused = lots
        .iter()
        .filter(|(out, _)| out.is_some_and(|out| out <= times.until));
    let short = wanted
        .iter()
        .map(|it| it.short)
        .fold(0, u32::saturating_add);
    let by = wanted
        .iter()
        .filter(|it| it.short > 0)
        .map(|it| it.day)
        .min();
    let lead = Duration::days(i64::from(times.lead_days));
    let order = |by: Day| {
        by.checked_sub_signed(lead)
            .unwrap_or(times.today)
            .max(times.today)
    };
    ShelfNeed {
        station: None,
        item: LineId(String::new()),
        label: String::new(),
        there,
        runs_out_unused: unused.map(|(_, units)| *units).fold(0, u32::saturating_add),
        not_counted: 0,
        wanted,
        short,
        by,
        order_by: by.map(order),
    }
}

/// Meets a want from what is there: how many, and what is wanted again because of it.
fn meet(demand: &Demand, lots: &mut Lots, times: Times) -> (u32, Vec<Demand>) {
    let (mut met, mut again) = (0_u32, Vec::new());
    for (out, units) in lots.iter_mut() {
        let left = demand.wanted.count.saturating_sub(met);
        if left == 0 {
            break;
        }
        if out.is_some_and(|out| out <= demand.good_past) {
            continue;
        }
        let taken = left.min(*units);
        *units -= taken;
        met += taken;
        let runs_out = out.filter(|out| demand.stays && taken > 0 && *out <= times.until);
        if let Some(out) = runs_out {
            again.push(Demand {
                wanted: Wanted {
                    day: out,
                    count: taken,
                    short: 0,
                    for_what: NeedFor::RunsOutAgain,
                    ..demand.wanted.clone()
                },
                good_past: out,
                stays: true,
            });
        }
    }
    lots.retain(|(_, units)| *units > 0);
    (met, again)
}

#[cfg(test)]
mod tests;
