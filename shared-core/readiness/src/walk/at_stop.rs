//! What is looked at at one stop, in order.

use super::stops::{MOTOR, Planned};
use super::{Aboard, GearAboard, WalkLine, Wanted};
use crate::event::GearKind;
use crate::ids::{LineId, PartId, SubjectId};
use crate::standard::{Also, Item, Part, Standard};

/// The lines of one stop.
pub(super) fn lines(standard: &Standard, aboard: &Aboard, stop: &Planned) -> Vec<WalkLine> {
    let mut lines = Vec::new();
    for also in [Also::Air, Also::Stowage] {
        if stop.also.contains(&also) {
            of_also(standard, aboard, also, &mut lines);
        }
    }
    for part in &stop.parts {
        of_part(standard, aboard, part, &mut lines);
    }
    for also in [Also::Meter, Also::Fuel] {
        if stop.also.contains(&also) {
            of_also(standard, aboard, also, &mut lines);
        }
    }
    for line in &stop.lines {
        of_line(standard, aboard, line, &mut lines);
    }
    for also in [Also::Gear, Also::Faults] {
        if stop.also.contains(&also) {
            of_also(standard, aboard, also, &mut lines);
        }
    }
    lines
}

fn of_also(standard: &Standard, aboard: &Aboard, also: Also, lines: &mut Vec<WalkLine>) {
    let holds_air = standard.parts.iter().any(|part| part.pressure.is_some());
    match also {
        Also::Air if holds_air => lines.extend([
            WalkLine::Air,
            WalkLine::Stood,
            WalkLine::Gauge,
            WalkLine::Ambient,
        ]),
        Also::Stowage if holds_air || standard.rig_minutes.is_some() => {
            lines.push(WalkLine::Stowage);
        }
        Also::Meter => meters(standard, aboard, lines),
        Also::Fuel => fuel(standard, aboard, lines),
        Also::Gear => gear(standard, aboard, lines),
        Also::Faults => lines.push(WalkLine::Faults),
        Also::Air | Also::Stowage | Also::Kit | Also::Bags => {}
    }
}

/// What is fitted as a part, and its gauge.
fn of_part(standard: &Standard, aboard: &Aboard, id: &PartId, lines: &mut Vec<WalkLine>) {
    let Some(part) = standard.parts.iter().find(|part| part.id == *id) else {
        return;
    };
    let fitted = aboard
        .gear
        .iter()
        .filter(|gear| serves(standard, gear) == Some(id));
    lines.extend(fitted.map(seen));
    if let Some(rule) = &part.pressure {
        lines.push(WalkLine::Reading {
            part: id.clone(),
            wanted: Wanted {
                low_pa: rule.low_pa,
                nominal_pa: rule.nominal_pa,
                high_pa: rule.high_pa,
            },
            valves: is_joined(standard, part),
        });
    }
}

fn is_joined(standard: &Standard, part: &Part) -> bool {
    let mut others = standard.parts.iter();
    !part.joined_to.is_empty() || others.any(|other| other.joined_to.contains(&part.id))
}

fn seen(gear: &GearAboard) -> WalkLine {
    WalkLine::Aboard {
        gear: gear.id,
        part: gear.part.clone(),
    }
}

/// The part of the sheet that gear stands for: the one that it is fitted as, else that of its sort.
fn serves<'a>(standard: &'a Standard, gear: &GearAboard) -> Option<&'a PartId> {
    let by_sort = match gear.kind {
        GearKind::Motor => Some(MOTOR),
        GearKind::Trailer => Some(super::stops::TRAILER),
        GearKind::FuelTank
        | GearKind::FuelLine
        | GearKind::Cylinder
        | GearKind::InflatableFloor
        | GearKind::Pump
        | GearKind::Gauge
        | GearKind::Radio
        | GearKind::Battery
        | GearKind::BreathingSet => None,
    };
    let known = |word: &str| standard.parts.iter().find(|part| part.id.as_str() == word);
    let fitted = gear.part.as_ref().and_then(|part| known(part.as_str()));
    let part = fitted.or_else(|| by_sort.and_then(known));
    part.map(|part| &part.id)
}

fn is_fuel(gear: &GearAboard) -> bool {
    matches!(gear.kind, GearKind::FuelTank | GearKind::FuelLine)
}

/// The meter of each motor; the craft's own where none is numbered and the sheet has a motor.
fn meters(standard: &Standard, aboard: &Aboard, lines: &mut Vec<WalkLine>) {
    let motors: Vec<SubjectId> = of_kind(aboard, GearKind::Motor);
    let has_motor = standard.parts.iter().any(|part| part.id.as_str() == MOTOR);
    if motors.is_empty() && has_motor {
        lines.push(WalkLine::Meter { motor: None });
    }
    let each = motors.into_iter().map(Some);
    lines.extend(each.map(|motor| WalkLine::Meter { motor }));
}

/// Each numbered tank, then lines; the craft's own tank where none is numbered and the sheet asks
/// for fuel.
fn fuel(standard: &Standard, aboard: &Aboard, lines: &mut Vec<WalkLine>) {
    let here = |gear: &&GearAboard| is_fuel(gear) && serves(standard, gear).is_none();
    lines.extend(aboard.gear.iter().filter(here).map(seen));
    let tanks = of_kind(aboard, GearKind::FuelTank);
    if tanks.is_empty() && standard.fuel.is_some() {
        lines.push(WalkLine::Fuel { tank: None });
    }
    let each = tanks.into_iter().map(Some);
    lines.extend(each.map(|tank| WalkLine::Fuel { tank }));
}

fn of_kind(aboard: &Aboard, kind: GearKind) -> Vec<SubjectId> {
    let gear = aboard.gear.iter().filter(|gear| gear.kind == kind);
    gear.map(|gear| gear.id).collect()
}

/// Numbered gear that neither a part nor the fuel stands for, and the gauge of cylinders.
fn gear(standard: &Standard, aboard: &Aboard, lines: &mut Vec<WalkLine>) {
    let loose = |gear: &&GearAboard| serves(standard, gear).is_none() && !is_fuel(gear);
    for gear in aboard.gear.iter().filter(loose) {
        lines.push(seen(gear));
    }
    let holds_air =
        |gear: &&GearAboard| matches!(gear.kind, GearKind::Cylinder | GearKind::BreathingSet);
    let cylinders = aboard.gear.iter().filter(holds_air);
    lines.extend(cylinders.map(|gear| WalkLine::Cylinder { gear: gear.id }));
}

/// A question, or an item that is counted on the craft itself.
fn of_line(standard: &Standard, aboard: &Aboard, id: &LineId, lines: &mut Vec<WalkLine>) {
    let question = standard.questions.iter().find(|line| line.id == *id);
    let item = standard.items.iter().find(|line| line.id == *id);
    if let Some(question) = question {
        lines.push(WalkLine::Answer {
            line: id.clone(),
            part: question.part.clone(),
        });
    }
    if let Some(item) = item.filter(|item| is_asked(standard, item) && on_craft(aboard, id)) {
        lines.push(count(item, None));
    }
}

/// Whether the craft is long enough for an item, as far as its sheet says.
pub(super) fn is_asked(standard: &Standard, item: &Item) -> bool {
    let length = standard.length_mm.zip(item.from_length_mm);
    length.is_none_or(|(length_mm, from_mm)| length_mm >= from_mm)
}

fn on_craft(aboard: &Aboard, item: &LineId) -> bool {
    let in_bag = aboard.bags.iter().any(|bag| bag.items.contains(item));
    !in_bag || aboard.on_craft.contains(item)
}

/// The line that counts an item.
pub(super) fn count(item: &Item, bag: Option<SubjectId>) -> WalkLine {
    let special = item.count_for.values().copied().max().unwrap_or(0);
    WalkLine::Count {
        item: item.id.clone(),
        bag,
        wanted: item.count.max(special),
        dated: item.dated.is_some(),
    }
}
