//! Quantities as people write them, and back: text in, whole numbers of base units out.
//!
//! Base units: pascal, milli-degree Celsius, gram, millilitre, millimetre, second. Arithmetic is
//! exact until the last step, which rounds to the nearest unit. It does not know which quantity a
//! field of a form holds: the caller says.

mod number;
mod parse;
mod position;
pub mod print;
mod quantity;

pub use parse::{
    absolute, distance, elevation, fine_length, gauge, gauge_unrounded, length, mass, power, span,
    span_to, speed, temperature, volume,
};
pub use position::position;
pub use quantity::UnitError;

/// Pressure above the air outside, pascal: what a gauge shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Gauge(pub i64);

/// Pressure above nothing, pascal: the air outside, or a chamber reckoned whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Absolute(pub i64);

impl Gauge {
    /// The same pressure above nothing, in air of `ambient`.
    #[must_use]
    pub const fn in_air_of(self, ambient: Absolute) -> Absolute {
        Absolute(self.0.saturating_add(ambient.0))
    }
}

impl Absolute {
    /// What a gauge would show in air of `ambient`.
    #[must_use]
    pub const fn on_a_gauge_in(self, ambient: Self) -> Gauge {
        Gauge(self.0.saturating_sub(ambient.0))
    }
}
