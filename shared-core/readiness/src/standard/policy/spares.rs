//! The county's settings for spare kit, from the `[spares]` table of its policy.
//!
//! A policy that was signed before a setting existed stands for its default.

use serde::Deserialize;

use crate::standard::StandardError;
use crate::standard::quantity::Spot;

/// Spare kit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SparesPolicy {
    /// Days for which a count of a shelf, a station's store or a bag that is on no craft is taken to
    /// hold. Default 92, a quarter: common practice, no source.
    pub counted_days: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawSpares {
    counted: String,
}

impl Default for RawSpares {
    fn default() -> Self {
        Self {
            counted: "92 days".to_owned(),
        }
    }
}

impl RawSpares {
    /// Reads the settings.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the field, the value and what is allowed.
    pub(super) fn checked(&self) -> Result<SparesPolicy, StandardError> {
        let spot = Spot {
            place: "policy, spares",
            field: "counted",
        };
        let counted_days = spot.days(&self.counted)?;
        if counted_days == 0 {
            return Err(spot.refuse(&self.counted, "give at least 1 day"));
        }
        Ok(SparesPolicy { counted_days })
    }
}
