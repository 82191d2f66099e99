//! Repairs at one place that did not hold.

use crate::event::LeadAction;
use crate::history::FaultPast;
use crate::moment::Moment;
use crate::standard::{RecurringPolicy, WhatToDo};

use super::super::again::Life;
use super::super::sliced::{Seen, count};
use super::super::watched::Watched;
use super::{About, Met, Proposal, Setting, proposed, rule};

const DAY_MS: i64 = 86_400_000;

pub(super) fn proposals(seen: &Seen<'_>, policy: &RecurringPolicy) -> Vec<Proposal> {
    let of_one_place = seen
        .lives
        .chunk_by(|one, other| one.on == other.on && one.place == other.place);
    of_one_place
        .filter_map(|lives| of_place(seen, lives, &policy.what_to_do))
        .collect()
}

/// `lives` are all repairs at one place.
fn of_place(seen: &Seen<'_>, lives: &[Life<'_>], rules: &WhatToDo) -> Option<Proposal> {
    let first = lives.first()?;
    let unit = seen.units.iter().find(|unit| unit.id == first.on)?;
    if !unit.is_there {
        return None;
    }
    let again: Vec<&FaultPast> = lives
        .iter()
        .flat_map(|life| &life.failed)
        .map(|placed| placed.fault)
        .collect();
    let failed: Vec<&FaultPast> = lives
        .iter()
        .filter_map(|life| life.failed.first())
        .map(|placed| placed.fault)
        .collect();
    let met = met(seen.until, &again, &failed, rules);
    let about = About::Place {
        on: first.on,
        place: first.place.clone(),
    };
    proposed(about, met, there(unit, first))
}

/// Everything that failed at a place.
fn there<'a>(unit: &Watched<'a>, life: &Life<'_>) -> Vec<&'a FaultPast> {
    let faults = unit.faults.iter();
    let at_place = faults.filter(|placed| placed.place == life.place);
    at_place.map(|placed| placed.fault).collect()
}

/// `again` are the faults found after a repair, `failed` the first of each repair.
fn met(until: Moment, again: &[&FaultPast], failed: &[&FaultPast], rules: &WhatToDo) -> Vec<Met> {
    let is_open = |fault: &&&FaultPast| fault.over.is_none();
    let since = |days: u32| until.plus_ms(-i64::from(days) * DAY_MS);
    let within = |days: u32| failed.iter().filter(move |fault| fault.found > since(days));
    let mut met = Vec::new();
    let mut add = |action, setting, measured, limit: u32, within_days| {
        if measured >= limit {
            let rule = super::RuleMet {
                within_days,
                ..rule(setting, u64::from(measured), u64::from(limit))
            };
            met.push(Met { action, rule });
        }
    };
    if again.iter().any(|fault| is_open(&fault)) {
        let (all, after) = (count(failed.len()), rules.repair_again_after);
        add(
            LeadAction::RepairAgain,
            Setting::RepairAgainAfter,
            all,
            after,
            None,
        );
    }
    let maker = rules.maker_within_days;
    let measured = count(within(maker).count());
    add(
        LeadAction::SendToMaker,
        Setting::MakerAfter,
        measured,
        rules.maker_after,
        Some(maker),
    );
    let is_bad = |fault: &&FaultPast| fault.severity <= rules.take_out_severity;
    if again.iter().any(|fault| is_open(&fault) && is_bad(fault)) {
        let days = rules.take_out_within_days;
        let measured = count(within(days).filter(|fault| is_bad(fault)).count());
        add(
            LeadAction::TakeOut,
            Setting::TakeOutAfter,
            measured,
            rules.take_out_after,
            Some(days),
        );
    }
    let days = rules.condemn_within_days;
    let measured = count(within(days).count());
    add(
        LeadAction::Condemn,
        Setting::CondemnAfter,
        measured,
        rules.condemn_after,
        Some(days),
    );
    met
}
