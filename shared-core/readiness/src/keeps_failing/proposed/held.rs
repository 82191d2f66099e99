//! A maker's batch or a model that fails apart from the rest.

use std::collections::BTreeSet;

use crate::event::LeadAction;
use crate::ids::SubjectId;
use crate::recurrent;
use crate::standard::RecurringPolicy;

use super::super::Grouping;
use super::super::figures::{Times, ppm, share};
use super::super::group::GroupKey;
use super::super::judged::{Figured, looked_at, sums};
use super::super::sliced::{Seen, count};
use super::super::watched::Span;
use super::{About, Met, Proposal, RuleMet, Setting, proposed, rule};

pub(super) fn proposals(seen: &Seen<'_>, policy: &RecurringPolicy) -> Vec<Proposal> {
    let mut proposals = Vec::new();
    // Things of batches that are proposed.
    let mut held: BTreeSet<SubjectId> = BTreeSet::new();
    for batch in looked_at(seen, Grouping::Batch, policy).0 {
        if let Some(proposal) = proposal(&batch, policy) {
            held.extend(batch.draft.own.iter().map(|span| span.of));
            proposals.push(proposal);
        }
    }
    let models = looked_at(seen, Grouping::Model, policy).0;
    let apart = models
        .iter()
        .filter(|model| is_apart_without(model, &held, policy));
    proposals.extend(apart.filter_map(|model| proposal(model, policy)));
    proposals
}

fn proposal(group: &Figured<'_>, policy: &RecurringPolicy) -> Option<Proposal> {
    let rules = &policy.what_to_do;
    let is_apart = |times: &Times| times.p_adjusted_ppm <= rules.hold_apart_ppm;
    let times = group
        .times
        .filter(is_apart)
        .filter(|_| group.said.is_apart_above())?;
    let units = count(group.on().len());
    if group.faults < rules.hold_faults || units < rules.hold_units {
        return None;
    }
    let apart = rule(
        Setting::Apart,
        u64::from(times.p_adjusted_ppm),
        u64::from(rules.hold_apart_ppm),
    );
    let limit = u64::from(rules.hold_faults);
    let met = vec![Met {
        action: LeadAction::Hold,
        rule: RuleMet {
            units: Some((units, rules.hold_units)),
            ..rule(Setting::HoldFaults, u64::from(group.faults), limit)
        },
    }];
    let mut proposal = proposed(about(&group.draft.key)?, met, faults(&group.draft.own))?;
    proposal.also.push(Met {
        action: LeadAction::Watch,
        rule: apart,
    });
    Some(proposal)
}

pub(super) fn faults<'a>(spans: &[Span<'a>]) -> Vec<&'a crate::history::FaultPast> {
    let faults = spans.iter().flat_map(|span| &span.faults);
    faults.map(|(_, placed)| placed.fault).collect()
}

/// Whether a model still fails apart from the rest without the things in `held`.
fn is_apart_without(
    model: &Figured<'_>,
    held: &BTreeSet<SubjectId>,
    policy: &RecurringPolicy,
) -> bool {
    let rules = &policy.what_to_do;
    let own: Vec<Span<'_>> = model
        .draft
        .own
        .iter()
        .filter(|span| !held.contains(&span.of))
        .cloned()
        .collect();
    if own.len() == model.draft.own.len() {
        return true;
    }
    let level = share(policy.interval_ppm);
    let with_faults = own.iter().filter(|span| !span.faults.is_empty()).count();
    let enough = sums(&own).0 >= rules.hold_faults && count(with_faults) >= rules.hold_units;
    let compared = recurrent::compare(sums(&own), sums(&model.draft.rest), level);
    enough
        && compared.is_some_and(|one| {
            let is_above = one.ratio.is_none_or(|ratio| ratio > 1.0);
            is_above && ppm(one.p_two_sided) <= rules.hold_apart_ppm
        })
}

/// What a group is, as what a proposal is about; none for groups about which nothing is proposed.
pub(super) fn about(key: &GroupKey) -> Option<About> {
    match key {
        GroupKey::Craft(on) | GroupKey::Gear(on) => Some(About::Thing(*on)),
        GroupKey::CraftPlace { craft, place } => Some(About::Place {
            on: *craft,
            place: place.clone(),
        }),
        GroupKey::Place { model, place } => Some(About::ModelPlace {
            model: model.as_str().to_owned(),
            place: place.clone(),
        }),
        GroupKey::Batch { kind, model, batch } => Some(About::Batch {
            kind: *kind,
            model: model.clone(),
            batch: batch.clone(),
        }),
        GroupKey::Model { kind, model } => Some(About::Model {
            kind: *kind,
            model: model.clone(),
        }),
        GroupKey::Class { .. }
        | GroupKey::Fabric(_)
        | GroupKey::Method(_)
        | GroupKey::GlueBatch(_)
        | GroupKey::Station(_) => None,
    }
}
