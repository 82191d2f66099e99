//! One reading as a step that can be fitted, and what parts two readings that follow each other: for
//! the recent history of a record, and for the whole past of a craft alike.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use crate::engine::{County, Station};
use crate::event::{Author, Reading, ReadingMoment, ValveState};
use crate::ids::{EventId, SubjectId};
use crate::leak::{Cut, Known, Step};
use crate::moment::{Interval, Moment};
use crate::pressure::{Air, standard_pressure_pa};
use crate::standard::{Policy, PressureRule};

/// What is known of where readings were taken.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Where<'a> {
    pub(crate) policy: &'a Policy,
    pub(crate) stations: &'a BTreeMap<SubjectId, Station>,
}

impl<'a> From<&County<'a>> for Where<'a> {
    fn from(county: &County<'a>) -> Self {
        Self {
            policy: county.policy,
            stations: county.stations,
        }
    }
}

/// A reading with when and by whom.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Taken<'a> {
    pub(crate) at: Moment,
    pub(crate) event: EventId,
    pub(crate) author: &'a Author,
    pub(crate) reading: &'a Reading,
}

/// The claimed time, or the end of the interval that is nearer to it.
pub(crate) fn possible(interval: &Interval, now: Moment) -> Moment {
    interval.possible(now)
}

/// What came between a reading and the one before it without being stated by itself.
pub(crate) fn cut_between(before: Taken<'_>, later: Taken<'_>) -> Option<Cut> {
    let (earlier, reading) = (before.reading, later.reading);
    // Found and left differ within one check: somebody changed the air.
    if before.event == later.event && reading.moment != earlier.moment {
        return match reading.gauge_pa.cmp(&earlier.gauge_pa) {
            Ordering::Greater => Some(Cut::AirAdded),
            Ordering::Less => Some(Cut::AirLetOut),
            Ordering::Equal => None,
        };
    }
    let since_ms = i64::from(reading.since_inflating_s?).saturating_mul(1_000);
    (since_ms < later.at.since(before.at)).then_some(Cut::Inflated)
}

/// The reading as a step; not comparable where the part's air is not known.
pub(crate) fn step(place: Where<'_>, rule: &PressureRule, taken: Taken<'_>, day_0: Moment) -> Step {
    match known(place, rule, taken, day_0) {
        Some(known) => Step::Read(known),
        None => Step::NotComparable,
    }
}

/// The gauge with its air; none where that is not known.
pub(crate) fn known(
    place: Where<'_>,
    rule: &PressureRule,
    taken: Taken<'_>,
    day_0: Moment,
) -> Option<Known> {
    Some(Known {
        t_days: super::wide(taken.at.since(day_0)) / super::history::DAY_MS,
        gauge_pa: super::wide(taken.reading.gauge_pa),
        air: Air {
            temperature_mc: settled_mc(taken.reading, rule)?,
            ambient_pa: ambient_pa(place, taken.author, taken.reading),
        },
    })
}

/// As found comes before as left.
pub(crate) fn found_first(one: &Reading, other: &Reading) -> Ordering {
    let place = |reading: &Reading| match reading.moment {
        ReadingMoment::AsFound => 0,
        ReadingMoment::AsLeft => 1,
    };
    place(one).cmp(&place(other))
}

/// The part's temperature when it was read, where it is known: the fabric's, or that of the air in
/// which it had stood long enough; not soon after inflating, nor with chambers joined.
fn settled_mc(reading: &Reading, rule: &PressureRule) -> Option<i32> {
    let rested = reading
        .since_inflating_s
        .is_none_or(|since_s| since_s >= rule.settle_s);
    let joined = reading.valves == Some(ValveState::Open);
    let stood = reading
        .stood_s
        .is_some_and(|stood_s| stood_s >= rule.stand_s);
    let air_mc = reading.air_mc.filter(|_| stood);
    reading.fabric_mc.or(air_mc).filter(|_| rested && !joined)
}

/// As measured, else by the elevation said, else by that of the station that wrote it.
fn ambient_pa(place: Where<'_>, author: &Author, reading: &Reading) -> f64 {
    if let Some(ambient_pa) = reading.ambient_pa {
        return f64::from(ambient_pa);
    }
    let station = author.station;
    let station = station.and_then(|id| place.stations.get(&id));
    let elevation_mm = reading
        .elevation_mm
        .or_else(|| station.and_then(|station| station.elevation_mm))
        .unwrap_or(place.policy.elevation_mm);
    standard_pressure_pa(elevation_mm)
}
