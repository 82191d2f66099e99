//! The county's settings about people: what too small a crew does, and which level of training
//! stands above which. Knows no member.

use serde::Deserialize;

use super::quantity::Spot;
use super::{RuleEffect, StandardError};

/// Levels of one list: the published ones are three, and a county's own are few.
const LEVELS_MAX: usize = 16;

/// Settings about crews and operators.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PeoplePolicy {
    /// What fewer than the least crew of the standard does.
    pub crew_short: RuleEffect,
    /// What no operator of the wanted level does.
    pub operator_short: RuleEffect,
    /// Levels, the lowest first.
    pub levels: Vec<String>,
}

/// The settings as written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Raw {
    crew_short: RuleEffect,
    operator_short: RuleEffect,
    levels: Vec<String>,
}

impl Default for Raw {
    /// What a policy of before these settings means.
    fn default() -> Self {
        Self {
            crew_short: RuleEffect::Limit,
            operator_short: RuleEffect::Limit,
            levels: ["awareness", "operations", "technician"]
                .map(str::to_owned)
                .into(),
        }
    }
}

impl Raw {
    pub(super) fn read(self) -> Result<PeoplePolicy, StandardError> {
        for (field, effect) in [
            ("crew_short", self.crew_short),
            ("operator_short", self.operator_short),
        ] {
            match effect {
                RuleEffect::Note
                | RuleEffect::Limit
                | RuleEffect::Unproven
                | RuleEffect::NotReady => {}
                RuleEffect::NoPower
                | RuleEffect::DaylightOnly
                | RuleEffect::CrewOnly
                | RuleEffect::NotForMission => {
                    let limit = "give note, limit, unproven or not-ready";
                    return Err(at(field).refuse(&format!("{effect:?}"), limit));
                }
            }
        }
        if self.levels.is_empty() || self.levels.len() > LEVELS_MAX {
            let value = format!("{} long", self.levels.len());
            return Err(at("levels").refuse(&value, "name from 1 to 16 levels, the lowest first"));
        }
        Ok(PeoplePolicy {
            crew_short: self.crew_short,
            operator_short: self.operator_short,
            levels: self.levels,
        })
    }
}

fn at(field: &'static str) -> Spot<'static> {
    Spot {
        place: "people",
        field,
    }
}

impl PeoplePolicy {
    /// Whether a level that is held reaches one that is wanted: the same, or a higher one of the
    /// list in the same discipline.
    #[must_use]
    pub fn reaches(&self, held: &str, wanted: &str) -> bool {
        if held.trim().eq_ignore_ascii_case(wanted.trim()) {
            return true;
        }
        match (self.graded(held), self.graded(wanted)) {
            (Some((discipline, grade)), Some((other, least))) => {
                discipline.eq_ignore_ascii_case(other) && grade >= least
            }
            (None, _) | (_, None) => false,
        }
    }

    /// Discipline, empty for none, and place in the list.
    fn graded<'a>(&self, level: &'a str) -> Option<(&'a str, usize)> {
        let level = level.trim();
        let place = |grade: &str| {
            let mut levels = self.levels.iter();
            levels.position(|listed| listed.eq_ignore_ascii_case(grade))
        };
        if let Some(grade) = place(level) {
            return Some(("", grade));
        }
        let (discipline, grade) = level.rsplit_once('-')?;
        Some((discipline, place(grade)?))
    }
}

#[cfg(test)]
mod tests {
    use super::{PeoplePolicy, Raw};

    fn reaches(held: &str, wanted: &str) -> bool {
        let policy: PeoplePolicy = Raw::default().read().expect("the defaults");
        policy.reaches(held, wanted)
    }

    /// Source: NFPA 1670 and 2500, awareness, operations, technician.
    #[test]
    fn a_higher_level_of_the_same_discipline_reaches_a_lower_one() {
        let cases = [
            ("technician", "operations", true),
            ("operations", "technician", false),
            ("Technician", "technician", true),
            ("swiftwater-technician", "swiftwater-operations", true),
            ("swiftwater-operations", "swiftwater-technician", false),
            ("ice-technician", "swiftwater-operations", false),
            ("technician", "swiftwater-technician", false),
            ("swiftwater-technician", "technician", false),
            ("coxswain", "coxswain", true),
            ("coxswain", "operations", false),
        ];
        for (held, wanted, expected) in cases {
            assert_eq!(reaches(held, wanted), expected, "{held} for {wanted}");
        }
    }

    #[test]
    fn settings_that_say_nothing_are_refused() {
        let read = |text: &str| toml::from_str::<Raw>(text).map(Raw::read);
        assert!(read("levels = []").expect("TOML").is_err());
        assert!(read("crew_short = \"no-power\"").expect("TOML").is_err());
        assert!(read("crew_short = \"not-ready\"").expect("TOML").is_ok());
        assert!(read("crew = \"limit\"").is_err());
    }
}
