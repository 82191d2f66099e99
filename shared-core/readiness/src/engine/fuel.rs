//! Fuel: how much of what is aboard is fit to be burned, against what the mission needs; and tanks
//! and lines whose connector is not the motor's.
//!
//! Fuel past the county's age, or mixed otherwise than the motor takes, counts nothing, and so does
//! what stands in a tank that does not fit or that is said to be elsewhere. Where sides differ about
//! a tank, the one with the least counts. A sheet without fuel asks for none.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::facts::{Facts, number};
use super::freshness::proof_ms;
use super::kit::worth::same;
use super::sides::{is_trusted, trusted};
use super::verdict;
use crate::answer::{Action, Effect, Finding, Measure, Rule, Subject};
use crate::event::{DateMark, Fuel, GearKind, Severity};
use crate::ids::{EventId, LineId, SubjectId};
use crate::record::{Record, Side};
use crate::standard::{FUEL, FuelRule, RuleEffect};

/// Fuel in one tank by all that was said of it.
type Said<'a> = Vec<&'a Side<Fuel>>;

/// What all tanks hold that can be burned, millilitres.
#[derive(Default)]
struct Aboard {
    trusted_ml: u64,
    worst_ml: u64,
    events: Vec<EventId>,
    oldest_ms: i64,
}

/// Tanks and lines that do not fit, fuel too little, too old, wrongly mixed, not recorded.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let unfit = unfit(facts, found);
    let Some(rule) = &facts.standard.fuel else {
        return;
    };
    let mut tanks = tanks(facts);
    tanks.retain(|tank, _| tank.is_none_or(|tank| !unfit.contains(&tank)));
    if tanks.is_empty() {
        not_recorded(facts, rule, None, found);
        return;
    }
    let mut aboard = Aboard::default();
    for said in tanks.values() {
        add(facts, rule, said, &mut aboard, found);
    }
    if aboard.oldest_ms > proof_ms(&facts.standard.check) {
        not_recorded(facts, rule, Some(aboard.oldest_ms), found);
    }
    short(facts, rule, &aboard, found);
}

/// What was said of each tank here: by the tank's own record and by the craft's.
fn tanks<'a>(facts: &Facts<'a>) -> BTreeMap<Option<SubjectId>, Said<'a>> {
    let mut tanks: BTreeMap<Option<SubjectId>, Said<'_>> = BTreeMap::new();
    for (tank, sides) in &facts.record.fuel {
        let is_here = tank.is_none_or(|tank| {
            let mut kept = facts.index.gear_at(facts.record.subject).iter();
            let kept = kept.find(|kept| kept.record.subject == tank);
            let known = facts.county.records.contains_key(&tank);
            kept.map_or(!known, |kept| kept.whereabouts.counts_here())
        });
        if is_here {
            tanks.entry(*tank).or_default().extend(sides);
        }
    }
    for tank in gear(facts, GearKind::FuelTank) {
        if let Some(sides) = tank.fuel.get(&None) {
            let said = tanks.entry(Some(tank.subject)).or_default();
            said.extend(sides);
        }
    }
    tanks.retain(|_, said| said.iter().any(|side| is_trusted(&side.origin)));
    tanks
}

/// What all tanks hold, millilitres, whether it can be burned or not: of all trusted sides, the
/// most; none when nobody recorded any. For the load.
pub(super) fn carried_ml(facts: &Facts<'_>) -> Option<u64> {
    let tanks = tanks(facts);
    let most = tanks.values().map(|said| {
        let own = said.iter().filter(|side| is_trusted(&side.origin));
        let amounts = own.map(|side| u64::from(side.value.amount_ml));
        amounts.max().unwrap_or(0)
    });
    (!tanks.is_empty()).then(|| most.sum())
}

/// Numbered gear of a sort that all agree is here.
fn gear<'a>(facts: &Facts<'a>, wanted: GearKind) -> impl Iterator<Item = &'a Record> {
    let here = facts.index.gear_at(facts.record.subject).iter();
    here.filter(|kept| kept.whereabouts.counts_here())
        .map(|kept| kept.record)
        .filter(move |record| record.gear.iter().any(|side| side.value.kind == wanted))
}

/// Adds one tank: of all sides, the one with the least that can be burned.
fn add(
    facts: &Facts<'_>,
    rule: &FuelRule,
    said: &Said<'_>,
    aboard: &mut Aboard,
    found: &mut Vec<Finding>,
) {
    let good_ml = |side: &Side<Fuel>| match is_good(facts, rule, &side.value) {
        true => u64::from(side.value.amount_ml),
        false => 0,
    };
    let own = said.iter().filter(|side| is_trusted(&side.origin));
    let least = own.clone().map(|side| good_ml(side)).min().unwrap_or(0);
    let worst = said.iter().map(|side| good_ml(side)).min().unwrap_or(0);
    aboard.trusted_ml += least;
    aboard.worst_ml += worst.min(least);
    for side in own {
        aboard.events.push(side.origin.event);
        aboard.oldest_ms = aboard.oldest_ms.max(facts.age_ms(&side.origin));
        aged(facts, rule, side, found);
        mixed(rule, side, found);
    }
}

fn is_good(facts: &Facts<'_>, rule: &FuelRule, fuel: &Fuel) -> bool {
    let fail_days = i64::from(facts.county.policy.fuel.fail_days);
    let is_old = age_days(facts, fuel).is_some_and(|days| days > fail_days);
    !is_old && is_mixed_right(rule, fuel)
}

fn is_mixed_right(rule: &FuelRule, fuel: &Fuel) -> bool {
    fuel.amount_ml == 0 || fuel.mix == rule.mix
}

/// Days since it was filled: a mark without a day or a month is taken at its beginning, which is
/// worse for the craft.
fn age_days(facts: &Facts<'_>, fuel: &Fuel) -> Option<i64> {
    let filled = fuel.filled.and_then(first_day)?;
    Some(facts.day.signed_duration_since(filled).num_days())
}

fn first_day(mark: DateMark) -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(mark.year, mark.month.unwrap_or(1), mark.day.unwrap_or(1))
}

fn finding(rule: &FuelRule, of: Rule, severity: Severity, effect: Effect) -> Finding {
    let subject = Subject::Line(LineId::from(FUEL), rule.label.clone());
    Finding::cited(of, severity, effect, subject, &rule.cited)
}

fn effect(facts: &Facts<'_>, effect: RuleEffect) -> Effect {
    facts.effect(effect, &LineId::from(FUEL), &BTreeSet::new())
}

fn aged(facts: &Facts<'_>, rule: &FuelRule, side: &Side<Fuel>, found: &mut Vec<Finding>) {
    let ages = &facts.county.policy.fuel;
    let Some(days) = age_days(facts, &side.value).filter(|_| side.value.amount_ml > 0) else {
        return;
    };
    let (limit, makes) = if days > i64::from(ages.fail_days) {
        // What it does is said by what then lacks.
        (ages.fail_days, Effect::Note)
    } else if days > i64::from(ages.warn_days) {
        (ages.warn_days, effect(facts, RuleEffect::Limit))
    } else {
        return;
    };
    let span = |days: i64| Measure::SpanMs(days.saturating_mul(crate::dates::DAY_MS));
    let finding = finding(rule, Rule::FuelOld, Severity::Minor, makes)
        .measured(span(days))
        .at_most(span(i64::from(limit)))
        .evidence([side.origin.event])
        .needing(Action::Refuel, None);
    found.push(finding);
}

fn mixed(rule: &FuelRule, side: &Side<Fuel>, found: &mut Vec<Finding>) {
    if is_mixed_right(rule, &side.value) {
        return;
    }
    let parts = |mix: Option<u32>| Measure::Mix(mix.unwrap_or(0));
    let finding = finding(rule, Rule::FuelMixWrong, Severity::Major, Effect::Note)
        .measured(parts(side.value.mix))
        .at_least(parts(rule.mix))
        .evidence([side.origin.event])
        .needing(Action::Refuel, None);
    found.push(finding);
}

fn short(facts: &Facts<'_>, rule: &FuelRule, aboard: &Aboard, found: &mut Vec<Finding>) {
    let special = facts.mission().and_then(|id| rule.least_for_ml.get(id));
    let least_ml = u64::from(*special.unwrap_or(&rule.least_ml));
    let have_ml = aboard.trusted_ml.min(aboard.worst_ml);
    if have_ml >= least_ml {
        return;
    }
    let makes = effect(facts, rule.short);
    let finding = finding(rule, Rule::FuelShort, rule.severity, makes)
        .measured(Measure::VolumeMl(have_ml))
        .at_least(Measure::VolumeMl(least_ml))
        .evidence(aboard.events.iter().copied())
        .needing(Action::Refuel, None);
    found.push(match aboard.trusted_ml < least_ml {
        true => finding,
        false => finding.at_most_unproven(),
    });
}

/// Never recorded, or longer ago than a check proves anything.
fn not_recorded(facts: &Facts<'_>, rule: &FuelRule, age_ms: Option<i64>, found: &mut Vec<Finding>) {
    let Some(unknown) = rule.unknown else {
        return;
    };
    if facts.freshness.says_it_all() {
        return;
    }
    let makes = verdict::not_known(effect(facts, unknown));
    let unknown = finding(rule, Rule::FuelNotRecorded, rule.severity, makes)
        .needing(Action::FullCheck, Some(facts.standard.check.minutes));
    let limit_ms = proof_ms(&facts.standard.check);
    found.push(match age_ms {
        Some(age_ms) => unknown.aged(age_ms).at_most(Measure::SpanMs(limit_ms)),
        None => unknown,
    });
}

/// Tanks and lines here whose connector is not that of the fitted motor. One of a sort that fits
/// is enough; where none does the craft goes without power.
fn unfit(facts: &Facts<'_>, found: &mut Vec<Finding>) -> BTreeSet<SubjectId> {
    let mut unfit = BTreeSet::new();
    let Some(motor) = facts.motor() else {
        return unfit;
    };
    let connectors = |record: &Record| -> Vec<String> {
        let said = trusted(&record.gear).map(|side| side.value.connector.clone());
        said.filter(|word| !word.trim().is_empty()).collect()
    };
    let wanted = connectors(motor);
    for kind in [GearKind::FuelTank, GearKind::FuelLine] {
        let differs = |record: &&Record| {
            let own = connectors(record);
            own.iter().any(|own| wanted.iter().any(|it| !same(own, it)))
        };
        let (wrong, fits): (Vec<&Record>, Vec<&Record>) = gear(facts, kind).partition(differs);
        for record in wrong {
            unfit.insert(record.subject);
            let effect = match fits.is_empty() {
                true => effect(facts, RuleEffect::NoPower),
                false => Effect::Note,
            };
            found.push(does_not_fit(record, motor, effect, &wanted));
        }
    }
    unfit
}

fn does_not_fit(record: &Record, motor: &Record, effect: Effect, wanted: &[String]) -> Finding {
    let subject = Subject::Gear(record.subject, number(Some(record), record.subject));
    let words = trusted(&record.gear).map(|side| Measure::Word(side.value.connector.clone()));
    let wanted = wanted.iter().cloned().map(Measure::Word).collect();
    Finding::own(Rule::GearDoesNotFit, Severity::Restrictive, effect, subject)
        .measured(Measure::Sides(words.collect()))
        .at_least(Measure::Sides(wanted))
        .evidence(trusted(&record.gear).map(|side| side.origin.event))
        .evidence(trusted(&motor.gear).map(|side| side.origin.event))
        .needing(Action::AskStation, None)
}
