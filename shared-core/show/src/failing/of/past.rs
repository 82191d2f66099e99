//! Faults and repairs as they happened, and which repairs held.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::history::{FaultPast, RepairPast};
use sponson_readiness::ids::{EventId, SubjectId};
use sponson_readiness::keeps_failing::{Again, Grouping, Proposal};

use super::Scope;
use crate::clean::clean;
use crate::failing::figure::Number;
use crate::failing::names::severity;
use crate::failing::{AgainSaid, FaultSaid, RepairSaid};
use crate::sentence::words_of;

const DAY_S: u64 = 86_400;

/// Every fault that was counted, or that something to do rests on: the newest first.
pub(super) fn faults(scope: &Scope<'_>, proposals: &[&Proposal]) -> Vec<FaultSaid> {
    let again = scope.again();
    let mut wanted = scope.counted();
    wanted.extend(proposals.iter().flat_map(|it| it.evidence.iter().copied()));
    let all = scope.past.history.faults();
    let all = all.into_iter().rev();
    all.filter(|fault| wanted.contains(&fault.id))
        .filter(|fault| scope.craft.is_none_or(|id| fault.craft == Some(id)))
        .map(|fault| said(fault, again.get(&fault.id).copied(), scope))
        .collect()
}

fn said(fault: &FaultPast, again: Option<&Again>, scope: &Scope<'_>) -> FaultSaid {
    let past = scope.past;
    let station = fault.station.map(|id| past.ctx.station(id));
    let on = fault.craft.or(fault.gear);
    FaultSaid {
        fault: fault.id,
        craft: fault.craft,
        number: on.map(|id| past.number(id)).unwrap_or_default(),
        gear: fault.gear.map(|id| past.thing(id)).unwrap_or_default(),
        part: fault.part.clone(),
        on_part: fault.place,
        place: past.spot(&fault.part, fault.place, fault.craft),
        class: words_of(&fault.class),
        severity: severity(fault.severity),
        found: fault.found,
        station: station.unwrap_or_default(),
        member: clean(&fault.by.member),
        repairs: fault.repairs.clone(),
        over: fault.over.map(|(at, _)| at),
        again: again.map(|again| AgainSaid {
            repair: again.repair,
            days: Number::whole(again.after_s / DAY_S),
            text: format!(
                "again: the repair before it held {}",
                days_text(&Number::whole(again.after_s / DAY_S))
            ),
        }),
    }
}

/// Repairs of faults that were counted, the newest first. By method or glue: every repair.
pub(super) fn repairs(scope: &Scope<'_>) -> Vec<RepairSaid> {
    let counted = scope.counted();
    let every = matches!(
        scope.found.asked.grouping,
        Grouping::Method | Grouping::GlueBatch
    );
    let not_held = not_held(scope);
    let mut seen = BTreeSet::new();
    let mut all: Vec<RepairSaid> = on_each(scope)
        .filter(|(_, repair)| every || repair.faults.iter().any(|it| counted.contains(it)))
        .filter(|(_, repair)| seen.insert(repair.event))
        .map(|(on, repair)| repaired(on, repair, not_held.get(&repair.event).copied(), scope))
        .filter(|one| scope.craft.is_none_or(|id| one.craft == Some(id)))
        .collect();
    all.sort_by_key(|one| std::cmp::Reverse((one.at, one.repair)));
    all
}

/// Repairs with the craft or gear that they were done on.
fn on_each<'a>(scope: &'a Scope<'_>) -> impl Iterator<Item = (SubjectId, &'a RepairPast)> {
    let history = scope.past.history;
    let crafts = history.crafts.values();
    let crafts = crafts.flat_map(|craft| craft.repairs.iter().map(|it| (craft.id, it)));
    let gear = history.gear.values();
    let gear = gear.flat_map(|gear| gear.repairs.iter().map(|it| (gear.id, it)));
    crafts.chain(gear)
}

/// The first time that each repair did not hold.
fn not_held<'a>(scope: &'a Scope<'_>) -> BTreeMap<EventId, &'a Again> {
    let mut first: BTreeMap<EventId, &Again> = BTreeMap::new();
    for again in scope.again().into_values() {
        let known = first.entry(again.repair).or_insert(again);
        if again.after_s < known.after_s {
            *known = again;
        }
    }
    first
}

fn repaired(
    on: SubjectId,
    repair: &RepairPast,
    again: Option<&Again>,
    scope: &Scope<'_>,
) -> RepairSaid {
    let past = scope.past;
    let craft = past.history.crafts.get(&on);
    let until = craft.and_then(|craft| craft.ended);
    let until = until.unwrap_or(past.history.until);
    let so_far = u64::try_from(until.since(repair.at).max(0)).unwrap_or_default() / 1_000;
    let days = Number::whole(again.map_or(so_far, |again| again.after_s) / DAY_S);
    let (held, text) = match again {
        Some(_) => (
            "did_not_hold",
            format!("did not hold: failed again after {}", days_text(&days)),
        ),
        None => ("held", format!("has held for {} so far", days_text(&days))),
    };
    RepairSaid {
        repair: repair.event,
        at: repair.at,
        craft: craft.map(|_| on),
        number: past.thing(on),
        part: past.part(&repair.part, craft.map(|craft| &craft.model)),
        method: match repair.method.is_empty() {
            true => "not said how".to_owned(),
            false => words_of(&repair.method),
        },
        glue_batch: clean(&repair.glue_batch),
        member: clean(&repair.by.member),
        faults: repair.faults.clone(),
        held,
        days,
        text,
    }
}

/// Whole days: `less than a day`, `1 day`, `41 days`.
fn days_text(days: &Number) -> String {
    match days.as_str() {
        "0" => "less than a day".to_owned(),
        "1" => "1 day".to_owned(),
        days => format!("{days} days"),
    }
}
