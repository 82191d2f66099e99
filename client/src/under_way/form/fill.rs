//! One group of fields into a check file: words and numbers are read, quantities get their unit.

use sponson_log::ids::Digest;
use sponson_readiness::standard::Units;
use sponson_show::clean;

use super::{Fields, Group, Problem};
use crate::check_file::{
    AnswerWord, CheckFile, CountLine, FaceWord, FaultLine, FuelLine, ReadingLine, SealLine,
    SeverityWord, SideWord, StowageWord, ValveWord,
};
use crate::under_way::fields::{
    CountField, FaultField, FieldName, FuelField, ReadingField, SealField,
};
use crate::under_way::finish::air_source;
use crate::under_way::typed::{self, Bare};

/// Puts a group of fields into a check file.
///
/// # Errors
/// Gives the field that cannot be read.
pub(super) fn fill(
    file: &mut CheckFile,
    group: &Group,
    fields: &Fields,
    units: Units,
) -> Result<(), Problem> {
    let typed = Typed { fields, units };
    match group {
        Group::One(name) => one(file, name, &typed),
        Group::Reading(part) => {
            let line = reading(part, &typed)?;
            if line.found.is_some() || line.left.is_some() {
                file.readings.insert(part.clone(), line);
            }
            Ok(())
        }
        Group::Answer(line) => {
            if let Some(word) = typed.read(&FieldName::Answer(line.clone()), answer)? {
                file.answers.insert(line.clone(), word);
            }
            if let Some(note) = typed.get(&FieldName::AnswerNote(line.clone())) {
                file.notes.insert(line.clone(), note.to_owned());
            }
            Ok(())
        }
        Group::Count(item, bag) => count(file, (item, bag.as_ref()), &typed),
        Group::Seal(bag) => {
            let of = |field| FieldName::Seal(bag.clone(), field);
            let earliest = typed.read(&of(SealField::Earliest), typed::date)?;
            if let Some(number) = typed.get(&of(SealField::Number)) {
                let number = number.to_owned();
                file.seals
                    .insert(bag.clone(), SealLine { number, earliest });
            }
            Ok(())
        }
        Group::Fuel(tank) => {
            let of = |field| FieldName::Fuel(tank.clone(), field);
            let filled = typed.read(&of(FuelField::Filled), typed::date)?;
            if let Some(amount) = typed.quantity(&of(FuelField::Amount), Bare::Volume) {
                let mix = typed.get(&of(FuelField::Mix)).map(str::to_owned);
                file.fuel.insert(
                    tank.clone(),
                    FuelLine {
                        amount,
                        filled,
                        mix,
                    },
                );
            }
            Ok(())
        }
        Group::Fault(number) => {
            for name in fields.keys() {
                if matches!(name, FieldName::FaultPicture(of, _) if of == number) {
                    typed.read(name, picture)?;
                }
            }
            if let Some(line) = fault(*number, &typed)? {
                file.faults.push(line);
            }
            Ok(())
        }
    }
}

struct Typed<'a> {
    fields: &'a Fields,
    units: Units,
}

impl<'a> Typed<'a> {
    fn get(&self, name: &FieldName) -> Option<&'a str> {
        self.fields.get(name).map(|value| value.trim())
    }

    fn quantity(&self, name: &FieldName, bare: Bare) -> Option<String> {
        let value = self.get(name)?;
        Some(typed::quantity(value, bare, self.units))
    }

    fn read<T>(
        &self,
        name: &FieldName,
        read: impl FnOnce(&str) -> Result<T, String>,
    ) -> Result<Option<T>, Problem> {
        let value = self.get(name).map(read).transpose();
        value.map_err(|why| Problem {
            field: name.clone(),
            why,
            stand_by: None,
        })
    }
}

fn one(file: &mut CheckFile, name: &FieldName, typed: &Typed<'_>) -> Result<(), Problem> {
    let text = || typed.get(name).map(str::to_owned);
    let Some(value) = typed.get(name) else {
        return Ok(());
    };
    match name {
        FieldName::Air => file.air = typed.quantity(name, Bare::Temperature),
        FieldName::Stood => file.stood = typed.quantity(name, Bare::Hours),
        FieldName::Gauge => file.gauge = text(),
        FieldName::Ambient => file.ambient = text(),
        FieldName::Elevation => file.elevation = typed.quantity(name, Bare::Height),
        FieldName::Stowage => file.stowage = typed.read(name, stowage)?,
        FieldName::Observed => file.observed = text(),
        FieldName::ObservedBy => file.checked_by = text(),
        FieldName::Note => {
            file.notes.insert("check".to_owned(), value.to_owned());
        }
        FieldName::Meter(gear) => {
            file.meters.extend(
                typed
                    .quantity(name, Bare::Hours)
                    .map(|meter| (gear.clone(), meter)),
            );
        }
        FieldName::Cylinder(gear) => {
            let gauge = typed.quantity(name, Bare::Pressure);
            file.cylinders
                .extend(gauge.map(|gauge| (gear.clone(), gauge)));
        }
        FieldName::Aboard(number) => {
            if typed.read(name, yes_or_no)? == Some(true) {
                file.aboard.push(number.clone());
            }
        }
        FieldName::Picture(_) => {
            typed.read(name, picture)?;
        }
        // Parts of a group, and what only says that somebody stands by another.
        FieldName::Affirmed(_)
        | FieldName::Reading(..)
        | FieldName::Answer(_)
        | FieldName::AnswerNote(_)
        | FieldName::Count(..)
        | FieldName::Seal(..)
        | FieldName::Fuel(..)
        | FieldName::Fault(..)
        | FieldName::FaultPicture(..) => {}
    }
    Ok(())
}

fn reading(part: &str, typed: &Typed<'_>) -> Result<ReadingLine, Problem> {
    let of = |field| FieldName::Reading(part.to_owned(), field);
    typed.read(&of(ReadingField::AddedBy), |text| {
        air_source(text).map(drop)
    })?;
    Ok(ReadingLine {
        found: typed.quantity(&of(ReadingField::Found), Bare::Pressure),
        left: typed.quantity(&of(ReadingField::Left), Bare::Pressure),
        fabric: typed.quantity(&of(ReadingField::Fabric), Bare::Temperature),
        valves: typed.read(&of(ReadingField::Valves), valves)?,
        since_inflating: typed.quantity(&of(ReadingField::Since), Bare::Minutes),
        affirmed: typed
            .read(&of(ReadingField::Affirmed), yes_or_no)?
            .unwrap_or(false),
    })
}

fn count(
    file: &mut CheckFile,
    (item, bag): (&str, Option<&String>),
    typed: &Typed<'_>,
) -> Result<(), Problem> {
    let of = |field| FieldName::Count(item.to_owned(), bag.cloned(), field);
    let count = typed.read(&of(CountField::Count), typed::count)?;
    let bad = typed.read(&of(CountField::Bad), typed::count)?.unwrap_or(0);
    let affirmed = typed.read(&of(CountField::Affirmed), yes_or_no)?;
    let dates = typed.read(&of(CountField::Dates), |text| {
        typed::lots(text, count, affirmed == Some(true))
    })?;
    if let Some(count) = count {
        let name = bag.map_or_else(|| item.to_owned(), |bag| format!("{item}@{bag}"));
        let line = CountLine {
            count,
            unserviceable: bad,
            dates: dates.unwrap_or_default(),
            bag: None,
        };
        file.counts.insert(name, line);
    }
    Ok(())
}

fn fault(number: u32, typed: &Typed<'_>) -> Result<Option<FaultLine>, Problem> {
    let of = |field| FieldName::Fault(number, field);
    let severity = typed.read(&of(FaultField::Severity), severity)?;
    let side = typed.read(&of(FaultField::Side), side)?;
    let face = typed.read(&of(FaultField::Face), face)?;
    let text = |field| typed.get(&of(field)).map(str::to_owned);
    let (Some(part), Some(class), Some(severity)) =
        (text(FaultField::Part), text(FaultField::Class), severity)
    else {
        return Ok(None);
    };
    let missions = text(FaultField::Missions).unwrap_or_default();
    let missions = missions
        .split(',')
        .map(str::trim)
        .filter(|word| !word.is_empty());
    Ok(Some(FaultLine {
        part,
        class,
        severity,
        side,
        from_transom: typed.quantity(&of(FaultField::FromTransom), Bare::Length),
        face,
        missions: missions.map(str::to_owned).collect(),
        gear: text(FaultField::Gear),
        note: text(FaultField::Note),
    }))
}

/// The name of a picture that is kept.
fn picture(text: &str) -> Result<(), String> {
    let named = Digest::from_hex(text);
    named
        .map(drop)
        .ok_or_else(|| "that is no picture: send it again".to_owned())
}

/// Finds a word among those that can be, and offers them otherwise.
fn word<T: Copy>(text: &str, words: &[(&str, T)]) -> Result<T, String> {
    let typed = text.trim().to_lowercase();
    let found = words.iter().find(|(word, _)| *word == typed);
    found.map(|(_, value)| *value).ok_or_else(|| {
        let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        format!("'{}' is none of {}", clean(&typed), words.join(", "))
    })
}

pub(super) fn answer(text: &str) -> Result<AnswerWord, String> {
    let text = match text.trim().to_lowercase().as_str() {
        "y" => "yes".to_owned(),
        "n" => "no".to_owned(),
        other => other.to_owned(),
    };
    let words = [
        ("yes", AnswerWord::Yes),
        ("no", AnswerWord::No),
        ("not fitted", AnswerWord::NotFitted),
        ("could not look", AnswerWord::CouldNotLook),
        ("not used here", AnswerWord::NotUsedHere),
    ];
    word(&text, &words)
}

fn yes_or_no(text: &str) -> Result<bool, String> {
    typed::yes(text).ok_or_else(|| format!("'{}' is none of yes, no", clean(text)))
}

fn stowage(text: &str) -> Result<StowageWord, String> {
    let words = [
        ("rigged", StowageWord::Rigged),
        ("inflated", StowageWord::Inflated),
        ("rolled", StowageWord::Rolled),
    ];
    word(text, &words)
}

fn valves(text: &str) -> Result<ValveWord, String> {
    word(
        text,
        &[("shut", ValveWord::Shut), ("open", ValveWord::Open)],
    )
}

fn severity(text: &str) -> Result<SeverityWord, String> {
    let words = [
        ("disabling", SeverityWord::Disabling),
        ("restrictive", SeverityWord::Restrictive),
        ("major", SeverityWord::Major),
        ("minor", SeverityWord::Minor),
    ];
    word(text, &words)
}

fn side(text: &str) -> Result<SideWord, String> {
    let words = [
        ("port", SideWord::Port),
        ("starboard", SideWord::Starboard),
        ("centre", SideWord::Centre),
    ];
    word(text, &words)
}

fn face(text: &str) -> Result<FaceWord, String> {
    let words = [
        ("top", FaceWord::Top),
        ("bottom", FaceWord::Bottom),
        ("inboard", FaceWord::Inboard),
        ("outboard", FaceWord::Outboard),
    ];
    word(text, &words)
}
