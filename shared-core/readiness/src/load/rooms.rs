//! The lines of a plate, each with what it leaves beyond the crew.

use super::counted::{Counted, Thing};
use crate::answer::LoadLimit;
use crate::event::Plate;

/// What the weight on a plate counts when the plate has one weight only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlateCounts {
    /// Persons alone.
    Persons,
    /// Persons, motor and gear.
    PersonsMotorGear,
}

/// What is aboard before anybody is brought aboard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weighed {
    /// Crew.
    pub crew: u32,
    /// Everything that has weight, the crew included.
    pub counted: Vec<Counted>,
}

impl Weighed {
    /// Weight of the crew, grams.
    #[must_use]
    pub fn crew_g(&self) -> u64 {
        let crew = self.counted.iter().filter(|one| one.thing == Thing::Crew);
        crew.fold(0, |sum, one| sum.saturating_add(one.mass_g))
    }

    /// Weight of everything, grams.
    #[must_use]
    pub fn all_g(&self) -> u64 {
        let all = self.counted.iter();
        all.fold(0, |sum, one| sum.saturating_add(one.mass_g))
    }
}

/// Weights are kept in whole grams, so that three persons of 185 lb are a gram more than 555 lb: so
/// much over is rounding. Half a gram for each of 60 persons and a few things.
pub(crate) const ROUNDING_G: i64 = 32;

/// One line of a plate with what it leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Room {
    /// Which line.
    pub binds: LoadLimit,
    /// What the line allows: persons or grams.
    pub limit: u64,
    /// What is aboard before anybody is brought aboard: persons or grams.
    pub loaded: u64,
}

impl Room {
    /// What is left, persons or grams: below zero when the crew alone is too much.
    #[must_use]
    pub fn left(&self) -> i64 {
        wide(self.limit).saturating_sub(wide(self.loaded))
    }

    /// Whether crew, kit and motor alone are more than the line allows.
    #[must_use]
    pub fn is_over(&self) -> bool {
        match self.binds {
            LoadLimit::Persons => self.left() < 0,
            LoadLimit::PersonsMass | LoadLimit::TotalMass => self.left() < -ROUNDING_G,
        }
    }

    /// Further persons of a mass.
    #[must_use]
    pub fn seats(&self, person_g: u64) -> i64 {
        match self.binds {
            LoadLimit::Persons => self.left(),
            LoadLimit::PersonsMass | LoadLimit::TotalMass => {
                let left_g = self.left().saturating_add(ROUNDING_G);
                left_g.div_euclid(wide(person_g).max(1))
            }
        }
    }
}

/// Grams of a boat are far below 2^63; a registered plate beyond that is as good as no limit.
fn wide(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

/// What the plate's weight of persons counts: a plate that also has persons, motor and gear on a
/// line of their own means persons alone by the other.
#[must_use]
pub const fn counts_of(plate: &Plate, said: PlateCounts) -> PlateCounts {
    match plate.total_mass_g {
        Some(_) => PlateCounts::Persons,
        None => said,
    }
}

/// The lines that the plate has, its weight of persons taken to count what is said.
#[must_use]
pub fn rooms(plate: &Plate, counts: PlateCounts, weighed: &Weighed) -> Vec<Room> {
    let heads = plate.persons.map(|persons| Room {
        binds: LoadLimit::Persons,
        limit: u64::from(persons),
        loaded: u64::from(weighed.crew),
    });
    let persons = plate.persons_mass_g.map(|limit| Room {
        binds: LoadLimit::PersonsMass,
        limit,
        loaded: match counts {
            PlateCounts::Persons => weighed.crew_g(),
            PlateCounts::PersonsMotorGear => weighed.all_g(),
        },
    });
    let total = plate.total_mass_g.map(|limit| Room {
        binds: LoadLimit::TotalMass,
        limit,
        loaded: weighed.all_g(),
    });
    [heads, persons, total].into_iter().flatten().collect()
}

/// The line that leaves the fewest persons of a mass.
#[must_use]
pub fn tightest(rooms: &[Room], person_g: u64) -> Option<&Room> {
    rooms.iter().min_by_key(|room| room.seats(person_g))
}

/// Further persons of a mass by the tightest line, none below zero.
#[must_use]
pub fn seats_of(rooms: &[Room], person_g: u64) -> u32 {
    let seats = tightest(rooms, person_g).map_or(0, |room| room.seats(person_g));
    u32::try_from(seats.max(0)).unwrap_or(u32::MAX)
}

/// Mass left by the tightest line that has one, grams.
#[must_use]
pub fn mass_left_g(rooms: &[Room]) -> Option<i64> {
    let by_mass = rooms.iter().filter(|room| room.binds != LoadLimit::Persons);
    by_mass.map(Room::left).min()
}
