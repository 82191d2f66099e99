//! Names of the fields of a check under way: read and written, the same everywhere.
//!
//! What a name says of the craft is looked up elsewhere: a part that no sheet has is a name too.

use std::fmt;
use std::str::FromStr;

/// A field.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FieldName {
    /// Air that the craft stood in.
    Air,
    /// How long it had stood in that air.
    Stood,
    /// Number of the gauge.
    Gauge,
    /// Pressure of the air outside.
    Ambient,
    /// Elevation of the place.
    Elevation,
    /// How the craft is kept.
    Stowage,
    /// When it was checked, if it was not just now.
    Observed,
    /// Who checked, when somebody else enters it.
    ObservedBy,
    /// A text about the whole check.
    Note,
    /// Of the gauge at a part.
    Reading(String, ReadingField),
    /// The answer to a line.
    Answer(String),
    /// A text beside the answer to a line.
    AnswerNote(String),
    /// Of the count of an item, in a bag or at the craft.
    Count(String, Option<String>, CountField),
    /// Of the seal of a bag.
    Seal(String, SealField),
    /// Of the fuel in a tank; `craft` for a fixed one.
    Fuel(String, FuelField),
    /// The meter of a piece of gear; `craft` for the craft's own.
    Meter(String),
    /// The gauge of a cylinder.
    Cylinder(String),
    /// Whether a numbered thing is aboard.
    Aboard(String),
    /// Of a fault that was found, by a number of its own in this check.
    Fault(u32, FaultField),
    /// A picture of a fault.
    FaultPicture(u32, u32),
    /// A picture of the craft.
    Picture(u32),
    /// That somebody stands by another field, though it is unlikely: `yes`. Readings and counts
    /// have a field of their own for it.
    Affirmed(Box<FieldName>),
}

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$each:meta])* $variant:ident = $word:literal,)* }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$each])* $variant,)* }

        impl $name {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// The word in the name of the field.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }

            fn of(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|field| field.word() == word)
            }
        }
    };
}

words! {
    /// What is said of the gauge at a part.
    ReadingField {
        /// As found.
        Found = "found",
        /// As left.
        Left = "left",
        /// Temperature of the fabric.
        Fabric = "fabric",
        /// Intercommunication valves: `shut` or `open`.
        Valves = "valves",
        /// Time since inflating ended.
        Since = "since",
        /// What air was added by, between found and left.
        AddedBy = "added-by",
        /// Stood by, though unlikely: `yes`.
        Affirmed = "affirmed",
    }
}

words! {
    /// What is said of a count.
    CountField {
        /// How many are there.
        Count = "count",
        /// How many of them are not serviceable.
        Bad = "bad",
        /// Dates on them, with commas between.
        Dates = "dates",
        /// Stood by, though the dates cannot all be so: `yes`.
        Affirmed = "affirmed",
    }
}

words! {
    /// What is said of the seal of a bag.
    SealField {
        /// Number of the seal.
        Number = "number",
        /// Earliest date on the tag.
        Earliest = "earliest",
    }
}

words! {
    /// What is said of fuel.
    FuelField {
        /// How much.
        Amount = "amount",
        /// When it was filled.
        Filled = "filled",
        /// Petrol to oil.
        Mix = "mix",
    }
}

words! {
    /// What is said of a fault.
    FaultField {
        /// Part.
        Part = "part",
        /// Class.
        Class = "class",
        /// How bad.
        Severity = "severity",
        /// Side.
        Side = "side",
        /// Distance forward of the transom.
        FromTransom = "from-transom",
        /// Face.
        Face = "face",
        /// Missions that it rules out, with commas between.
        Missions = "missions",
        /// Number of the gear that it is on.
        Gear = "gear",
        /// In words.
        Note = "note",
    }
}

impl FieldName {
    /// Whether it only says that somebody stands by another field.
    #[must_use]
    pub const fn is_affirmed(&self) -> bool {
        matches!(
            self,
            Self::Affirmed(_)
                | Self::Reading(_, ReadingField::Affirmed)
                | Self::Count(_, _, CountField::Affirmed)
        )
    }
}

/// Not the name of a field.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{} is no field of a check", sponson_show::clean(.0))]
pub struct NotAField(pub String);

/// Greatest number of a fault or a picture: nobody finds so many in one check.
const ORDINAL_MAX: u32 = 99;

impl FromStr for FieldName {
    type Err = NotAField;

    fn from_str(name: &str) -> Result<Self, NotAField> {
        read(name).ok_or_else(|| NotAField(name.chars().take(160).collect()))
    }
}

fn read(name: &str) -> Option<FieldName> {
    let Some((first, rest)) = name.split_once('.') else {
        return read_alone(name);
    };
    if rest.is_empty() {
        return None;
    }
    // Numbers of gear and bags may have points in them: what is said of a thing stands last.
    let parted = || rest.rsplit_once('.').filter(|(thing, _)| !thing.is_empty());
    Some(match first {
        "reading" => {
            let (part, field) = parted()?;
            FieldName::Reading(part.to_owned(), ReadingField::of(field)?)
        }
        "answer" => match rest.strip_suffix(".note") {
            Some("") => return None,
            Some(line) => FieldName::AnswerNote(line.to_owned()),
            None => FieldName::Answer(rest.to_owned()),
        },
        "count" => {
            let (thing, field) = parted()?;
            let (item, bag) = match thing.split_once('@') {
                Some((item, bag)) => (item, Some(bag).filter(|bag| !bag.is_empty())?.to_owned()),
                None => return count(thing, None, field),
            };
            return count(item, Some(bag), field);
        }
        "seal" => {
            let (bag, field) = parted()?;
            FieldName::Seal(bag.to_owned(), SealField::of(field)?)
        }
        "fuel" => {
            let (tank, field) = parted()?;
            FieldName::Fuel(tank.to_owned(), FuelField::of(field)?)
        }
        "meter" => FieldName::Meter(rest.to_owned()),
        "cylinder" => FieldName::Cylinder(rest.to_owned()),
        "aboard" => FieldName::Aboard(rest.to_owned()),
        "fault" => {
            let (number, field) = rest.split_once('.')?;
            let number = ordinal(number)?;
            match field.strip_prefix("picture.") {
                Some(picture) => FieldName::FaultPicture(number, ordinal(picture)?),
                None => FieldName::Fault(number, FaultField::of(field)?),
            }
        }
        "picture" => FieldName::Picture(ordinal(rest)?),
        "affirmed" => {
            let name = read(rest).filter(|name| !name.is_affirmed())?;
            FieldName::Affirmed(Box::new(name))
        }
        _ => return None,
    })
}

fn read_alone(name: &str) -> Option<FieldName> {
    let mut all = ALONE.iter();
    let found = all.find(|(_, word)| *word == name);
    found.map(|(field, _)| field.clone())
}

const ALONE: [(FieldName, &str); 9] = [
    (FieldName::Air, "air"),
    (FieldName::Stood, "stood"),
    (FieldName::Gauge, "gauge"),
    (FieldName::Ambient, "ambient"),
    (FieldName::Elevation, "elevation"),
    (FieldName::Stowage, "stowage"),
    (FieldName::Observed, "observed"),
    (FieldName::ObservedBy, "observed-by"),
    (FieldName::Note, "note"),
];

fn count(item: &str, bag: Option<String>, field: &str) -> Option<FieldName> {
    let field = CountField::of(field)?;
    (!item.is_empty()).then(|| FieldName::Count(item.to_owned(), bag, field))
}

/// A number as this page writes it: `01` is none, so that one field has one name.
fn ordinal(text: &str) -> Option<u32> {
    let number = text.parse().ok().filter(|number| *number <= ORDINAL_MAX)?;
    (text == format!("{number}")).then_some(number)
}

impl fmt::Display for FieldName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Air
            | Self::Stood
            | Self::Gauge
            | Self::Ambient
            | Self::Elevation
            | Self::Stowage
            | Self::Observed
            | Self::ObservedBy
            | Self::Note => {
                let word = ALONE.iter().find(|(field, _)| field == self);
                f.write_str(word.map_or("", |(_, word)| word))
            }
            Self::Reading(part, field) => write!(f, "reading.{part}.{}", field.word()),
            Self::Answer(line) => write!(f, "answer.{line}"),
            Self::AnswerNote(line) => write!(f, "answer.{line}.note"),
            Self::Count(item, None, field) => write!(f, "count.{item}.{}", field.word()),
            Self::Count(item, Some(bag), field) => {
                write!(f, "count.{item}@{bag}.{}", field.word())
            }
            Self::Seal(bag, field) => write!(f, "seal.{bag}.{}", field.word()),
            Self::Fuel(tank, field) => write!(f, "fuel.{tank}.{}", field.word()),
            Self::Meter(gear) => write!(f, "meter.{gear}"),
            Self::Cylinder(gear) => write!(f, "cylinder.{gear}"),
            Self::Aboard(number) => write!(f, "aboard.{number}"),
            Self::Fault(number, field) => write!(f, "fault.{number}.{}", field.word()),
            Self::FaultPicture(number, picture) => write!(f, "fault.{number}.picture.{picture}"),
            Self::Picture(picture) => write!(f, "picture.{picture}"),
            Self::Affirmed(name) => write!(f, "affirmed.{name}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_reads_back_as_it_is_written() {
        let names = [
            "air",
            "stood",
            "gauge",
            "ambient",
            "elevation",
            "stowage",
            "observed",
            "observed-by",
            "note",
            "reading.tube-1.found",
            "reading.tube-1.left",
            "reading.tube-1.fabric",
            "reading.tube-1.valves",
            "reading.tube-1.since",
            "reading.tube-1.added-by",
            "reading.tube-1.affirmed",
            "answer.drain-plug",
            "answer.drain-plug.note",
            "count.flare.count",
            "count.flare.bad",
            "count.flare.dates",
            "count.flare.affirmed",
            "count.flare@B3.count",
            "count.flare@Bag 1.2.dates",
            "seal.B3.number",
            "seal.B 1.2.earliest",
            "fuel.craft.amount",
            "fuel.T1.filled",
            "fuel.T.1.mix",
            "meter.M3",
            "meter.M.3",
            "cylinder.C1",
            "aboard.B3",
            "fault.0.part",
            "fault.1.from-transom",
            "fault.12.picture.0",
            "picture.3",
            "affirmed.air",
            "affirmed.meter.M3",
        ];
        for name in names {
            let read: FieldName = name.parse().expect(name);
            assert_eq!(read.to_string(), name);
        }
        assert_eq!(
            "count.flare@Bag 1.2.dates".parse(),
            Ok(FieldName::Count(
                "flare".to_owned(),
                Some("Bag 1.2".to_owned()),
                CountField::Dates
            ))
        );
    }

    #[test]
    fn what_is_no_field_is_refused() {
        for name in [
            "",
            "airs",
            "reading",
            "reading.",
            "reading.tube-1",
            "reading..found",
            "reading.tube-1.lost",
            "answer.",
            "answer..note",
            "count.flare",
            "count.@B3.count",
            "count.flare@.count",
            "seal.B3.colour",
            "fuel.T1.age",
            "meter.",
            "fault.x.part",
            "fault.01.part",
            "fault.100.part",
            "fault.1.colour",
            "fault.1.picture.",
            "picture.-1",
            "craft.5",
            "affirmed.affirmed.air",
            "affirmed.airs",
        ] {
            let refused = name.parse::<FieldName>();
            assert!(refused.is_err(), "{name}: {refused:?}");
        }
    }
}
