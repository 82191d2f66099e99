//! The county's settings for air, pumps and cylinders, from the `[free_air]` table of its policy and its
//! `[[cylinder]]` entries.
//!
//! A policy that was signed before a setting existed stands for its default. Each default is said
//! here with its source, or that it has none.

use serde::Deserialize;

use crate::answer::Basis;
use crate::standard::quantity::Spot;
use crate::standard::{Cited, RuleEffect, StandardError, built_in};

/// Settings for air.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AirPolicy {
    /// Litres of free air are told at this temperature, milli-degree Celsius. Default 15 °C, the
    /// standard atmosphere's.
    pub reference_mc: i32,
    /// How much a tube grows from slack to its wanted gauge, parts per million, for the air that it
    /// wants. Default 2 %: common practice, no source; no measured figure is published.
    pub growth_ppm: u32,
    /// Share of each stroke of a pump that does not arrive, parts per million. Default 10 %: common
    /// practice, no source.
    pub pump_losses_ppm: u32,
    /// Least charge of a cylinder, share of its service pressure, parts per million. Default 90 %:
    /// 29 CFR 1910.134(h)(3)(i)(B) for breathing air, from memory; for others by agency policy.
    pub least_charge_ppm: u32,
    /// What a cylinder below its least charge does. Default note.
    pub low_charge: RuleEffect,
    /// What a cylinder past its requalification does. Default note: 49 CFR 180.205(c), it may stay
    /// in use until emptied, and is not refilled.
    pub overdue: RuleEffect,
    /// What a cylinder past its service life does. Default limit. It counts as no source of air.
    pub life_over: RuleEffect,
    /// Days before a date of a cylinder from which it is due soon. Default 60 days: common practice,
    /// no source.
    pub soon_days: u32,
    /// What somebody in a breathing set breathes, millilitres of free air a minute. Default 40 L:
    /// NFPA 1981 (1,200 L for 30 min), community.nfpa.org/thread/42472.
    pub breathing_ml_min: u32,
    /// Requalification and life by specification.
    pub cylinders: Vec<CylinderRule>,
}

/// What holds for cylinders of a specification.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CylinderRule {
    /// Marks that name it, as stamped: `3AA`, `DOT-CFFC`.
    pub specifications: Vec<String>,
    /// Months from one requalification to the next; good through the last day of the due month.
    pub requalify_months: u32,
    /// Months of service life from making; none when it has no fixed one.
    pub life_months: Option<u32>,
    /// Pressure of the test as a ratio to the service pressure: (5, 3).
    pub test: (u32, u32),
    /// Source.
    pub cited: Cited,
}

impl AirPolicy {
    /// What holds for a cylinder with a mark; none when no entry names it.
    #[must_use]
    pub fn cylinder(&self, specification: &str) -> Option<&CylinderRule> {
        let mark = plain(specification);
        let mut rules = self.cylinders.iter();
        rules.find(|rule| rule.specifications.iter().any(|known| plain(known) == mark))
    }
}

/// A mark without what people leave out or add: `DOT 3-AA` as `3aa`.
fn plain(mark: &str) -> String {
    let letters = mark.chars().filter(char::is_ascii_alphanumeric);
    let plain: String = letters.map(|letter| letter.to_ascii_lowercase()).collect();
    match plain.strip_prefix("dot") {
        Some(rest) if !rest.is_empty() => rest.to_owned(),
        Some(_) | None => plain,
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawAir {
    reference_temperature: String,
    growth_percent: u32,
    pump_losses_percent: u32,
    least_charge_percent: u32,
    low_charge: RuleEffect,
    overdue: RuleEffect,
    life_over: RuleEffect,
    soon: String,
    breathing_litres_a_minute: u32,
}

impl Default for RawAir {
    fn default() -> Self {
        Self {
            reference_temperature: "15 °C".to_owned(),
            growth_percent: 2,
            pump_losses_percent: 10,
            least_charge_percent: 90,
            low_charge: RuleEffect::Note,
            overdue: RuleEffect::Note,
            life_over: RuleEffect::Limit,
            soon: "60 days".to_owned(),
            breathing_litres_a_minute: 40,
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawCylinder {
    specifications: Vec<String>,
    requalify: String,
    life: Option<String>,
    test_times: u32,
    test_over: u32,
    basis: Basis,
    source: String,
}

/// The entries of the settings that come with the program, for a policy without any.
#[derive(Deserialize)]
struct BuiltIn {
    cylinder: Vec<RawCylinder>,
}

impl RawAir {
    pub(super) fn checked(&self, given: Vec<RawCylinder>) -> Result<AirPolicy, StandardError> {
        let at = |field| Spot {
            place: "policy [free_air]",
            field,
        };
        let percent = |field, value: u32, most: u32| {
            if value <= most {
                return Ok(value * 10_000);
            }
            let limit = format!("give whole percent from 0 to {most}");
            Err(at(field).refuse(&value.to_string(), &limit))
        };
        let breathing = self.breathing_litres_a_minute;
        if !(10..=200).contains(&breathing) {
            let spot = at("breathing_litres_a_minute");
            return Err(spot.refuse(&breathing.to_string(), "give litres from 10 to 200"));
        }
        let entries = if given.is_empty() {
            built_in_entries()?
        } else {
            given
        };
        let cylinders = entries.iter().map(RawCylinder::checked);
        Ok(AirPolicy {
            reference_mc: at("reference_temperature")
                .temperature_mc(&self.reference_temperature)?,
            growth_ppm: percent("growth_percent", self.growth_percent, 20)?,
            // A pump that loses more is broken.
            pump_losses_ppm: percent("pump_losses_percent", self.pump_losses_percent, 90)?,
            least_charge_ppm: percent("least_charge_percent", self.least_charge_percent, 100)?,
            low_charge: self.low_charge,
            overdue: self.overdue,
            life_over: self.life_over,
            soon_days: at("soon").days(&self.soon)?,
            breathing_ml_min: breathing * 1_000,
            cylinders: cylinders.collect::<Result<_, _>>()?,
        })
    }
}

fn built_in_entries() -> Result<Vec<RawCylinder>, StandardError> {
    let read: Result<BuiltIn, _> = toml::from_str(built_in::POLICY);
    match read {
        Ok(built_in) => Ok(built_in.cylinder),
        Err(error) => Err(StandardError::Unreadable {
            what: "policy that comes with the program",
            detail: error.to_string().trim_end().to_owned(),
        }),
    }
}

impl RawCylinder {
    fn checked(&self) -> Result<CylinderRule, StandardError> {
        let place = self
            .specifications
            .first()
            .map_or("cylinder", String::as_str);
        let at = |field| Spot { place, field };
        if self
            .specifications
            .iter()
            .all(|mark| plain(mark).is_empty())
        {
            return Err(at("specifications").refuse("empty", "give its marks such as [\"3AA\"]"));
        }
        if !(1..=10).contains(&self.test_times) || !(1..=10).contains(&self.test_over) {
            let value = format!("{}/{}", self.test_times, self.test_over);
            return Err(at("test_times").refuse(&value, "give each from 1 to 10, such as 5 and 3"));
        }
        let life = self.life.as_deref().map(|life| at("life").months(life));
        Ok(CylinderRule {
            specifications: self.specifications.clone(),
            requalify_months: at("requalify").months(&self.requalify)?,
            life_months: life.transpose()?,
            test: (self.test_times, self.test_over),
            cited: Cited {
                basis: self.basis,
                source: self.source.clone(),
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::standard::Policy;

    fn policy(text: &str) -> Policy {
        Policy::parse(text).expect("a policy")
    }

    #[test]
    fn a_policy_without_air_stands_for_the_defaults() {
        let text = Policy::default_text();
        let cut = text.find("[free_air]").expect("a table");
        assert_eq!(policy(&text[..cut]).free_air, policy(text).free_air);
    }

    #[test]
    fn marks_are_found_as_people_write_them() {
        let air = policy(Policy::default_text()).free_air;
        let months = |mark| {
            air.cylinder(mark)
                .map(|rule| (rule.requalify_months, rule.life_months))
        };
        assert_eq!(months("3AA"), Some((60, None)));
        assert_eq!(months("DOT-3AL"), Some((60, None)));
        assert_eq!(months("dot 3 ht"), Some((36, None)));
        assert_eq!(months("composite"), Some((60, Some(180))));
        assert_eq!(months("DOT-CFFC"), Some((60, Some(180))));
        assert_eq!(months("9ZZ"), None);
        assert_eq!(months(""), None);
    }

    #[test]
    fn settings_that_cannot_be_are_refused() {
        let text = Policy::default_text();
        for (from, to, said) in [
            (
                "growth_percent = 2",
                "growth_percent = 21",
                "growth_percent is 21",
            ),
            (
                "requalify = \"36 months\"",
                "requalify = \"0 months\"",
                "3HT: requalify is 0 months",
            ),
            (
                "breathing_litres_a_minute = 40",
                "breathing_litres_a_minute = 4",
                "from 10 to 200",
            ),
        ] {
            let changed = text.replacen(from, to, 1);
            assert_ne!(changed, text);
            let refusal = Policy::parse(&changed).expect_err(said).to_string();
            assert!(refusal.contains(said), "{refusal}");
        }
    }
}
