//! A line of the walk as it is asked in words and answered in one line of text: what is asked, how
//! to type it, what was typed as fields, and fields as the text that makes them again.

mod text;
mod typing;

use sponson_readiness::standard::Standard;
use sponson_readiness::walk::{Walk, WalkLine};
use sponson_show::clean;
use sponson_show::sentence::stop_text;

use super::fields::{CountField, FaultField, FieldName, FuelField, ReadingField, SealField};
use super::form::Fields;
use crate::catalogue::Catalogue;

pub(crate) use text::text;
pub(crate) use typing::typed;

/// One line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Line {
    /// Where one stands.
    pub(crate) stop: String,
    /// What is asked.
    pub(crate) asked: String,
    /// What it fills.
    pub(crate) fills: Fills,
}

/// What a line fills.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Fills {
    /// One field, with how to type it.
    One(FieldName, &'static str),
    /// The gauge at a part.
    Reading(String),
    /// A question.
    Answer(String),
    /// A count.
    Count(String, Option<String>),
    /// The dates of what was counted.
    Dates(String, Option<String>),
    /// A bag's seal.
    Seal(String),
    /// A tank.
    Fuel(String),
    /// Faults, until nothing more is typed.
    Faults,
}

/// The lines of a walk.
pub(crate) fn lines(walk: &Walk, standard: &Standard, catalogue: &Catalogue) -> Vec<Line> {
    let mut lines = Vec::new();
    for stop in &walk.stops {
        let name = stop_text(&stop.label);
        for line in &stop.lines {
            let of_line = of_line(line, standard, catalogue);
            lines.extend(of_line.into_iter().map(|(asked, fills)| Line {
                stop: name.clone(),
                asked,
                fills,
            }));
        }
    }
    lines
}

fn one(asked: &str, name: FieldName, how: &'static str) -> (String, Fills) {
    (asked.to_owned(), Fills::One(name, how))
}

/// What holds for the whole check; how it is kept for any other line.
fn around(line: &WalkLine) -> (String, Fills) {
    match line {
        WalkLine::Air => one(
            "Air that the craft stood in",
            FieldName::Air,
            "for example 41 F",
        ),
        WalkLine::Stood => one(
            "For how long it has stood there",
            FieldName::Stood,
            "for example 10 h",
        ),
        WalkLine::Gauge => one("Number of the gauge", FieldName::Gauge, "for example G1"),
        WalkLine::Ambient => one(
            "Elevation of the place",
            FieldName::Elevation,
            "for example 820 ft",
        ),
        WalkLine::Stowage
        | WalkLine::Reading { .. }
        | WalkLine::Answer { .. }
        | WalkLine::Seal { .. }
        | WalkLine::Count { .. }
        | WalkLine::Fuel { .. }
        | WalkLine::Meter { .. }
        | WalkLine::Cylinder { .. }
        | WalkLine::Aboard { .. }
        | WalkLine::Faults => one(
            "How it is kept",
            FieldName::Stowage,
            "rigged, inflated or rolled",
        ),
    }
}

fn of_line(line: &WalkLine, standard: &Standard, catalogue: &Catalogue) -> Vec<(String, Fills)> {
    let number = |id: &sponson_readiness::ids::SubjectId| catalogue.number(id.as_bytes());
    let own = |id: Option<&sponson_readiness::ids::SubjectId>| {
        id.map_or_else(|| "craft".to_owned(), number)
    };
    match line {
        WalkLine::Air
        | WalkLine::Stood
        | WalkLine::Gauge
        | WalkLine::Ambient
        | WalkLine::Stowage => vec![around(line)],
        WalkLine::Reading { part, .. } => {
            let mut parts = standard.parts.iter();
            let label = parts
                .find(|known| known.id == *part)
                .map(|known| known.label.clone());
            let label = label.unwrap_or_else(|| part.to_string());
            vec![(
                format!("Gauge at {}", clean(&label)),
                Fills::Reading(part.to_string()),
            )]
        }
        WalkLine::Answer { line, .. } => {
            let mut lines = standard.questions.iter();
            let label = lines
                .find(|known| known.id == *line)
                .map(|known| known.label.clone());
            let label = label.unwrap_or_else(|| line.to_string());
            vec![(
                format!("{}?", clean(&label)),
                Fills::Answer(line.to_string()),
            )]
        }
        WalkLine::Seal { bag } => {
            let bag = number(bag);
            vec![(format!("Seal of bag {bag}"), Fills::Seal(bag))]
        }
        WalkLine::Count {
            item,
            bag,
            wanted,
            dated,
        } => {
            let mut items = standard.items.iter();
            let label = items
                .find(|known| known.id == *item)
                .map(|known| known.label.clone());
            let label = clean(&label.unwrap_or_else(|| item.to_string()));
            let (item, bag) = (item.to_string(), bag.as_ref().map(number));
            let asked = format!("How many: {label} (standard: {wanted})");
            let counted = (asked, Fills::Count(item.clone(), bag.clone()));
            let dates = (format!("Dates on them: {label}"), Fills::Dates(item, bag));
            std::iter::once(counted)
                .chain(dated.then_some(dates))
                .collect()
        }
        WalkLine::Fuel { tank } => {
            let tank = own(tank.as_ref());
            let asked = if tank == "craft" {
                "Fuel".to_owned()
            } else {
                format!("Fuel in {tank}")
            };
            vec![(asked, Fills::Fuel(tank))]
        }
        WalkLine::Meter { motor } => {
            let motor = own(motor.as_ref());
            vec![one(
                &format!("Meter of {motor}"),
                FieldName::Meter(motor),
                "for example 112.4 h",
            )]
        }
        WalkLine::Cylinder { gear } => {
            let gear = number(gear);
            vec![one(
                &format!("Gauge of cylinder {gear}"),
                FieldName::Cylinder(gear),
                "for example 4200 psi",
            )]
        }
        WalkLine::Aboard { gear, .. } => {
            let gear = number(gear);
            vec![one(
                &format!("{gear} is aboard?"),
                FieldName::Aboard(gear),
                "yes or no",
            )]
        }
        WalkLine::Faults => vec![("Fault found".to_owned(), Fills::Faults)],
    }
}

impl Line {
    /// How to type it.
    pub(crate) fn help(&self) -> String {
        let how = match &self.fills {
            Fills::One(_, how) => how,
            Fills::Reading(_) => {
                "3.4, or 3.4 left 3.6 by foot pump; end with ! to stand by an unlikely value"
            }
            Fills::Answer(_) => {
                "yes, no, not fitted, could not look, not used here; more in words after a colon"
            }
            Fills::Count(..) => "6, or 6 bad 1 when one of them is not serviceable",
            Fills::Dates(..) => {
                "3/27 for all of them, or 3 x 3/27, 2 x 4/27 made 5/24; end with ! to stand by it"
            }
            Fills::Seal(_) => "number and earliest date on the tag: 004217, 3/27; or broken",
            Fills::Fuel(_) => "5.5 gal, filled 3/27, mix 50:1",
            Fills::Faults => {
                "PART CLASS SEVERITY, for example tube-2 leak major port 40 cm top: hisses"
            }
        };
        format!("{how}; < goes back, > to the end")
    }

    /// Names of its fields; those of a fault by its number.
    pub(crate) fn names(&self, fault: u32) -> Vec<FieldName> {
        match &self.fills {
            Fills::One(name, _) => vec![name.clone()],
            Fills::Reading(part) => {
                let all = ReadingField::ALL.iter();
                all.map(|field| FieldName::Reading(part.clone(), *field))
                    .collect()
            }
            Fills::Answer(line) => vec![
                FieldName::Answer(line.clone()),
                FieldName::AnswerNote(line.clone()),
            ],
            Fills::Count(item, bag) => {
                let of = |field| FieldName::Count(item.clone(), bag.clone(), field);
                vec![of(CountField::Count), of(CountField::Bad)]
            }
            Fills::Dates(item, bag) => {
                let of = |field| FieldName::Count(item.clone(), bag.clone(), field);
                vec![of(CountField::Dates), of(CountField::Affirmed)]
            }
            Fills::Seal(bag) => {
                let all = SealField::ALL.iter();
                all.map(|field| FieldName::Seal(bag.clone(), *field))
                    .collect()
            }
            Fills::Fuel(tank) => {
                let all = FuelField::ALL.iter();
                all.map(|field| FieldName::Fuel(tank.clone(), *field))
                    .collect()
            }
            Fills::Faults => {
                let all = FaultField::ALL.iter();
                all.map(|field| FieldName::Fault(fault, *field)).collect()
            }
        }
    }

    /// Whether something is there.
    pub(crate) fn is_entered(&self, fields: &Fields) -> bool {
        match self.fills {
            Fills::Faults => false,
            Fills::One(..)
            | Fills::Reading(_)
            | Fills::Answer(_)
            | Fills::Count(..)
            | Fills::Dates(..)
            | Fills::Seal(_)
            | Fills::Fuel(_) => self.names(0).iter().any(|name| fields.contains_key(name)),
        }
    }
}

/// Lines that nobody entered and that a check asks: the gauge, the questions and the counts; what
/// lies under a seal is not counted.
pub(crate) fn left_out(lines: &[Line], fields: &Fields) -> Vec<String> {
    let sealed = |bag: &String| {
        let seal = fields.get(&FieldName::Seal(bag.clone(), SealField::Number));
        seal.is_some_and(|seal| !["broken", "gone", "none", "open"].contains(&seal.as_str()))
    };
    let owed = |line: &&Line| match &line.fills {
        Fills::Reading(_) | Fills::Answer(_) => true,
        Fills::Count(_, bag) => !bag.as_ref().is_some_and(sealed),
        Fills::One(..) | Fills::Dates(..) | Fills::Seal(_) | Fills::Fuel(_) | Fills::Faults => {
            false
        }
    };
    let lines = lines.iter().filter(owed);
    let lines = lines.filter(|line| !line.is_entered(fields));
    lines.map(Line::short).collect()
}

impl Line {
    /// What is asked, in few words.
    fn short(&self) -> String {
        let asked = self.asked.strip_prefix("How many: ").unwrap_or(&self.asked);
        let asked = asked.strip_prefix("Gauge at ").unwrap_or(asked);
        let asked = asked.split(" (standard: ").next().unwrap_or(asked);
        asked.trim_end_matches('?').to_owned()
    }
}

#[cfg(test)]
mod tests;
