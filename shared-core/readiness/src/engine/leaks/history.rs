//! The recent history of one part as steps that can be fitted, in the order of time.

use std::cmp::Ordering;

use super::steps::{self, Taken, cut_between, possible};
use crate::engine::facts::Facts;
use crate::engine::sides::is_trusted;
use crate::event::AirDirection;
use crate::ids::{EventId, PartId};
use crate::leak::{Cut, Known, Relief, Step, stretches};
use crate::moment::Moment;
use crate::record::{Recent, Side};
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

impl Entry<'_> {
    /// The reading, where it is one.
    fn taken(&self) -> Option<Taken<'_>> {
        Some(Taken {
            at: self.at,
            event: self.side.origin.event,
            author: &self.side.origin.author,
            reading: self.side.value.reading()?,
        })
    }
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
        let mut before: Option<&Entry<'_>> = None;
        for entry in &entries {
            let cut = cut_before(entry, before);
            history.extend(entry, cut.map(Step::Cut));
            let step = step(facts, rule, entry, history.day_0);
            history.extend(entry, Some(step));
            if entry.side.value.reading().is_some() {
                before = Some(entry);
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

    /// Day of the first reading of the newest stretch, relief cut out.
    pub(super) fn newest_from(&self, relief: Option<Relief>) -> Option<f64> {
        let newest = stretches(&self.steps, relief).pop()?;
        self.known(&newest).first().map(|known| known.t_days)
    }

    /// When the newest reading was taken whose air is known.
    pub(super) fn last_known(&self) -> Option<Moment> {
        let steps = self.steps.iter().rev();
        let mut known = steps.filter_map(|step| match step {
            Step::Read(known) => Some(known.t_days * DAY_MS),
            Step::NotComparable | Step::Warmed(_) | Step::Cut(_) => None,
        });
        let last_ms = known.next()?;
        Some(self.day_0.plus_ms(super::whole(last_ms)))
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
        let readings = (one.side.value.reading(), other.side.value.reading());
        let found_first = match readings {
            (Some(one), Some(other)) if same_event => steps::found_first(one, other),
            (one, other) if same_event => one.is_some().cmp(&other.is_some()),
            _ => Ordering::Equal,
        };
        one.at.cmp(&other.at).then(found_first)
    });
    entries
}

/// What came between a reading and the one before it without being stated by itself.
fn cut_before(entry: &Entry<'_>, before: Option<&Entry<'_>>) -> Option<Cut> {
    cut_between(before?.taken()?, entry.taken()?)
}

fn step(facts: &Facts<'_>, rule: &PressureRule, entry: &Entry<'_>, day_0: Moment) -> Step {
    match &entry.side.value {
        Recent::Read(_) => match entry.taken() {
            Some(taken) => steps::step(facts.county.into(), rule, taken, day_0),
            None => Step::NotComparable,
        },
        Recent::Air(air) => Step::Cut(match air.direction {
            AirDirection::Added => Cut::AirAdded,
            AirDirection::LetOut => Cut::AirLetOut,
        }),
        Recent::Repaired => Step::Cut(Cut::Repaired),
        Recent::Rolled => Step::Cut(Cut::Inflated),
        Recent::Used => Step::Warmed(facts.county.policy.pressure.sun_mc),
    }
}
