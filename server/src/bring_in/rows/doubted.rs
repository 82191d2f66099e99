//! A plate that is far from the formulas of 33 CFR 183 is asked back, where they apply.

use sponson_client::catalogue::Catalogue;
use sponson_proto::event::v1::CapacityPlate;
use sponson_readiness::event::Plate;
use sponson_readiness::plate::{Doubt, Hull, Lb, Um, applies, doubt};
use sponson_readiness::standard::{CraftClass, Standard};

use crate::bring_in::RowError;
use crate::bring_in::columns::{Field, field_name};

/// Asks back what cannot well stand on the plate of a craft of the model.
pub(super) fn check(
    plate: &CapacityPlate,
    model: &str,
    catalogue: &Catalogue,
) -> Result<(), RowError> {
    let mut standards = catalogue.standards();
    let held = standards.find(|held| held.model == model);
    let standard = held.and_then(|held| Standard::parse(&held.text).ok());
    if !standard.is_some_and(|standard| is_of_the_sort(&standard)) {
        return Ok(());
    }
    let typed = Plate {
        persons: plate.persons,
        persons_mass_g: plate.persons_mass_g,
        total_mass_g: plate.total_mass_g,
        power_w: plate.power_w,
        motor_mass_g: plate.motor_mass_g,
    };
    doubt(&typed).map_or(Ok(()), |doubt| Err(asked_back(plate, doubt)))
}

/// Whether the formulas apply to the model: its length has to be known.
fn is_of_the_sort(standard: &Standard) -> bool {
    let hull = match standard.class {
        CraftClass::FlatBottom => Hull::Monohull,
        CraftClass::Inflatable | CraftClass::RigidInflatable | CraftClass::Raft => Hull::Inflatable,
    };
    let length = standard.length_mm.map(|mm| Um(u64::from(mm) * 1000));
    length.is_some_and(|length| applies(hull, length).is_ok())
}

fn asked_back(plate: &CapacityPlate, doubt: Doubt) -> RowError {
    let pounds = |grams: u64| format!("{} lb", Lb::from_g(grams).floor());
    let mass = |mass: Option<u64>| pounds(mass.unwrap_or_default());
    let (field, value, why) = match doubt {
        Doubt::Persons { typed, formula } => (
            Field::Persons,
            typed.to_string(),
            format!(
                "33 CFR 183.41 makes {formula} of {} of persons",
                mass(plate.persons_mass_g)
            ),
        ),
        Doubt::TotalBelowPersons => (
            Field::TotalMass,
            mass(plate.total_mass_g),
            format!(
                "persons alone are {}, and motor and gear come on top",
                mass(plate.persons_mass_g)
            ),
        ),
        Doubt::Motor { left_g, motor_g } => (
            Field::TotalMass,
            mass(plate.total_mass_g),
            format!(
                "that leaves {} for motor and gear; a motor of the plate's power is about {}",
                pounds(left_g),
                pounds(motor_g)
            ),
        ),
    };
    RowError::Value {
        field: field_name(field),
        value,
        limit: format!(
            "{why}: read the plate again; where it does say so, write yes in a column '{}'",
            field_name(Field::PlateReadAgain)
        ),
    }
}
