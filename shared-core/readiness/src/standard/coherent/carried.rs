//! What must agree about signals, fuel, and what an item is worth nothing without.

use super::{Spot, cited, mission_effect, missions, no_mission_effect, text};
use crate::ids::LineId;
use crate::standard::{FUEL, FuelRule, Item, SIGNALS, Signals, Standard, StandardError};

/// Greatest number of units that one kind of signal may need: the published table asks for 3 at
/// most, and the least common multiple of all numbers to here, 27,720, stays small.
pub(in crate::standard) const SIGNAL_UNITS_MAX: u32 = 12;

/// Petrol to oil from 10:1, richer than any outboard takes, to 200:1.
const MIX: std::ops::RangeInclusive<u32> = 10..=200;

pub(super) fn check(standard: &Standard) -> Result<(), StandardError> {
    own_id(standard, SIGNALS, standard.signals.is_some())?;
    own_id(standard, FUEL, standard.fuel.is_some())?;
    if let Some(rule) = &standard.signals {
        signals(standard, rule)?;
    }
    standard
        .fuel
        .as_ref()
        .map_or(Ok(()), |rule| fuel(standard, rule))
}

/// A table of the sheet stands among its lines under its own name.
fn own_id(standard: &Standard, name: &str, is_there: bool) -> Result<(), StandardError> {
    let items = standard.items.iter().map(|line| &line.id);
    let inspections = standard.inspections.iter().map(|line| &line.id);
    let questions = standard.questions.iter().map(|line| &line.id);
    let mut lines = items.chain(inspections).chain(questions);
    if is_there && lines.any(|id| id.as_str() == name) {
        let spot = Spot {
            place: name,
            field: "id",
        };
        return Err(spot.refuse(name, "the table of this name has it: rename the line"));
    }
    Ok(())
}

fn signals(standard: &Standard, rule: &Signals) -> Result<(), StandardError> {
    let at = |field| Spot {
        place: SIGNALS,
        field,
    };
    text(at("label"), &rule.label)?;
    missions(standard, at("missions"), rule.missions.iter())?;
    mission_effect(at("day"), rule.day, &rule.missions)?;
    mission_effect(at("night"), rule.night, &rule.missions)?;
    if !standard.items.iter().any(|item| item.signal.is_some()) {
        let limit = "give at least one item a signal, or drop the table";
        return Err(at("signal").refuse("on no item", limit));
    }
    cited(SIGNALS, &rule.cited)
}

fn fuel(standard: &Standard, rule: &FuelRule) -> Result<(), StandardError> {
    let at = |field| Spot { place: FUEL, field };
    text(at("label"), &rule.label)?;
    missions(standard, at("least_for"), rule.least_for_ml.keys())?;
    no_mission_effect(at("short"), rule.short)?;
    if let Some(effect) = rule.unknown {
        no_mission_effect(at("unknown"), effect)?;
    }
    if let Some(mix) = rule.mix.filter(|mix| !MIX.contains(mix)) {
        let limit = "give petrol to oil from 10 to 200, or leave it out for unmixed";
        return Err(at("mix").refuse(&mix.to_string(), limit));
    }
    cited(FUEL, &rule.cited)
}

/// Whether another line is worth nothing without this one.
pub(super) fn is_wanted(standard: &Standard, id: &LineId) -> bool {
    let launches = |item: &Item| {
        let signal = item.signal.as_ref();
        signal.and_then(|signal| signal.launcher.as_ref()) == Some(id)
    };
    let mut items = standard.items.iter();
    items.any(|item| item.needs.contains(id) || launches(item))
}

pub(super) fn item(standard: &Standard, line: &Item) -> Result<(), StandardError> {
    let place = line.id.as_str();
    let at = |field| Spot { place, field };
    missions(standard, at("not_for"), line.not_for.iter())?;
    for other in &line.needs {
        another(standard, line, at("needs"), other)?;
    }
    if let Some(effect) = line.without {
        if line.needs.is_empty() {
            let limit = "only means something beside needs: name what it needs, or drop it";
            return Err(at("without").refuse("given", limit));
        }
        mission_effect(at("without"), effect, &line.missions)?;
    }
    let lists = [&line.fits.fabric, &line.fits.connector, &line.fits.motor];
    if lists
        .into_iter()
        .flatten()
        .any(|word| word.trim().is_empty())
    {
        return Err(at("fits").refuse("an empty word", "give words as registered, or none"));
    }
    let Some(signal) = &line.signal else {
        return Ok(());
    };
    if !(1..=SIGNAL_UNITS_MAX).contains(&signal.units) {
        let limit = "give from 1 to 12 units that do alone";
        return Err(at("signal units").refuse(&signal.units.to_string(), limit));
    }
    match &signal.launcher {
        Some(launcher) => another(standard, line, at("signal launcher"), launcher),
        None => Ok(()),
    }
}

fn another(
    standard: &Standard,
    line: &Item,
    spot: Spot<'_>,
    other: &LineId,
) -> Result<(), StandardError> {
    if *other == line.id || !standard.items.iter().any(|item| item.id == *other) {
        let limit = "must be the id of another item of this sheet: correct it or drop it";
        return Err(spot.refuse(other.as_str(), limit));
    }
    Ok(())
}
