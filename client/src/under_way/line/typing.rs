//! One typed line as the fields that it fills. Fields of the line that it does not name are taken
//! out: what is typed again stands for all of it.

use super::{Fills, Line};
use crate::under_way::fields::{
    CountField, FaultField, FieldName, FuelField, ReadingField, SealField,
};

/// Fields with what was typed for each; empty ones are taken out.
///
/// # Errors
/// Says how to type it.
pub(crate) fn typed(
    line: &Line,
    text: &str,
    fault: u32,
) -> Result<Vec<(FieldName, String)>, String> {
    let text = text.trim();
    let said: Vec<(FieldName, String)> = match &line.fills {
        Fills::One(name, _) => vec![(name.clone(), text.to_owned())],
        Fills::Reading(part) => reading(text)
            .into_iter()
            .map(|(field, value)| (FieldName::Reading(part.clone(), field), value))
            .collect(),
        Fills::Answer(line) => {
            let (word, note) = text.split_once(':').unwrap_or((text, ""));
            vec![
                (FieldName::Answer(line.clone()), word.trim().to_owned()),
                (FieldName::AnswerNote(line.clone()), note.trim().to_owned()),
            ]
        }
        Fills::Count(item, bag) => {
            let of = |field| FieldName::Count(item.clone(), bag.clone(), field);
            let (count, bad) = text.split_once("bad").unwrap_or((text, ""));
            vec![
                (of(CountField::Count), count.trim().to_owned()),
                (of(CountField::Bad), bad.trim().to_owned()),
            ]
        }
        Fills::Dates(item, bag) => {
            let of = |field| FieldName::Count(item.clone(), bag.clone(), field);
            let (dates, affirmed) = stood_by(text);
            vec![
                (of(CountField::Dates), dates.to_owned()),
                (of(CountField::Affirmed), affirmed),
            ]
        }
        Fills::Seal(bag) => {
            let of = |field| FieldName::Seal(bag.clone(), field);
            let (number, earliest) = text.split_once(',').unwrap_or((text, ""));
            vec![
                (of(SealField::Number), number.trim().to_owned()),
                (of(SealField::Earliest), earliest.trim().to_owned()),
            ]
        }
        Fills::Fuel(tank) => fuel(text)
            .into_iter()
            .map(|(field, value)| (FieldName::Fuel(tank.clone(), field), value))
            .collect(),
        Fills::Faults => self::fault(text)?
            .into_iter()
            .map(|(field, value)| (FieldName::Fault(fault, field), value))
            .collect(),
    };
    let of_line = line.names(fault).into_iter();
    let all = of_line.map(|name| {
        let value = said.iter().find(|(said, _)| *said == name);
        let value = value.map(|(_, value)| value.clone()).unwrap_or_default();
        (name, value)
    });
    Ok(all.collect())
}

/// A text without an `!` at its end, and `yes` when there was one.
fn stood_by(text: &str) -> (&str, String) {
    match text.strip_suffix('!') {
        Some(text) => (text.trim_end(), "yes".to_owned()),
        None => (text, String::new()),
    }
}

/// `3.4 left 3.6 by foot pump valves shut since 20 min fabric 40 F !`
fn reading(text: &str) -> Vec<(ReadingField, String)> {
    let (text, affirmed) = stood_by(text);
    let mut said: Vec<(ReadingField, String)> = vec![(ReadingField::Found, String::new())];
    for word in text.split_whitespace() {
        let word = word.trim_end_matches(',');
        let field = match word.to_lowercase().as_str() {
            "found" => Some(ReadingField::Found),
            "left" => Some(ReadingField::Left),
            "by" => Some(ReadingField::AddedBy),
            "valves" => Some(ReadingField::Valves),
            "since" => Some(ReadingField::Since),
            "fabric" => Some(ReadingField::Fabric),
            _ => None,
        };
        match (field, said.last_mut()) {
            (Some(field), _) => said.push((field, String::new())),
            (None, Some((_, value))) => {
                if !value.is_empty() {
                    value.push(' ');
                }
                value.push_str(word);
            }
            (None, None) => {}
        }
    }
    said.push((ReadingField::Affirmed, affirmed));
    // `found` written out comes after the empty one that stands first.
    said.retain(|(_, value)| !value.is_empty());
    said
}

/// `5.5 gal, filled 3/27, mix 50:1`
fn fuel(text: &str) -> Vec<(FuelField, String)> {
    let pieces = text
        .split([',', ';'])
        .map(str::trim)
        .filter(|piece| !piece.is_empty());
    let said = pieces.map(|piece| {
        let (first, rest) = piece.split_once(char::is_whitespace).unwrap_or((piece, ""));
        match first.to_lowercase().as_str() {
            "filled" => (FuelField::Filled, rest.trim().to_owned()),
            "mix" => (FuelField::Mix, rest.trim().to_owned()),
            _ => (FuelField::Amount, piece.to_owned()),
        }
    });
    said.collect()
}

/// `tube-2 leak major port 40 cm top on M3: hisses`
fn fault(text: &str) -> Result<Vec<(FaultField, String)>, String> {
    let (text, note) = text.split_once(':').unwrap_or((text, ""));
    let mut words = text.split_whitespace();
    let (Some(part), Some(class), Some(severity)) = (words.next(), words.next(), words.next())
    else {
        return Err("type three words, for example tube-2 leak major".to_owned());
    };
    let mut said = vec![
        (FaultField::Part, part.to_owned()),
        (FaultField::Class, class.to_owned()),
        (FaultField::Severity, severity.to_lowercase()),
        (FaultField::Note, note.trim().to_owned()),
    ];
    let mut from_transom: Vec<&str> = Vec::new();
    while let Some(word) = words.next() {
        let lower = word.to_lowercase();
        match lower.as_str() {
            "port" | "starboard" | "centre" => said.push((FaultField::Side, lower)),
            "top" | "bottom" | "inboard" | "outboard" => said.push((FaultField::Face, lower)),
            "on" => said.extend(words.next().map(|gear| (FaultField::Gear, gear.to_owned()))),
            _ => from_transom.push(word),
        }
    }
    said.push((FaultField::FromTransom, from_transom.join(" ")));
    Ok(said)
}
