//! What is wrong with a check file, said beside the field in which it was typed.

use super::{Fields, Group, of_group};
use crate::check_file::{CheckFileError, STAND_BY_DATES, STAND_BY_READING};
use crate::under_way::fields::{
    CountField, FaultField, FieldName, FuelField, ReadingField, SealField,
};

/// The field of a group that an error is about; none when nothing of the group is typed.
pub(super) fn blamed(group: &Group, fields: &Fields, error: &CheckFileError) -> Option<FieldName> {
    let typed = of_group(fields, group);
    let place = place(error);
    let named = typed.iter().find(|(name, _)| {
        let ending = ending(name);
        !ending.is_empty() && place.ends_with(ending)
    });
    let main = typed.iter().find(|(name, _)| ending(name).is_empty());
    let found = named.or(main).or(typed.first());
    found.map(|(name, _)| (*name).clone())
}

/// The place that an error names.
fn place(error: &CheckFileError) -> &str {
    match error {
        CheckFileError::Value { place, .. } | CheckFileError::Name { place, .. } => place,
        CheckFileError::Quantity(said) => said.split_once(": ").map_or("", |(place, _)| place),
        CheckFileError::Unreadable(_) | CheckFileError::OtherCraft { .. } => "",
    }
}

/// How the place of a field ends; empty for the main one of its group.
fn ending(name: &FieldName) -> &'static str {
    match name {
        FieldName::Reading(_, field) => match field {
            ReadingField::Found => ".found",
            ReadingField::Left => ".left",
            ReadingField::Fabric => ".fabric",
            ReadingField::Since => ".since_inflating",
            ReadingField::Valves => ".valves",
            ReadingField::AddedBy => ".added_by",
            ReadingField::Affirmed => ".affirmed",
        },
        FieldName::Count(_, _, field) => match field {
            CountField::Count => "",
            CountField::Bad => ".unserviceable",
            CountField::Dates => ".dates",
            CountField::Affirmed => ".affirmed",
        },
        FieldName::Seal(_, SealField::Earliest) => ".earliest",
        FieldName::Fuel(_, FuelField::Filled) => ".filled",
        FieldName::Fuel(_, FuelField::Mix) => ".mix",
        FieldName::Fault(_, field) => match field {
            FaultField::Part => ".part",
            FaultField::Class => ".class",
            FaultField::Severity => ".severity",
            FaultField::Side => ".side",
            FaultField::FromTransom => ".from_transom",
            FaultField::Face => ".face",
            FaultField::Missions => ".missions",
            FaultField::Gear => ".gear",
            FaultField::Note => ".note",
        },
        FieldName::AnswerNote(_) => ".note",
        FieldName::FaultPicture(..) => ".picture",
        FieldName::Seal(_, SealField::Number)
        | FieldName::Fuel(_, FuelField::Amount)
        | FieldName::Answer(_)
        | FieldName::Meter(_)
        | FieldName::Cylinder(_)
        | FieldName::Aboard(_)
        | FieldName::Picture(_)
        | FieldName::Affirmed(_)
        | FieldName::Air
        | FieldName::Stood
        | FieldName::Gauge
        | FieldName::Ambient
        | FieldName::Elevation
        | FieldName::Stowage
        | FieldName::Observed
        | FieldName::ObservedBy
        | FieldName::Note => "",
    }
}

/// The words of an error without its place, which stands beside them, and without how a file or a
/// line of text stands by it.
pub(super) fn said(error: &CheckFileError) -> String {
    let said = match error {
        CheckFileError::Value { value, limit, .. } => format!("that is {value}; {limit}"),
        CheckFileError::Name { what, .. } => what.clone(),
        CheckFileError::Quantity(said) => {
            let rest = said.split_once(": ").map(|(_, rest)| rest);
            rest.unwrap_or(said).to_owned()
        }
        CheckFileError::Unreadable(_) | CheckFileError::OtherCraft { .. } => error.to_string(),
    };
    said.replace(STAND_BY_READING, "")
        .replace(STAND_BY_DATES, "")
}

/// The field that lets an unlikely value stand.
pub(super) fn stand_by(field: &FieldName, error: &CheckFileError) -> Option<FieldName> {
    let CheckFileError::Value { limit, .. } = error else {
        return None;
    };
    if !limit.contains(STAND_BY_READING) && !limit.contains(STAND_BY_DATES) {
        return None;
    }
    if let FieldName::Reading(part, _) = field {
        return Some(FieldName::Reading(part.clone(), ReadingField::Affirmed));
    }
    let FieldName::Count(item, bag, _) = field else {
        return None;
    };
    let affirmed = CountField::Affirmed;
    Some(FieldName::Count(item.clone(), bag.clone(), affirmed))
}
