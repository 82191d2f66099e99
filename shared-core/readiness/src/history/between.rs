//! What one subject tells of another, put together once all are told.

use std::collections::BTreeMap;

use super::History;
use super::craft::FaultPast;
use super::placed::holds_at;
use crate::event::GearKind;
use crate::ids::{EventId, FaultId, SubjectId};
use crate::moment::Moment;

/// What became of a fault.
#[derive(Default)]
struct Became {
    repairs: Vec<EventId>,
    over: Option<(Moment, EventId)>,
}

/// A fault of gear stands with the craft and with the gear; what became of it is told of both.
pub(super) fn told_of_both(history: &mut History) {
    let mut known: BTreeMap<FaultId, Became> = BTreeMap::new();
    let faults = all_faults(history);
    for fault in faults.into_iter().filter(|it| it.gear.is_some()) {
        let became = known.entry(fault.id).or_default();
        for repair in &fault.repairs {
            if !became.repairs.contains(repair) {
                became.repairs.push(*repair);
            }
        }
        became.over = match (became.over, fault.over) {
            (Some(one), Some(other)) => Some(one.min(other)),
            (one, other) => one.or(other),
        };
    }
    for fault in all_faults(history) {
        if let Some(became) = known.get(&fault.id) {
            fault.repairs.clone_from(&became.repairs);
            fault.over = became.over;
        }
    }
}

fn all_faults(history: &mut History) -> Vec<&mut FaultPast> {
    let of_crafts = history.crafts.values_mut().flat_map(|it| &mut it.faults);
    let of_gear = history.gear.values_mut().flat_map(|it| &mut it.faults);
    of_crafts.chain(of_gear).collect()
}

/// Says of each fault where the thing stood and what its meter showed.
pub(super) fn placed_and_metered(history: &mut History) {
    let stood: Vec<(Option<SubjectId>, Option<u64>)> = {
        let faults = history.crafts.values().flat_map(|it| &it.faults);
        let faults = faults.chain(history.gear.values().flat_map(|it| &it.faults));
        faults
            .map(|fault| (station(history, fault), engine_s(history, fault)))
            .collect()
    };
    for (fault, (station, engine_s)) in all_faults(history).into_iter().zip(stood) {
        fault.station = station;
        fault.engine_s = engine_s;
    }
}

fn station(history: &History, fault: &FaultPast) -> Option<SubjectId> {
    let craft = fault.craft.and_then(|id| history.crafts.get(&id));
    let gear = fault.gear.and_then(|id| history.gear.get(&id));
    let stood = craft.and_then(|it| holds_at(&it.stations, fault.found));
    let lay = || gear.and_then(|it| holds_at(&it.stations, fault.found));
    stood.or_else(lay).or(fault.by.station)
}

/// The newest value at or before the fault: of the gear that it is on, else of the craft's own meter,
/// else of the motor that was fitted.
fn engine_s(history: &History, fault: &FaultPast) -> Option<u64> {
    let at = fault.found;
    let of_gear = |id: SubjectId| {
        let gear = history.gear.get(&id)?;
        let read = gear.meters.iter().rev().find(|it| it.at <= at);
        read.map(|it| it.engine_s)
    };
    let craft = fault.craft.and_then(|id| history.crafts.get(&id));
    let own = || {
        let meters = craft?.meters.iter().rev();
        let mut own = meters.filter(|it| it.gear.is_none() && it.at <= at);
        own.next().map(|it| it.engine_s)
    };
    let motor = || {
        let mut fitted = craft?.fitted.iter().rev().filter(|it| {
            let kind = history.gear.get(&it.gear).map(|gear| gear.kind);
            let stayed = it.until.is_none_or(|until| at < until);
            kind == Some(GearKind::Motor) && it.from <= at && stayed
        });
        fitted.find_map(|it| of_gear(it.gear))
    };
    fault.gear.and_then(of_gear).or_else(own).or_else(motor)
}
