//! When readings are doubted, and a gauge is said to read apart: the `[doubted]` table of the county's
//! policy. Shown beside; no craft is judged by it.
//!
//! A policy that was signed before a setting existed stands for its default. All defaults are common
//! practice, no source. What a gauge that never moves is stands in `[leak]`.

use serde::Deserialize;

use crate::standard::StandardError;
use crate::standard::quantity::Spot;

/// Settings for doubted readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DoubtedPolicy {
    /// Fewer series of readings say nothing of whoever read them. Default 5.
    pub least_series: u32,
    /// Readings of one chamber by two gauges are compared when no more than this is between them,
    /// milliseconds. Default 14 days: two weekly checks.
    pub pairs_within_ms: i64,
    /// The same where the chamber's own leak is not known, milliseconds. Default 1 day: a chamber at
    /// the limit of 30 mbar in 24 h is off by no more than that.
    pub unknown_within_ms: i64,
    /// Fewer pairs say nothing of a gauge. Default 6: with fewer no interval of 95 % can be given.
    pub least_pairs: u32,
    /// A gauge whose middle difference is certainly beyond this reads apart, pascal. Default 5 mbar,
    /// what a gauge may be off.
    pub apart_pa: i64,
    /// Of those that are named, how many may be named by chance, percent. Default 5.
    pub by_chance_percent: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawDoubted {
    least_series: u32,
    pairs_within: String,
    pairs_within_leak_unknown: String,
    least_pairs: u32,
    apart: String,
    by_chance_percent: u32,
}

impl Default for RawDoubted {
    fn default() -> Self {
        Self {
            least_series: 5,
            pairs_within: "14 days".to_owned(),
            pairs_within_leak_unknown: "1 day".to_owned(),
            least_pairs: 6,
            apart: "5 mbar".to_owned(),
            by_chance_percent: 5,
        }
    }
}

impl RawDoubted {
    pub(super) fn checked(&self) -> Result<DoubtedPolicy, StandardError> {
        let at = |field| Spot {
            place: "policy [doubted]",
            field,
        };
        let within = |field, value: u32, least: u32, most: u32| {
            if (least..=most).contains(&value) {
                return Ok(value);
            }
            Err(at(field).refuse(&value.to_string(), &format!("give from {least} to {most}")))
        };
        let apart_pa = at("apart").pressure_pa(&self.apart)?;
        if !(0..=10_000).contains(&apart_pa) {
            return Err(at("apart").refuse(&self.apart, "give from 0 to 100 mbar"));
        }
        let days = |field, text: &str| {
            let days = within(field, at(field).days(text)?, 1, 366)?;
            Ok::<_, StandardError>(i64::from(days) * crate::dates::DAY_MS)
        };
        Ok(DoubtedPolicy {
            least_series: within("least_series", self.least_series, 2, 1_000)?,
            pairs_within_ms: days("pairs_within", &self.pairs_within)?,
            unknown_within_ms: days("pairs_within_leak_unknown", &self.pairs_within_leak_unknown)?,
            least_pairs: within("least_pairs", self.least_pairs, 6, 1_000)?,
            apart_pa,
            by_chance_percent: within("by_chance_percent", self.by_chance_percent, 1, 50)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_that_would_say_something_of_nothing_is_refused() {
        let refused = |change: &dyn Fn(&mut RawDoubted)| {
            let mut doubted = RawDoubted::default();
            change(&mut doubted);
            doubted.checked().expect_err("refused").to_string()
        };
        assert!(RawDoubted::default().checked().is_ok());
        assert!(refused(&|raw| raw.least_pairs = 5).contains("give from 6 to 1000"));
        assert!(refused(&|raw| raw.least_series = 1).contains("least_series"));
        assert!(refused(&|raw| raw.by_chance_percent = 0).contains("by_chance_percent"));
        assert!(refused(&|raw| raw.apart = "2 bar".to_owned()).contains("apart"));
        assert!(refused(&|raw| raw.pairs_within = "400 days".to_owned()).contains("pairs_within"));
    }
}
