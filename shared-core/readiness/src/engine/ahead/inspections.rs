//! When each inspection of a craft comes due, again and again.
//!
//! The next day is the engine's own ([`inspections::stands`]). Later rounds count from the day on
//! which it was last done, as many intervals on, so that month ends do not drift, for as long as the
//! calendar alone decides; once engine hours come first, or it is due now, they count from the day on
//! which it is expected to be done. Hard use halves the round in which it happened, no later one.
//! A motor or trailer that is on no craft has no sheet that asks for its inspections: none is told.

use chrono::Duration;

use super::{Gathered, Looked};
use crate::ahead::{
    By, CountedFrom, DueItem, EngineLeft, EngineUse, MeterRead, NotKnown, Often, On, Planned,
    Standing, UseNotKnown, What, WhyNoVisit, WhyNotKnown,
};
use crate::dates::{self, Day};
use crate::engine::facts::Facts;
use crate::engine::inspections::{self, Due, State};
use crate::engine::motor;
use crate::history::MeterPast;
use crate::ids::EventId;
use crate::standard::{Every, InspectionLine};

/// Rounds of one line that are listed at the most: one a day for a year and a half.
const ROUNDS_MAX: u32 = 550;

/// One time that a line comes due.
#[derive(Clone, Copy)]
struct Round {
    due: Day,
    between: Option<(Day, Option<Day>)>,
    by: By,
    from: CountedFrom,
}

/// A line of one craft, as it stands today.
struct Asked<'a> {
    looked: &'a Looked<'a>,
    facts: &'a Facts<'a>,
    line: &'a InspectionLine,
    state: State<'a>,
    used: Result<EngineUse, UseNotKnown>,
}

/// Every line of the craft's standard.
pub(super) fn gather(looked: &Looked<'_>, facts: &Facts<'_>, gathered: &mut Gathered) {
    let used = engine_use(looked, facts);
    for line in &facts.standard.inspections {
        let asked = Asked {
            looked,
            facts,
            line,
            state: inspections::stands(facts, line),
            used,
        };
        asked.gather(gathered);
    }
}

/// The use of the motor that is fitted, on whatever craft it was; without one, of the craft's meter.
fn engine_use(looked: &Looked<'_>, facts: &Facts<'_>) -> Result<EngineUse, UseNotKnown> {
    let history = looked.history;
    let own = history.crafts.get(&looked.record.subject);
    let own = own.map_or(&[][..], |past| &past.meters);
    let motor = facts.motor().map(|motor| motor.subject);
    let of_gear = motor.and_then(|motor| history.gear.get(&motor));
    let of_gear = of_gear.map_or(&[][..], |past| &past.meters);
    let read = |meter: &MeterPast| MeterRead {
        at: meter.at,
        engine_s: meter.engine_s,
    };
    let of_motor = own
        .iter()
        .filter(|meter| meter.gear.is_some() && meter.gear == motor);
    let mut readings: Vec<MeterRead> = of_gear.iter().chain(of_motor).map(read).collect();
    if readings.is_empty() {
        let of_craft = own.iter().filter(|meter| meter.gear.is_none());
        readings = of_craft.map(read).collect();
    }
    EngineUse::of(
        &readings,
        looked.question.as_of,
        &looked.county.policy.ahead,
    )
}

impl Asked<'_> {
    fn gather(&self, gathered: &mut Gathered) {
        let span = self.looked.span;
        let first = self.first();
        if first.is_none() {
            gathered.not_known.extend(self.not_known());
        }
        let Some(first) = first else { return };
        let rounds = self.rounds(first);
        let standing = self.standing();
        if let Some(every) = self.line.every.filter(|_| self.is_often()) {
            gathered.often.push(self.often(every, &rounds, standing));
            // What is owed now is listed all the same.
            if standing == Standing::InTime {
                return;
            }
        }
        let listed = rounds.iter().zip(1_u32..);
        let listed = listed
            .take_while(|(round, n)| round.due <= span.until && (!self.is_often() || *n == 1));
        gathered
            .due
            .extend(listed.map(|(round, n)| self.item(round, n, standing)));
    }

    /// Whether it is kept with the boat checks, being due more often than the county lists.
    fn is_often(&self) -> bool {
        let least = self.line.every.map(|every| match every {
            Every::Days(days) => days,
            Every::Months(months) => months.saturating_mul(28),
        });
        least.is_some_and(|days| days < self.looked.county.policy.ahead.listed_from_days)
    }

    fn standing(&self) -> Standing {
        if self.not_yet_asked().is_some() {
            return Standing::InTime;
        }
        match &self.state {
            State::Failed(_) | State::Lost(..) => Standing::Failed,
            State::Never | State::TooShort(..) | State::ProvesNothing(..) => Standing::NeverDone,
            State::Passed(..) => match self.state.overdue(self.facts, self.line) {
                None => Standing::InTime,
                Some(overdue) => Standing::Overdue {
                    since: overdue.due,
                    days: overdue.days_over,
                    engine_s: overdue.engine_s_over,
                },
            },
        }
    }

    /// The later day from which the line is asked.
    fn not_yet_asked(&self) -> Option<Day> {
        self.line.asked_from.filter(|from| *from > self.facts.day)
    }

    /// The next time; none when no day can be told.
    fn first(&self) -> Option<Round> {
        let today = self.facts.day;
        let not_before = self.not_yet_asked().unwrap_or(today);
        let now = |from| Round {
            due: not_before,
            between: None,
            by: By::Now,
            from,
        };
        let State::Passed(side, due) = &self.state else {
            return Some(now(CountedFrom::Nothing));
        };
        let done = dates::day(
            side.origin.interval.earliest(self.facts.now),
            self.facts.county.policy.utc_offset_min,
        );
        if inspections::is_timeless(self.facts, side) {
            return Some(now(CountedFrom::Nothing));
        }
        if self.standing() != Standing::InTime {
            return Some(now(CountedFrom::LastDone(done)));
        }
        let round = self.round(
            due.day.map(|(day, _)| day),
            CountedFrom::LastDone(done),
            |used| {
                let left_s = u64::try_from(-due.engine_s?).ok()?;
                Some(self.reaches(used, left_s))
            },
        )?;
        Some(round.not_before(not_before))
    }

    /// The days on which it has run for so long since the meter was last read.
    fn reaches(&self, used: &EngineUse, left_s: u64) -> crate::ahead::Reached {
        let read = motor::meter(self.facts).map(|side| {
            let at = side.origin.interval.earliest(self.facts.now);
            dates::day(at, self.facts.county.policy.utc_offset_min)
        });
        // Beyond a year the meter says nothing about when it was read.
        let year = self.facts.day.checked_sub_signed(Duration::days(366));
        let read = read.max(year).unwrap_or(self.facts.day);
        used.reaches(read, left_s)
    }

    /// Whichever of calendar and engine hours comes first; none when neither can be told.
    fn round(
        &self,
        calendar: Option<Day>,
        from: CountedFrom,
        engine: impl Fn(&EngineUse) -> Option<crate::ahead::Reached>,
    ) -> Option<Round> {
        let reached = self.used.ok().and_then(|used| engine(&used));
        let Some(reached) = reached else {
            return calendar.map(|due| Round {
                due,
                between: None,
                by: By::Calendar,
                from,
            });
        };
        let first_of = |day: Day| calendar.map_or(day, |calendar| calendar.min(day));
        let due = first_of(reached.expected);
        let (earliest, latest) = reached.between;
        let latest = match latest {
            Some(latest) => Some(first_of(latest)),
            None => calendar,
        };
        let between = (first_of(earliest), latest);
        Some(Round {
            due,
            between: (between != (due, Some(due))).then_some(between),
            by: match calendar {
                Some(calendar) if calendar <= reached.expected => By::Calendar,
                Some(_) | None => By::EngineHours,
            },
            from,
        })
    }

    /// The next time and the later ones, the last of them the first beyond the time asked.
    fn rounds(&self, first: Round) -> Vec<Round> {
        let mut rounds = vec![first];
        let expected = CountedFrom::ExpectedDone(first.due);
        let (mut from, mut anchor, mut intervals) = match (first.by, first.from) {
            (By::Calendar, CountedFrom::LastDone(done)) if self.is_plain(first.due, done) => {
                (first.from, done, 1)
            }
            _ => (expected, first.due, 0),
        };
        for _ in 0..ROUNDS_MAX {
            let Some(last) = rounds.last().copied() else {
                break;
            };
            if last.due > self.looked.span.until {
                break;
            }
            intervals += 1;
            let calendar = self
                .line
                .every
                .map(|every| dates::due(anchor, times(every, intervals)));
            let spread = last.between;
            let next = self.round(calendar, from, |used| {
                let every_s = self.line.every_engine_s?;
                let mut reached = used.reaches(last.due, every_s);
                // What is not known of the round before is not known of this one.
                if let Some((earliest, latest)) = spread {
                    reached.between = (
                        used.reaches(earliest, every_s).between.0,
                        latest.and_then(|latest| used.reaches(latest, every_s).between.1),
                    );
                }
                Some(reached)
            });
            let Some(next) = next else { break };
            let next = next.not_before(last.due.succ_opt().unwrap_or(last.due));
            if next.by == By::EngineHours {
                (from, anchor, intervals) = (CountedFrom::ExpectedDone(next.due), next.due, 0);
            }
            rounds.push(next);
        }
        rounds
    }

    /// Whether a day is one whole interval after the last time: hard use, or a line that is asked from
    /// a later day on, moves it.
    fn is_plain(&self, due: Day, done: Day) -> bool {
        self.line
            .every
            .is_some_and(|every| dates::due(done, every) == due)
    }

    fn due(&self) -> Option<&Due> {
        match &self.state {
            State::Passed(_, due) => Some(due),
            State::Never
            | State::Failed(_)
            | State::TooShort(..)
            | State::Lost(..)
            | State::ProvesNothing(..) => None,
        }
    }

    fn engine(&self) -> Option<EngineLeft> {
        let over_s = self.due()?.engine_s?;
        let left_s = over_s.saturating_neg();
        Some(EngineLeft {
            left_s,
            reached: self
                .used
                .map(|used| self.reaches(&used, u64::try_from(left_s).unwrap_or(0))),
        })
    }

    fn evidence(&self) -> Vec<EventId> {
        match &self.state {
            State::Never => Vec::new(),
            State::Failed(side)
            | State::TooShort(side, ..)
            | State::Lost(side, _)
            | State::ProvesNothing(side, ..) => vec![side.origin.event],
            State::Passed(side, due) => {
                let done = [side.origin.event].into_iter();
                done.chain(due.hard_use.iter().copied()).collect()
            }
        }
    }

    fn item(&self, round: &Round, n: u32, standing: Standing) -> DueItem {
        let (looked, line) = (self.looked, self.line);
        let is_first = n == 1;
        DueItem {
            what: What::Inspection(line.id.clone()),
            craft: Some(looked.record.subject),
            on: On::Craft(looked.record.subject),
            number: looked.number.clone(),
            station: looked.station,
            label: line.label.clone(),
            due: round.due,
            between: round.between,
            by: round.by,
            standing: match is_first {
                true => standing,
                false => Standing::InTime,
            },
            grace_days: line.grace_days,
            counted_from: round.from,
            round: n,
            engine: self.engine().filter(|_| is_first),
            used_hard: is_first && self.due().is_some_and(|due| !due.hard_use.is_empty()),
            minutes: line.minutes,
            uses: line.uses.clone(),
            basis: line.cited.basis,
            source: line.cited.source.clone(),
            evidence: match is_first {
                true => self.evidence(),
                false => Vec::new(),
            },
            planned: Planned::Not(match self.is_often() {
                true => WhyNoVisit::WithTheChecks,
                false => WhyNoVisit::StationNotKnown,
            }),
        }
    }

    fn often(&self, every: Every, rounds: &[Round], standing: Standing) -> Often {
        let within = |round: &&Round| round.due <= self.looked.span.until;
        let next = rounds.first().map_or(self.facts.day, |round| round.due);
        let times = rounds.iter().filter(within).count();
        Often {
            craft: self.looked.record.subject,
            number: self.looked.number.clone(),
            station: self.looked.station,
            inspection: Some(self.line.id.clone()),
            label: self.line.label.clone(),
            every,
            next,
            owed: standing != Standing::InTime,
            times: u32::try_from(times).unwrap_or(u32::MAX),
            minutes: self.line.minutes,
        }
    }

    /// Why no day can be told of a line by engine hours.
    fn not_known(&self) -> Option<NotKnown> {
        let due = self.due()?;
        self.line.every_engine_s?;
        Some(NotKnown {
            craft: self.looked.record.subject,
            number: self.looked.number.clone(),
            station: self.looked.station,
            inspection: self.line.id.clone(),
            label: self.line.label.clone(),
            left_s: due.engine_s.and_then(|over_s| u64::try_from(-over_s).ok()),
            why: match (due.engine_s, self.used) {
                (None, _) | (_, Ok(_)) => WhyNotKnown::NoMeter,
                (Some(_), Err(why)) => WhyNotKnown::Use(why),
            },
        })
    }
}

impl Round {
    fn not_before(self, first: Day) -> Self {
        Self {
            due: self.due.max(first),
            between: self
                .between
                .map(|(one, other)| (one.max(first), other.map(|day| day.max(first)))),
            ..self
        }
    }
}

/// So many intervals at once: from one anchor, so that month ends do not drift.
fn times(every: Every, intervals: u32) -> Every {
    match every {
        Every::Days(days) => Every::Days(days.saturating_mul(intervals)),
        Every::Months(months) => Every::Months(months.saturating_mul(intervals)),
    }
}
