//! What fails apart from the rest, or is getting worse, without any other rule being met.

use std::collections::BTreeSet;

use crate::event::LeadAction;
use crate::ids::FaultId;
use crate::standard::RecurringPolicy;

use super::super::Grouping;
use super::super::group::GroupKey;
use super::super::judged::{Figured, looked_at};
use super::super::sliced::Seen;
use super::super::trend::TrendSaid;
use super::held::{about, faults};
use super::{Met, Proposal, Setting, proposed, rule};

/// Narrow before wide: a place that fails on one craft is not told again as its craft and its model.
const LOOKED: [Grouping; 6] = [
    Grouping::CraftPlace,
    Grouping::Place,
    Grouping::Craft,
    Grouping::Gear,
    Grouping::Batch,
    Grouping::Model,
];

pub(super) fn add(proposals: &mut Vec<Proposal>, seen: &Seen<'_>, policy: &RecurringPolicy) {
    for grouping in LOOKED {
        let mut found: Vec<Proposal> = looked_at(seen, grouping, policy)
            .0
            .iter()
            .filter(|group| is_there(seen, &group.draft.key))
            .filter_map(|group| watched(group, policy))
            .collect();
        found.retain(|one| !is_covered(one, proposals));
        proposals.extend(found);
    }
}

/// Whether what it is about has not ended.
fn is_there(seen: &Seen<'_>, key: &GroupKey) -> bool {
    let of = match key {
        GroupKey::Craft(of) | GroupKey::Gear(of) | GroupKey::CraftPlace { craft: of, .. } => of,
        GroupKey::Place { .. }
        | GroupKey::Class { .. }
        | GroupKey::Fabric(_)
        | GroupKey::Batch { .. }
        | GroupKey::Method(_)
        | GroupKey::GlueBatch(_)
        | GroupKey::Station(_)
        | GroupKey::Model { .. } => return true,
    };
    seen.units
        .iter()
        .any(|unit| unit.id == *of && unit.is_there)
}

fn watched(group: &Figured<'_>, policy: &RecurringPolicy) -> Option<Proposal> {
    let mut met = Vec::new();
    let mut add = |setting, measured: u32, limit: u32| {
        met.push(Met {
            action: LeadAction::Watch,
            rule: rule(setting, u64::from(measured), u64::from(limit)),
        });
    };
    if group.trend.said == TrendSaid::Worse {
        add(Setting::GettingWorse, group.p_worse_ppm, policy.trend_ppm);
    }
    if let Some(times) = group.times.filter(|_| group.said.is_apart_above()) {
        add(
            Setting::Apart,
            times.p_adjusted_ppm,
            policy.false_alarms_ppm,
        );
    }
    proposed(about(&group.draft.key)?, met, faults(&group.draft.own))
}

/// Whether half of its faults or more stand under one proposal already.
fn is_covered(one: &Proposal, proposals: &[Proposal]) -> bool {
    proposals.iter().any(|other| {
        let there: BTreeSet<&FaultId> = other.evidence.iter().collect();
        let shared = one.evidence.iter().filter(|id| there.contains(id)).count();
        shared * 2 >= one.evidence.len()
    })
}
