//! Names of fields and of lines: the same in forms, in the journal of a check and at the terminal.

use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::walk::{Stop, WalkLine};

use super::Round;

/// The name of a line, which its fields begin with; none for what is no line of fields.
pub(super) fn line(round: &Round<'_>, line: &WalkLine) -> String {
    match line {
        WalkLine::Air => "air".to_owned(),
        WalkLine::Stood => "stood".to_owned(),
        WalkLine::Gauge => "gauge".to_owned(),
        WalkLine::Ambient => "ambient".to_owned(),
        WalkLine::Stowage => "stowage".to_owned(),
        WalkLine::Reading { part, .. } => format!("reading.{}", part.as_str()),
        WalkLine::Answer { line, .. } => format!("answer.{}", line.as_str()),
        WalkLine::Seal { bag } => format!("seal.{}", number(round, *bag)),
        WalkLine::Count { item, bag, .. } => count(round, item, *bag),
        WalkLine::Fuel { tank } => format!("fuel.{}", or_craft(round, *tank)),
        WalkLine::Meter { motor } => format!("meter.{}", or_craft(round, *motor)),
        WalkLine::Cylinder { gear } => format!("cylinder.{}", number(round, *gear)),
        WalkLine::Aboard { gear, .. } => format!("aboard.{}", number(round, *gear)),
        WalkLine::Faults => "faults".to_owned(),
    }
}

fn count(round: &Round<'_>, item: &LineId, bag: Option<SubjectId>) -> String {
    match bag {
        Some(bag) => format!("count.{}@{}", item.as_str(), number(round, bag)),
        None => format!("count.{}", item.as_str()),
    }
}

/// The number of a thing; its id where nobody knows its number.
pub(super) fn number(round: &Round<'_>, id: SubjectId) -> String {
    let known = round.names.get(&id);
    known.map_or_else(|| id.to_string(), Clone::clone)
}

fn or_craft(round: &Round<'_>, id: Option<SubjectId>) -> String {
    id.map_or_else(|| "craft".to_owned(), |id| number(round, id))
}

/// The fields of which one says that a line was looked at.
pub(super) fn proving(name: &str, line: &WalkLine) -> Vec<String> {
    let of = |ends: &[&str]| ends.iter().map(|end| format!("{name}.{end}")).collect();
    match line {
        WalkLine::Reading { .. } => of(&["found", "left"]),
        WalkLine::Seal { .. } => of(&["number"]),
        WalkLine::Count { .. } => of(&["count"]),
        WalkLine::Fuel { .. } => of(&["amount"]),
        WalkLine::Ambient => vec!["ambient".to_owned(), "elevation".to_owned()],
        WalkLine::Air
        | WalkLine::Stood
        | WalkLine::Gauge
        | WalkLine::Stowage
        | WalkLine::Answer { .. }
        | WalkLine::Meter { .. }
        | WalkLine::Cylinder { .. }
        | WalkLine::Aboard { .. }
        | WalkLine::Faults => vec![name.to_owned()],
    }
}

/// The line that a field is of: `reading.tube-1` for `reading.tube-1.found`.
#[must_use]
pub fn line_of_field(field: &str) -> &str {
    const ENDS: [(&str, &[&str]); 5] = [
        (
            "reading.",
            &[
                "found", "left", "fabric", "valves", "since", "added-by", "affirmed",
            ],
        ),
        ("answer.", &["note"]),
        ("count.", &["count", "bad", "dates", "affirmed"]),
        ("seal.", &["number", "earliest"]),
        ("fuel.", &["amount", "filled", "mix"]),
    ];
    if let Some(rest) = field.strip_prefix("affirmed.") {
        return line_of_field(rest);
    }
    if let Some(rest) = field.strip_prefix("fault.") {
        let number = rest.split('.').next().unwrap_or(rest);
        return &field[.."fault.".len() + number.len()];
    }
    if field == "elevation" {
        return "ambient";
    }
    let cut = |end: &str| field.strip_suffix(end)?.strip_suffix('.');
    let ends = ENDS.iter().find(|(begin, _)| field.starts_with(begin));
    let ends = ends.map_or(&[][..], |(_, ends)| ends);
    let line = ends.iter().find_map(|end| cut(end));
    line.unwrap_or(field)
}

/// Fields of a stop that have a value, by name.
pub(super) fn fields_of_stop<'a>(round: &Round<'a>, stop: &Stop) -> Vec<(&'a str, &'a str)> {
    let lines: Vec<String> = stop.lines.iter().map(|one| line(round, one)).collect();
    let has_faults = stop.lines.contains(&WalkLine::Faults);
    let here = |field: &str| {
        (has_faults && field.starts_with("fault."))
            || lines.iter().any(|line| line == line_of_field(field))
    };
    let all = round.fields.iter().filter(|(field, _)| here(field));
    all.map(|(field, entry)| (field.as_str(), entry.text.as_str()))
        .collect()
}

/// A name as an id of the markup: a name may hold what an id may not.
pub(super) fn id(begin: &str, name: &str) -> String {
    use std::fmt::Write as _;
    let mut id = format!("{begin}-");
    for letter in name.chars() {
        if letter.is_ascii_alphanumeric() || letter == '-' || letter == '.' {
            id.push(letter);
        } else {
            // Writing to a String cannot fail.
            let _ = write!(id, "_{:x}_", u32::from(letter));
        }
    }
    id
}
