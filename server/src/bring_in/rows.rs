//! One row of a list: what to register, or why not.

mod doubted;

use bytes::Bytes;
use sponson_client::catalogue::{Catalogue, LookupError};
use sponson_client::near::near;
use sponson_proto::event::v1::{
    BagRegistered, CapacityPlate, CraftRegistered, GearRegistered, GearType, PumpPower, SubjectType,
};
use sponson_show::clean;

use super::columns::{Cells, Field, field_name};
use super::quantities::{date, made, mass, power, pressure, small_mass, temperature, volume};
use super::{ListKind, Registered, RowError};

/// Longest number that is painted on anything.
const NUMBER_CHARS_MAX: usize = 40;

/// Most persons on a plate of the craft that this is for.
const PERSONS_MAX: u32 = 60;

/// Reads one row.
pub(super) fn read(
    kind: ListKind,
    cells: &Cells<'_>,
    catalogue: &Catalogue,
) -> Result<Registered, RowError> {
    match kind {
        ListKind::Craft => craft(cells, catalogue).map(Registered::Craft),
        ListKind::Gear => gear(cells, catalogue).map(Registered::Gear),
        ListKind::Bags => bag(cells, catalogue).map(Registered::Bag),
    }
}

fn craft(cells: &Cells<'_>, catalogue: &Catalogue) -> Result<CraftRegistered, RowError> {
    Ok(CraftRegistered {
        number: number(cells, SubjectType::Craft, catalogue)?,
        model: model(cells, catalogue)?,
        station: station(cells, catalogue)?,
        hull_number: text(cells, Field::HullNumber),
        made: made(cells)?,
        plate: plate_of(cells, catalogue)?,
        fabric: text(cells, Field::Fabric).to_lowercase(),
        batch: text(cells, Field::Batch),
    })
}

/// The plate, asked back where it is far from the formulas that apply to its model.
fn plate_of(cells: &Cells<'_>, catalogue: &Catalogue) -> Result<Option<CapacityPlate>, RowError> {
    let plate = plate(cells)?;
    let was_read_again = cells
        .text(Field::PlateReadAgain)
        .is_some_and(|text| text.eq_ignore_ascii_case("yes"));
    match plate {
        Some(plate) if !was_read_again => {
            doubted::check(&plate, &model(cells, catalogue)?, catalogue)?
        }
        Some(_) | None => {}
    }
    Ok(plate)
}

fn plate(cells: &Cells<'_>) -> Result<Option<CapacityPlate>, RowError> {
    let plate = CapacityPlate {
        persons: persons(cells)?,
        persons_mass_g: mass(cells, Field::PersonsMass)?,
        total_mass_g: mass(cells, Field::TotalMass)?,
        power_w: power(cells)?,
        motor_mass_g: small_mass(cells, Field::MotorMass)?,
    };
    Ok((plate != CapacityPlate::default()).then_some(plate))
}

fn persons(cells: &Cells<'_>) -> Result<Option<u32>, RowError> {
    let Some(text) = cells.text(Field::Persons) else {
        return Ok(None);
    };
    match text.parse() {
        Ok(persons) if (1..=PERSONS_MAX).contains(&persons) => Ok(Some(persons)),
        Ok(_) | Err(_) => Err(RowError::Value {
            field: field_name(Field::Persons),
            value: clean(text),
            limit: format!("give a whole number from 1 to {PERSONS_MAX}"),
        }),
    }
}

fn gear(cells: &Cells<'_>, catalogue: &Catalogue) -> Result<GearRegistered, RowError> {
    Ok(GearRegistered {
        number: number(cells, SubjectType::Gear, catalogue)?,
        r#type: sort(cells)? as i32,
        model: text(cells, Field::Model),
        station: station(cells, catalogue)?,
        serial: text(cells, Field::Serial),
        made: made(cells)?,
        mass_g: small_mass(cells, Field::Mass)?,
        power_w: power(cells)?,
        water_volume_ml: volume(cells, Field::WaterVolume)?,
        service_pressure_kpa: pressure(cells, Field::ServicePressure)?.map(|pa| (pa + 500) / 1000),
        pressure_max_pa: pressure(cells, Field::PressureMax)?,
        connector: text(cells, Field::Connector).to_lowercase(),
        batch: text(cells, Field::Batch),
        specification: text(cells, Field::Specification),
        requalified: date(cells, Field::Requalified)?,
        gauge_kpa: pressure(cells, Field::Charge)?.map(|pa| (pa + 500) / 1000),
        gauge_mc: temperature(cells, Field::ChargeTemperature)?,
        stroke_ml: volume(cells, Field::Stroke)?,
        runs_on: runs_on(cells)? as i32,
    })
}

/// What a pump runs on, in the trade's words.
const POWERS: [(&str, PumpPower); 5] = [
    ("hand", PumpPower::Hand),
    ("foot", PumpPower::Foot),
    ("battery", PumpPower::Battery),
    ("electric", PumpPower::Battery),
    ("12 v", PumpPower::Battery),
];

fn runs_on(cells: &Cells<'_>) -> Result<PumpPower, RowError> {
    let Some(given) = cells.text(Field::RunsOn) else {
        return Ok(PumpPower::Unspecified);
    };
    let word = given.to_lowercase();
    POWERS
        .iter()
        .find(|(name, _)| *name == word)
        .map(|(_, power)| *power)
        .ok_or_else(|| RowError::Value {
            field: field_name(Field::RunsOn),
            value: clean(given),
            limit: format!("give one of {}", POWERS.map(|(name, _)| name).join(", ")),
        })
}

/// Sorts of gear in the trade's words.
const SORTS: [(&str, GearType); 16] = [
    ("motor", GearType::Motor),
    ("outboard", GearType::Motor),
    ("outboard motor", GearType::Motor),
    ("engine", GearType::Motor),
    ("fuel tank", GearType::FuelTank),
    ("fuel line", GearType::FuelLine),
    ("cylinder", GearType::Cylinder),
    ("inflatable floor", GearType::InflatableFloor),
    ("floor", GearType::InflatableFloor),
    ("pump", GearType::Pump),
    ("gauge", GearType::Gauge),
    ("radio", GearType::Radio),
    ("trailer", GearType::Trailer),
    ("battery", GearType::Battery),
    ("breathing set", GearType::BreathingSet),
    ("scba", GearType::BreathingSet),
];

fn sort(cells: &Cells<'_>) -> Result<GearType, RowError> {
    let given = cells
        .text(Field::Sort)
        .ok_or(RowError::Empty(field_name(Field::Sort)))?;
    let word = given.to_lowercase().replace(['-', '_'], " ");
    SORTS
        .iter()
        .find(|(name, _)| *name == word)
        .map(|(_, sort)| *sort)
        .ok_or_else(|| RowError::Value {
            field: field_name(Field::Sort),
            value: clean(given),
            limit: format!("give one of {}", SORTS.map(|(name, _)| name).join(", ")),
        })
}

fn bag(cells: &Cells<'_>, catalogue: &Catalogue) -> Result<BagRegistered, RowError> {
    let craft = match cells.text(Field::Craft) {
        None => Bytes::new(),
        Some(name) => catalogue.craft(name).map_err(name_error)?.id.clone(),
    };
    Ok(BagRegistered {
        number: number(cells, SubjectType::Bag, catalogue)?,
        station: station(cells, catalogue)?,
        craft,
    })
}

/// The painted number, which nothing of this type carries yet.
fn number(cells: &Cells<'_>, kind: SubjectType, catalogue: &Catalogue) -> Result<String, RowError> {
    let number = cells
        .text(Field::Number)
        .ok_or(RowError::Empty(field_name(Field::Number)))?;
    if number.chars().count() > NUMBER_CHARS_MAX || number.starts_with('#') {
        return Err(RowError::Value {
            field: field_name(Field::Number),
            value: clean(number),
            limit: format!("give at most {NUMBER_CHARS_MAX} letters, not beginning with #"),
        });
    }
    match catalogue.find(&[kind], number) {
        Ok(_) | Err(LookupError::Several { .. }) => Err(RowError::Already),
        Err(LookupError::Unknown { .. }) => Ok(number.to_owned()),
        Err(error @ (LookupError::NoStandard { .. } | LookupError::Unreadable { .. })) => {
            Err(name_error(error))
        }
    }
}

fn model(cells: &Cells<'_>, catalogue: &Catalogue) -> Result<String, RowError> {
    let name = cells
        .text(Field::Model)
        .ok_or(RowError::Empty(field_name(Field::Model)))?;
    let wanted = name.to_lowercase().replace([' ', '_'], "-");
    if let Some(held) = catalogue.standards().find(|held| held.model == wanted) {
        return Ok(held.model.clone());
    }
    let near = near(name, catalogue.standards().map(|held| held.model.as_str()));
    let offered = if near.is_empty() {
        "adopt its boat standard first".to_owned()
    } else {
        format!("did you mean {}?", near.join(", "))
    };
    Err(RowError::Name(format!(
        "model {} has no boat standard in force: {offered}",
        clean(name)
    )))
}

fn station(cells: &Cells<'_>, catalogue: &Catalogue) -> Result<Bytes, RowError> {
    let name = cells
        .text(Field::Station)
        .ok_or(RowError::Empty(field_name(Field::Station)))?;
    match catalogue.find(&[SubjectType::Station], name) {
        Ok(station) => Ok(station.id.clone()),
        Err(error) => Err(RowError::Name(format!(
            "{error}; admit it first, or bring in with --register-stations"
        ))),
    }
}

fn text(cells: &Cells<'_>, field: Field) -> String {
    cells.text(field).unwrap_or_default().to_owned()
}

fn name_error(error: LookupError) -> RowError {
    RowError::Name(error.to_string())
}
