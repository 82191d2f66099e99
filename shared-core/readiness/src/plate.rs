//! The formulas of 33 CFR 183 subparts B, C and D for the maker's plate: a cross-check of what was
//! typed, for the boats that they apply to, and refused for those that they do not.
//!
//! Not a source of a capacity: the plate that the maker fixed to the boat is the limit. The numbers
//! are those of the regulation as it was read (annual edition 2015, and copies of 2019 to 2026),
//! so they are constants of the formula and no settings of the county.

mod applies;
mod doubt;
mod exact;
mod power;
mod weight;

pub use applies::{Hull, NotApplied, Propulsion, applies, applies_to_power};
pub use doubt::{Doubt, doubt};
pub use exact::{Lb, Um, hp_of_watts};
pub use power::{Bottom, Power, PowerAsked, PowerRefused, Steering, power};
pub use weight::{
    MotorWeight, Persons, WeightAsked, motor_weight, persons_of, persons_outboard, persons_paddled,
    weight_max_outboard, weight_max_paddled,
};
