//! Series of readings of one chamber that could show whether a gauge moves with the bay's temperature,
//! and those that did not, by whoever read.
//!
//! A series is the shortest run of at least three readings, with nothing between them, over which the
//! bay's temperature changed enough; where it ends never depends on what the gauge showed.

use std::collections::{BTreeMap, BTreeSet};

use super::course::{Course, Point, whole, wide};
use super::exact::more_often;
use super::{Counted, Past, Reader, Series, Share, Still, StillSaid};
use crate::history::ReadingPast;
use crate::ids::{EventId, SubjectId};
use crate::leak::{Known, never_moves};
use crate::pressure::gauge_elsewhere;
use crate::recurrent::false_discovery;

/// The crew shift of a reading.
pub(super) fn shift_of(past: Past<'_>, reading: &ReadingPast) -> Reader {
    Reader::Shift(shift(past, reading))
}

/// The member who read: whoever checked, where somebody else entered it.
pub(super) fn member_of(_: Past<'_>, reading: &ReadingPast) -> Reader {
    let checked = reading.checked_by.trim();
    let member = if checked.is_empty() {
        reading.by.member.trim()
    } else {
        checked
    };
    if member.is_empty() {
        return Reader::NotSaid;
    }
    Reader::Member(member.to_owned())
}

/// The gauge of a reading.
pub(super) fn gauge_of(past: Past<'_>, reading: &ReadingPast) -> Reader {
    let gauge = reading.reading.gauge;
    gauge.map_or(Reader::NotSaid, |id| {
        Reader::Gauge(id, gauge_number(past, id))
    })
}

fn shift(past: Past<'_>, reading: &ReadingPast) -> String {
    let policy = past.policy;
    policy
        .shifts
        .at(reading.at, policy.utc_offset_min)
        .to_owned()
}

/// Number of a gauge; empty where it was never registered.
pub(super) fn gauge_number(past: Past<'_>, id: SubjectId) -> String {
    let gear = past.history.gear.get(&id);
    gear.map_or_else(String::new, |gear| gear.number.clone())
}

/// What of one reader is one look: a craft and the check that ends it. Chambers of one check share a gauge
/// and a thermometer, so they are no looks of their own.
type Looks = BTreeMap<(Reader, SubjectId, EventId), (u32, u32)>;

/// How often the readings of each reader never moved: those that did more often come first.
pub(super) fn by(
    past: Past<'_>,
    courses: &[Course<'_>],
    reader: fn(Past<'_>, &ReadingPast) -> Reader,
) -> Vec<Still> {
    let mut looks = Looks::new();
    for course in courses {
        for stretch in course.stretches(None) {
            let mut own: BTreeMap<Reader, Vec<Point<'_>>> = BTreeMap::new();
            for point in stretch {
                own.entry(reader(past, point.past)).or_default().push(point);
            }
            for (reader, points) in own {
                for series in series(past, &points) {
                    look(
                        &mut looks,
                        course,
                        (&reader, series),
                        is_still(past, series),
                    );
                }
            }
        }
    }
    compared(past, Counted::Series, looks)
}

/// How often readings stayed where the one before was, whoever took that, though a closed chamber would
/// have moved: a value that was carried over shows like this, however the others read.
pub(super) fn stayed_by(
    past: Past<'_>,
    courses: &[Course<'_>],
    reader: fn(Past<'_>, &ReadingPast) -> Reader,
) -> Vec<Still> {
    let mut looks = Looks::new();
    for course in courses {
        for stretch in course.stretches(None) {
            for pair in stretch.windows(2).filter(|pair| could_show(past, pair)) {
                if let Some(later) = pair.last() {
                    let stayed = moved(pair) <= past.policy.leak.still_pa;
                    let reader = reader(past, later.past);
                    look(&mut looks, course, (&reader, pair), stayed);
                }
            }
        }
    }
    compared(past, Counted::Readings, looks)
}

fn look(
    looks: &mut Looks,
    course: &Course<'_>,
    (reader, run): (&Reader, &[Point<'_>]),
    still: bool,
) {
    if let Some(last) = run.last() {
        let key = (reader.clone(), course.craft.id, last.past.event);
        let (stayed, of) = looks.entry(key).or_default();
        *of += 1;
        *stayed += u32::from(still);
    }
}

/// One for each look; it is still where more than half of its chambers were.
fn counted_once(looks: Looks) -> BTreeMap<Reader, (u32, u32)> {
    let mut counts: BTreeMap<Reader, (u32, u32)> = BTreeMap::new();
    for ((reader, _, _), (stayed, chambers)) in looks {
        let (still, of) = counts.entry(reader).or_default();
        *of += 1;
        *still += u32::from(stayed * 2 > chambers);
    }
    counts
}

/// How far the gauge moved, pascal.
fn moved(run: &[Point<'_>]) -> i64 {
    let gauges = || run.iter().map(|point| point.past.reading.gauge_pa);
    gauges().max().unwrap_or(0) - gauges().min().unwrap_or(0)
}

fn compared(past: Past<'_>, counted: Counted, looks: Looks) -> Vec<Still> {
    let counts = counted_once(looks);
    let all = counts
        .values()
        .fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    let mut found: Vec<Still> = counts
        .into_iter()
        .filter(|(_, (_, of))| *of > 0)
        .map(|(reader, (still, of))| {
            let (own, others) = (Share::of(still, of), Share::of(all.0 - still, all.1 - of));
            Still {
                reader,
                counted,
                of: own,
                others,
                p: more_often(own, others),
                p_adjusted: None,
                said: StillSaid::TooFew,
            }
        })
        .collect();
    hold_down(past, &mut found);
    found.sort_by(|one, other| {
        let key = |it: &Still| (it.said, it.p_adjusted.unwrap_or(1.0));
        let ((said, p), (other_said, other_p)) = (key(one), key(other));
        said.cmp(&other_said)
            .then(p.total_cmp(&other_p))
            .then(one.reader.cmp(&other.reader))
    });
    found
}

/// Only those that have series enough are looked at, so only they are counted as looked at.
fn hold_down(past: Past<'_>, found: &mut [Still]) {
    let least = past.policy.doubted.least_series;
    let limit = f64::from(past.policy.doubted.by_chance_percent) / 100.0;
    let looked: Vec<&mut Still> = found.iter_mut().filter(|one| one.of.of >= least).collect();
    let p: Vec<f64> = looked.iter().filter_map(|one| one.p).collect();
    let mut adjusted = false_discovery(&p).into_iter();
    for one in looked {
        one.p_adjusted = one.p.and_then(|_| adjusted.next());
        let share = |it: Share| f64::from(it.count) / f64::from(it.of.max(1));
        one.said = match one.p_adjusted {
            None => StillSaid::NoOthers,
            Some(p) if p <= limit => StillSaid::MoreOften,
            Some(_) if share(one.of) > share(one.others) => StillSaid::CouldBeChance,
            Some(_) => StillSaid::AsOthers,
        };
    }
}

/// Every series of every chamber that never moved, the newest first, and how many could have shown it.
pub(super) fn of_chambers(past: Past<'_>, courses: &[Course<'_>]) -> (Vec<Series>, u32) {
    let mut could = 0;
    let mut found = Vec::new();
    for course in courses {
        for stretch in course.stretches(None) {
            for points in series(past, &stretch) {
                could += 1;
                if is_still(past, points) {
                    found.extend(told(past, course, points));
                }
            }
        }
    }
    found.sort_by(|one: &Series, other| {
        let newest = other.until.cmp(&one.until);
        newest
            .then(one.number.cmp(&other.number))
            .then(one.part.cmp(&other.part))
    });
    (found, could)
}

/// The runs of readings that could show it.
fn series<'p, 'a>(past: Past<'_>, points: &'p [Point<'a>]) -> Vec<&'p [Point<'a>]> {
    let mut found = Vec::new();
    let mut from = 0;
    for until in 1..=points.len() {
        let Some(run) = points.get(from..until) else {
            continue;
        };
        if run.len() >= 3 && could_show(past, run) {
            found.push(run);
            from = until;
        }
    }
    found
}

/// Whether a closed chamber would have moved by more than three times what counts as still, as
/// [`never_moves`] asks.
fn could_show(past: Past<'_>, run: &[Point<'_>]) -> bool {
    let settings = &past.policy.leak;
    let Some((cold, warm)) = ends(run) else {
        return false;
    };
    let span_mk = warm
        .air
        .temperature_mc
        .saturating_sub(cold.air.temperature_mc);
    span_mk >= settings.still_span_mk && expected(cold, warm) > 3.0 * wide(settings.still_pa)
}

fn is_still(past: Past<'_>, run: &[Point<'_>]) -> bool {
    let known: Vec<Known> = run.iter().map(|point| point.known).collect();
    let settings = &past.policy.leak;
    never_moves(&known, settings.still_span_mk, wide(settings.still_pa))
}

/// The coldest and the warmest.
fn ends(run: &[Point<'_>]) -> Option<(Known, Known)> {
    let known = || run.iter().map(|point| point.known);
    let cold = known().min_by_key(|known| known.air.temperature_mc)?;
    let warm = known().max_by_key(|known| known.air.temperature_mc)?;
    Some((cold, warm))
}

fn expected(cold: Known, warm: Known) -> f64 {
    gauge_elsewhere(cold.gauge_pa, cold.air, warm.air) - cold.gauge_pa
}

fn told(past: Past<'_>, course: &Course<'_>, run: &[Point<'_>]) -> Option<Series> {
    let (cold, warm) = ends(run)?;
    let gauges = || run.iter().map(|point| point.past.reading.gauge_pa);
    let mut events = Vec::new();
    for point in run {
        if !events.contains(&point.past.event) {
            events.push(point.past.event);
        }
    }
    let used: BTreeSet<String> = run
        .iter()
        .filter_map(|point| Some(gauge_number(past, point.past.reading.gauge?)))
        .collect();
    let shifts: BTreeSet<String> = run.iter().map(|point| shift(past, point.past)).collect();
    Some(Series {
        number: course.craft.number.clone(),
        craft: course.craft.id,
        part: course.part.id.clone(),
        label: course.part.label.clone(),
        from: run.first()?.past.at,
        until: run.last()?.past.at,
        readings: u32::try_from(run.len()).unwrap_or(u32::MAX),
        gauge_pa: (gauges().min()?, gauges().max()?),
        air_mc: (cold.air.temperature_mc, warm.air.temperature_mc),
        expected_pa: whole(expected(cold, warm)),
        gauges: used.into_iter().collect(),
        shifts: shifts.into_iter().collect(),
        events,
    })
}
