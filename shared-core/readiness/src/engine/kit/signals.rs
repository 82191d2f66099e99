//! Distress signals: whether what is aboard makes up a set by day and a set by night.
//!
//! | asked for | when |
//! |---|---|
//! | by day and by night, at any hour | driven by motor, from the sheet's `day_from` in length |
//! | by night alone, when it is dark or not known | shorter, or paddled |
//! | nothing | on other waters or for other missions than the sheet names |
//!
//! Kinds add up: two of three hand flares and one of three parachute flares make one set (33 CFR
//! 175.130(b)). What is out of date, not serviceable, without its launcher or counted too long ago
//! is not in the sum. A set that is made up otherwise forgives the line of kit that usually makes it.

use super::aboard::Aboard;
use super::{Store, Stores, is_stale};
use crate::answer::{Action, Effect, Finding, Limit, Measure, MissingKit, Rule, Subject};
use crate::engine::facts::Facts;
use crate::engine::verdict;
use crate::ids::LineId;
use crate::standard::{Item, Propulsion, RuleEffect, SIGNALS, Signal, SignalBy, Signals};

/// A whole set, in parts: the least number that every allowed count of units divides (1 to 12).
const WHOLE: u64 = 27_720;

/// Day or night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Period {
    Day,
    Night,
}

impl Period {
    fn has(self, signal: &Signal) -> bool {
        match (self, signal.by) {
            (_, SignalBy::Both) | (Self::Day, SignalBy::Day) | (Self::Night, SignalBy::Night) => {
                true
            }
            (Self::Day, SignalBy::Night) | (Self::Night, SignalBy::Day) => false,
        }
    }

    fn effect(self, rule: &Signals) -> RuleEffect {
        match self {
            Self::Day => rule.day,
            Self::Night => rule.night,
        }
    }

    fn rule(self) -> Rule {
        match self {
            Self::Day => Rule::SignalsShortByDay,
            Self::Night => Rule::SignalsShortByNight,
        }
    }
}

/// The periods for which the asked craft must carry a set.
fn asked<'a>(facts: &Facts<'a>) -> Vec<(&'a Signals, Period)> {
    let Some(rule) = &facts.standard.signals else {
        return Vec::new();
    };
    let sheet = facts.standard;
    let elsewhere = !rule.waters.is_empty()
        && !sheet.waters.is_empty()
        && rule.waters.is_disjoint(&sheet.waters);
    if elsewhere {
        return Vec::new();
    }
    let is_long = match (rule.day_from_mm, sheet.length_mm) {
        (Some(from), Some(length)) => length >= from,
        (None, _) | (_, None) => true,
    };
    let mut periods = Vec::new();
    let at_any_hour = is_long && sheet.propulsion == Propulsion::Motor;
    if at_any_hour {
        periods.push(Period::Day);
    }
    if at_any_hour || facts.may_be_dark() {
        periods.push(Period::Night);
    }
    periods
        .retain(|period| verdict::is_asked(&rule.missions, period.effect(rule), facts.mission()));
    periods.into_iter().map(|period| (rule, period)).collect()
}

/// Parts of a set that units of what is aboard make up.
fn parts<'a>(lines: impl Iterator<Item = (&'a Item, u32)>, period: Period) -> u64 {
    lines
        .filter_map(|(item, have)| {
            let signal = item.signal.as_ref().filter(|signal| period.has(signal))?;
            Some(u64::from(have) * (WHOLE / u64::from(signal.units.max(1))))
        })
        .sum()
}

/// Whether other kinds make up every set that is asked for, by counts that are recent enough.
pub(super) fn are_made_up(
    facts: &Facts<'_>,
    aboard: &[Aboard],
    have: impl Fn(&Aboard) -> u32,
) -> bool {
    let periods = asked(facts);
    let lines = || {
        let lines = facts.standard.items.iter().zip(aboard);
        lines
            .filter(|(item, aboard)| !is_stale(facts, item, aboard))
            .map(|(item, aboard)| (item, have(aboard)))
    };
    !periods.is_empty()
        && periods
            .iter()
            .all(|(_, period)| parts(lines(), *period) >= WHOLE)
}

/// Lowers what is left over of each line, in the order of the lines, so that every set that is asked
/// for stays made up; where one is not, nothing of its kinds is left over.
pub(super) fn keep_sets(facts: &Facts<'_>, stores: &Stores<'_>, left: &mut [u32]) {
    for (_, period) in asked(facts) {
        let have = |store: &Store<'_>| match is_stale(facts, store.item, &store.aboard) {
            true => 0,
            false => store.aboard.have.min(store.aboard.have_at_worst),
        };
        let lines = of(stores, period).map(|store| (store.item, have(store)));
        let mut beyond = parts(lines, period).saturating_sub(WHOLE);
        for (store, left) in stores.lines.iter().zip(left.iter_mut()) {
            let signal = store.item.signal.as_ref();
            let Some(signal) = signal.filter(|signal| period.has(signal)) else {
                continue;
            };
            let part = WHOLE / u64::from(signal.units.max(1));
            let units = u32::try_from(beyond / part.max(1)).unwrap_or(u32::MAX);
            *left = units.min(*left);
            beyond -= u64::from(*left) * part;
        }
    }
}

/// Sets that are asked for and not made up.
pub(super) fn check(facts: &Facts<'_>, stores: &Stores<'_>, found: &mut Vec<Finding>) {
    for (rule, period) in asked(facts) {
        if let Some(finding) = short(facts, stores, rule, period)
            && !is_said(stores, period, &finding.effect, found)
        {
            found.push(finding);
        }
    }
}

/// What would make up a set that is counted and too small, where no line of kit lacks it by itself.
pub(super) fn missing(facts: &Facts<'_>, stores: &Stores<'_>) -> Option<MissingKit> {
    let of_lines = |period| of(stores, period).any(|store| store.short > 0);
    let mut periods = asked(facts).into_iter();
    periods.find_map(|(_, period)| {
        let counted = of(stores, period).any(|store| store.aboard.counted);
        let lines = of(stores, period).map(|store| (store.item, store.aboard.have));
        let have = parts(lines, period);
        if have >= WHOLE || !counted || of_lines(period) {
            return None;
        }
        let item = usual(stores, period)?.item;
        let need = item.signal.as_ref()?.units.max(1);
        let have = u32::try_from(have * u64::from(need) / WHOLE).ok()?;
        Some(MissingKit {
            craft: facts.record.subject,
            number: facts.number_of(facts.record.subject),
            item: item.id.clone(),
            label: item.label.clone(),
            have,
            need,
        })
    })
}

/// Whether a line of kit of this period says it already, and nothing milder.
fn is_said(stores: &Stores<'_>, period: Period, effect: &Effect, found: &[Finding]) -> bool {
    let of_period = |id: &LineId| {
        let mut lines = of(stores, period);
        lines.any(|store| store.item.id == *id)
    };
    found.iter().any(|one| {
        matches!(one.rule, Rule::KitShort | Rule::KitNotCounted)
            && is_as_bad(&one.effect, effect)
            && matches!(&one.subject, Subject::Line(id, _) if of_period(id))
    })
}

/// 'Do this soon' is the mildest of limits, whichever line it names.
fn is_as_bad(one: &Effect, other: &Effect) -> bool {
    match (one, other) {
        (Effect::Limit(_), Effect::Limit(Limit::DoSoon(_))) => true,
        (one, other) => one >= other,
    }
}

fn of<'s, 'a>(stores: &'s Stores<'a>, period: Period) -> impl Iterator<Item = &'s Store<'a>> {
    stores.lines.iter().filter(move |store| {
        let signal = store.item.signal.as_ref();
        signal.is_some_and(|signal| period.has(signal))
    })
}

fn short(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    rule: &Signals,
    period: Period,
) -> Option<Finding> {
    let have = |of_one: fn(&Aboard) -> u32| {
        let lines = of(stores, period).map(|store| (store.item, of_one(&store.aboard)));
        parts(lines, period)
    };
    let (trusted, at_worst) = (have(|it| it.have), have(|it| it.have_at_worst));
    if trusted.min(at_worst) >= WHOLE {
        return None;
    }
    let counted = of(stores, period).any(|store| store.aboard.counted);
    if !counted && facts.freshness.says_it_all() {
        return None;
    }
    let line = LineId::from(SIGNALS);
    let effect = facts.effect(period.effect(rule), &line, &rule.missions);
    let usual = usual(stores, period)?;
    let units = u64::from(usual.item.signal.as_ref()?.units.max(1));
    let count = |parts: u64| u32::try_from(parts * units / WHOLE).unwrap_or(u32::MAX);
    let lacks = u32::try_from((WHOLE - trusted.min(at_worst)).div_ceil(WHOLE / units)).ok()?;
    let subject = Subject::Line(line, rule.label.clone());
    let finding = Finding::cited(period.rule(), rule.severity, effect, subject, &rule.cited)
        .measured(Measure::Count(count(trusted.min(at_worst))))
        .at_least(Measure::Count(usual.item.signal.as_ref()?.units))
        .evidence(of(stores, period).flat_map(|store| store.aboard.events.iter().copied()))
        .needing(Action::Bring(usual.item.id.clone(), lacks), None);
    Some(match (counted, trusted >= WHOLE) {
        (true, false) => finding,
        (true, true) => finding.at_most_unproven(),
        (false, _) => {
            let effect = verdict::not_known(finding.effect.clone());
            Finding { effect, ..finding }
        }
    })
}

/// The kind that usually makes up the set: the first of the sheet that the craft carries by rule,
/// else the first.
fn usual<'s, 'a>(stores: &'s Stores<'a>, period: Period) -> Option<&'s Store<'a>> {
    let by_rule = of(stores, period).find(|store| store.item.count > 0);
    by_rule.or_else(|| of(stores, period).next())
}
