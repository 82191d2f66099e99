//! The recent history of one part as steps that can be fitted, in the order of time.

use std::cmp::Ordering;

use crate::engine::facts::Facts;
use crate::engine::sides::is_trusted;
use crate::event::{AirDirection, Reading, ReadingMoment, ValveState};
use crate::ids::{EventId, PartId};
use crate::leak::{Cut, Known, Step, stretches};
use crate::moment::{Interval, Moment};
use crate::pressure::{Air, standard_pressure_pa};
use crate::record::{Origin, Recent, Side};
use crate::standard::PressureRule;

/// Milliseconds of a day.
pub(super) const DAY_MS: f64 = 86_400_000.0;

/// Steps, each with the event that it comes from.
#[derive(Clone, Debug)]
pub(super) struct History {
    pub(super) steps: Vec<Step>,
    events: Vec<EventId>,
    /// Day 0 of the steps.
    pub(super) day_0: Moment,
}

/// One entry with its time.
struct Entry<'a> {
    at: Moment,
    side: &'a Side<Recent>,
}

impl History {
    /// The trusted history of a part.
    pub(super) fn of(facts: &Facts<'_>, part: &PartId, rule: &PressureRule) -> Self {
        let recent = facts
            .record
            .readings
            .get(part)
            .map(|it| it.recent.as_slice());
        let entries = in_time(facts, recent.unwrap_or_default());
        let mut history = Self {
            steps: Vec::new(),
            events: Vec::new(),
            day_0: entries.first().map_or(Moment(0), |entry| entry.at),
        };
        let mut before: Option<(Moment, &Entry<'_>)> = None;
        for entry in &entries {
            let cut = cut_before(entry, before.map(|(at, entry)| (at, entry.side)));
            history.extend(entry, cut.map(Step::Cut));
            let step = step(facts, rule, entry, history.day_0);
            history.extend(entry, Some(step));
            if entry.side.value.reading().is_some() {
                before = Some((entry.at, entry));
            }
        }
        history
    }

    fn extend(&mut self, entry: &Entry<'_>, step: Option<Step>) {
        if let Some(step) = step {
            self.steps.push(step);
            self.events.push(entry.side.origin.event);
        }
    }

    /// The events of some steps.
    pub(super) fn events(&self, steps: &[usize]) -> Vec<EventId> {
        let mut events: Vec<EventId> = Vec::new();
        for event in steps.iter().filter_map(|at| self.events.get(*at)) {
            if !events.contains(event) {
                events.push(*event);
            }
        }
        events
    }

    /// The newest stretch, whatever a relief valve may have taken.
    pub(super) fn newest(&self) -> Vec<usize> {
        stretches(&self.steps, None).pop().unwrap_or_default()
    }

    /// The readings among some steps.
    pub(super) fn known(&self, steps: &[usize]) -> Vec<Known> {
        let steps = steps.iter().filter_map(|at| self.steps.get(*at));
        let known = steps.filter_map(|step| match step {
            Step::Read(known) => Some(*known),
            Step::NotComparable | Step::Warmed(_) | Step::Cut(_) => None,
        });
        known.collect()
    }

    /// The readings of the newest stretch, each with its event.
    pub(super) fn newest_read(&self) -> Vec<(EventId, Known)> {
        let newest = self.newest();
        let events = newest.iter().filter_map(|at| self.events.get(*at).copied());
        events.zip(self.known(&newest)).collect()
    }
}

/// Trusted entries by time: as claimed, held to what the entry's interval allows.
///
/// A claim that something contradicts is not dropped: without its time a leak would not be known,
/// and the part look harder, for what somebody else wrote.
fn in_time<'a>(facts: &Facts<'_>, recent: &'a [Side<Recent>]) -> Vec<Entry<'a>> {
    let recent = recent.iter().filter(|side| is_trusted(&side.origin));
    let mut entries: Vec<Entry<'a>> = recent
        .map(|side| Entry {
            at: possible(&side.origin.interval, facts.now),
            side,
        })
        .collect();
    entries.sort_by(|one, other| {
        let same_event = one.side.origin.event == other.side.origin.event;
        let found_first = if same_event {
            moment_of(one).cmp(&moment_of(other))
        } else {
            Ordering::Equal
        };
        one.at.cmp(&other.at).then(found_first)
    });
    entries
}

/// The claimed time, or the end of the interval that is nearer to it.
fn possible(interval: &Interval, now: Moment) -> Moment {
    let claimed = interval.claimed.max(interval.earliest(now));
    claimed.min(interval.latest(now))
}

/// As found comes before as left.
fn moment_of(entry: &Entry<'_>) -> Option<ReadingMoment> {
    entry.side.value.reading().map(|reading| reading.moment)
}

/// What came between a reading and the one before it without being stated by itself.
fn cut_before(entry: &Entry<'_>, before: Option<(Moment, &Side<Recent>)>) -> Option<Cut> {
    let reading = entry.side.value.reading()?;
    let (at, before) = before?;
    let earlier = before.value.reading()?;
    // Found and left differ within one check: somebody changed the air.
    if before.origin.event == entry.side.origin.event && reading.moment != earlier.moment {
        return match reading.gauge_pa.cmp(&earlier.gauge_pa) {
            Ordering::Greater => Some(Cut::AirAdded),
            Ordering::Less => Some(Cut::AirLetOut),
            Ordering::Equal => None,
        };
    }
    let since_ms = i64::from(reading.since_inflating_s?).saturating_mul(1_000);
    (since_ms < entry.at.since(at)).then_some(Cut::Inflated)
}

fn step(facts: &Facts<'_>, rule: &PressureRule, entry: &Entry<'_>, day_0: Moment) -> Step {
    match &entry.side.value {
        Recent::Read(reading) => read(facts, rule, entry, reading, day_0),
        Recent::Air(air) => Step::Cut(match air.direction {
            AirDirection::Added => Cut::AirAdded,
            AirDirection::LetOut => Cut::AirLetOut,
        }),
        Recent::Repaired => Step::Cut(Cut::Repaired),
        Recent::Rolled => Step::Cut(Cut::Inflated),
        Recent::Used => Step::Warmed(facts.county.policy.pressure.sun_mc),
    }
}

fn read(
    facts: &Facts<'_>,
    rule: &PressureRule,
    entry: &Entry<'_>,
    reading: &Reading,
    day_0: Moment,
) -> Step {
    let Some(temperature_mc) = settled_mc(reading, rule) else {
        return Step::NotComparable;
    };
    Step::Read(Known {
        t_days: super::wide(entry.at.since(day_0)) / DAY_MS,
        gauge_pa: super::wide(reading.gauge_pa),
        air: Air {
            temperature_mc,
            ambient_pa: ambient_pa(facts, &entry.side.origin, reading),
        },
    })
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
fn ambient_pa(facts: &Facts<'_>, origin: &Origin, reading: &Reading) -> f64 {
    if let Some(ambient_pa) = reading.ambient_pa {
        return f64::from(ambient_pa);
    }
    let station = origin.author.station;
    let station = station.and_then(|id| facts.county.stations.get(&id));
    let elevation_mm = reading
        .elevation_mm
        .or_else(|| station.and_then(|station| station.elevation_mm))
        .unwrap_or(facts.county.policy.elevation_mm);
    standard_pressure_pa(elevation_mm)
}
