//! What is aboard before anybody is brought aboard, each thing with where its weight comes from.

use crate::engine::facts::{Facts, MOTOR};
use crate::engine::fuel;
use crate::engine::kit::Stores;
use crate::engine::sides::trusted;
use crate::event::{GearRegistered, Plate};
use crate::load::{Counted, Thing, Weighed, WeighedBy, full_load_of_motor};
use crate::standard::WeighsAs;

/// Crew in gear, kit, motor, fuel, battery.
pub(super) fn weighed(facts: &Facts<'_>, stores: &Stores<'_>, plate: &Plate) -> Weighed {
    let crew = facts.crew();
    let mut counted = vec![
        Counted {
            thing: Thing::Crew,
            mass_g: u64::from(crew).saturating_mul(crew_mass_g(facts)),
            by: match facts.asked.crew.mass_g {
                Some(_) => WeighedBy::Given,
                None => WeighedBy::Setting,
            },
        },
        Counted {
            thing: Thing::Kit,
            mass_g: stores.mass_g(WeighsAs::Kit).unwrap_or(0),
            by: WeighedBy::Counts,
        },
    ];
    counted.extend(motor(facts, stores, plate));
    Weighed { crew, counted }
}

/// Mass of one of the crew: as asked, else the county's.
pub(super) fn crew_mass_g(facts: &Facts<'_>) -> u64 {
    let given = facts.asked.crew.mass_g;
    given.unwrap_or(facts.county.policy.crew_mass_g)
}

/// Motor, fuel and battery: none for a craft that has no motor and is to have none.
fn motor(facts: &Facts<'_>, stores: &Stores<'_>, plate: &Plate) -> Vec<Counted> {
    let by_counts = |thing, weighs_as| {
        stores.mass_g(weighs_as).map(|mass_g| Counted {
            thing,
            mass_g,
            by: WeighedBy::Counts,
        })
    };
    let mut parts = facts.standard.parts.iter();
    let has_motor = facts.motor().is_some() || parts.any(|part| part.id.as_str() == MOTOR);
    let own_power = own(facts, |gear| gear.power_w);
    let table = own_power
        .or(plate.power_w)
        .filter(|_| has_motor)
        .and_then(full_load_of_motor);
    let motor = has_motor.then(|| motor_itself(facts, plate, own_power, table.as_ref()));
    let is_by_table = motor.is_some_and(|motor| motor.by == WeighedBy::Table);
    let fuel = by_counts(Thing::Fuel, WeighsAs::Fuel).or(table.map(|[_, fuel, _]| fuel));
    let fuel = heavier(fuel, by_amount(facts));
    let battery = by_counts(Thing::Battery, WeighsAs::Battery)
        .or(table.filter(|_| is_by_table).map(|[.., battery]| battery));
    motor.into_iter().chain(fuel).chain(battery).collect()
}

/// Fuel as recorded, by amount and density, its tank not in it.
fn by_amount(facts: &Facts<'_>) -> Option<Counted> {
    let policy = &facts.county.policy.load;
    fuel::carried_ml(facts).map(|ml| Counted {
        thing: Thing::Fuel,
        mass_g: policy.fuel_g(ml),
        by: WeighedBy::Density,
    })
}

/// A full tank as the sheet or the table weighs it, unless more was recorded.
fn heavier(full: Option<Counted>, recorded: Option<Counted>) -> Option<Counted> {
    match (full, recorded) {
        (Some(full), Some(recorded)) if recorded.mass_g > full.mass_g => Some(recorded),
        (full, recorded) => full.or(recorded),
    }
}

/// By its own record; else by the table for its power; else the plate's greatest; else by the table
/// for the plate's power.
fn motor_itself(
    facts: &Facts<'_>,
    plate: &Plate,
    own_power: Option<u32>,
    table: Option<&[Counted; 3]>,
) -> Counted {
    let of = |mass_g: u32, by| Counted {
        thing: Thing::Motor,
        mass_g: u64::from(mass_g),
        by,
    };
    let registered = own(facts, |gear| gear.mass_g).map(|mass_g| of(mass_g, WeighedBy::Registered));
    let by_plate = plate
        .motor_mass_g
        .map(|mass_g| of(mass_g, WeighedBy::Plate));
    let by_table = table.map(|[motor, ..]| *motor);
    let own_table = by_table.filter(|_| own_power.is_some());
    registered
        .or(own_table)
        .or(by_plate)
        .or(by_table)
        .unwrap_or_else(|| of(0, WeighedBy::NotKnown))
}

/// The greatest that a trusted side of the fitted motor says.
fn own(facts: &Facts<'_>, of: impl Fn(&GearRegistered) -> Option<u32>) -> Option<u32> {
    let sides = facts.motor().map(|motor| &motor.gear)?;
    trusted(sides).filter_map(|side| of(&side.value)).max()
}
