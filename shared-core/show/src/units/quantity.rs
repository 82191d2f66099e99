//! What units a quantity has, how large each is, and how a text of numbers and units is read.
//!
//! Sizes of units are exact ratios of base units. It does not know which quantities there are.

use super::number::{self, Decimal, NumberFault, round_div};
use crate::clean::clean;

/// A unit: one of it is `num / den` base units, counted from `zero` of it.
#[derive(Debug)]
pub(super) struct Unit {
    /// Ways to write it, in lower case, the first as it is shown in messages.
    pub(super) names: &'static [&'static str],
    pub(super) num: i128,
    pub(super) den: i128,
    /// Reading at which the base unit is 0: 32 for Fahrenheit.
    pub(super) zero: i128,
}

/// A quantity that people write.
#[derive(Debug)]
pub(super) struct Quantity {
    pub(super) units: &'static [Unit],
    /// Whether `14 ft 6 in` is a way to write it.
    pub(super) compound: Compound,
    /// Units, for messages.
    pub(super) accepted: &'static str,
    /// One good value, for messages.
    pub(super) example: &'static str,
    /// Least and most, in base units.
    pub(super) range: (i64, i64),
    /// The range, for messages.
    pub(super) range_text: &'static str,
}

/// Whether several units may follow one another, the larger first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Compound {
    Allowed,
    Refused,
}

/// Why a quantity was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum UnitError {
    /// No number, or marks where none can be.
    #[error("{field}: '{value}' is not a number with a unit; write for example {example}")]
    NotANumber {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
        /// A good value.
        example: &'static str,
    },
    /// A number without a unit.
    #[error(
        "{field}: '{value}' has no unit; write the unit behind the number, for example {example} \
         (accepted: {accepted})"
    )]
    NoUnit {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
        /// A good value.
        example: &'static str,
        /// Units.
        accepted: &'static str,
    },
    /// A unit of another quantity, or none at all.
    #[error("{field}: '{unit}' in '{value}' is not a unit for this; accepted: {accepted}")]
    UnknownUnit {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
        /// The unit as written.
        unit: String,
        /// Units.
        accepted: &'static str,
    },
    /// `1,000`.
    #[error(
        "{field}: the comma in '{value}' can be read in two ways; write a decimal point, or no \
         comma between thousands"
    )]
    AmbiguousComma {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
    },
    /// Several units in a row that do not make one quantity.
    #[error("{field}: '{value}' is more than one quantity; write for example {example}")]
    Several {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
        /// A good value.
        example: &'static str,
    },
    /// An absolute pressure where a gauge figure is wanted, or the other way round.
    #[error("{field}: '{value}' is {given}; this field takes {wanted}")]
    OtherPressure {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
        /// What was given.
        given: &'static str,
        /// What is wanted, and the remedy.
        wanted: &'static str,
    },
    /// No latitude and longitude.
    #[error(
        "{field}: '{value}' is no place; give latitude and longitude in degrees, for example \
         44.9,-103.2 or 44.9N,103.2W"
    )]
    NoPlace {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
    },
    /// Outside what can be.
    #[error("{field}: '{value}' is out of range ({range}); check the number and the unit")]
    OutOfRange {
        /// Field.
        field: String,
        /// Value as written.
        value: String,
        /// What is accepted.
        range: &'static str,
    },
}

/// Longest text that is looked at: the longest sensible one, `14 feet 6.25 inches`, has 19.
const TEXT_MAX: usize = 64;

/// Reads a text into base units. `default` is the unit of a bare number.
pub(super) fn read(
    quantity: &Quantity,
    field: &str,
    text: &str,
    default: Option<&str>,
) -> Result<i64, UnitError> {
    let asked = Asked {
        quantity,
        field,
        text,
    };
    if text.len() > TEXT_MAX {
        return Err(asked.not_a_number());
    }
    let terms = terms(text).ok_or_else(|| asked.not_a_number())?;
    let base = asked.sum(&terms, default)?;
    let (low, high) = quantity.range;
    i64::try_from(base)
        .ok()
        .filter(|value| (low..=high).contains(value))
        .ok_or_else(|| asked.out_of_range())
}

/// A number and what follows it, as written.
type Term<'a> = (&'a str, &'a str);

/// Parts `14 ft 6 in` into numbers and what follows each; none when it begins with neither.
fn terms(text: &str) -> Option<Vec<Term<'_>>> {
    let mut found = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let signed = rest.strip_prefix(['-', '+', '\u{2212}']).unwrap_or(rest);
        let sign_len = rest.len() - signed.len();
        let number_len = signed
            .find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',')
            .unwrap_or(signed.len());
        if number_len == 0 {
            return None;
        }
        let (number, after) = rest.split_at(sign_len + number_len);
        let unit_len = after
            .find(|c: char| c.is_ascii_digit())
            .unwrap_or(after.len());
        let (unit, next) = after.split_at(unit_len);
        found.push((number, unit.trim()));
        rest = next.trim_start();
    }
    (!found.is_empty()).then_some(found)
}

/// One reading of one field, for its messages.
struct Asked<'a> {
    quantity: &'a Quantity,
    field: &'a str,
    text: &'a str,
}

impl Asked<'_> {
    /// Adds the terms up, exactly, and rounds once.
    fn sum(&self, terms: &[Term<'_>], default: Option<&str>) -> Result<i128, UnitError> {
        if terms.len() > 1 && self.quantity.compound == Compound::Refused {
            return Err(self.several());
        }
        let mut sum: (i128, i128) = (0, 1);
        let mut before: Option<&Unit> = None;
        for (index, (number, written)) in terms.iter().enumerate() {
            let value = self.decimal(number)?;
            let unit = self.unit(written, default.filter(|_| terms.len() == 1))?;
            let falls = before.is_none_or(|b| b.num * unit.den > unit.num * b.den);
            let whole = index + 1 == terms.len() || value.scale == 0;
            let unsigned = index == 0 || !number.starts_with(['-', '+', '\u{2212}']);
            let positive = terms.len() == 1 || value.mantissa >= 0;
            if !(falls && whole && unsigned && positive) {
                return Err(self.several());
            }
            let num = (value.mantissa - unit.zero * value.divisor()) * unit.num;
            let den = unit.den * value.divisor();
            sum = (sum.0 * den + num * sum.1, sum.1 * den);
            before = Some(unit);
        }
        Ok(round_div(sum.0, sum.1))
    }

    fn decimal(&self, number: &str) -> Result<Decimal, UnitError> {
        number::decimal(number).map_err(|fault| match fault {
            NumberFault::Malformed => self.not_a_number(),
            NumberFault::TooLong => self.out_of_range(),
            NumberFault::AmbiguousComma => UnitError::AmbiguousComma {
                field: self.field.to_owned(),
                value: self.value(),
            },
        })
    }

    fn unit(&self, written: &str, default: Option<&str>) -> Result<&'static Unit, UnitError> {
        let name = plain(written);
        let name = match (name.is_empty(), default) {
            (false, _) => name,
            (true, Some(unit)) => plain(unit),
            (true, None) => return Err(self.no_unit()),
        };
        self.quantity
            .units
            .iter()
            .find(|unit| unit.names.iter().any(|known| plain(known) == name))
            .ok_or_else(|| UnitError::UnknownUnit {
                field: self.field.to_owned(),
                value: self.value(),
                unit: clean(written),
                accepted: self.quantity.accepted,
            })
    }

    fn value(&self) -> String {
        clean(&self.text.chars().take(TEXT_MAX).collect::<String>())
    }

    fn not_a_number(&self) -> UnitError {
        UnitError::NotANumber {
            field: self.field.to_owned(),
            value: self.value(),
            example: self.quantity.example,
        }
    }

    fn no_unit(&self) -> UnitError {
        UnitError::NoUnit {
            field: self.field.to_owned(),
            value: self.value(),
            example: self.quantity.example,
            accepted: self.quantity.accepted,
        }
    }

    fn several(&self) -> UnitError {
        UnitError::Several {
            field: self.field.to_owned(),
            value: self.value(),
            example: self.quantity.example,
        }
    }

    fn out_of_range(&self) -> UnitError {
        UnitError::OutOfRange {
            field: self.field.to_owned(),
            value: self.value(),
            range: self.quantity.range_text,
        }
    }
}

/// A unit's name without blanks, degree signs and a closing point, in lower case.
pub(super) fn plain(unit: &str) -> String {
    unit.trim_end_matches('.')
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '°' | 'º'))
        .flat_map(char::to_lowercase)
        .collect()
}
