//! What happened to each chamber, as steps that can be compared: the whole past of a craft, in the order
//! of time.

use super::Past;
use crate::engine::leaks::steps::{self, Taken, Where};
use crate::event::{AirDirection, Stowage};
use crate::history::{CraftPast, ReadingPast};
use crate::ids::EventId;
use crate::leak::{Cut, Known, Relief, Step, stretches};
use crate::moment::Moment;
use crate::standard::{Part, PressureRule};

/// One chamber.
#[derive(Clone, Debug)]
pub struct Course<'a> {
    /// Its craft.
    pub craft: &'a CraftPast,
    /// The part.
    pub part: &'a Part,
    /// What its pressure must be.
    pub rule: &'a PressureRule,
    /// What happened, in order of time.
    pub entries: Vec<Entry<'a>>,
    relief: Option<Relief>,
}

/// One thing that happened to a chamber.
#[derive(Clone, Debug)]
pub struct Entry<'a> {
    /// When.
    pub at: Moment,
    /// Its event; none for a cut that is told by two readings alone.
    pub event: Option<EventId>,
    /// As a step.
    pub step: Step,
    /// The reading, where it is one.
    pub reading: Option<&'a ReadingPast>,
}

/// A reading that can be compared.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point<'a> {
    pub(super) past: &'a ReadingPast,
    pub(super) known: Known,
}

impl<'a> Course<'a> {
    /// The course of one chamber.
    #[must_use]
    pub fn of(
        past: Past<'a>,
        craft: &'a CraftPast,
        part: &'a Part,
        rule: &'a PressureRule,
    ) -> Self {
        let mut happened = happened(past, craft, part);
        happened.sort_by(in_time);
        let place = Where {
            policy: past.policy,
            stations: past.stations,
        };
        let day_0 = past.history.from.unwrap_or(Moment(0));
        let mut entries: Vec<Entry<'a>> = Vec::new();
        let mut before: Option<Taken<'a>> = None;
        for one in happened {
            let What::Read(reading) = one.what else {
                entries.push(one.entry());
                continue;
            };
            let taken = taken(reading);
            if let Some(cut) = before.and_then(|before| steps::cut_between(before, taken)) {
                entries.push(Entry {
                    at: one.at,
                    event: None,
                    step: Step::Cut(cut),
                    reading: None,
                });
            }
            entries.push(Entry {
                at: one.at,
                event: Some(reading.event),
                step: steps::step(place, rule, taken, day_0),
                reading: Some(reading),
            });
            before = Some(taken);
        }
        let relief = rule.relief_pa.map(|relief_pa| Relief {
            relief_pa: wide(relief_pa),
            swing_mk: past.policy.leak.bay_swing_mk,
        });
        Self {
            craft,
            part,
            rule,
            entries,
            relief,
        }
    }

    /// How many readings.
    pub(super) fn readings(&self) -> u32 {
        let readings = self.entries.iter().filter(|entry| entry.reading.is_some());
        u32::try_from(readings.count()).unwrap_or(u32::MAX)
    }

    /// How many of them can be compared.
    pub(super) fn comparable(&self) -> u32 {
        let known = self.entries.iter();
        let known = known.filter(|entry| matches!(entry.step, Step::Read(_)));
        u32::try_from(known.count()).unwrap_or(u32::MAX)
    }

    /// When it was first read.
    pub(super) fn first(&self) -> Option<Moment> {
        let mut readings = self.entries.iter().filter(|entry| entry.reading.is_some());
        readings.next().map(|entry| entry.at)
    }

    /// Its steps alone; those of readings that are not wanted are no points.
    pub(super) fn steps(&self, wanted: impl Fn(&ReadingPast) -> bool) -> Vec<Step> {
        let step = |entry: &Entry<'_>| match (entry.reading, entry.step) {
            (Some(reading), Step::Read(_)) if !wanted(reading) => Step::NotComparable,
            (_, step) => step,
        };
        self.entries.iter().map(step).collect()
    }

    /// The relief valve, which takes air that is no leak.
    pub(super) const fn relief(&self) -> Option<Relief> {
        self.relief
    }

    /// Comparable readings, by stretches in which no air came or went; also none by the relief valve,
    /// where `relief` is given. One of each check.
    pub(super) fn stretches(&self, relief: Option<Relief>) -> Vec<Vec<Point<'a>>> {
        let point = |at: usize| {
            let entry = self.entries.get(at)?;
            match entry.step {
                Step::Read(known) => Some(Point {
                    past: entry.reading?,
                    known,
                }),
                Step::NotComparable | Step::Warmed(_) | Step::Cut(_) => None,
            }
        };
        let found = stretches(&self.steps(|_| true), relief).into_iter();
        let points = found.map(|stretch| {
            let mut points: Vec<Point<'a>> = stretch.into_iter().filter_map(point).collect();
            // As found and as left of one check are one look at the gauge.
            points.dedup_by_key(|point| point.past.event);
            points
        });
        points.collect()
    }
}

/// Every chamber of every craft whose boat standard is known.
pub(super) fn courses<'a>(past: Past<'a>) -> Vec<Course<'a>> {
    let mut courses = Vec::new();
    for craft in past.history.crafts.values() {
        let Some(standard) = past.standards.get(&craft.model) else {
            continue;
        };
        for part in &standard.parts {
            if let Some(rule) = &part.pressure {
                courses.push(Course::of(past, craft, part, rule));
            }
        }
    }
    courses
}

enum What<'a> {
    Read(&'a ReadingPast),
    Step(Step, EventId),
}

struct Happened<'a> {
    at: Moment,
    what: What<'a>,
}

impl<'a> Happened<'a> {
    const fn step(at: Moment, step: Step, event: EventId) -> Self {
        Self {
            at,
            what: What::Step(step, event),
        }
    }

    fn entry(&self) -> Entry<'a> {
        let (step, event, reading) = match self.what {
            What::Step(step, event) => (step, event, None),
            What::Read(reading) => (Step::NotComparable, reading.event, Some(reading)),
        };
        Entry {
            at: self.at,
            event: Some(event),
            step,
            reading,
        }
    }
}

fn happened<'a>(past: Past<'a>, craft: &'a CraftPast, part: &Part) -> Vec<Happened<'a>> {
    let readings = craft.readings.iter();
    let readings = readings
        .filter(|one| one.reading.part == part.id)
        .map(|one| Happened {
            at: one.at,
            what: What::Read(one),
        });
    let air = craft.air.iter().filter(|one| one.air.part == part.id);
    let air = air.map(|one| {
        let cut = match one.air.direction {
            AirDirection::Added => Cut::AirAdded,
            AirDirection::LetOut => Cut::AirLetOut,
        };
        Happened::step(one.at, Step::Cut(cut), one.event)
    });
    let repairs = craft.repairs.iter().filter(|one| one.part == part.id);
    let repairs = repairs.map(|one| Happened::step(one.at, Step::Cut(Cut::Repaired), one.event));
    let rolled = craft.checks.iter();
    let rolled = rolled
        .filter(|check| check.stowage == Some(Stowage::Rolled))
        .map(|one| Happened::step(one.at, Step::Cut(Cut::Inflated), one.event));
    let sun = Step::Warmed(past.policy.pressure.sun_mc);
    let uses = craft.uses.iter();
    let uses = uses.map(|one| Happened::step(one.at, sun, one.event));
    readings
        .chain(air)
        .chain(repairs)
        .chain(rolled)
        .chain(uses)
        .collect()
}

/// By time; at one moment readings come first, as found before as left.
fn in_time(one: &Happened<'_>, other: &Happened<'_>) -> std::cmp::Ordering {
    let later = |it: &Happened<'_>| matches!(it.what, What::Step(..));
    let by_time = one.at.cmp(&other.at).then(later(one).cmp(&later(other)));
    match (&one.what, &other.what) {
        (What::Read(a), What::Read(b)) => by_time
            .then(a.event.cmp(&b.event))
            .then_with(|| steps::found_first(&a.reading, &b.reading)),
        (What::Read(_) | What::Step(..), _) => by_time,
    }
}

const fn taken(reading: &ReadingPast) -> Taken<'_> {
    Taken {
        at: reading.at,
        event: reading.event,
        author: &reading.by,
        reading: &reading.reading,
    }
}

/// Pascal of a boat are far below 2^53, where floating point is exact.
#[expect(clippy::cast_precision_loss, reason = "pascal here are far below 2^53")]
pub(super) const fn wide(number: i64) -> f64 {
    number as f64
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 to i64 saturates; values are far inside"
)]
pub(super) fn whole(number: f64) -> i64 {
    number.round() as i64
}
