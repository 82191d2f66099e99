//! A part's own leak by its recent readings: how fast, when it is below its minimum, what it takes
//! off the prediction; air that goes through a baffle; gauges that never move.
//!
//! Only trusted readings are fitted, and only those whose air is known: a leak seems the smaller
//! the fewer there are, never by what nobody confirmed. The slope may decide; intervals are shown.

mod chambers;
mod history;
mod pairs;
pub(crate) mod steps;

pub use chambers::{chamber_curves, chamber_leaks};

use history::History;

use super::facts::Facts;
use super::standing;
use crate::answer::{Action, Effect, Finding, LeakRate, Limit, Measure, Rule};
use crate::dates;
use crate::event::{Severity, Stowage};
use crate::ids::{EventId, PartId};
use crate::leak::{
    self, Crossing, Fitted, NotFitted, REFERENCE, Relief, Spread, corrected_gas, never_moves,
};
use crate::moment::Moment;
use crate::pressure::Air;
use crate::standard::{Part, PressureRule, RuleEffect};

/// Days beyond this are no forecast: the crossing is left out.
const FORECAST_DAYS: f64 = 3_660.0;

/// What a part loses by itself.
#[derive(Clone, Debug)]
pub(in crate::engine) struct OwnLeak {
    /// Share of the gauge that goes in a day.
    share_per_day: f64,
    fitted: Fitted,
    day_0: Moment,
    /// Whether there are readings enough to reckon with it.
    is_known: bool,
    evidence: Vec<EventId>,
    /// Day of the first reading of the newest stretch: there the line has its height.
    newest_from: f64,
}

/// What a line through readings shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shows {
    /// They last too short a time to say anything.
    TooShort,
    /// They fell by no more than a gauge may be off.
    NoLoss,
    /// The part loses air.
    Loss,
}

/// A part's own leak; none when nothing shows one.
pub(super) fn of(facts: &Facts<'_>, part: &PartId, rule: &PressureRule) -> Option<OwnLeak> {
    OwnLeak::of(facts, &History::of(facts, part, rule), rule)
}

impl OwnLeak {
    fn of(facts: &Facts<'_>, history: &History, rule: &PressureRule) -> Option<Self> {
        let (own, shows) = Self::look(facts, history, rule).ok()?;
        (shows == Shows::Loss).then_some(own)
    }

    /// What the readings tell, whether or not it is a loss.
    fn look(
        facts: &Facts<'_>,
        history: &History,
        rule: &PressureRule,
    ) -> Result<(Self, Shows), NotFitted> {
        let policy = facts.county.policy;
        let settings = &policy.leak;
        let relief = rule.relief_pa.map(|relief_pa| Relief {
            relief_pa: wide(relief_pa),
            swing_mk: settings.bay_swing_mk,
        });
        let fitted = Fitted::newest(&history.steps, relief)?;
        let accuracy_pa = f64::from(policy.pressure.gauge_accuracy_pa);
        let is_long = fitted.days * history::DAY_MS >= wide(settings.least_ms);
        let shows = match (is_long, fitted.fell_pa() <= accuracy_pa) {
            (false, _) => Shows::TooShort,
            (true, true) => Shows::NoLoss,
            (true, false) => Shows::Loss,
        };
        let own = Self {
            share_per_day: fitted.share_per_day(),
            // As many differences as so many readings in a row have.
            is_known: fitted.line.df + 2 >= settings.known_readings,
            evidence: history.events(&fitted.readings),
            newest_from: history.newest_from(relief).unwrap_or(fitted.last.t_days),
            day_0: history.day_0,
            fitted,
        };
        Ok((own, shows))
    }

    /// Whether there are readings enough to reckon with it.
    pub(super) const fn is_known(&self) -> bool {
        self.is_known
    }

    /// Gauge left at the launch after so long since the reading, pascal, where the leak is known:
    /// never more than without it, never below a slack part.
    pub(super) fn left_pa(&self, gauge_pa: i64, at: Air, ms: i64) -> i64 {
        if !self.is_known {
            return gauge_pa;
        }
        let left = leak::after(wide(gauge_pa), at, self.share_per_day, ms);
        whole(left).clamp(0, gauge_pa.max(0)).min(gauge_pa)
    }

    /// Whether the part, brought to a gauge at the launch, is still at its least after the job: a
    /// leak that is known and holds.
    pub(super) fn holds(&self, facts: &Facts<'_>, from_pa: i64, low_pa: i64, at: Air) -> bool {
        let job_ms = i64::from(facts.asked.duration_s).saturating_mul(1_000);
        self.is_known && self.left_pa(from_pa, at, job_ms) >= low_pa
    }

    /// What the part loses in a day at most from a gauge, pascal at [`REFERENCE`].
    fn lost_per_day_pa(&self, from_pa: f64) -> i64 {
        whole(leak::lost_per_day(from_pa, self.share_per_day))
    }

    /// Its wanted gauge where it is lower now: limits are of parts that are full.
    fn full_pa(&self, rule: &PressureRule) -> f64 {
        self.fitted.at_last_pa().max(wide(rule.nominal_pa))
    }

    /// The figures, losses from a gauge, with the day on which the part is below its least at the
    /// launch.
    fn rate(&self, facts: &Facts<'_>, low_pa: i64, from_pa: f64) -> LeakRate {
        let least = corrected_gas(wide(low_pa), cold(facts), REFERENCE);
        // After air came or went and nobody read the gauge, the height is not known.
        let is_current = self.fitted.is_current && least > 0.0;
        let y = is_current.then(|| libm::log(least));
        let spread = self.fitted.spread.as_ref();
        let of_share = |share: f64| whole(leak::lost_per_day(from_pa, share));
        let between = spread.map(Spread::slope_interval);
        let crossing = y.and_then(|y| Some(spread?.crossing(y)));
        let day = |days: f64| self.day(facts, days);
        LeakRate {
            pa_per_day: self.lost_per_day_pa(from_pa),
            between_pa: between.map(|(low, high)| (of_share(-high), of_share(-low))),
            readings: self.fitted.line.n,
            over_ms: whole(self.fitted.days * history::DAY_MS),
            below_on: y.and_then(|y| self.fitted.line.reaches(y)).and_then(day),
            below_between: match crossing {
                Some(Crossing::Bounded(first, last)) => (day(first), day(last)),
                Some(Crossing::Outside(_, last)) => (day(last), None),
                Some(Crossing::Anywhere) | None => (None, None),
            },
        }
    }

    fn moment(&self, days: f64) -> Moment {
        self.day_0.plus_ms(whole(days * history::DAY_MS))
    }

    fn day(&self, facts: &Facts<'_>, days: f64) -> Option<chrono::NaiveDate> {
        if days.abs() > FORECAST_DAYS {
            return None;
        }
        Some(dates::day(
            self.moment(days),
            facts.county.policy.utc_offset_min,
        ))
    }
}

/// Leaks, baffles and gauges that never move, of every part that holds air.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    if standing::stowage(facts.record) == Some(Stowage::Rolled) {
        return;
    }
    let parts = facts.standard.parts.iter();
    let kept: Vec<(&Part, &PressureRule, History)> = parts
        .filter_map(|part| {
            let rule = part.pressure.as_ref()?;
            Some((part, rule, History::of(facts, &part.id, rule)))
        })
        .collect();
    for (part, rule, history) in &kept {
        if let Some(own) = OwnLeak::of(facts, history, rule) {
            found.push(leaking(facts, part, rule, &own));
        }
        found.extend(still(facts, part, history));
    }
    found.extend(pairs::baffles(facts, &kept));
}

/// Whether a part loses more than it may, and the gauge from which its losses are told.
fn told(facts: &Facts<'_>, rule: &PressureRule, own: &OwnLeak) -> (bool, f64) {
    let full_pa = own.full_pa(rule);
    if own.lost_per_day_pa(full_pa) > facts.county.policy.leak.limit_pa {
        (true, full_pa)
    } else {
        (false, own.fitted.at_last_pa())
    }
}

fn leaking(facts: &Facts<'_>, part: &Part, rule: &PressureRule, own: &OwnLeak) -> Finding {
    let settings = &facts.county.policy.leak;
    let (over, from_pa) = told(facts, rule, own);
    let (rule_id, severity, effect) = if over {
        let effect = of_part(settings.over_limit, &part.id);
        (Rule::LeakOver, Severity::Major, effect)
    } else {
        (Rule::LeakShows, Severity::Minor, Effect::Note)
    };
    let rate = own.rate(facts, rule.low_pa, from_pa);
    Finding::own(rule_id, severity, effect, facts.part(&part.id))
        .measured(Measure::Leak(rate))
        .at_most(Measure::GaugePa(settings.limit_pa))
        .evidence(own.evidence.iter().copied())
        .needing(Action::FindLeak(part.id.clone()), None)
}

/// A gauge that never moves though the bay's temperature does.
fn still(facts: &Facts<'_>, part: &Part, history: &History) -> Option<Finding> {
    let settings = &facts.county.policy.leak;
    let stretch = history.newest();
    let known = history.known(&stretch);
    if !never_moves(&known, settings.still_span_mk, wide(settings.still_pa)) {
        return None;
    }
    let effect = of_part(settings.still, &part.id);
    let gauge_pa = known.last().map_or(0, |known| whole(known.gauge_pa));
    let finding = Finding::own(
        Rule::ReadingsNeverMove,
        Severity::Major,
        effect,
        facts.part(&part.id),
    );
    let finding = finding
        .measured(Measure::GaugePa(gauge_pa))
        .evidence(history.events(&stretch))
        .needing(Action::ReadGauge(part.id.clone()), None);
    Some(finding)
}

/// What a setting does to the craft by way of one part: a limit is to top it up before power.
fn of_part(effect: RuleEffect, part: &PartId) -> Effect {
    match effect {
        RuleEffect::Note => Effect::Note,
        RuleEffect::Limit
        | RuleEffect::NoPower
        | RuleEffect::DaylightOnly
        | RuleEffect::CrewOnly
        | RuleEffect::NotForMission => Effect::Limit(Limit::TopUp(part.clone())),
        RuleEffect::Unproven => Effect::Unproven,
        RuleEffect::NotReady => Effect::NotReady,
    }
}

/// The colder of air and water at the launch.
fn cold(facts: &Facts<'_>) -> Air {
    let asked = facts.asked;
    Air {
        temperature_mc: asked.air_mc.min(asked.water_mc),
        ambient_pa: asked.conditions.ambient_pa(asked.elevation_mm),
    }
}

/// Pascal and milliseconds of a craft's life are far below 2^53, where floating point is exact.
#[expect(
    clippy::cast_precision_loss,
    reason = "pascal and milliseconds here are far below 2^53"
)]
fn wide(number: i64) -> f64 {
    number as f64
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 to i64 saturates; values are far inside"
)]
fn whole(number: f64) -> i64 {
    number.round() as i64
}
