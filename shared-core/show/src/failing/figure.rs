//! A figure as it is shown everywhere: rounded once, so that a page, a terminal, a list and JSON have
//! the same number.

use std::fmt;

use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};

use crate::units::print;

/// A number as [`print::figure`] writes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Number(String);

impl Number {
    /// A number that was reckoned; none when it is not finite.
    #[must_use]
    pub fn of(value: f64) -> Option<Self> {
        value.is_finite().then(|| Self(print::figure(value)))
    }

    /// A whole number of parts of a unit: `of(2_100, 1_000)` is 2.1.
    #[must_use]
    pub fn parts(parts: u64, of: u64) -> Self {
        Self::signed_parts(i64::try_from(parts).unwrap_or(i64::MAX), of)
    }

    /// The same below zero too.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "three digits are shown of the fifteen that a float has"
    )]
    pub fn signed_parts(parts: i64, of: u64) -> Self {
        Self(print::figure(parts as f64 / of.max(1) as f64))
    }

    /// Thousandths.
    #[must_use]
    pub fn thousandths(milli: u64) -> Self {
        Self::parts(milli, 1_000)
    }

    /// Millionths.
    #[must_use]
    pub fn millionths(micro: u64) -> Self {
        Self::parts(micro, 1_000_000)
    }

    /// A count.
    #[must_use]
    pub fn whole(value: impl Into<u64>) -> Self {
        Self(value.into().to_string())
    }

    /// The digits.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The number that is shown, for a drawing.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.0.parse().unwrap_or_default()
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self.0.parse::<i64>() {
            Ok(whole) => to.serialize_i64(whole),
            Err(_) => to.serialize_f64(self.0.parse().unwrap_or_default()),
        }
    }
}

/// A figure: what it is, its number, and between which it may lie.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The stable word.
    pub id: &'static str,
    /// In words of the trade, for the first column of a table.
    pub name: String,
    /// The number; none where it cannot be told.
    pub value: Option<Number>,
    /// From and to; a limit that is not there is none.
    pub between: Option<(Option<Number>, Option<Number>)>,
    /// Unit in words; empty for none.
    pub unit: String,
    /// What it says, in words; empty for nothing.
    pub says: String,
}

impl Figure {
    /// A number alone.
    #[must_use]
    pub fn new(id: &'static str, name: &str, value: Option<Number>) -> Self {
        Self {
            id,
            name: name.to_owned(),
            value,
            between: None,
            unit: String::new(),
            says: String::new(),
        }
    }

    /// The same with where it may lie.
    #[must_use]
    pub fn between(self, lower: Number, upper: Option<Number>) -> Self {
        Self {
            between: Some((Some(lower), upper)),
            ..self
        }
    }

    /// The same with what it says.
    #[must_use]
    pub fn says(self, words: String) -> Self {
        Self {
            says: words,
            ..self
        }
    }

    /// The same in a unit.
    #[must_use]
    pub fn unit(self, unit: &str) -> Self {
        Self {
            unit: unit.to_owned(),
            ..self
        }
    }

    /// The number as it stands in a table.
    #[must_use]
    pub fn value_text(&self) -> String {
        let value = self.value.as_ref();
        value.map_or_else(|| "not known".to_owned(), ToString::to_string)
    }

    /// Between which it may lie, or what it says, as it stands in a table.
    #[must_use]
    pub fn between_text(&self) -> String {
        if !self.says.is_empty() {
            return self.says.clone();
        }
        match &self.between {
            None | Some((None, None)) => String::new(),
            Some((Some(lower), Some(upper))) => format!("{lower} to {upper}"),
            Some((Some(lower), None)) => format!("{lower} or more"),
            Some((None, Some(upper))) => format!("up to {upper}"),
        }
    }
}

/// Figures of one thing, each under its word.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Figures(pub Vec<Figure>);

impl Serialize for Figures {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut map = to.serialize_map(Some(self.0.len()))?;
        for figure in &self.0 {
            let (lower, upper) = figure.between.clone().unwrap_or_default();
            map.serialize_entry(
                figure.id,
                &FigureForm {
                    value: figure.value.as_ref(),
                    lower,
                    upper,
                    unit: &figure.unit,
                    says: &figure.says,
                    text: &figure.name,
                },
            )?;
        }
        map.end()
    }
}

#[derive(Serialize)]
struct FigureForm<'a> {
    value: Option<&'a Number>,
    lower: Option<Number>,
    upper: Option<Number>,
    unit: &'a str,
    says: &'a str,
    text: &'a str,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_has_no_end_is_no_number() {
        assert_eq!(Number::of(f64::INFINITY), None);
        assert_eq!(Number::of(f64::NAN), None);
        assert_eq!(Number::parts(0, 1_000).as_str(), "0");
        assert_eq!(Number::signed_parts(-2_104, 1_000).as_str(), "-2.1");
    }

    proptest! {
        /// JSON has the digits that are read.
        #[test]
        fn json_has_what_is_shown(value in -1e9..1e9_f64, exponent in 0..12_i32) {
            let number = Number::of(value / 10_f64.powi(exponent)).expect("finite");
            let json = serde_json::to_string(&number).expect("a number");
            let back: f64 = json.parse().expect("a number");
            prop_assert_eq!(back, number.as_str().parse::<f64>().expect("a number"));
        }
    }
}
