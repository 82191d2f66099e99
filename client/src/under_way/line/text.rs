//! What stands in the fields of a line, as the text that makes them again.

use super::{Fills, Line};
use crate::under_way::fields::{CountField, FieldName, FuelField, ReadingField, SealField};
use crate::under_way::form::Fields;

/// The text; empty when nothing was entered.
pub(crate) fn text(line: &Line, fields: &Fields) -> String {
    let get = |name: FieldName| fields.get(&name).cloned().unwrap_or_default();
    let with = |word: &str, value: String| {
        if value.is_empty() {
            value
        } else {
            format!("{word}{value}")
        }
    };
    let affirmed = |name: FieldName| if get(name) == "yes" { "!" } else { "" }.to_owned();
    let pieces = match &line.fills {
        Fills::One(name, _) => vec![get(name.clone())],
        Fills::Reading(part) => {
            let of = |field| FieldName::Reading(part.clone(), field);
            vec![
                get(of(ReadingField::Found)),
                with("left ", get(of(ReadingField::Left))),
                with("by ", get(of(ReadingField::AddedBy))),
                with("valves ", get(of(ReadingField::Valves))),
                with("since ", get(of(ReadingField::Since))),
                with("fabric ", get(of(ReadingField::Fabric))),
                affirmed(of(ReadingField::Affirmed)),
            ]
        }
        Fills::Answer(line) => {
            let word = get(FieldName::Answer(line.clone()));
            let note = with(": ", get(FieldName::AnswerNote(line.clone())));
            return word + &note;
        }
        Fills::Count(item, bag) => {
            let of = |field| FieldName::Count(item.clone(), bag.clone(), field);
            vec![
                get(of(CountField::Count)),
                with("bad ", get(of(CountField::Bad))),
            ]
        }
        Fills::Dates(item, bag) => {
            let of = |field| FieldName::Count(item.clone(), bag.clone(), field);
            vec![
                get(of(CountField::Dates)),
                affirmed(of(CountField::Affirmed)),
            ]
        }
        Fills::Seal(bag) => {
            let of = |field| FieldName::Seal(bag.clone(), field);
            let earliest = with(", ", get(of(SealField::Earliest)));
            return get(of(SealField::Number)) + &earliest;
        }
        Fills::Fuel(tank) => {
            let of = |field| FieldName::Fuel(tank.clone(), field);
            let filled = with(", filled ", get(of(FuelField::Filled)));
            let mix = with(", mix ", get(of(FuelField::Mix)));
            return get(of(FuelField::Amount)) + &filled + &mix;
        }
        // Each fault is typed anew.
        Fills::Faults => Vec::new(),
    };
    let pieces: Vec<String> = pieces
        .into_iter()
        .filter(|piece| !piece.is_empty())
        .collect();
    pieces.join(" ")
}
