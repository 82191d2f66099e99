//! Cylinders and breathing sets that are said to be aboard: what is in each, and its dates.

use std::collections::BTreeSet;

use chrono::{Duration, NaiveDate};

use super::here;
use crate::air::{Cylinder, CylinderDates, CylinderStanding, of_pressure};
use crate::answer::{Action, Breathing, Effect, Finding, Measure, Overdue, Rule, Subject};
use crate::engine::facts::{Facts, number};
use crate::engine::freshness::proof_ms;
use crate::engine::kit::AirSource;
use crate::engine::sides::{shown, trusted, untrusted};
use crate::event::{GearKind, GearRegistered, Severity};
use crate::ids::LineId;
use crate::pressure::Air;
use crate::record::Record;
use crate::standard::{AirPolicy, Cited, CylinderRule, RuleEffect};

/// Service pressures are marked for 70 °F, milli-degree Celsius.
const MARKED_AT_MC: i32 = 21_111;

/// Id of the line under which overdue requalifications are listed.
const REQUALIFICATION: &str = "requalification";

/// A cylinder aboard.
pub(super) struct Aboard<'a> {
    registered: &'a GearRegistered,
    /// As far as what is in it is known.
    pub(super) cylinder: Option<Cylinder>,
    pub(super) breathing: Breathing,
    /// Whether it counts as a source of air.
    pub(super) known: AirSource,
    /// Whether the temperature at its reading is known.
    read_at_known_temperature: bool,
    standing: Option<CylinderStanding>,
    dates: Option<CylinderDates>,
}

/// What is known of a cylinder aboard.
pub(super) fn aboard_of<'a>(
    facts: &Facts<'a>,
    record: &'a Record,
    registered: &'a GearRegistered,
) -> Aboard<'a> {
    let marks = &registered.cylinder;
    let dates = dates_of(&facts.county.policy.free_air, registered).map(|(_, dates)| dates);
    let standing = dates.and_then(|dates| dates.on(facts.day));
    let lowest = trusted(&record.charge).min_by_key(|side| side.value.gauge_kpa);
    // The warmer it was, the less is in it.
    let assumed_mc = facts
        .county
        .policy
        .pressure
        .full_mc
        .max(here(facts).temperature_mc);
    let cylinder = lowest
        .zip(marks.water_volume_ml)
        .map(|(side, water_volume_ml)| Cylinder {
            water_volume_ml,
            gauge_pa: i64::from(side.value.gauge_kpa) * 1000,
            read_in: Air {
                temperature_mc: side.value.temperature_mc.unwrap_or(assumed_mc),
                ambient_pa: here(facts).ambient_pa,
            },
        });
    let may_be_lower = untrusted(&record.charge)
        .any(|side| lowest.is_some_and(|low| side.value.gauge_kpa < low.value.gauge_kpa));
    let is_old = trusted(&record.charge)
        .any(|side| facts.age_ms(&side.origin) > proof_ms(&facts.standard.check));
    let is_sure = cylinder.is_some() && !may_be_lower && !is_old && record.drawn.is_empty();
    Aboard {
        registered,
        cylinder,
        breathing: match registered.kind == GearKind::BreathingSet {
            true => Breathing::Set,
            false => Breathing::No,
        },
        known: match (standing, is_sure) {
            (Some(CylinderStanding::LifeOver), _) => AirSource::None,
            (_, true) => AirSource::Aboard,
            (_, false) => AirSource::NotKnown,
        },
        read_at_known_temperature: lowest.is_some_and(|side| side.value.temperature_mc.is_some()),
        standing,
        dates,
    }
}

/// The rule by the mark of a cylinder, and the dates that it gives; none for a mark without a rule.
pub(in crate::engine) fn dates_of<'p>(
    policy: &'p AirPolicy,
    registered: &GearRegistered,
) -> Option<(&'p CylinderRule, CylinderDates)> {
    let marks = &registered.cylinder;
    let rule = policy.cylinder(&marks.specification)?;
    Some((
        rule,
        CylinderDates::of(rule, registered.made, marks.requalified),
    ))
}

/// What is to be said of every cylinder and breathing set that is said to be aboard.
pub(super) fn check(facts: &Facts<'_>, found: &mut Vec<Finding>, overdue: &mut Vec<Overdue>) {
    let here = facts.index.gear_at(facts.record.subject).iter();
    for kept in here.filter(|kept| kept.whereabouts.counts_here()) {
        let Some(side) = shown(&kept.record.gear) else {
            continue;
        };
        if !matches!(side.value.kind, GearKind::Cylinder | GearKind::BreathingSet) {
            continue;
        }
        let one = One {
            facts,
            record: kept.record,
            aboard: aboard_of(facts, kept.record, &side.value),
        };
        one.dates(found, overdue);
        one.charge(found);
    }
}

struct One<'a> {
    facts: &'a Facts<'a>,
    record: &'a Record,
    aboard: Aboard<'a>,
}

impl One<'_> {
    fn number(&self) -> String {
        number(Some(self.record), self.record.subject)
    }

    fn rule(&self) -> Option<&CylinderRule> {
        let mark = &self.aboard.registered.cylinder.specification;
        self.facts.county.policy.free_air.cylinder(mark)
    }

    fn finding(&self, rule: Rule, effect: Effect) -> Finding {
        let subject = Subject::Gear(self.record.subject, self.number());
        let severity = match effect {
            Effect::Note => Severity::Minor,
            Effect::Limit(_) | Effect::Unproven => Severity::Major,
            Effect::NotReady => Severity::Restrictive,
        };
        match self.rule() {
            Some(of) => Finding::cited(rule, severity, effect, subject, &of.cited),
            None => Finding::own(rule, severity, effect, subject),
        }
    }

    fn effect(&self, rule: RuleEffect) -> Effect {
        let id = LineId(self.number());
        self.facts.effect(rule, &id, &BTreeSet::new())
    }

    fn dates(&self, found: &mut Vec<Finding>, overdue: &mut Vec<Overdue>) {
        let policy = &self.facts.county.policy.free_air;
        let Some((dates, standing)) = self.aboard.dates.zip(self.aboard.standing) else {
            let finding = self.finding(Rule::CylinderNotDated, Effect::Note);
            found.push(finding.needing(Action::Requalify, None));
            return;
        };
        match standing {
            CylinderStanding::LifeOver => {
                let last = dates.life_ends.unwrap_or(self.facts.day);
                let effect = self.effect(policy.life_over);
                overdue.push(self.overdue(last, &effect));
                let finding = self.finding(Rule::CylinderLifeOver, effect);
                found.push(finding.measured(Measure::Date(last)));
            }
            CylinderStanding::Overdue => {
                let last = dates.requalify_by.unwrap_or(self.facts.day);
                let effect = self.effect(policy.overdue);
                overdue.push(self.overdue(last, &effect));
                let finding = self.finding(Rule::CylinderOverdue, effect);
                let finding = finding.measured(Measure::Date(last));
                found.push(finding.needing(Action::Requalify, None));
            }
            CylinderStanding::InDate => {
                let next = [dates.requalify_by, dates.life_ends]
                    .into_iter()
                    .flatten()
                    .min();
                let soon = Duration::days(i64::from(policy.soon_days));
                let near = |last: &NaiveDate| last.signed_duration_since(self.facts.day) <= soon;
                if let Some(last) = next.filter(near) {
                    let finding = self.finding(Rule::CylinderDueSoon, Effect::Note);
                    let finding = finding.measured(Measure::Date(last));
                    found.push(finding.needing(Action::Requalify, None));
                }
            }
        }
    }

    fn overdue(&self, last: NaiveDate, effect: &Effect) -> Overdue {
        Overdue {
            craft: self.facts.record.subject,
            number: self.facts.number_of(self.facts.record.subject),
            inspection: LineId::from(REQUALIFICATION),
            label: self.number(),
            due: Some(last),
            days_over: Some(self.facts.day.signed_duration_since(last).num_days()),
            engine_s_over: None,
            effect: effect.clone(),
        }
    }

    fn charge(&self, found: &mut Vec<Finding>) {
        if self.aboard.known == AirSource::NotKnown || self.aboard.cylinder.is_none() {
            let events = self.record.charge.iter().map(|side| side.origin.event);
            let drawn = self.record.drawn.iter().map(|origin| origin.event);
            let finding = self
                .finding(Rule::CylinderNotRead, Effect::Note)
                .evidence(events.chain(drawn))
                .needing(Action::ReadCylinder(self.record.subject), None);
            found.push(finding);
        }
        let service = self.aboard.registered.cylinder.service_kpa;
        let Some((cylinder, service_kpa)) = self.aboard.cylinder.zip(service) else {
            return;
        };
        let policy = &self.facts.county.policy.free_air;
        let least = of_pressure(u64::from(service_kpa) * 1000, policy.least_charge_ppm);
        let least = i64::try_from(least).unwrap_or(i64::MAX);
        let marked = Air {
            temperature_mc: MARKED_AT_MC,
            ..cylinder.read_in
        };
        let shown = match self.aboard.read_at_known_temperature {
            true => cylinder.gauge_in_pa(marked),
            false => cylinder.gauge_pa,
        };
        if shown >= least {
            return;
        }
        let cited = Cited {
            basis: crate::answer::Basis::Agency,
            source: "29 CFR 1910.134(h)(3)(i)(B) for breathing air, from memory; for others by \
                     agency policy"
                .to_owned(),
        };
        let subject = Subject::Gear(self.record.subject, self.number());
        let effect = self.effect(policy.low_charge);
        let may_fill = self
            .aboard
            .standing
            .is_none_or(CylinderStanding::may_be_filled);
        let action = if may_fill {
            Action::Recharge
        } else {
            Action::Requalify
        };
        let finding = Finding::cited(Rule::CylinderLow, Severity::Minor, effect, subject, &cited)
            .measured(Measure::GaugePa(shown))
            .at_least(Measure::GaugePa(least))
            .evidence(trusted(&self.record.charge).map(|side| side.origin.event))
            .needing(action, None);
        found.push(finding);
    }
}
