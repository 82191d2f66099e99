//! A boat check as a TOML file: what somebody wrote down at the craft, before it is recorded.
//!
//! The format, by example, is [`EXAMPLE`]; every line but `craft` and `extent` may be left out.
//! Reading the form is here; whether it fits the craft and its standard is in `build`.

mod build;
mod faults;
mod lots;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

pub use build::{BuiltCheck, build};
pub(crate) use build::{STAND_BY_READING, cylinder_kpa};
pub(crate) use faults::{CLASSES, fault_found, known_line, place};
pub use lots::date_mark_to_wire;
pub(crate) use lots::{STAND_BY_DATES, spares_counted};

/// The example of the format, for `check --help`.
pub const EXAMPLE: &str = include_str!("check_file/example.toml");

/// Longest file, bytes: a body of 64 KiB holds a check, and its texts stand beside it.
pub const FILE_BYTES_MAX: u64 = 256 * 1024;

/// A boat check as written down.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckFile {
    /// Number of the craft.
    pub craft: String,
    /// Member number of whoever checked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub member: Option<String>,
    /// Member number of whoever checked, when somebody else enters it later.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub checked_by: Option<String>,
    /// How much was checked.
    pub extent: Extent,
    /// When, if it was not just now; local time of the county unless it says its offset.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub observed: Option<String>,
    /// Air that the craft stood in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air: Option<String>,
    /// How long it had stood in that air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stood: Option<String>,
    /// Pressure of the air outside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ambient: Option<String>,
    /// Elevation of the place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub elevation: Option<String>,
    /// Number of the gauge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge: Option<String>,
    /// How the craft is kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stowage: Option<StowageWord>,
    /// Numbers of gear and bags seen aboard.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub aboard: Vec<String>,
    /// Readings by part.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub readings: BTreeMap<String, ReadingLine>,
    /// Seals of bags by number of the bag.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub seals: BTreeMap<String, SealLine>,
    /// Counts by item, or by item and bag: `flare`, `flare@B7`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub counts: BTreeMap<String, CountLine>,
    /// Answers by question.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub answers: BTreeMap<String, AnswerWord>,
    /// Engine meters by number of the gear.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub meters: BTreeMap<String, String>,
    /// Gauges of cylinders and breathing sets by number, at the temperature of the air.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub cylinders: BTreeMap<String, String>,
    /// Fuel by number of the tank, or `craft` for a fixed one.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub fuel: BTreeMap<String, FuelLine>,
    /// Faults found.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub faults: Vec<FaultLine>,
    /// Texts by question, item or part; `check` for the check itself.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub notes: BTreeMap<String, String>,
}

/// How much was checked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "lowercase")]
pub enum Extent {
    /// All that the standard asks.
    #[default]
    Full,
    /// Between runs.
    Short,
    /// Some lines.
    Part,
}

impl From<Extent> for sponson_readiness::event::Extent {
    fn from(extent: Extent) -> Self {
        match extent {
            Extent::Full => Self::Full,
            Extent::Short => Self::Short,
            Extent::Part => Self::Part,
        }
    }
}

/// How the craft is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum StowageWord {
    /// Rigged.
    Rigged,
    /// Inflated.
    Inflated,
    /// Rolled.
    Rolled,
}

/// Gauge values of one part.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadingLine {
    /// As found.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<String>,
    /// As left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left: Option<String>,
    /// Temperature of the fabric.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fabric: Option<String>,
    /// Intercommunication valves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub valves: Option<ValveWord>,
    /// Time since inflating ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub since_inflating: Option<String>,
    /// Stands by an unlikely value.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub affirmed: bool,
}

/// Intercommunication valves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ValveWord {
    /// Shut.
    Shut,
    /// Open.
    Open,
}

/// A count of one item.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CountLine {
    /// All that is there.
    pub count: u32,
    /// Of these, not serviceable.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub unserviceable: u32,
    /// Dates: `3 x 2027-03`, `1 x made 2024-05`, `2 x 2027-03 made 2024-05`; an `!` at the end
    /// stands by marks that cannot all be so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dates: Vec<String>,
    /// Number of the bag that it was counted in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bag: Option<String>,
}

/// The seal of a bag.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SealLine {
    /// Its number; `broken` or `gone` when that is what was found.
    pub number: String,
    /// Earliest date on the tag.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub earliest: Option<String>,
}

/// Fuel in one tank.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FuelLine {
    /// How much.
    pub amount: String,
    /// When it was filled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub filled: Option<String>,
    /// Petrol to oil, for example `50:1`; left out for unmixed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix: Option<String>,
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde hands the field by reference"
)]
const fn is_zero(number: &u32) -> bool {
    *number == 0
}

/// An answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum AnswerWord {
    /// As it should be.
    #[serde(rename = "yes")]
    Yes,
    /// Not as it should be.
    #[serde(rename = "no")]
    No,
    /// The craft does not have it.
    #[serde(rename = "not fitted")]
    NotFitted,
    /// It could not be looked at.
    #[serde(rename = "could not look")]
    CouldNotLook,
    /// It does not concern how the craft is used here.
    #[serde(rename = "not used here")]
    NotUsedHere,
}

/// A fault as found.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultLine {
    /// Part of the boat standard.
    pub part: String,
    /// Class of fault.
    pub class: String,
    /// How bad.
    pub severity: SeverityWord,
    /// Side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<SideWord>,
    /// Distance forward of the transom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_transom: Option<String>,
    /// Face.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face: Option<FaceWord>,
    /// Missions that it rules out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub missions: Vec<String>,
    /// Number of the gear that it is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gear: Option<String>,
    /// In words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// How bad a fault is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "lowercase")]
pub enum SeverityWord {
    /// Not fit to go.
    Disabling,
    /// Rules out some missions.
    Restrictive,
    /// To be repaired soon.
    #[default]
    Major,
    /// To be repaired when convenient.
    Minor,
}

/// Side of a craft.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "lowercase")]
pub enum SideWord {
    /// Port.
    Port,
    /// Starboard.
    Starboard,
    /// Centre.
    Centre,
}

impl SideWord {
    /// As it is typed.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Port => "port",
            Self::Starboard => "starboard",
            Self::Centre => "centre",
        }
    }
}

/// Face of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "lowercase")]
pub enum FaceWord {
    /// Top.
    Top,
    /// Bottom.
    Bottom,
    /// Inboard.
    Inboard,
    /// Outboard.
    Outboard,
}

/// Why a check cannot be recorded as it is.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CheckFileError {
    /// Not of the format.
    #[error("check file cannot be read: {0}")]
    Unreadable(String),
    /// A field with a value that cannot be.
    #[error("{place} is {value}; {limit}")]
    Value {
        /// The field, with its table.
        place: String,
        /// Its value, cleaned.
        value: String,
        /// What is allowed, and the remedy.
        limit: String,
    },
    /// A name that the standard or the log does not hold.
    #[error("{place}: {what}")]
    Name {
        /// The field, with its table.
        place: String,
        /// What is not known, with near names.
        what: String,
    },
    /// A quantity or a date; its words name the field.
    #[error("{0}")]
    Quantity(String),
    /// The check is about another craft than the command.
    #[error("the file is about {in_file}, the command about {asked}: correct one of them")]
    OtherCraft {
        /// Craft of the file.
        in_file: String,
        /// Craft of the command.
        asked: String,
    },
}

impl CheckFile {
    /// Reads the form.
    ///
    /// # Errors
    /// When it is no TOML, or has a field or a word that the format does not know.
    pub fn parse(text: &str) -> Result<Self, CheckFileError> {
        toml::from_str(text).map_err(|error| {
            let detail = sponson_show::clean(error.to_string().trim_end());
            CheckFileError::Unreadable(detail)
        })
    }

    /// Writes the form.
    ///
    /// # Errors
    /// Never for a value of this type; the TOML writer's words if it does.
    pub fn to_text(&self) -> Result<String, CheckFileError> {
        toml::to_string(self).map_err(|error| CheckFileError::Unreadable(error.to_string()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_example_is_of_the_format_and_comes_back_as_written() {
        let check = CheckFile::parse(EXAMPLE).expect("the example in the help reads");
        assert_eq!(check.readings["tube-1"].found.as_deref(), Some("3.4 psi"));
        let again = CheckFile::parse(&check.to_text().expect("writes")).expect("reads");
        assert_eq!(again, check);
    }

    #[test]
    fn fields_and_words_that_do_not_exist_are_named() {
        for (text, named) in [
            ("craft = \"Boat 3\"", "extent"),
            ("craft = \"Boat 3\"\nextent = \"half\"", "half"),
            (
                "craft = \"Boat 3\"\nextent = \"full\"\nguage = \"G1\"",
                "guage",
            ),
            (
                "craft = \"Boat 3\"\nextent = \"full\"\n[answers]\ndrain = \"maybe\"",
                "maybe",
            ),
            (
                "craft = \"Boat 3\"\nextent = \"full\"\n[counts.x]\ncount = -1",
                "-1",
            ),
        ] {
            let error = CheckFile::parse(text).expect_err(text).to_string();
            assert!(error.contains(named), "{error}");
        }
    }
}
