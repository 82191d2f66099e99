//! Air that was added between the gauge as found and as left: an event of its own between the two,
//! or a weekly top-up hides a leak for ever.

use std::collections::BTreeSet;

use sponson_proto::event::v1::{
    AirChanged, AirDirection, AirSource, Check, CheckExtent, Reading, ReadingMoment,
};
use sponson_show::clean;
use sponson_show::units;

use crate::catalogue::Catalogue;
use crate::under_way::fields::{FieldName, ReadingField};
use crate::under_way::form::{Fields, Problem};
use crate::under_way::typed::{self, Bare};

/// What air can be added by, as it is typed.
pub const SOURCES: [(&str, AirSource); 6] = [
    ("hand pump", AirSource::HandPump),
    ("foot pump", AirSource::FootPump),
    ("electric pump", AirSource::ElectricPump),
    ("cylinder", AirSource::Cylinder),
    ("breathing set", AirSource::BreathingSet),
    ("compressor", AirSource::Compressor),
];

/// Reads what air was added by.
///
/// # Errors
/// Says what it can be.
pub(in crate::under_way) fn air_source(text: &str) -> Result<AirSource, String> {
    let typed = text.trim().to_lowercase().replace('-', " ");
    let found = SOURCES.iter().find(|(word, _)| *word == typed);
    found.map(|(_, source)| *source).ok_or_else(|| {
        let words = SOURCES.map(|(word, _)| word).join(", ");
        format!("'{}' is none of {words}", clean(text))
    })
}

/// Parts to which air was added, by what.
fn sources(fields: &Fields) -> impl Iterator<Item = (&String, AirSource)> {
    fields.iter().filter_map(|(name, value)| {
        let FieldName::Reading(part, ReadingField::AddedBy) = name else {
            return None;
        };
        Some((part, air_source(value).ok()?))
    })
}

/// What does not go together with added air.
pub(super) fn problems(fields: &Fields, catalogue: &Catalogue) -> Vec<Problem> {
    let units = catalogue.policy().units;
    let mut problems = Vec::new();
    for (part, _) in sources(fields) {
        let of = |field| FieldName::Reading(part.clone(), field);
        let gauge = |field| {
            let text = typed::quantity(fields.get(&of(field))?, Bare::Pressure, units);
            units::gauge("gauge", &text, None).ok().map(|gauge| gauge.0)
        };
        let (found, left) = (gauge(ReadingField::Found), gauge(ReadingField::Left));
        let (field, why) = match (found, left) {
            (None, _) => (
                ReadingField::Found,
                "air was added: type what the gauge showed before",
            ),
            (_, None) => (
                ReadingField::Left,
                "air was added: type what the gauge shows now",
            ),
            (Some(found), Some(left)) if left < found => (
                ReadingField::Left,
                "air was added, and the gauge is lower than before: correct one of them",
            ),
            (Some(_), Some(_)) => continue,
        };
        problems.push(Problem {
            field: of(field),
            why: why.to_owned(),
            stand_by: None,
        });
    }
    problems
}

/// Air added to parts, with the gauge before and after as it stands in the check.
pub(super) fn added(fields: &Fields, check: &Check) -> Vec<AirChanged> {
    let added = sources(fields).filter_map(|(part, source)| {
        let reading = |moment| {
            let mut readings = check.readings.iter();
            readings.find(|reading| reading.part == *part && reading.moment() == moment)
        };
        let found = reading(ReadingMoment::AsFound)?;
        let left = reading(ReadingMoment::AsLeft)?;
        Some(AirChanged {
            part: part.clone(),
            direction: AirDirection::Added as i32,
            source: source as i32,
            gauge_before_pa: Some(found.gauge_pa),
            gauge_after_pa: Some(left.gauge_pa),
            air_mc: left.air_mc,
            ..AirChanged::default()
        })
    });
    added.collect()
}

/// Takes the gauge as found at these parts out of a check, as a check that goes before the air.
pub(super) fn found_first(check: &mut Check, parts: &BTreeSet<String>) -> Check {
    let before = |reading: &Reading| {
        reading.moment() == ReadingMoment::AsFound && parts.contains(&reading.part)
    };
    let readings = std::mem::take(&mut check.readings);
    let (found, rest) = readings.into_iter().partition(before);
    check.readings = rest;
    Check {
        extent: CheckExtent::Part as i32,
        standard: check.standard.clone(),
        readings: found,
        checked_by: check.checked_by.clone(),
        ..Check::default()
    }
}
