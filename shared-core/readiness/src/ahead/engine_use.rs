//! Engine hours expected: how much a motor runs, from its own meter readings, and when it will have
//! run for so long, with an interval.
//!
//! Hours come in lumps: weeks without use, then a long night. The variance of what the stretches
//! between readings show, for each day, divided by the hours a day, gives the hours of one lump; the
//! readings then show so many lumps, and what is left is so many more. The time of those is F
//! distributed about the expected one, as for events at random (a Poisson process, with Jeffreys'
//! half for the rate that is not known, and half a lump because the last one runs past the end).
//! The lump is itself known badly from few stretches: it is taken larger by two of its relative
//! variances. A simulation in the tests says what the interval then covers.
//!
//! A stretch over which the meter fell, or ran faster than the clock, hides a changed meter: neither
//! its hours nor its days count. A reading that was entered late stands at the time of its reading.

use chrono::Duration;
use statrs::distribution::{ContinuousCDF as _, FisherSnedecor};

use crate::dates::{DAY_MS, Day};
use crate::moment::Moment;
use crate::standard::AheadPolicy;

/// Share of each end that the 95 % interval leaves out.
const TAIL: f64 = 0.025;

/// A meter may run beyond the clock by so much between two readings, seconds: what was read is
/// rounded to tenths of an hour, and moments to minutes.
const ROUNDING_S: i64 = 900;

/// What the meter has to do with a due day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EngineLeft {
    /// Engine time left, seconds: negative past due.
    pub left_s: i64,
    /// When it will have run for that long.
    pub reached: Result<Reached, UseNotKnown>,
}

/// When a motor will have run for so long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reached {
    /// The expected day.
    pub expected: Day,
    /// The first and last day of a 95 % interval; no last one where it may never come.
    pub between: (Day, Option<Day>),
    /// The use that it is reckoned from.
    pub of: EngineUse,
}

/// How much a motor runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EngineUse {
    /// Engine time that its readings show, seconds.
    pub run_s: u64,
    /// Days that they cover, whole ones.
    pub days: u32,
    /// Stretches between readings.
    pub stretches: u32,
    /// Of these, those in which it ran.
    pub ran: u32,
    /// Engine time of one lump, seconds.
    lump_s: f64,
    /// Days that the readings cover.
    covered: f64,
}

/// Why the use of a motor is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum UseNotKnown {
    /// No meter was read often enough: three readings make two stretches, the least that show how
    /// much use differs.
    NotRead,
    /// The readings cover less time than the county's setting asks for, days.
    TooShort(u32),
    /// It did not run.
    NotRun,
}

/// One value of a meter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct MeterRead {
    /// When it was read.
    pub at: Moment,
    /// What it showed, seconds.
    pub engine_s: u64,
}

/// Days from a reading until a motor has run for so long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DaysUntil {
    /// Expected.
    pub expected: f64,
    /// The ends of the 95 % interval.
    pub between: (f64, f64),
}

impl EngineUse {
    /// The use that readings until a moment show, whatever their order.
    ///
    /// # Errors
    ///
    /// [`UseNotKnown`] says why they show none.
    pub fn of(
        readings: &[MeterRead],
        until: Moment,
        policy: &AheadPolicy,
    ) -> Result<Self, UseNotKnown> {
        let stretches = stretches(readings, until, policy);
        let covered: f64 = stretches.iter().map(|stretch| stretch.days).sum();
        let run_s: u64 = stretches.iter().map(|stretch| stretch.run_s).sum();
        if stretches.len() < 2 {
            return Err(UseNotKnown::NotRead);
        }
        if covered < f64::from(policy.use_least_days) {
            return Err(UseNotKnown::TooShort(whole(covered)));
        }
        if run_s == 0 {
            return Err(UseNotKnown::NotRun);
        }
        let ran = stretches.iter().filter(|stretch| stretch.run_s > 0);
        let count = |len: usize| u32::try_from(len).unwrap_or(u32::MAX);
        Ok(Self {
            run_s,
            days: whole(covered),
            stretches: count(stretches.len()),
            ran: count(ran.count()),
            lump_s: lump_s(&stretches, seconds(run_s) / covered),
            covered,
        })
    }

    /// Engine time a day, seconds.
    #[must_use]
    pub fn per_day_s(&self) -> f64 {
        seconds(self.run_s) / self.covered
    }

    /// Days until it has run for `left_s` more. Nothing left is today, without an interval.
    #[must_use]
    pub fn days_until(&self, left_s: u64) -> DaysUntil {
        let expected = seconds(left_s) / self.per_day_s();
        if left_s == 0 {
            let between = (0.0, 0.0);
            return DaysUntil { expected, between };
        }
        let lumps = seconds(left_s) / self.lump_s + 0.5;
        let seen = seconds(self.run_s) / self.lump_s + 0.5;
        let middle = self.covered * lumps / seen;
        // Both are above nothing, so the distribution is there.
        let ends = FisherSnedecor::new(2.0 * lumps, 2.0 * seen).map_or((0.0, f64::INFINITY), |f| {
            (
                middle * f.inverse_cdf(TAIL),
                middle * f.inverse_cdf(1.0 - TAIL),
            )
        });
        DaysUntil {
            expected,
            between: (ends.0.min(expected), ends.1.max(expected)),
        }
    }

    /// The days on which it will have run for `left_s` more than at a reading.
    #[must_use]
    pub fn reaches(&self, read_on: Day, left_s: u64) -> Reached {
        let until = self.days_until(left_s);
        let on = |days: f64| later(read_on, days);
        Reached {
            expected: on(until.expected).unwrap_or(Day::MAX),
            between: (on(until.between.0).unwrap_or(read_on), on(until.between.1)),
            of: *self,
        }
    }
}

/// The time between two readings of one meter.
struct Stretch {
    days: f64,
    run_s: u64,
}

fn stretches(readings: &[MeterRead], until: Moment, policy: &AheadPolicy) -> Vec<Stretch> {
    let from = until.plus_ms(-i64::from(policy.use_days) * DAY_MS);
    let mut within: Vec<MeterRead> = readings.to_vec();
    within.retain(|read| read.at >= from && read.at <= until);
    within.sort_unstable();
    // Of several at one moment the last in order, which is the highest.
    within.dedup_by(|later, kept| {
        let is_same = later.at == kept.at;
        if is_same {
            *kept = *later;
        }
        is_same
    });
    let pairs = within.iter().zip(within.iter().skip(1));
    pairs
        .filter_map(|(one, next)| {
            let run_s = next.engine_s.checked_sub(one.engine_s)?;
            let clock_s = next.at.since(one.at) / 1_000;
            let is_possible = i64::try_from(run_s).is_ok_and(|run_s| run_s <= clock_s + ROUNDING_S);
            is_possible.then(|| Stretch {
                days: ms(next.at.since(one.at)) / ms(DAY_MS),
                run_s,
            })
        })
        .collect()
}

/// Engine time of one lump, on the large side.
fn lump_s(stretches: &[Stretch], per_day_s: f64) -> f64 {
    let n = f64::from(u32::try_from(stretches.len()).unwrap_or(u32::MAX));
    let squares: Vec<f64> = stretches
        .iter()
        .map(|stretch| {
            let off_s = seconds(stretch.run_s) - per_day_s * stretch.days;
            off_s * off_s / stretch.days
        })
        .collect();
    let variance = squares.iter().sum::<f64>() / (n - 1.0);
    let about: f64 = squares
        .iter()
        .map(|square| (square - variance) * (square - variance))
        .sum::<f64>()
        / (n - 1.0);
    // Use as even as a clock still has its rounding.
    let least = per_day_s * per_day_s;
    if variance <= least {
        return per_day_s;
    }
    let noise = about / (n * variance * variance);
    variance / per_day_s * (1.0 + 2.0 / (n - 1.0) + 2.0 * noise)
}

/// The day so many days on, the started one counting whole; none beyond the calendar.
fn later(day: Day, days: f64) -> Option<Day> {
    /// Beyond this no county plans: a thousand years.
    const MOST: f64 = 365_000.0;
    if !days.is_finite() || days > MOST {
        return None;
    }
    day.checked_add_signed(Duration::days(i64::from(whole(days))))
}

/// Whole days, cut off: at the most a million.
fn whole(days: f64) -> u32 {
    let days = days.clamp(0.0, 1e6);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held to what fits just above"
    )]
    let whole = days as u32;
    whole
}

fn seconds(seconds: u64) -> f64 {
    // A meter shows less than four billion seconds, 130 years.
    f64::from(u32::try_from(seconds).unwrap_or(u32::MAX))
}

fn ms(ms: i64) -> f64 {
    // In seconds it fits for 130 years.
    f64::from(u32::try_from(ms / 1_000).unwrap_or(u32::MAX)) * 1_000.0
}

#[cfg(test)]
mod tests;
