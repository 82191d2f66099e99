//! What was watched, for how long, and what happened to it meanwhile.
//!
//! Watching begins with the registration, or with the asked day where that is later (late entry),
//! and ends with the end of the thing, or with the asked moment. Ages count from the registration.
//! Engine time is what meters showed, never what uses add up to: from reading to reading, where the
//! meter went up, and by no more than the clock and the policy's slack allow; a meter that went back
//! was changed, or one of the readings is wrong, and counts anew. Beyond the first and last reading
//! nothing is known, so nothing is watched. A craft's own meter goes before those of its motors.

use std::collections::{BTreeMap, BTreeSet};

use crate::history::{CraftPast, GearPast, History, MeterPast};
use crate::ids::SubjectId;
use crate::moment::Moment;
use crate::standard::Policy;

use super::counted::Placed;
use super::group::Kind;
use super::{Asked, Per};

/// A craft or a piece of gear.
#[derive(Clone, Debug)]
pub(super) struct Watched<'a> {
    pub(super) id: SubjectId,
    pub(super) kind: Kind,
    pub(super) model: &'a str,
    pub(super) batch: &'a str,
    pub(super) fabric: &'a str,
    pub(super) stations: &'a [(Moment, SubjectId)],
    /// Whether it is still there at the asked moment.
    pub(super) is_there: bool,
    pub(super) from: Moment,
    pub(super) until: Moment,
    clock: Clock,
    pub(super) faults: Vec<Placed<'a>>,
}

/// A stretch of watching on the clock of the thing, with what happened in it.
#[derive(Clone, Debug)]
pub(super) struct Span<'a> {
    pub(super) of: SubjectId,
    /// Days, hours or uses.
    pub(super) from: f64,
    pub(super) until: f64,
    /// Whether watching goes on.
    pub(super) goes_on: bool,
    pub(super) faults: Vec<(f64, Placed<'a>)>,
}

impl Span<'_> {
    pub(super) fn exposure(&self) -> f64 {
        (self.until - self.from).max(0.0)
    }
}

/// Exposure by a moment.
#[derive(Clone, Debug)]
enum Clock {
    Days(Moment),
    /// Moments with engine hours so far.
    Engine(Vec<(Moment, f64)>),
    Uses(Vec<Moment>),
}

const DAY_MS: f64 = 86_400_000.0;

impl Clock {
    fn at(&self, moment: Moment) -> f64 {
        match self {
            Self::Days(registered) => moment.since(*registered) as f64 / DAY_MS,
            Self::Engine(readings) => hours_at(readings, moment),
            Self::Uses(uses) => uses.partition_point(|at| *at <= moment) as f64,
        }
    }

    /// The part of a stretch of time for which this clock says anything.
    fn known(&self, from: Moment, until: Moment) -> Option<(Moment, Moment)> {
        let (from, until) = match self {
            Self::Days(_) | Self::Uses(_) => (from, until),
            Self::Engine(readings) => {
                let (first, last) = (readings.first()?.0, readings.last()?.0);
                (from.max(first), until.min(last))
            }
        };
        (from < until).then_some((from, until))
    }
}

fn hours_at(readings: &[(Moment, f64)], moment: Moment) -> f64 {
    let next = readings.partition_point(|(at, _)| *at <= moment);
    let before = next.checked_sub(1).and_then(|at| readings.get(at));
    match (before, readings.get(next)) {
        (Some((from, low)), Some((to, high))) => {
            let share = moment.since(*from) as f64 / to.since(*from) as f64;
            low + (high - low) * share
        }
        (Some((_, hours)), None) | (None, Some((_, hours))) => *hours,
        (None, None) => 0.0,
    }
}

impl<'a> Watched<'a> {
    /// What happened from one moment to another, as far as its clock knows; none where it says
    /// nothing of that time.
    pub(super) fn span(
        &self,
        from: Moment,
        until: Moment,
        chosen: impl Fn(&Placed<'a>) -> bool,
    ) -> Option<Span<'a>> {
        let wanted = (from.max(self.from), until.min(self.until));
        let (from, until) = self.clock.known(wanted.0, wanted.1)?;
        let (start, end) = (self.clock.at(from), self.clock.at(until));
        let inside = |at: f64| at > start && at <= end;
        let faults = self.faults.iter();
        let faults = faults
            .filter(|placed| placed.fault.found > from && placed.fault.found <= until)
            .filter(|placed| chosen(placed))
            .map(|placed| (self.clock.at(placed.fault.found), *placed))
            .filter(|(at, _)| inside(*at));
        (end > start).then(|| Span {
            of: self.id,
            from: start,
            until: end,
            goes_on: self.is_there && wanted.1 == self.until,
            faults: faults.collect(),
        })
    }

    /// All that was watched of it.
    pub(super) fn whole(&self, chosen: impl Fn(&Placed<'a>) -> bool) -> Option<Span<'a>> {
        self.span(self.from, self.until, chosen)
    }

    /// A repair from when it was done until it was no longer watched; its ages count from when it
    /// was done.
    pub(super) fn life(
        &self,
        done: Moment,
        until: Moment,
        failed: Option<Placed<'a>>,
    ) -> Option<Span<'a>> {
        let wanted = (done.max(self.from), until.min(self.until));
        let (from, until) = self.clock.known(wanted.0, wanted.1)?;
        let age = |at: Moment| self.clock.at(at) - self.clock.at(done);
        let failed = failed.filter(|placed| placed.fault.found <= until);
        (age(until) > age(from)).then(|| Span {
            of: self.id,
            from: age(from),
            until: age(until),
            goes_on: self.is_there && wanted.1 == self.until && failed.is_none(),
            faults: failed
                .map(|placed| (age(until), placed))
                .into_iter()
                .collect(),
        })
    }
}

/// Everything watched, in order of id, craft first; faults are given to their things by `of`.
pub(super) fn watched<'a>(
    history: &'a History,
    policy: &Policy,
    asked: &Asked,
    mut faults: BTreeMap<SubjectId, Vec<Placed<'a>>>,
) -> Vec<Watched<'a>> {
    let from = |registered: Moment| asked.from.map_or(registered, |from| from.max(registered));
    let until = |ended: Option<Moment>| ended.map_or(history.until, |at| at.min(history.until));
    let slack_ms = i64::from(policy.asked_back.meter_slack_s) * 1_000;
    let mut all = Vec::new();
    for craft in history.crafts.values() {
        all.push(Watched {
            id: craft.id,
            kind: Kind::Craft,
            model: craft.model.as_str(),
            batch: &craft.batch,
            fabric: &craft.fabric,
            stations: &craft.stations,
            is_there: craft.ended.is_none_or(|at| at > history.until),
            from: from(craft.registered),
            until: until(craft.ended),
            clock: clock_of_craft(craft, asked.per, slack_ms),
            faults: faults.remove(&craft.id).unwrap_or_default(),
        });
    }
    for gear in history.gear.values() {
        all.push(Watched {
            id: gear.id,
            kind: Kind::Gear(gear.kind),
            model: &gear.model,
            batch: &gear.batch,
            fabric: "",
            stations: &gear.stations,
            is_there: gear.ended.is_none_or(|at| at > history.until),
            from: from(gear.registered),
            until: until(gear.ended),
            clock: clock_of_gear(history, gear, asked.per, slack_ms),
            faults: faults.remove(&gear.id).unwrap_or_default(),
        });
    }
    all
}

fn clock_of_craft(craft: &CraftPast, per: Per, slack_ms: i64) -> Clock {
    match per {
        Per::Days => Clock::Days(craft.registered),
        Per::Uses => Clock::Uses(craft.uses.iter().map(|used| used.at).collect()),
        Per::EngineHours => {
            let meters: BTreeSet<Option<SubjectId>> =
                craft.meters.iter().map(|meter| meter.gear).collect();
            // Its own meter alone where it has one; `None` sorts first.
            let used: Vec<Option<SubjectId>> = match meters.first() {
                Some(None) => vec![None],
                Some(Some(_)) | None => meters.into_iter().collect(),
            };
            Clock::Engine(engine(&craft.meters, &used, slack_ms))
        }
    }
}

/// Uses of gear are those of the craft that it was on then.
fn clock_of_gear(history: &History, gear: &GearPast, per: Per, slack_ms: i64) -> Clock {
    match per {
        Per::Days => Clock::Days(gear.registered),
        Per::EngineHours => {
            let own = [None, Some(gear.id)];
            Clock::Engine(engine(&gear.meters, &own, slack_ms))
        }
        Per::Uses => {
            let mut uses: Vec<Moment> = Vec::new();
            for (index, (from, craft)) in gear.on.iter().enumerate() {
                let until = gear.on.get(index + 1).map(|(at, _)| *at);
                let on = craft.and_then(|craft| history.crafts.get(&craft));
                let during = |at: &Moment| at >= from && until.is_none_or(|until| *at < until);
                let at = on.into_iter().flat_map(|craft| &craft.uses);
                uses.extend(at.map(|used| used.at).filter(during));
            }
            uses.sort();
            Clock::Uses(uses)
        }
    }
}

fn engine(meters: &[MeterPast], used: &[Option<SubjectId>], slack_ms: i64) -> Vec<(Moment, f64)> {
    let mut last: BTreeMap<Option<SubjectId>, (Moment, u64)> = BTreeMap::new();
    let mut hours = 0.0;
    let mut readings: Vec<(Moment, f64)> = Vec::new();
    for meter in meters.iter().filter(|meter| used.contains(&meter.gear)) {
        if let Some((at, before_s)) = last.insert(meter.gear, (meter.at, meter.engine_s)) {
            let ran_s = meter.engine_s.saturating_sub(before_s);
            let most_s = meter.at.since(at).saturating_add(slack_ms) / 1_000;
            if i64::try_from(ran_s).is_ok_and(|ran| ran <= most_s) {
                hours += ran_s as f64 / 3_600.0;
            }
        }
        match readings.last_mut().filter(|(at, _)| *at == meter.at) {
            Some(same) => same.1 = hours,
            None => readings.push((meter.at, hours)),
        }
    }
    readings
}
