//! Names that people give to the columns of a list.

use super::Field;
use crate::bring_in::ListKind;

/// Units that a header may carry.
pub(super) const UNITS: [&str; 17] = [
    "lb", "lbs", "kg", "hp", "kw", "l", "litre", "litres", "psi", "bar", "kpa", "mbar", "oz",
    "gal", "ml", "f", "c",
];

/// Names of a field's column, plain; the first is the one that help shows.
pub(super) const fn names(field: Field) -> &'static [&'static str] {
    match field {
        Field::Number => &[
            "number",
            "call sign",
            "callsign",
            "no",
            "id",
            "craft number",
            "boat number",
            "bag number",
            "gear number",
            "name",
        ],
        Field::Model => &[
            "model",
            "standard",
            "boat standard",
            "craft model",
            "boat model",
        ],
        Field::Station => &["station", "base", "home station", "location", "quarters"],
        Field::HullNumber => &[
            "hull number",
            "hin",
            "hull id",
            "hull identification number",
        ],
        Field::Made => &[
            "made",
            "year",
            "built",
            "year made",
            "year built",
            "date made",
        ],
        Field::Persons => &[
            "persons",
            "people",
            "max persons",
            "capacity",
            "persons max",
        ],
        Field::PersonsMass => &["persons mass", "persons weight", "persons", "people weight"],
        Field::TotalMass => &[
            "total",
            "total mass",
            "total weight",
            "max weight",
            "max load",
            "persons motor gear",
        ],
        Field::Power => &[
            "power",
            "max power",
            "horsepower",
            "hp",
            "max hp",
            "kw",
            "engine power",
        ],
        Field::MotorMass => &[
            "motor mass",
            "motor weight",
            "max motor weight",
            "engine weight",
        ],
        Field::Fabric => &["fabric", "material", "tube fabric"],
        Field::Batch => &["batch", "lot", "makers batch"],
        Field::Sort => &["type", "sort", "kind", "gear", "gear type"],
        Field::Serial => &["serial", "serial number", "serial no", "sn"],
        Field::Mass => &["mass", "weight"],
        Field::WaterVolume => &["water volume", "volume", "size"],
        Field::ServicePressure => &["service pressure", "working pressure"],
        Field::PressureMax => &["max pressure", "greatest pressure", "pressure max"],
        Field::Connector => &["connector", "fitting"],
        Field::Specification => &["specification", "spec", "dot spec", "dot"],
        Field::Requalified => &[
            "requalified",
            "last requalified",
            "hydro",
            "last hydro",
            "hydro date",
        ],
        Field::Charge => &["gauge", "charge", "gauge pressure", "gauge now"],
        Field::ChargeTemperature => &["gauge temperature", "charge temperature"],
        Field::Stroke => &["stroke", "stroke volume", "per stroke"],
        Field::RunsOn => &["runs on", "driven by", "worked by"],
        Field::Craft => &["craft", "boat", "belongs to"],
        Field::PlateReadAgain => &["plate read again", "plate checked"],
    }
}

/// Columns of a list.
pub(super) const fn fields(kind: ListKind) -> &'static [Field] {
    match kind {
        ListKind::Craft => &[
            Field::Number,
            Field::Model,
            Field::Station,
            Field::HullNumber,
            Field::Made,
            Field::Persons,
            Field::PersonsMass,
            Field::TotalMass,
            Field::Power,
            Field::MotorMass,
            Field::Fabric,
            Field::Batch,
            Field::PlateReadAgain,
        ],
        ListKind::Gear => &[
            Field::Number,
            Field::Sort,
            Field::Model,
            Field::Station,
            Field::Serial,
            Field::Made,
            Field::Mass,
            Field::Power,
            Field::WaterVolume,
            Field::ServicePressure,
            Field::PressureMax,
            Field::Connector,
            Field::Batch,
            Field::Specification,
            Field::Requalified,
            Field::Charge,
            Field::ChargeTemperature,
            Field::Stroke,
            Field::RunsOn,
        ],
        ListKind::Bags => &[Field::Number, Field::Station, Field::Craft],
    }
}

/// Columns that a list must have.
pub(super) const fn needed(kind: ListKind) -> &'static [Field] {
    match kind {
        ListKind::Craft => &[Field::Number, Field::Model, Field::Station],
        ListKind::Gear => &[Field::Number, Field::Sort, Field::Station],
        ListKind::Bags => &[Field::Number, Field::Station],
    }
}

/// The field's own name.
pub(in crate::bring_in) fn field_name(field: Field) -> &'static str {
    names(field).first().copied().unwrap_or_default()
}
