//! Gas law for a closed part: what a gauge will show elsewhere.
//!
//! A part is taken as rigid and its air as ideal and dry. Real air differs by at most 73 Pa in the
//! range of a tube; a tube that stretches loses less by cold than said here; moist air can lose
//! more, and how much more at most is part of the spread. Water lying in a part is not reckoned.
//! Cylinders are not reckoned here: at their pressures the ideal law is 11 % off.
//!
//! Floating point is used with + - * / in fixed order, and `libm` where a power is needed, then
//! rounded once: the same inputs give the same pascal everywhere.

mod altimeter;
mod closed;
mod spread;
mod standard_atmosphere;

pub use altimeter::{altimeter_setting_pa, station_pressure_pa};
pub use closed::{
    Air, Course, Predicted, Relief, Valve, back_home_pa, bring_to_pa, gauge_elsewhere,
    gauge_elsewhere_pa, predicted,
};
pub use spread::{Doubt, Spread, condensed_pa, saturation_pa, spread};
pub use standard_atmosphere::{geopotential_pa, standard_pressure_pa};
