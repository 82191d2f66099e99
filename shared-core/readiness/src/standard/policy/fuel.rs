//! The county's settings for fuel, from the `[fuel]` table of its policy.
//!
//! A policy that was signed before a setting existed stands for its default.

use serde::Deserialize;

use crate::standard::StandardError;
use crate::standard::quantity::Spot;

/// Ages of fuel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FuelPolicy {
    /// Days after filling from which it is to be changed soon. Default 30: common practice, no
    /// source; makers of small engines commonly say under 30 days.
    pub warn_days: u32,
    /// Days after filling after which it counts nothing. Default 90, untreated: common practice,
    /// no source.
    pub fail_days: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawFuel {
    warn: String,
    fail: String,
}

impl Default for RawFuel {
    fn default() -> Self {
        Self {
            warn: "30 days".to_owned(),
            fail: "90 days".to_owned(),
        }
    }
}

impl RawFuel {
    /// Reads the settings.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the field, the value and what is allowed.
    pub(super) fn checked(&self) -> Result<FuelPolicy, StandardError> {
        let at = |field| Spot {
            place: "policy, fuel",
            field,
        };
        let warn_days = at("warn").days(&self.warn)?;
        let fail_days = at("fail").days(&self.fail)?;
        if warn_days > fail_days {
            return Err(at("warn").refuse(&self.warn, "must be at most fail"));
        }
        Ok(FuelPolicy {
            warn_days,
            fail_days,
        })
    }
}
