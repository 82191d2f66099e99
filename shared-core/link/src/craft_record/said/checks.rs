//! Checks and faults: readings beside what the sheet wants, counts, answers, faults with their place.

use sponson_proto::event::v1 as wire;
use sponson_readiness::standard::Standard;
use sponson_show::clean;
use sponson_show::units::print;

use super::{Said, Words, date, line_words, list, part, part_words, seconds};

pub(super) fn check(it: &wire::Check, words: &Words<'_>) -> Said {
    let sheet = words.sheet(&it.standard);
    let extent = match it.extent() {
        wire::CheckExtent::Full => "Full check",
        wire::CheckExtent::Short => "Short check",
        wire::CheckExtent::Part => "Part of a check",
        wire::CheckExtent::Unspecified => "Check",
    };
    let noes = it.answers.iter();
    let noes = noes
        .filter(|answer| answer.value() == wire::AnswerValue::No)
        .count();
    let parts = [
        (it.readings.len(), "reading"),
        (it.counts.len(), "count"),
        (it.answers.len(), "answer"),
        (it.faults.len(), "fault"),
    ];
    let mut told: Vec<String> = parts
        .iter()
        .filter(|(number, _)| *number > 0)
        .map(|(number, noun)| print::count(i64::try_from(*number).unwrap_or(i64::MAX), noun))
        .collect();
    if noes > 0 {
        told.push(format!("{noes} 'no'"));
    }
    let what = match told.as_slice() {
        [] => extent.to_owned(),
        told => format!("{extent}: {}", told.join(", ")),
    };
    Said::new(what)
        .with("checked by member", &it.checked_by)
        .with("kept", stowage(it.stowage()))
        .with_all(it.readings.iter().map(|one| reading(one, sheet, words)))
        .with_all(it.answers.iter().map(|one| answer(one, sheet)))
        .with_all(it.counts.iter().map(|one| count(one, sheet, words)))
        .with_all(it.meters.iter().map(|one| meter(one, words)))
        .with_all(it.fuel.iter().map(|one| fuel(one, words)))
        .with_all(it.cylinders.iter().map(|one| cylinder(one, words)))
        .with_all(it.seals.iter().map(|one| seal(one, words)))
        .with_all(aboard(it, words))
        .with_all(numbered(&it.faults, sheet, words))
}

const fn stowage(stowage: wire::Stowage) -> &'static str {
    match stowage {
        wire::Stowage::Unspecified => "",
        wire::Stowage::Rigged => "rigged",
        wire::Stowage::Inflated => "inflated",
        wire::Stowage::Rolled => "rolled up",
    }
}

/// A reading, what it was taken in, and what the sheet wants of the part.
fn reading(it: &wire::Reading, sheet: Option<&Standard>, words: &Words<'_>) -> (String, String) {
    let moment = match it.moment() {
        wire::ReadingMoment::AsFound => ", as found",
        wire::ReadingMoment::AsLeft => ", as left",
        wire::ReadingMoment::Unspecified => "",
    };
    let mut value = words.pressure(it.gauge_pa);
    let rule = part(sheet, &it.part).and_then(|part| part.pressure.as_ref());
    if let Some(rule) = rule {
        let (low, high) = (words.pressure(rule.low_pa), words.pressure(rule.high_pa));
        value.push_str(&format!(" (the sheet: {low} to {high})"));
    }
    if !it.gauge.is_empty() {
        value.push_str(&format!(", gauge {}", words.name(&it.gauge)));
    }
    if let Some(air) = it.air_mc {
        value.push_str(&format!(", air {}", words.temperature(air)));
    }
    if let Some(stood) = it.stood_s {
        value.push_str(&format!(", stood in it {}", seconds(stood)));
    }
    if let Some(fabric) = it.fabric_mc {
        value.push_str(&format!(", fabric {}", words.temperature(fabric)));
    }
    if let Some(ambient) = it.ambient_pa {
        value.push_str(&format!(", barometer {}", print::altimeter(ambient.into())));
    }
    if let Some(elevation) = it.elevation_mm {
        value.push_str(&format!(
            ", at {}",
            print::elevation(elevation, words.units)
        ));
    }
    if let Some(since) = it.since_inflating_s {
        value.push_str(&format!(", {} after inflating", seconds(since)));
    }
    match it.intercommunication() {
        wire::ValveState::Unspecified => {}
        wire::ValveState::Shut => value.push_str(", valves shut"),
        wire::ValveState::Open => value.push_str(", valves open"),
    }
    if it.affirmed {
        value.push_str(", asked back and stood by");
    }
    (format!("{}{moment}", part_words(sheet, &it.part)), value)
}

fn answer(it: &wire::Answer, sheet: Option<&Standard>) -> (String, String) {
    let value = match it.value() {
        wire::AnswerValue::Unspecified => "not answered",
        wire::AnswerValue::Yes => "yes",
        wire::AnswerValue::No => "NO",
        wire::AnswerValue::NotApplicable => match it.not_applicable() {
            wire::NotApplicableReason::Unspecified => "not applicable",
            wire::NotApplicableReason::NotFitted => "not fitted",
            wire::NotApplicableReason::CouldNotLook => "could not look",
            wire::NotApplicableReason::NotUsedHere => "not used here",
        },
    };
    (line_words(sheet, &it.line), value.to_owned())
}

/// A count: all, those of no use, dates and serials.
pub(super) fn count(
    it: &wire::ItemCount,
    sheet: Option<&Standard>,
    words: &Words<'_>,
) -> (String, String) {
    let mut value = it.count.to_string();
    if it.unserviceable > 0 {
        value.push_str(&format!(", {} not serviceable", it.unserviceable));
    }
    for lot in &it.lots {
        let said = [
            ("until", date(lot.expires)),
            ("made", date(lot.made)),
            ("batch", clean(&lot.batch)),
            ("serial", clean(&lot.serial)),
        ];
        let said: Vec<String> = said
            .iter()
            .filter(|(_, value)| !value.is_empty())
            .map(|(name, value)| format!("{name} {value}"))
            .collect();
        let stood_by = if lot.affirmed { ", stood by" } else { "" };
        value.push_str(&format!(
            "; {} of them {}{stood_by}",
            lot.count,
            said.join(", ")
        ));
    }
    let item = line_words(sheet, &it.item);
    if it.bag.is_empty() {
        (item, value)
    } else {
        (format!("{item}, in {}", words.name(&it.bag)), value)
    }
}

pub(super) fn meter(it: &wire::MeterReading, words: &Words<'_>) -> (String, String) {
    let whose = if it.subject.is_empty() {
        "engine meter".to_owned()
    } else {
        format!("engine meter of {}", words.name(&it.subject))
    };
    (whose, print::engine(it.engine_s))
}

fn fuel(it: &wire::FuelAboard, words: &Words<'_>) -> (String, String) {
    let mut value = print::volume(it.amount_ml.into(), words.units);
    if it.mix_ratio > 0 {
        value.push_str(&format!(", mixed {}:1", it.mix_ratio));
    }
    let filled = date(it.filled);
    if !filled.is_empty() {
        value.push_str(&format!(", filled {filled}"));
    }
    if it.tank.is_empty() {
        ("fuel".to_owned(), value)
    } else {
        (format!("fuel in {}", words.name(&it.tank)), value)
    }
}

fn cylinder(it: &wire::CylinderReading, words: &Words<'_>) -> (String, String) {
    let gauge = words.pressure(i64::from(it.gauge_kpa) * 1_000);
    let at = it.temperature_mc;
    let at = at.map_or_else(String::new, |mc| format!(" at {}", words.temperature(mc)));
    (
        format!("cylinder {}", words.name(&it.subject)),
        format!("{gauge}{at}"),
    )
}

fn seal(it: &wire::BagSeal, words: &Words<'_>) -> (String, String) {
    let number = match clean(&it.seal) {
        none if none.is_empty() => "broken or gone".to_owned(),
        number => format!("number {number}"),
    };
    let earliest = date(it.earliest);
    let earliest = match earliest.as_str() {
        "" => String::new(),
        date => format!(", earliest date {date}"),
    };
    (
        format!("seal of {}", words.name(&it.bag)),
        format!("{number}{earliest}"),
    )
}

fn aboard(it: &wire::Check, words: &Words<'_>) -> Option<(String, String)> {
    let seen: Vec<String> = it.found.iter().map(|it| words.name(&it.subject)).collect();
    (!seen.is_empty()).then(|| ("seen aboard".to_owned(), seen.join(", ")))
}

/// Faults that were found outside of a check.
pub(super) fn faults(found: &[wire::FaultFound], words: &Words<'_>) -> Said {
    let sheet = words.newest();
    let first = found.first().map(|fault| one_fault(fault, sheet, words));
    let what = match (first, found.len()) {
        (None, _) => "Fault".to_owned(),
        (Some(first), 1) => format!("Fault: {first}"),
        (Some(first), number) => format!("{number} faults: {first}, and more"),
    };
    Said::new(what).with_all(numbered(found, sheet, words))
}

fn numbered<'a>(
    found: &'a [wire::FaultFound],
    sheet: Option<&'a Standard>,
    words: &'a Words<'_>,
) -> impl Iterator<Item = (String, String)> + 'a {
    let numbered = found.iter().enumerate();
    numbered
        .map(move |(ordinal, fault)| (format!("fault {ordinal}"), one_fault(fault, sheet, words)))
}

/// A fault: how bad, what, where, and what it rules out.
fn one_fault(fault: &wire::FaultFound, sheet: Option<&Standard>, words: &Words<'_>) -> String {
    let severity = match fault.severity() {
        wire::Severity::Unspecified => "not rated",
        wire::Severity::Disabling => "disabling",
        wire::Severity::Restrictive => "restrictive",
        wire::Severity::Major => "major",
        wire::Severity::Minor => "minor",
    };
    let mut said = format!(
        "{severity}, {} at {}",
        clean(&fault.class.replace('-', " ")),
        part_words(sheet, &fault.part)
    );
    let place = fault.place.map(|it| place(it, words)).unwrap_or_default();
    if !place.is_empty() {
        said.push_str(&format!(", {place}"));
    }
    if !fault.gear.is_empty() {
        said.push_str(&format!(", on {}", words.name(&fault.gear)));
    }
    if !fault.missions.is_empty() {
        said.push_str(&format!("; rules out {}", list(&fault.missions)));
    }
    said
}

pub(super) fn place(place: wire::PartPlace, words: &Words<'_>) -> String {
    let side = match place.side() {
        wire::Side::Unspecified => "",
        wire::Side::Port => "port",
        wire::Side::Starboard => "starboard",
        wire::Side::Centre => "centre",
    };
    let face = match place.face() {
        wire::Face::Unspecified => "",
        wire::Face::Top => "top",
        wire::Face::Bottom => "bottom",
        wire::Face::Inboard => "inboard",
        wire::Face::Outboard => "outboard",
    };
    let along = place.from_transom_mm.map_or_else(String::new, |mm| {
        format!("{} from the transom", print::length(mm, words.units))
    });
    let said: Vec<&str> = [side, along.as_str(), face]
        .into_iter()
        .filter(|word| !word.is_empty())
        .collect();
    said.join(", ")
}
