//! Which column of a list holds what, by its header.

use std::collections::BTreeMap;

use super::ListKind;

mod names;

pub(super) use names::field_name;
use names::{UNITS, fields, names, needed};

use sponson_show::clean;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// Painted number.
    Number,
    /// Model of boat standard, or of the gear.
    Model,
    /// Station.
    Station,
    /// Hull number.
    HullNumber,
    /// Date of making.
    Made,
    /// Persons on the plate.
    Persons,
    /// Mass of persons on the plate.
    PersonsMass,
    /// Mass of persons, motor and gear on the plate.
    TotalMass,
    /// Power: on the plate, or of a motor.
    Power,
    /// Mass of the motor on the plate.
    MotorMass,
    /// Fabric.
    Fabric,
    /// Maker's batch.
    Batch,
    /// Sort of gear.
    Sort,
    /// Serial number.
    Serial,
    /// Mass of the gear.
    Mass,
    /// Water volume of a cylinder.
    WaterVolume,
    /// Service pressure of a cylinder.
    ServicePressure,
    /// Greatest pressure of a pump.
    PressureMax,
    /// Connector.
    Connector,
    /// Mark stamped on a cylinder.
    Specification,
    /// When a cylinder was last requalified.
    Requalified,
    /// What a cylinder's gauge shows.
    Charge,
    /// Temperature of the cylinder then.
    ChargeTemperature,
    /// Air that one stroke of a pump takes in.
    Stroke,
    /// What a pump runs on.
    RunsOn,
    /// Craft that a bag belongs to.
    Craft,
    /// That the plate was read again and does say so.
    PlateReadAgain,
}

/// Why a header does not do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum HeaderError {
    /// A column that must be there is not.
    #[error("no column for {field}: name one of the columns {names}")]
    Missing {
        /// What is missing.
        field: &'static str,
        /// Names that would do.
        names: String,
    },
    /// Two columns for the same.
    #[error("columns {first} and {second} both hold {field}: take one away")]
    Twice {
        /// What both hold.
        field: &'static str,
        /// The first.
        first: String,
        /// The second.
        second: String,
    },
}

/// Columns that the lists may have, for the help.
#[must_use]
pub fn header_help() -> String {
    let line = |word, kind| {
        let all: Vec<&str> = fields(kind)
            .iter()
            .map(|field| field_name(*field))
            .collect();
        let must: Vec<&str> = needed(kind)
            .iter()
            .map(|field| field_name(*field))
            .collect();
        format!("{word}: {}; needed: {}", all.join(", "), must.join(", "))
    };
    [
        line("craft", ListKind::Craft),
        line("gear", ListKind::Gear),
        line("bags", ListKind::Bags),
    ]
    .join("\n\n")
}

/// The columns of one list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Columns {
    at: BTreeMap<Field, Column>,
    left_out: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
struct Column {
    index: usize,
    header: String,
    unit: Option<String>,
}

impl Columns {
    /// Matches a header. Columns that are not known are left out and noted.
    ///
    /// # Errors
    /// When one that is needed is missing, or two hold the same.
    pub fn of<'h>(
        kind: ListKind,
        header: impl Iterator<Item = &'h str>,
    ) -> Result<Self, HeaderError> {
        let mut at: BTreeMap<Field, Column> = BTreeMap::new();
        let mut left_out = Vec::new();
        for (index, title) in header.enumerate() {
            let (name, unit) = name_and_unit(title);
            let Some(field) = field_of(kind, &name, unit.as_deref()) else {
                left_out.push(clean(title));
                continue;
            };
            let column = Column {
                index,
                header: clean(title),
                unit,
            };
            if let Some(first) = at.get(&field) {
                return Err(HeaderError::Twice {
                    field: field_name(field),
                    first: first.header.clone(),
                    second: column.header,
                });
            }
            at.insert(field, column);
        }
        for field in needed(kind) {
            if !at.contains_key(field) {
                return Err(HeaderError::Missing {
                    field: field_name(*field),
                    names: names(*field).join(", "),
                });
            }
        }
        Ok(Self { at, left_out })
    }

    /// Columns of the header that hold nothing that is known, as written.
    pub(super) fn left_out(self) -> Vec<String> {
        self.left_out
    }

    /// The cells of one row.
    pub(super) const fn cells<'r>(&'r self, record: &'r csv::StringRecord) -> Cells<'r> {
        Cells {
            columns: self,
            record,
        }
    }
}

/// The cells of one row, by field.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cells<'r> {
    columns: &'r Columns,
    record: &'r csv::StringRecord,
}

impl<'r> Cells<'r> {
    /// What a cell says; none when it is empty or its column is not there.
    pub(super) fn text(&self, field: Field) -> Option<&'r str> {
        let column = self.columns.at.get(&field)?;
        let text = self.record.get(column.index)?.trim();
        (!text.is_empty()).then_some(text)
    }

    /// A cell with the header's unit, when it has none of its own.
    pub(super) fn quantity(&self, field: Field) -> Option<String> {
        let text = self.text(field)?;
        let bare = text
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | ' ' | '-' | '+'));
        let unit = self.columns.at.get(&field)?.unit.as_deref();
        Some(match unit {
            Some(unit) if bare => format!("{text} {unit}"),
            Some(_) | None => text.to_owned(),
        })
    }
}

/// Splits `Total (lb)` into `total` and `lb`.
fn name_and_unit(title: &str) -> (String, Option<String>) {
    let lower = title.to_lowercase();
    let mut words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let unit = match words.last() {
        Some(last) if UNITS.contains(last) => {
            let unit = (*last).to_owned();
            if words.len() > 1 {
                words.pop();
            }
            Some(unit)
        }
        Some(_) | None => None,
    };
    (words.join(" "), unit)
}

fn field_of(kind: ListKind, name: &str, unit: Option<&str>) -> Option<Field> {
    let mass = unit.is_some_and(|unit| matches!(unit, "lb" | "lbs" | "kg"));
    let power = unit.is_some_and(|unit| matches!(unit, "hp" | "kw"));
    let allowed = |field: Field| {
        // `Persons` counts heads, `Persons (lb)` weighs them.
        if field == Field::Persons {
            !mass
        } else if field == Field::PersonsMass {
            mass || name != "persons"
        } else {
            field != Field::Power || power || unit.is_none()
        }
    };
    let mut fields = fields(kind).iter();
    fields
        .find(|field| {
            let short =
                **field == Field::Power && power && matches!(name, "max" | "motor" | "engine");
            allowed(**field) && (names(**field).contains(&name) || short)
        })
        .copied()
}
