//! What is weighed against the plate, each thing with where its weight comes from.

use crate::plate::{hp_of_watts, motor_weight};

/// A thing that has weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Thing {
    /// Crew in gear.
    Crew,
    /// Kit.
    Kit,
    /// Motor, with controls and rigging where the table gives it.
    Motor,
    /// Fuel and its tank.
    Fuel,
    /// Battery.
    Battery,
}

/// Where a weight comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WeighedBy {
    /// Given with the question.
    Given,
    /// The county's setting.
    Setting,
    /// As counted aboard, or as the mission needs, whichever is more, by the boat standard's masses.
    Counts,
    /// The registered mass of what is fitted.
    Registered,
    /// The greatest that the plate allows.
    Plate,
    /// The table of motor weights by power (ABYC S-30).
    Table,
    /// Amount by density.
    Density,
    /// Nothing gives it: it is not counted.
    NotKnown,
}

/// One weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Counted {
    /// Of what.
    pub thing: Thing,
    /// Grams, all of it.
    pub mass_g: u64,
    /// Where it comes from.
    pub by: WeighedBy,
}

/// What a motor of a power weighs by the table, with its full portable tank and its battery; none
/// beyond the table.
#[must_use]
pub fn full_load_of_motor(power_w: u32) -> Option<[Counted; 3]> {
    let weight = motor_weight(hp_of_watts(power_w))?;
    let by_table = |thing, mass_g| Counted {
        thing,
        mass_g,
        by: WeighedBy::Table,
    };
    let (fuel_g, battery_g) = (weight.fuel.to_g(), weight.battery.to_g());
    let motor_g = weight.total.to_g().saturating_sub(fuel_g + battery_g);
    Some([
        by_table(Thing::Motor, motor_g),
        by_table(Thing::Fuel, fuel_g),
        by_table(Thing::Battery, battery_g),
    ])
}
