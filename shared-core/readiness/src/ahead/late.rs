//! What was done after its day, and by how much.
//!
//! Each time that an inspection was done is held against the time before, when that passed: by the
//! boat standard of today, from the day on which it was done, with hard use in between, by the
//! calendar and by engine hours as the engine reckons them. What is overdue now is told from what
//! comes due. The first time that a thing was done is not late: nothing says when it was due.

use std::collections::{BTreeMap, BTreeSet};

use super::item::{DueItem, Standing, What};
use crate::dates::{self, Day};
use crate::engine::County;
use crate::history::{CraftPast, History, InspectionPast};
use crate::ids::{EventId, LineId, SubjectId};
use crate::moment::Moment;
use crate::recurrent::distribution::beta_quantile;
use crate::standard::{InspectionLine, Standard};

/// What was done late.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Late {
    /// Every inspection that was done after its day, or is past it now, the latest first.
    pub done: Vec<DoneLate>,
    /// Over all of the county; none before anything was due.
    pub county: Option<InTime>,
    /// By station, as it was then.
    pub by_station: Vec<(SubjectId, InTime)>,
    /// By craft, with its number.
    pub by_craft: Vec<(SubjectId, String, InTime)>,
    /// By inspection, with the standard's words.
    pub by_line: Vec<(LineId, String, InTime)>,
}

/// One inspection that was done late.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DoneLate {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Its station on the due day.
    pub station: Option<SubjectId>,
    /// The inspection.
    pub inspection: LineId,
    /// In the standard's words.
    pub label: String,
    /// The day on which it was due; none where engine hours alone made it due.
    pub due: Option<Day>,
    /// How it ended.
    pub past: Past,
    /// Days late, by the calendar.
    pub days: Option<i64>,
    /// Engine time late, seconds.
    pub engine_s: Option<u64>,
    /// Whether that was within the standard's grace.
    pub in_grace: bool,
}

/// How being late ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Past {
    /// It was done on this day.
    Done(Day, EventId),
    /// It is not done yet: the days are still running.
    StillRunning,
}

/// How much was done in time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InTime {
    /// Due days that came, done or not.
    pub due: u32,
    /// Of these, done on or before the day.
    pub in_time: u32,
    /// Exact 95 % interval of the share (Clopper and Pearson), each from 0 to 1.
    pub share: (f64, f64),
    /// Median days of those that were late, of two in the middle the lower; none when none was.
    pub median_days_late: Option<i64>,
}

/// One due day that came.
struct Came {
    craft: SubjectId,
    number: String,
    station: Option<SubjectId>,
    line: LineId,
    label: String,
    late: Option<DoneLate>,
}

/// What was done late over all of the history, and what is late now.
pub(super) fn late(county: &County<'_>, history: &History, due: &[DueItem]) -> Late {
    let crafts = history.crafts.values();
    let done = crafts.flat_map(|craft| match county.standards.get(&craft.model) {
        Some(standard) => of_craft(county, history, (craft, standard)),
        None => Vec::new(),
    });
    let running = due.iter().filter_map(|item| running(history, item));
    let came: Vec<Came> = done.chain(running).collect();
    let all = || came.iter();
    let mut late: Vec<DoneLate> = all().filter_map(|came| came.late.clone()).collect();
    late.sort_by(|one, other| {
        let key = |it: &DoneLate| (it.days, it.engine_s);
        key(other).cmp(&key(one)).then_with(|| {
            (&one.number, &one.inspection, one.due).cmp(&(
                &other.number,
                &other.inspection,
                other.due,
            ))
        })
    });
    Late {
        done: late,
        county: in_time(all()),
        by_station: by(all(), |came| came.station),
        by_craft: by(all(), |came| Some((came.number.clone(), came.craft)))
            .into_iter()
            .map(|((number, craft), share)| (craft, number, share))
            .collect(),
        by_line: by(all(), |came| Some((came.line.clone(), came.label.clone())))
            .into_iter()
            .map(|((line, label), share)| (line, label, share))
            .collect(),
    }
}

fn of_craft(
    county: &County<'_>,
    history: &History,
    (craft, standard): (&CraftPast, &Standard),
) -> Vec<Came> {
    let mut came = Vec::new();
    for line in &standard.inspections {
        for (before, after) in pairs(history, craft, line) {
            // What failed is to be done again at once: no day says when.
            if before.passed {
                came.push(one(county, craft, (line, before, after)));
            }
        }
    }
    came
}

/// A time that a line was done, and the next one.
type Pair<'a> = (&'a InspectionPast, &'a InspectionPast);

/// Each time that a line was done with the one before: of gear that serves as its part on the gear,
/// wherever that was before, as it was done while it was fitted here; else of the craft.
fn pairs<'a>(history: &'a History, craft: &'a CraftPast, line: &InspectionLine) -> Vec<Pair<'a>> {
    let of_line = |one: &&InspectionPast| one.line == line.id;
    let about_gear: BTreeSet<EventId> = history
        .gear
        .values()
        .flat_map(|gear| &gear.inspections)
        .filter(of_line)
        .map(|one| one.event)
        .collect();
    let own = craft.inspections.iter().filter(of_line);
    let own = own.filter(|one| !about_gear.contains(&one.event));
    let mut pairs = following(own.collect());
    let fitted = craft.fitted.iter();
    for fitted in fitted.filter(|fitted| line.part.as_ref() == Some(&fitted.part)) {
        let Some(gear) = history.gear.get(&fitted.gear) else {
            continue;
        };
        let was_here =
            |at: Moment| at >= fitted.from && fitted.until.is_none_or(|until| at <= until);
        let of_gear = following(gear.inspections.iter().filter(of_line).collect());
        pairs.extend(of_gear.into_iter().filter(|(_, after)| was_here(after.at)));
    }
    pairs
}

fn following(mut done: Vec<&InspectionPast>) -> Vec<Pair<'_>> {
    done.sort_by_key(|one| (one.at, one.event));
    let next = done.iter().skip(1).copied();
    done.iter().copied().zip(next).collect()
}

/// One time that a line came due: in time, or late.
fn one(
    county: &County<'_>,
    craft: &CraftPast,
    (line, before, after): (&InspectionLine, &InspectionPast, &InspectionPast),
) -> Came {
    let offset_min = county.policy.utc_offset_min;
    let day = |at: Moment| dates::day(at, offset_min);
    let mut uses = craft.uses.iter();
    let used_hard = uses.any(|used| used.used.hard && used.at > before.at && used.at <= after.at);
    let due = line.due_after(day(before.at), used_hard);
    let engine_s = line.engine_interval_s(used_hard).and_then(|every_s| {
        let run_s = after.engine_s?.checked_sub(before.engine_s?)?;
        run_s.checked_sub(every_s)
    });
    let days = due.map(|due| day(after.at).signed_duration_since(due).num_days());
    let engine_s = engine_s.filter(|over_s| *over_s > 0);
    let days_late = days.filter(|days| *days > 0);
    let is_late = days_late.is_some() || engine_s.is_some();
    let station = station_at(craft, due.unwrap_or_else(|| day(after.at)), offset_min);
    let late = is_late.then(|| DoneLate {
        craft: craft.id,
        number: craft.number.clone(),
        station,
        inspection: line.id.clone(),
        label: line.label.clone(),
        due,
        past: Past::Done(day(after.at), after.event),
        days: days_late,
        engine_s,
        in_grace: engine_s.is_none()
            && days_late.is_some_and(|days| days <= i64::from(line.grace_days)),
    });
    Came {
        craft: craft.id,
        number: craft.number.clone(),
        station,
        line: line.id.clone(),
        label: line.label.clone(),
        late,
    }
}

/// The station of a craft on a day.
fn station_at(craft: &CraftPast, on: Day, offset_min: i32) -> Option<SubjectId> {
    let mut stations = craft.stations.iter().rev();
    let then = stations.find(|(from, _)| dates::day(*from, offset_min) <= on);
    then.or_else(|| craft.stations.first())
        .map(|(_, station)| *station)
}

/// What is past its day now, of the craft's own line of the standard.
fn running(history: &History, item: &DueItem) -> Option<Came> {
    let (
        What::Inspection(line),
        Standing::Overdue {
            since,
            days,
            engine_s,
        },
    ) = (&item.what, item.standing)
    else {
        return None;
    };
    let craft = item.craft?;
    let number = history.crafts.get(&craft);
    let number = number.map_or_else(|| item.number.clone(), |past| past.number.clone());
    Some(Came {
        craft,
        number: number.clone(),
        station: item.station,
        line: line.clone(),
        label: item.label.clone(),
        late: Some(DoneLate {
            craft,
            number,
            station: item.station,
            inspection: line.clone(),
            label: item.label.clone(),
            due: since,
            past: Past::StillRunning,
            days,
            engine_s,
            in_grace: engine_s.is_none()
                && days.is_some_and(|days| days <= i64::from(item.grace_days)),
        }),
    })
}

/// Shares by what something is about, in its order.
fn by<'c, K: Ord>(
    came: impl Iterator<Item = &'c Came>,
    key: impl Fn(&Came) -> Option<K>,
) -> Vec<(K, InTime)> {
    let mut groups: BTreeMap<K, Vec<&Came>> = BTreeMap::new();
    for one in came {
        if let Some(key) = key(one) {
            groups.entry(key).or_default().push(one);
        }
    }
    let shares = groups.into_iter();
    shares
        .filter_map(|(key, came)| Some((key, in_time(came.into_iter())?)))
        .collect()
}

/// The share that was done in time; none before anything came due.
fn in_time<'c>(came: impl Iterator<Item = &'c Came>) -> Option<InTime> {
    let came: Vec<&Came> = came.collect();
    let late: Vec<&DoneLate> = came.iter().filter_map(|came| came.late.as_ref()).collect();
    let due = u32::try_from(came.len()).ok().filter(|due| *due > 0)?;
    let in_time = due - u32::try_from(late.len()).ok()?;
    let mut days: Vec<i64> = late.iter().filter_map(|late| late.days).collect();
    days.sort_unstable();
    Some(InTime {
        due,
        in_time,
        share: share(in_time, due),
        median_days_late: days.get(days.len().saturating_sub(1) / 2).copied(),
    })
}

/// Exact 95 % interval of a share: Clopper and Pearson, Biometrika 26 (1934) 404.
fn share(of: u32, all: u32) -> (f64, f64) {
    let (k, n) = (f64::from(of), f64::from(all));
    let lower = match of {
        0 => 0.0,
        _ => beta_quantile(k, n - k + 1.0, 0.025),
    };
    let upper = match of == all {
        true => 1.0,
        false => beta_quantile(k + 1.0, n - k, 0.975),
    };
    (lower, upper)
}

#[cfg(test)]
mod tests {
    use super::share;

    /// Source: both ends by hand where it has a closed form: none of n gives 1 - 0.025^(1/n), all of
    /// n give 0.025^(1/n). One of two: roots of p^2 - 2p + 0.025 and p^2 - 0.975, whose sum mirrors.
    #[test]
    fn the_interval_of_a_share_is_exact() {
        let near = |one: f64, other: f64| assert!((one - other).abs() < 1e-9, "{one} {other}");
        for n in [1_u32, 5, 30] {
            let end = libm::pow(0.025, 1.0 / f64::from(n));
            let (lower, upper) = share(0, n);
            near(lower, 0.0);
            near(upper, 1.0 - end);
            let (lower, upper) = share(n, n);
            near(lower, end);
            near(upper, 1.0);
        }
        let (lower, upper) = share(1, 2);
        near(lower, 1.0 - libm::sqrt(0.975));
        near(upper, libm::sqrt(0.975));
    }
}
