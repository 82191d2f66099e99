//! A load from figures that somebody gives, without a craft's record.

use super::counted::{Counted, Thing, WeighedBy, full_load_of_motor};
use super::people::{Group, Party, Size, groups};
use super::rooms::{PlateCounts, Room, Weighed, counts_of, mass_left_g, rooms, seats_of, tightest};
use super::trips::{Packed, trips};
use crate::answer::{CountedBy, LoadLimit};
use crate::event::Plate;
use crate::standard::Policy;

/// Figures that somebody gives.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ByHand {
    /// The plate.
    pub plate: Plate,
    /// What its one weight counts.
    pub counts: Option<PlateCounts>,
    /// Crew.
    pub crew: u32,
    /// Mass of each of the crew, grams.
    pub crew_mass_g: Option<u64>,
    /// Kit, grams.
    pub kit_g: Option<u64>,
    /// Motor, grams.
    pub motor_g: Option<u64>,
    /// Power of a motor whose mass is not given, watts.
    pub motor_power_w: Option<u32>,
    /// Fuel, millilitres.
    pub fuel_ml: Option<u64>,
    /// Battery, grams.
    pub battery_g: Option<u64>,
    /// An adult to be brought aboard, grams.
    pub person_mass_g: Option<u64>,
    /// Seats that somebody lying down takes.
    pub lying_seats: u32,
    /// People to bring home.
    pub people: Vec<Party>,
}

/// What they leave.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Further adults.
    pub seats: u32,
    /// Further children instead, each as heavy as the size goes.
    pub child_seats: u32,
    /// Mass left, grams.
    pub mass_left_g: Option<i64>,
    /// Line that binds.
    pub binds: LoadLimit,
    /// Every line of the plate.
    pub lines: Vec<Room>,
    /// What was weighed.
    pub counted: Vec<Counted>,
    /// What the plate's one weight was taken to count; none when it has none or two.
    pub plate_counts: Option<CountedBy>,
    /// The people.
    pub groups: Vec<Group>,
    /// Their trips.
    pub packed: Packed,
}

/// Reckons it; none for a plate without a line of persons or weight.
#[must_use]
pub fn by_hand(given: &ByHand, policy: &Policy) -> Option<Found> {
    let person_g = given.person_mass_g.unwrap_or(policy.person_mass_g);
    let counted = counted(given, policy);
    let counts = counts_of(
        &given.plate,
        given.counts.unwrap_or(PlateCounts::PersonsMotorGear),
    );
    let weighed = Weighed {
        crew: given.crew,
        counted,
    };
    let lines = rooms(&given.plate, counts, &weighed);
    let sizes = &policy.load.sizes;
    let groups = groups(&given.people, sizes, person_g, given.lying_seats);
    let heads = lines.iter().find(|room| room.binds == LoadLimit::Persons);
    let heads = heads.map(|room| u32::try_from(room.left().max(0)).unwrap_or(u32::MAX));
    let left_g = mass_left_g(&lines);
    let packed = trips(
        &groups,
        heads,
        left_g.map(|g| u64::try_from(g).unwrap_or(0)),
    );
    let has_one = given.plate.persons_mass_g.is_some() && given.plate.total_mass_g.is_none();
    Some(Found {
        seats: seats_of(&lines, person_g),
        child_seats: seats_of(&lines, sizes.mass_g(Size::Child, person_g)),
        mass_left_g: left_g,
        binds: tightest(&lines, person_g)?.binds,
        plate_counts: has_one.then_some(CountedBy {
            counts,
            is_assumed: given.counts.is_none(),
        }),
        lines,
        counted: weighed.counted,
        groups,
        packed,
    })
}

/// What is given, each with its weight; what is not given weighs nothing, save a crew, and a motor
/// of which only the power is given.
fn counted(given: &ByHand, policy: &Policy) -> Vec<Counted> {
    let of = |thing, mass_g, by| Counted { thing, mass_g, by };
    let crew = match given.crew_mass_g {
        Some(each_g) => (each_g, WeighedBy::Given),
        None => (policy.crew_mass_g, WeighedBy::Setting),
    };
    let given_as = |thing, mass_g: Option<u64>| mass_g.map(|g| of(thing, g, WeighedBy::Given));
    let table = given.motor_power_w.and_then(full_load_of_motor);
    let table = table.filter(|_| given.motor_g.is_none());
    let fuel = given
        .fuel_ml
        .map(|ml| of(Thing::Fuel, policy.load.fuel_g(ml), WeighedBy::Density));
    let things = [
        Some(of(
            Thing::Crew,
            u64::from(given.crew).saturating_mul(crew.0),
            crew.1,
        )),
        given_as(Thing::Kit, given.kit_g),
        given_as(Thing::Motor, given.motor_g).or(table.map(|[motor, ..]| motor)),
        fuel.or(table.map(|[_, fuel, _]| fuel)),
        given_as(Thing::Battery, given.battery_g).or(table.map(|[.., battery]| battery)),
    ];
    things.into_iter().flatten().collect()
}
