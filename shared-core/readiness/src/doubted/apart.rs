//! One gauge beside the others: differences of readings of the same chamber, brought to one
//! temperature, with nothing between them but the chamber's own leak.
//!
//! Readings of one check share a gauge and a thermometer, so they are no pairs of their own: one pair
//! is a check beside a check, by the middle of their chambers, and each check stands in one pair.

use std::collections::{BTreeMap, BTreeSet};

use super::course::{Course, Point, whole, wide};
use super::exact::{beyond, median, median_between};
use super::still::gauge_number;
use super::{ApartSaid, ChamberPair, CheckPair, GaugeApart, Past};
use crate::dates::DAY_MS;
use crate::ids::{EventId, SubjectId};
use crate::leak::{Fitted, REFERENCE, corrected_gas};
use crate::moment::Moment;
use crate::recurrent::false_discovery;

/// Every gauge that has read something, those that read apart first.
pub(super) fn gauges(past: Past<'_>, courses: &[Course<'_>]) -> Vec<GaugeApart> {
    let read = courses.iter().flat_map(|course| &course.entries);
    let used: BTreeSet<SubjectId> = read
        .filter_map(|entry| entry.reading?.reading.gauge)
        .collect();
    let mut found: Vec<GaugeApart> = used
        .into_iter()
        .map(|gauge| of_gauge(past, courses, gauge))
        .collect();
    hold_down(past, &mut found);
    found.sort_by(|one, other| {
        let size = |it: &GaugeApart| it.middle_pa.map_or(0, i64::abs);
        let by_size = size(other).cmp(&size(one));
        one.said
            .cmp(&other.said)
            .then(by_size)
            .then(one.number.cmp(&other.number))
    });
    found
}

fn of_gauge(past: Past<'_>, courses: &[Course<'_>], gauge: SubjectId) -> GaugeApart {
    let mut beside: BTreeMap<(EventId, EventId), Beside> = BTreeMap::new();
    for course in courses {
        compare_chamber(past, course, gauge, &mut beside);
    }
    let pairs = nearest_first(past, beside);
    let differs: Vec<f64> = pairs.iter().map(|pair| wide(pair.differs_pa)).collect();
    let others: BTreeSet<SubjectId> = pairs.iter().map(|pair| pair.other_gauge).collect();
    GaugeApart {
        gauge,
        number: gauge_number(past, gauge),
        made: past.history.gear.get(&gauge).and_then(|gear| gear.made),
        others: u32::try_from(others.len()).unwrap_or(u32::MAX),
        middle_pa: median(&differs).map(whole),
        between_pa: median_between(&differs).map(|(low, high)| (whole(low), whole(high))),
        p: beyond(&differs, wide(past.policy.doubted.apart_pa)),
        p_adjusted: None,
        said: ApartSaid::TooFew,
        pairs,
    }
}

/// Only gauges with pairs enough are looked at, so only they are counted as looked at.
fn hold_down(past: Past<'_>, found: &mut [GaugeApart]) {
    let settings = past.policy.doubted;
    let enough = |one: &&mut GaugeApart| {
        u32::try_from(one.pairs.len()).unwrap_or(u32::MAX) >= settings.least_pairs
    };
    let looked: Vec<&mut GaugeApart> = found.iter_mut().filter(enough).collect();
    let p: Vec<f64> = looked.iter().filter_map(|one| one.p).collect();
    let mut adjusted = false_discovery(&p).into_iter();
    let limit = f64::from(settings.by_chance_percent) / 100.0;
    for one in looked {
        one.p_adjusted = one.p.and_then(|_| adjusted.next());
        let is_beyond = one.middle_pa.is_some_and(|pa| pa.abs() > settings.apart_pa);
        one.said = match one.p_adjusted {
            Some(p) if p <= limit && is_beyond => ApartSaid::Apart,
            _ if is_beyond => ApartSaid::CouldBeChance,
            _ => ApartSaid::Within,
        };
    }
}

/// A check by the gauge beside one by another, with the chambers that both read.
struct Beside {
    craft: SubjectId,
    number: String,
    own_at: Moment,
    other_at: Moment,
    other_gauge: SubjectId,
    chambers: Vec<ChamberPair>,
}

/// Adds the pairs of one chamber: readings of one stretch, near enough to each other.
fn compare_chamber(
    past: Past<'_>,
    course: &Course<'_>,
    gauge: SubjectId,
    beside: &mut BTreeMap<(EventId, EventId), Beside>,
) {
    let settings = past.policy.doubted;
    let leak = Leak::by_others(past, course, gauge);
    for stretch in course.stretches(course.relief()) {
        let by = |point: &&Point<'_>| point.past.reading.gauge;
        let own = stretch.iter().filter(|point| by(point) == Some(gauge));
        for own in own {
            for other in &stretch {
                let Some(theirs) = by(&other).filter(|theirs| *theirs != gauge) else {
                    continue;
                };
                let apart_ms = own.past.at.since(other.past.at).abs();
                let lost = leak.as_ref().and_then(|leak| leak.between(own, other));
                let within_ms = match lost {
                    Some(_) => settings.pairs_within_ms,
                    None => settings.unknown_within_ms,
                };
                if apart_ms > within_ms {
                    continue;
                }
                let entry = beside.entry((own.past.event, other.past.event));
                let entry = entry.or_insert_with(|| Beside {
                    craft: course.craft.id,
                    number: course.craft.number.clone(),
                    own_at: own.past.at,
                    other_at: other.past.at,
                    other_gauge: theirs,
                    chambers: Vec::new(),
                });
                if entry.other_gauge == theirs {
                    entry.chambers.push(pair(course, own, other, lost));
                }
            }
        }
    }
}

fn pair(course: &Course<'_>, own: &Point<'_>, other: &Point<'_>, lost: Option<f64>) -> ChamberPair {
    let theirs = corrected(other);
    let leak = lost.map(|share| theirs * share);
    ChamberPair {
        part: course.part.id.clone(),
        label: course.part.label.clone(),
        own_pa: whole(corrected(own)),
        other_pa: whole(theirs + leak.unwrap_or(0.0)),
        leak_pa: leak.map(whole),
    }
}

fn corrected(point: &Point<'_>) -> f64 {
    corrected_gas(point.known.gauge_pa, point.known.air, REFERENCE)
}

/// What a chamber loses by the readings of the other gauges: those of this one would hide how it reads.
struct Leak {
    /// Since the last repair, days.
    from_days: f64,
    share_per_day: f64,
}

impl Leak {
    fn by_others(past: Past<'_>, course: &Course<'_>, gauge: SubjectId) -> Option<Self> {
        let settings = &past.policy.leak;
        let steps = course.steps(|reading| reading.reading.gauge != Some(gauge));
        let fitted = Fitted::newest(&steps, course.relief()).ok()?;
        let is_long = fitted.days * wide(DAY_MS) >= wide(settings.least_ms);
        if !is_long || fitted.line.df + 2 < settings.known_readings {
            return None;
        }
        // A fall by no more than a gauge may be off is none.
        let falls = fitted.fell_pa() > f64::from(past.policy.pressure.gauge_accuracy_pa);
        Some(Self {
            from_days: fitted.first.t_days,
            share_per_day: if falls {
                fitted.line.share_per_day()
            } else {
                0.0
            },
        })
    }

    /// Share by which the chamber changed from the other reading to the own one; none where it is not
    /// known for both.
    fn between(&self, own: &Point<'_>, other: &Point<'_>) -> Option<f64> {
        let known = own.known.t_days.min(other.known.t_days) >= self.from_days;
        let days = own.known.t_days - other.known.t_days;
        known.then(|| libm::exp(-self.share_per_day * days) - 1.0)
    }
}

/// The nearest checks first, each in one pair; in the order of time in the end.
fn nearest_first(past: Past<'_>, beside: BTreeMap<(EventId, EventId), Beside>) -> Vec<CheckPair> {
    let mut all: Vec<((EventId, EventId), Beside)> = beside.into_iter().collect();
    all.sort_by_key(|(events, one)| (one.own_at.since(one.other_at).abs(), *events));
    let mut taken: BTreeSet<EventId> = BTreeSet::new();
    let mut pairs = Vec::new();
    for ((own, other), one) in all {
        if taken.contains(&own) || (own != other && taken.contains(&other)) {
            continue;
        }
        taken.extend([own, other]);
        let differs: Vec<f64> = one
            .chambers
            .iter()
            .map(|chamber| wide(chamber.own_pa - chamber.other_pa))
            .collect();
        pairs.push(CheckPair {
            craft: one.craft,
            number: one.number,
            own: (own, one.own_at),
            other: (other, one.other_at),
            other_gauge: one.other_gauge,
            other_number: gauge_number(past, one.other_gauge),
            differs_pa: median(&differs).map_or(0, whole),
            chambers: one.chambers,
        });
    }
    pairs.sort_by_key(|pair| (pair.own.1, pair.own.0));
    pairs
}
