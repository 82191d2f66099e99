//! The county's settings for loads, from the `[load]` table of its policy.
//!
//! A policy that was signed before a setting existed stands for its default. Each default is said
//! here with its source, or that it has none.

use serde::Deserialize;

use crate::load::{Bound, Sizes, Wearer};
use crate::standard::StandardError;
use crate::standard::quantity::Spot;

/// Settings for loads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LoadPolicy {
    /// Body weights of the sizes. Default: infant under 30 lb, child 30 to 50, youth 50 to 90,
    /// adult over 90, as life jackets are labelled in the trade; the right size as labelled is 33
    /// CFR 175.21.
    pub sizes: Sizes,
    /// Fuel, grams a litre. Default 6.1 lb a US gallon: common practice, no source.
    pub fuel_g_per_l: u32,
}

impl LoadPolicy {
    /// Weight of fuel by its volume, grams.
    #[must_use]
    pub fn fuel_g(&self, ml: u64) -> u64 {
        (ml.saturating_mul(u64::from(self.fuel_g_per_l))).saturating_add(500) / 1000
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawLoad {
    child_from: String,
    youth_from: String,
    adult_over: String,
    fuel_density: String,
}

impl Default for RawLoad {
    fn default() -> Self {
        Self {
            child_from: "30 lb".to_owned(),
            youth_from: "50 lb".to_owned(),
            adult_over: "90 lb".to_owned(),
            fuel_density: "6.1 lb/gal".to_owned(),
        }
    }
}

impl RawLoad {
    /// Reads the settings.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the field, the value and what is allowed.
    pub(super) fn checked(&self) -> Result<LoadPolicy, StandardError> {
        let at = |field| Spot {
            place: "policy, load",
            field,
        };
        let child_g = u64::from(at("child_from").mass_g(&self.child_from)?);
        let youth_g = u64::from(at("youth_from").mass_g(&self.youth_from)?);
        let adult_g = u64::from(at("adult_over").mass_g(&self.adult_over)?);
        if child_g == 0 || child_g >= youth_g {
            let limit = "must be less than youth_from, and more than nothing";
            return Err(at("child_from").refuse(&self.child_from, limit));
        }
        if youth_g >= adult_g {
            return Err(at("youth_from").refuse(&self.youth_from, "must be less than adult_over"));
        }
        Ok(LoadPolicy {
            sizes: sizes(child_g, youth_g, adult_g),
            fuel_g_per_l: at("fuel_density").density_g_per_l(&self.fuel_density)?,
        })
    }
}

/// The four sizes from the three weights at which they meet.
const fn sizes(child_g: u64, youth_g: u64, adult_g: u64) -> Sizes {
    const fn included(mass_g: u64) -> Option<Bound> {
        Some(Bound {
            mass_g,
            is_included: true,
        })
    }
    const fn left_out(mass_g: u64) -> Option<Bound> {
        Some(Bound {
            mass_g,
            is_included: false,
        })
    }
    Sizes {
        infant: Wearer {
            low: None,
            high: left_out(child_g),
        },
        child: Wearer {
            low: included(child_g),
            high: included(youth_g),
        },
        youth: Wearer {
            low: included(youth_g),
            high: included(adult_g),
        },
        adult: Wearer {
            low: left_out(adult_g),
            high: None,
        },
    }
}
