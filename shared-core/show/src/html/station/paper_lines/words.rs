//! Words of a line on paper: what is looked at, and how it should be.

use std::collections::BTreeMap;

use sponson_readiness::ids::{LineId, MissionId, SubjectId};
use sponson_readiness::standard::{MassUnit, Standard, TemperatureUnit, Units};
use sponson_readiness::walk::{StopLabel, WalkLine, Wanted};

use super::PaperSource;
use crate::clean::clean;
use crate::units::print;

/// What a stop is called.
#[must_use]
pub fn stop_words(label: &StopLabel) -> String {
    match label {
        StopLabel::Sheet(words) => clean(words),
        StopLabel::Arriving => "On arriving".to_owned(),
        StopLabel::Round => "Round the craft".to_owned(),
        StopLabel::Motor => "Motor and fuel".to_owned(),
        StopLabel::Trailer => "Trailer".to_owned(),
        StopLabel::Kit => "Kit on the craft".to_owned(),
        StopLabel::Bag(number) => format!("Kit bag {}", clean(number)),
        StopLabel::Rest => "Anything else".to_owned(),
        StopLabel::Faults => "Faults found".to_owned(),
    }
}

/// What is looked at.
pub(super) fn of_line(line: &WalkLine, source: &PaperSource<'_>) -> String {
    let numbered = |id: SubjectId| clean(&source.number_of(id));
    match line {
        WalkLine::Air => "Air round the craft".to_owned(),
        WalkLine::Stood => "Stood in that air for".to_owned(),
        WalkLine::Gauge => "Gauge used".to_owned(),
        WalkLine::Ambient => "Pressure of the air".to_owned(),
        WalkLine::Stowage => "Kept".to_owned(),
        WalkLine::Reading { part, .. } => part_words(part.as_str(), source.standard),
        WalkLine::Answer { line, .. } => question_words(line, source.standard),
        WalkLine::Seal { bag } => format!("Bag {}: seal and tag", numbered(*bag)),
        WalkLine::Count { item, .. } => item_words(item, source.standard),
        WalkLine::Fuel { tank: None } => "Fuel".to_owned(),
        WalkLine::Fuel { tank: Some(tank) } => format!("Fuel in tank {}", numbered(*tank)),
        WalkLine::Meter { motor: None } => "Engine meter".to_owned(),
        WalkLine::Meter { motor: Some(motor) } => format!("Meter of motor {}", numbered(*motor)),
        WalkLine::Cylinder { gear } => format!("Cylinder {}", numbered(*gear)),
        WalkLine::Aboard { gear, part: None } => format!("{} is aboard", numbered(*gear)),
        WalkLine::Aboard {
            gear,
            part: Some(part),
        } => {
            let part = part_words(part.as_str(), source.standard);
            format!("{part}: {} is fitted", numbered(*gear))
        }
        WalkLine::Faults => "Faults found".to_owned(),
    }
}

/// How it should be; empty where nothing is said.
pub(super) fn wanted(line: &WalkLine, source: &PaperSource<'_>) -> String {
    match line {
        WalkLine::Reading { wanted, .. } => reading_wanted(*wanted, source.units),
        WalkLine::Count { item, wanted, .. } => count_wanted(item, *wanted, source.standard),
        WalkLine::Fuel { .. } => fuel_wanted(source),
        WalkLine::Seal { .. } => {
            "broken, missing or another number: count the whole bag".to_owned()
        }
        WalkLine::Air
        | WalkLine::Stood
        | WalkLine::Gauge
        | WalkLine::Ambient
        | WalkLine::Stowage
        | WalkLine::Answer { .. }
        | WalkLine::Meter { .. }
        | WalkLine::Cylinder { .. }
        | WalkLine::Aboard { .. }
        | WalkLine::Faults => String::new(),
    }
}

/// Unit in which air is read.
pub(super) const fn temperature_unit(units: Units) -> &'static str {
    match units.temperature {
        TemperatureUnit::F => "°F",
        TemperatureUnit::C => "°C",
    }
}

/// Unit in which fuel is read.
pub(super) const fn fuel_unit(units: Units) -> &'static str {
    match units.mass {
        MassUnit::Lb => "gal",
        MassUnit::Kg => "L",
    }
}

fn reading_wanted(wanted: Wanted, units: Units) -> String {
    let shown = |pa| print::pressure_number(pa, units);
    let (low, high) = (shown(wanted.low_pa), shown(wanted.high_pa));
    format!("{low} to {high} {}", print::pressure_unit(units))
}

/// The sheet's own count where every mission has it, else also that of each mission that has another.
fn count_wanted(item: &LineId, wanted: u32, standard: &Standard) -> String {
    let Some(item) = standard.items.iter().find(|one| one.id == *item) else {
        return wanted.to_string();
    };
    let of_missions = by_mission(&item.count_for, u32::to_string);
    let named = item.missions.iter();
    let only: Vec<String> = named
        .filter(|id| !item.count_for.contains_key(*id))
        .map(mission)
        .collect();
    let base = match (item.count, only.as_slice()) {
        (0, _) if of_missions.is_empty() => return "none asked for".to_owned(),
        (0, _) => String::new(),
        (count, []) if item.missions.is_empty() => count.to_string(),
        (_, []) => String::new(),
        (count, only) => format!("{count} for {}", only.join(", ")),
    };
    let both: Vec<String> = [base, of_missions]
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect();
    both.join("; ")
}

fn fuel_wanted(source: &PaperSource<'_>) -> String {
    let Some(rule) = &source.standard.fuel else {
        return String::new();
    };
    let volume = |ml: &u32| print::volume(u64::from(*ml), source.units);
    let least = volume(&rule.least_ml);
    let of_missions = by_mission(&rule.least_for_ml, volume);
    let gap = if of_missions.is_empty() { "" } else { "; " };
    format!("at least {least}{gap}{of_missions}")
}

/// `8 for Flood evacuation; 5 for Medical transport`, those of one amount together.
fn by_mission<T: PartialEq>(
    amounts: &BTreeMap<MissionId, T>,
    shown: impl Fn(&T) -> String,
) -> String {
    let mut told: Vec<(&T, Vec<String>)> = Vec::new();
    for (id, amount) in amounts {
        let named = mission(id);
        match told.iter_mut().find(|(one, _)| *one == amount) {
            Some((_, names)) => names.push(named),
            None => told.push((amount, vec![named])),
        }
    }
    let told = told.iter();
    let words = told.map(|(amount, names)| format!("{} for {}", shown(amount), names.join(", ")));
    words.collect::<Vec<_>>().join("; ")
}

/// A mission by its short name: there is no room for more.
fn mission(id: &MissionId) -> String {
    crate::sentence::words_of(id.as_str())
}

fn part_words(id: &str, standard: &Standard) -> String {
    let part = standard.parts.iter().find(|part| part.id.as_str() == id);
    first_large(&part.map_or_else(|| id.to_owned(), |part| clean(&part.label)))
}

fn question_words(id: &LineId, standard: &Standard) -> String {
    let question = standard.questions.iter().find(|one| one.id == *id);
    first_large(&question.map_or_else(|| id.to_string(), |one| clean(&one.label)))
}

fn item_words(id: &LineId, standard: &Standard) -> String {
    let item = standard.items.iter().find(|one| one.id == *id);
    first_large(&item.map_or_else(|| id.to_string(), |one| clean(&one.label)))
}

fn first_large(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
