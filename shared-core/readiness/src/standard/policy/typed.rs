//! What of a policy that this version cannot read still tells how things are typed here: a crew goes on
//! recording by it. Nothing is judged by it.

use super::Policy;
use crate::standard::Units;

impl Policy {
    /// The built-in policy with the time zone and the units of a text that a later version wrote, as
    /// far as they are said as this version says them.
    ///
    /// # Panics
    /// Never: the built-in text is part of the program, and a test of its crate reads it.
    #[must_use]
    #[expect(
        clippy::expect_used,
        reason = "the text is part of the program, and a test of its crate reads it"
    )]
    pub fn typed_by(text: &str) -> Self {
        let mut policy =
            Self::parse(Self::default_text()).expect("the built-in policy can be read");
        let Ok(table) = text.parse::<toml::Table>() else {
            return policy;
        };
        let zone = table
            .get("utc_offset_min")
            .and_then(toml::Value::as_integer);
        let zone = zone.and_then(|minutes| i32::try_from(minutes).ok());
        if let Some(minutes) = zone.filter(|minutes| minutes.abs() <= 14 * 60) {
            policy.utc_offset_min = minutes;
        }
        let units = table.get("units").cloned();
        if let Some(units) = units.and_then(|units| units.try_into::<Units>().ok()) {
            policy.units = units;
        }
        policy
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_later_policy_still_tells_zone_and_units() {
        let later = Policy::default_text()
            .replace("utc_offset_min = 0", "utc_offset_min = -360\nlater = 1");
        assert!(Policy::parse(&later).is_err(), "it cannot be read");
        let built_in = Policy::parse(Policy::default_text()).expect("it can be read");
        let typed = Policy::typed_by(&later);
        assert_eq!(typed.utc_offset_min, -360);
        assert_eq!(typed.units, built_in.units);
        for odd in ["", "utc_offset_min = 100000", "utc_offset_min = \"x\"", "["] {
            assert_eq!(Policy::typed_by(odd), built_in, "{odd}");
        }
    }
}
