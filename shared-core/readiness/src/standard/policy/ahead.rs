//! The county's settings for looking ahead, from the `[ahead]` table of its policy: visits, what is
//! ordered when, how the use of a motor is reckoned. None of them decides readiness.
//!
//! A policy that was signed before a setting existed stands for its default. Nothing is published
//! for any of them: all defaults are common practice, no source.

use serde::Deserialize;

use crate::answer::Basis;
use crate::event::GearKind;
use crate::standard::quantity::Spot;
use crate::standard::{Cited, StandardError};

/// Settings for looking ahead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AheadPolicy {
    /// Days before its due day that a visit may do a thing. Default 14.
    pub window_days: u32,
    /// Intervals shorter than this are kept with the boat checks, and not listed day by day nor
    /// planned into visits. Default 28 days.
    pub listed_from_days: u32,
    /// Days from ordering to having. Default 42.
    pub lead_days: u32,
    /// Days back from which meter readings tell how much a motor runs. Default 366.
    pub use_days: u32,
    /// Least days between the first and the last reading. Default 92.
    pub use_least_days: u32,
    /// Service life of a fuel line from its making, months; none for none. Default 60.
    pub fuel_line_months: Option<u32>,
    /// Service life of a starting battery from its making, months; none for none. Default 48.
    pub battery_months: Option<u32>,
    /// Source of the service lives.
    pub cited: Cited,
}

impl AheadPolicy {
    /// Service life from making of a kind of gear that has no rule elsewhere, months.
    #[must_use]
    pub const fn life_months(&self, kind: GearKind) -> Option<u32> {
        match kind {
            GearKind::FuelLine => self.fuel_line_months,
            GearKind::Battery => self.battery_months,
            GearKind::Motor
            | GearKind::FuelTank
            | GearKind::Cylinder
            | GearKind::InflatableFloor
            | GearKind::Pump
            | GearKind::Gauge
            | GearKind::Radio
            | GearKind::Trailer
            | GearKind::BreathingSet => None,
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawAhead {
    visit_window: String,
    listed_from: String,
    lead: String,
    use_within: String,
    use_least: String,
    fuel_line_life: String,
    battery_life: String,
    basis: Basis,
    source: String,
}

impl Default for RawAhead {
    fn default() -> Self {
        Self {
            visit_window: "14 days".to_owned(),
            listed_from: "28 days".to_owned(),
            lead: "42 days".to_owned(),
            use_within: "366 days".to_owned(),
            use_least: "92 days".to_owned(),
            fuel_line_life: "60 months".to_owned(),
            battery_life: "48 months".to_owned(),
            basis: Basis::Trade,
            source: "common practice, no source".to_owned(),
        }
    }
}

impl RawAhead {
    /// Reads the settings.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the field, the value and what is allowed.
    pub(super) fn checked(self) -> Result<AheadPolicy, StandardError> {
        let window_days = at("visit_window").days(&self.visit_window)?;
        let listed_from_days = at("listed_from").days(&self.listed_from)?;
        // Else one visit would do two rounds of one thing.
        if listed_from_days <= window_days {
            let limit = "must be longer than visit_window";
            return Err(at("listed_from").refuse(&self.listed_from, limit));
        }
        let use_days = at("use_within").days(&self.use_within)?;
        let use_least_days = at("use_least").days(&self.use_least)?;
        if use_least_days == 0 || use_least_days > use_days {
            let limit = "give at least 1 day, and at most use_within";
            return Err(at("use_least").refuse(&self.use_least, limit));
        }
        Ok(AheadPolicy {
            window_days,
            listed_from_days,
            lead_days: at("lead").days(&self.lead)?,
            use_days,
            use_least_days,
            fuel_line_months: life("fuel_line_life", &self.fuel_line_life)?,
            battery_months: life("battery_life", &self.battery_life)?,
            cited: Cited {
                basis: self.basis,
                source: self.source,
            },
        })
    }
}

fn life(field: &'static str, text: &str) -> Result<Option<u32>, StandardError> {
    if text == "none" {
        return Ok(None);
    }
    at(field).months(text).map(Some)
}

fn at(field: &'static str) -> Spot<'static> {
    Spot {
        place: "policy, ahead",
        field,
    }
}

#[cfg(test)]
mod tests {
    use crate::standard::Policy;

    #[test]
    fn a_policy_without_the_table_stands_for_the_defaults() {
        let text = Policy::default_text();
        let (before, after) = text.split_once("[ahead]").expect("written out");
        let rest = after.split_once("\n[").map_or("", |(_, rest)| rest);
        let without = match rest {
            "" => before.to_owned(),
            rest => format!("{before}[{rest}"),
        };
        let read = |text: &str| Policy::parse(text).expect("reads").ahead;
        assert_eq!(read(&without), read(text));
        let none = text.replace(
            "fuel_line_life = \"60 months\"",
            "fuel_line_life = \"none\"",
        );
        assert_eq!(read(text).fuel_line_months, Some(60));
        assert_eq!(read(&none).fuel_line_months, None);
    }

    #[test]
    fn settings_that_cannot_be_are_refused() {
        let text = Policy::default_text();
        for (from, to, said) in [
            (
                "listed_from = \"28 days\"",
                "listed_from = \"14 days\"",
                "longer than visit_window",
            ),
            (
                "use_least = \"92 days\"",
                "use_least = \"400 days\"",
                "at most use_within",
            ),
            (
                "battery_life = \"48 months\"",
                "battery_life = \"0 months\"",
                "battery_life is 0",
            ),
        ] {
            let changed = text.replacen(from, to, 1);
            assert_ne!(changed, text);
            let refusal = Policy::parse(&changed).expect_err(said).to_string();
            assert!(refusal.contains(said), "{refusal}");
        }
    }
}
