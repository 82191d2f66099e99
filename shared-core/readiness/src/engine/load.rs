//! Whom the craft can bring home: persons and persons' mass and total mass, whichever binds.
//!
//! Crew at the county's mass in gear; kit as carried or as the mission needs, whichever is more;
//! the motor by its own record, else by the plate's greatest. Kit and motor count against the
//! total alone. No formula: an inflatable is outside those of 33 CFR 183.

use super::facts::Facts;
use super::kit::Stores;
use super::sides::trusted;
use crate::answer::{Action, Effect, Finding, Limit, Load, LoadLimit, Measure, Rule, Subject};
use crate::event::{Plate, Severity};

/// One line of the plate with what it leaves.
struct Room {
    binds: LoadLimit,
    /// Further persons: negative when the crew alone is too many.
    seats: i64,
    /// Mass left, grams; none for the line of persons.
    left_g: Option<i64>,
    limit: Measure,
    loaded: Measure,
}

/// Seats for the asked mission's crew.
pub(super) fn check(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    found: &mut Vec<Finding>,
) -> Option<Load> {
    let plate = plate(facts);
    let rooms = rooms(facts, stores, &plate);
    let Some(tightest) = rooms.iter().min_by_key(|room| room.seats) else {
        found.push(unknown());
        return None;
    };
    // Heads alone are unsafe: a plate counts a person at far less than a rescuer in gear.
    if plate.persons_mass_g.is_none() && plate.total_mass_g.is_none() {
        found.push(unknown());
    }
    for room in rooms.iter().filter(|room| is_over(room)) {
        let finding = Finding::own(
            Rule::LoadOver,
            Severity::Restrictive,
            Effect::NotReady,
            Subject::Craft,
        )
        .measured(room.loaded.clone())
        .at_most(room.limit.clone());
        found.push(finding);
    }
    Some(Load {
        crew: facts.crew(),
        crew_mass_g: facts.county.policy.crew_mass_g,
        seats: u32::try_from(tightest.seats).unwrap_or(0),
        mass_left_g: rooms.iter().filter_map(|room| room.left_g).min(),
        binds: tightest.binds,
    })
}

fn is_over(room: &Room) -> bool {
    room.seats < 0 || room.left_g.is_some_and(|left_g| left_g < 0)
}

/// Without the masses of a plate nobody can be promised a seat.
fn unknown() -> Finding {
    Finding::own(
        Rule::PlateUnknown,
        Severity::Major,
        Effect::Limit(Limit::CrewOnly),
        Subject::Craft,
    )
    .needing(Action::RecordPlate, None)
}

/// The plate as registered; where sides differ, the smaller of each line.
pub(super) fn plate(facts: &Facts<'_>) -> Plate {
    let smaller = |one: Option<u64>, other: Option<u64>| match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    };
    let fewer = |one: Option<u32>, other: Option<u32>| match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    };
    trusted(&facts.record.craft)
        .map(|side| side.value.plate)
        .fold(facts.registered.plate, |least, plate| Plate {
            persons: fewer(least.persons, plate.persons),
            persons_mass_g: smaller(least.persons_mass_g, plate.persons_mass_g),
            total_mass_g: smaller(least.total_mass_g, plate.total_mass_g),
            power_w: fewer(least.power_w, plate.power_w),
            motor_mass_g: fewer(least.motor_mass_g, plate.motor_mass_g),
        })
}

fn rooms(facts: &Facts<'_>, stores: &Stores<'_>, plate: &Plate) -> Vec<Room> {
    let crew = facts.crew();
    let crew_g = u64::from(crew) * facts.county.policy.crew_mass_g;
    let mut rooms = Vec::new();
    if let Some(persons) = plate.persons {
        rooms.push(Room {
            binds: LoadLimit::Persons,
            seats: i64::from(persons) - i64::from(crew),
            left_g: None,
            limit: Measure::Persons(persons),
            loaded: Measure::Persons(crew),
        });
    }
    if let Some(limit_g) = plate.persons_mass_g {
        rooms.push(by_mass(facts, LoadLimit::PersonsMass, limit_g, crew_g));
    }
    if let Some(limit_g) = plate.total_mass_g {
        let loaded_g = crew_g + stores.mass_g() + motor_g(facts, plate);
        rooms.push(by_mass(facts, LoadLimit::TotalMass, limit_g, loaded_g));
    }
    rooms
}

fn by_mass(facts: &Facts<'_>, binds: LoadLimit, limit_g: u64, loaded_g: u64) -> Room {
    // Grams of a boat are far below 2^63; a registered plate beyond that is as good as no limit.
    let wide = |grams: u64| i64::try_from(grams).unwrap_or(i64::MAX);
    let left_g = wide(limit_g).saturating_sub(wide(loaded_g));
    let person_g = wide(facts.county.policy.person_mass_g).max(1);
    Room {
        binds,
        seats: left_g.div_euclid(person_g),
        left_g: Some(left_g),
        limit: Measure::MassG(limit_g),
        loaded: Measure::MassG(loaded_g),
    }
}

/// The fitted motor, else the plate's greatest, else nothing.
fn motor_g(facts: &Facts<'_>, plate: &Plate) -> u64 {
    let sides = facts.motor().map(|motor| &motor.gear);
    let own = sides.and_then(|sides| {
        let masses = trusted(sides).filter_map(|side| side.value.mass_g);
        masses.max()
    });
    u64::from(own.or(plate.motor_mass_g).unwrap_or(0))
}
