//! Life jackets for those who come home, beyond those that the crew wear: for the fullest trip.

use std::collections::BTreeMap;

use crate::answer::{Action, Effect, Finding, Limit, Measure, Rule, Subject};
use crate::engine::facts::Facts;
use crate::engine::kit::{JacketsAboard, Stores};
use crate::engine::verdict;
use crate::event::Severity;
use crate::load::{Fit, Group, Jacket, Need, Packed, Short, Size, Trip, short_of};
use crate::standard::CrewJackets;

/// What lacks in the trip that lacks most of it, by whom it has to fit; a finding for each.
pub(super) fn check(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    groups: &[Group],
    packed: &Packed,
    found: &mut Vec<Finding>,
) -> Vec<Short> {
    let aboard = stores.jackets(facts);
    let lacking = |count: &dyn Fn(&JacketsAboard<'_>) -> u32| {
        let labels = aboard.iter().map(|one| Jacket {
            wearer: one.wearer,
            count: count(one),
        });
        let labels: Vec<Jacket> = labels.collect();
        worst_trip(facts, groups, packed, &labels)
    };
    // What nobody counted may be enough for everybody: that it is not, is only not known.
    let sure = lacking(&|one| one.have.unwrap_or(u32::MAX));
    let at_worst = lacking(&|one| one.at_worst);
    for (sure, at_worst) in sure.iter().zip(&at_worst) {
        if sure.short > 0 {
            found.push(lacks(facts, &aboard, sure));
        } else if at_worst.short > 0 && !facts.freshness.says_it_all() {
            let finding = lacks(facts, &aboard, at_worst);
            let effect = verdict::not_known(finding.effect.clone());
            found.push(Finding { effect, ..finding });
        }
    }
    at_worst
}

/// By whom it has to fit: the most that any one trip needs, and the most that any one lacks.
fn worst_trip(
    facts: &Facts<'_>,
    groups: &[Group],
    packed: &Packed,
    labels: &[Jacket],
) -> Vec<Short> {
    let mut worst: BTreeMap<Fit, Short> = BTreeMap::new();
    for trip in &packed.trips {
        let crew = Need {
            fit: Fit::Anybody(Size::Adult),
            count: match facts.standard.load.crew_jackets {
                CrewJackets::Counted => facts.crew(),
                CrewJackets::Own => 0,
            },
        };
        let needs: Vec<Need> = [crew].into_iter().chain(needs(groups, trip)).collect();
        let short = short_of(&needs, labels, &facts.county.policy.load.sizes);
        for one in short.into_iter().skip(1) {
            let most = worst.entry(one.fit).or_insert(one);
            most.need = most.need.max(one.need);
            most.short = most.short.max(one.short);
        }
    }
    worst.into_values().collect()
}

/// Whom the jackets of one trip have to fit: by weight where it was given, else by size.
fn needs(groups: &[Group], trip: &Trip) -> Vec<Need> {
    let mut needs: BTreeMap<Fit, u32> = BTreeMap::new();
    for (group, count) in groups.iter().zip(&trip.aboard) {
        let fit = match group.party.mass_g {
            Some(mass_g) => Fit::Mass(mass_g),
            None => Fit::Anybody(group.party.size),
        };
        *needs.entry(fit).or_default() += count;
    }
    let needs = needs.into_iter().filter(|(_, count)| *count > 0);
    needs.map(|(fit, count)| Need { fit, count }).collect()
}

/// By the line of the sheet that serves them; where it has none, jackets that fit are to be brought.
fn lacks(facts: &Facts<'_>, aboard: &[JacketsAboard<'_>], short: &Short) -> Finding {
    let sizes = &facts.county.policy.load.sizes;
    let fits = |one: &&JacketsAboard<'_>| match short.fit {
        Fit::Mass(mass_g) => one.wearer.fits(mass_g),
        Fit::Anybody(size) => one.wearer.fits_all(sizes.of(size)),
    };
    let finding = match aboard.iter().find(fits).map(|one| one.item) {
        Some(item) => {
            let effect = facts.effect(item.short, &item.id, &item.missions);
            let subject = Subject::Line(item.id.clone(), item.label.clone());
            Finding::cited(
                Rule::JacketShort,
                item.severity,
                effect,
                subject,
                &item.cited,
            )
            .needing(Action::Bring(item.id.clone(), short.short), None)
        }
        None => Finding::own(
            Rule::JacketShort,
            Severity::Restrictive,
            Effect::Limit(Limit::Jackets),
            Subject::Craft,
        )
        .needing(Action::AskLead, None),
    };
    finding
        .measured(Measure::Count(short.need - short.short))
        .at_least(Measure::Count(short.need))
}
