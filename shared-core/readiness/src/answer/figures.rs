//! What was reckoned for one craft: pressures at the launch, whom it can bring home.

use crate::ids::PartId;
use crate::load::{Counted, Group, Packed, PlateCounts, Room, Short};
use crate::moment::Moment;

/// Pressure of one part predicted for the launch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartPressure {
    /// The part.
    pub part: PartId,
    /// As read, pascal.
    pub read_gauge_pa: i64,
    /// When it was read, at the earliest.
    pub read_at: Moment,
    /// Lowest at the launch, pascal; the worst side, the worse temperature.
    pub launch_low_pa: i64,
    /// Highest at the launch, pascal.
    pub launch_high_pa: i64,
    /// Taken off the lowest for the part's own leak since the reading, pascal; none when no leak of
    /// its own is known, and so none was reckoned with.
    pub own_leak_pa: Option<i64>,
    /// The standard's range, pascal.
    pub range_pa: (i64, i64),
    /// How far the prediction can be off. It decides nothing.
    pub spread: PressureSpread,
    /// Highest back in the bay, pascal: as it is, or topped up at the launch where it needs to be.
    pub home_high_pa: i64,
    /// The bay, milli-degree Celsius.
    pub home_mc: i32,
    /// What the sun at the launch would make of it. It decides nothing unless the policy says so.
    pub in_sun: InSun,
}
/// How far a predicted gauge can be off, beyond the temperature, whose worse end is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PressureSpread {
    /// Least that the gauge may show, pascal; 0 is a slack part.
    pub least_pa: i64,
    /// Most, pascal.
    pub most_pa: i64,
    /// Of it by the gauge, pascal either way.
    pub gauge_pa: i64,
    /// Of it by weather that was not measured, pascal either way.
    pub ambient_pa: i64,
    /// Of it by moisture that may condense, pascal, downwards only.
    pub moist_pa: i64,
}
/// A part in the sun at the launch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InSun {
    /// What the fabric reaches, milli-degree Celsius.
    pub temperature_mc: i32,
    /// Highest gauge there, pascal.
    pub high_pa: i64,
    /// Lowest at the launch afterwards, with what a relief valve let out in the sun gone, pascal.
    pub then_low_pa: i64,
}
/// Whom the craft can bring home with its crew aboard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Load {
    /// Crew reckoned with.
    pub crew: u32,
    /// Mass of one, grams.
    pub crew_mass_g: u64,
    /// Further adults, the smaller of heads and mass.
    pub seats: u32,
    /// Further children instead, each as heavy as the size goes.
    pub child_seats: u32,
    /// Mass left, grams.
    pub mass_left_g: Option<i64>,
    /// What binds, for adults.
    pub binds: LoadLimit,
    /// Every line of the plate with what is on it.
    pub lines: Vec<Room>,
    /// What was weighed.
    pub counted: Vec<Counted>,
    /// What the plate's one weight was taken to count; none when it has none or two.
    pub plate_counts: Option<CountedBy>,
    /// How those who were asked about come home; none when nobody was.
    pub homeward: Option<Homeward>,
}
/// What the one weight of a plate counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CountedBy {
    /// What.
    pub counts: PlateCounts,
    /// The boat standard does not say: the worse was taken.
    pub is_assumed: bool,
}
/// How people come home.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Homeward {
    /// The people, with weights and seats.
    pub groups: Vec<Group>,
    /// The trips.
    pub packed: Packed,
    /// Life jackets for the fullest trip, by whom they have to fit, beyond those that the crew wear.
    pub jackets: Vec<Short>,
}
/// Which line of the plate binds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LoadLimit {
    /// Persons.
    Persons,
    /// Persons' mass.
    PersonsMass,
    /// Persons, motor and gear.
    TotalMass,
}
