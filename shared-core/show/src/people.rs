//! People to bring home as a crew types them: `adult:3,child:1@45lb,lying:1`; and back in words.

use sponson_readiness::load::{PEOPLE_MASS_MAX_G, PEOPLE_MAX, Party, Size};
use sponson_readiness::standard::{MassUnit, Units};

use crate::clean::clean;
use crate::units::{self, UnitError, print};

/// Why a list of people was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PeopleError {
    /// Not of the form.
    #[error(
        "{field}: '{value}' is not people; write size, how many and, where known, the weight of \
         each, for example adult:3,child:1@45lb,lying:1 (sizes: infant, child, youth, adult, lying)"
    )]
    Form {
        /// Field.
        field: String,
        /// What was written.
        value: String,
    },
    /// More than are reckoned at once, or none.
    #[error("{field}: '{value}' people; give from 1 to {PEOPLE_MAX}")]
    Count {
        /// Field.
        field: String,
        /// What was written.
        value: String,
    },
    /// No body weighs that.
    #[error("{field}: '{value}' is no weight of a person; give from 1 kg to 300 kg (2 to 661 lb)")]
    Weight {
        /// Field.
        field: String,
        /// What was written.
        value: String,
    },
    /// A weight that cannot be read.
    #[error(transparent)]
    Unit(#[from] UnitError),
}

/// Lightest body that is taken for one, grams.
const MASS_MIN_G: u64 = 1_000;

/// Reads a list of people. `default` is the unit of a bare weight.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn people(
    field: &str,
    text: &str,
    default: Option<MassUnit>,
) -> Result<Vec<Party>, PeopleError> {
    let people: Vec<Party> = text
        .split(',')
        .map(|piece| party(field, piece.trim(), default))
        .collect::<Result<_, _>>()?;
    let all = people
        .iter()
        .fold(0_u32, |all, one| all.saturating_add(one.count));
    if !(1..=PEOPLE_MAX).contains(&all) {
        return Err(PeopleError::Count {
            field: field.to_owned(),
            value: all.to_string(),
        });
    }
    Ok(people)
}

fn party(field: &str, piece: &str, default: Option<MassUnit>) -> Result<Party, PeopleError> {
    let refuse = || PeopleError::Form {
        field: field.to_owned(),
        value: clean(piece),
    };
    let (head, mass) = match piece.split_once('@') {
        Some((head, mass)) => (head, Some(mass.trim())),
        None => (piece, None),
    };
    let (word, count) = head.split_once(':').unwrap_or((head, "1"));
    let (size, lying) = size(word.trim()).ok_or_else(refuse)?;
    let count: u32 = count.trim().parse().map_err(|_| refuse())?;
    let mass_g = mass.map(|mass| weight(field, mass, default)).transpose()?;
    Ok(Party {
        size,
        lying,
        count,
        mass_g,
    })
}

/// Reads the weight of one person into grams.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn weight(field: &str, text: &str, default: Option<MassUnit>) -> Result<u64, PeopleError> {
    let mass_g = units::mass(field, text, default)?;
    if !(MASS_MIN_G..=PEOPLE_MASS_MAX_G).contains(&mass_g) {
        return Err(PeopleError::Weight {
            field: field.to_owned(),
            value: clean(text),
        });
    }
    Ok(mass_g)
}

/// A size as typed; somebody lying is an adult unless said otherwise.
fn size(word: &str) -> Option<(Size, bool)> {
    let word = word.to_lowercase();
    let (word, lying) = match word.strip_prefix("lying") {
        Some("") => return Some((Size::Adult, true)),
        Some(rest) => (rest.trim_start_matches(['-', ' ']), true),
        None => (word.as_str(), false),
    };
    let singular = match word {
        "children" => "child",
        other => other.strip_suffix('s').unwrap_or(other),
    };
    let size = Size::ALL.iter().find(|size| size.id() == singular)?;
    Some((*size, lying))
}

/// People in words: `3 adults, 1 child (45 lb)`.
#[must_use]
pub fn people_text(people: &[Party], units: Units) -> String {
    let said = people.iter().map(|party| {
        let each = party.mass_g.map(|mass_g| {
            let mass = print::mass(i64::try_from(mass_g).unwrap_or(i64::MAX), units);
            format!(" ({mass})")
        });
        let each = each.unwrap_or_default();
        format!("{}{each}", size_text(party.size, party.lying, party.count))
    });
    said.collect::<Vec<_>>().join(", ")
}

/// So many of a size in words.
#[must_use]
pub fn size_text(size: Size, lying: bool, count: u32) -> String {
    let (one, more) = match size {
        Size::Infant => ("infant", "infants"),
        Size::Child => ("child", "children"),
        Size::Youth => ("youth", "youths"),
        Size::Adult => ("adult", "adults"),
    };
    let word = if count == 1 { one } else { more };
    let lying = if lying { " lying down" } else { "" };
    format!("{count} {word}{lying}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn party(size: Size, lying: bool, count: u32, mass_g: Option<u64>) -> Party {
        Party {
            size,
            lying,
            count,
            mass_g,
        }
    }

    #[test]
    fn people_read_as_they_are_typed() {
        let read = |text| people("--people", text, Some(MassUnit::Lb)).expect("people");
        assert_eq!(
            read("adult:3,child:1@45lb,lying:1"),
            [
                party(Size::Adult, false, 3, None),
                party(Size::Child, false, 1, Some(20_412)),
                party(Size::Adult, true, 1, None),
            ]
        );
        assert_eq!(
            read("Adults: 2 @ 80kg, lying-child, infants:2@25"),
            [
                party(Size::Adult, false, 2, Some(80_000)),
                party(Size::Child, true, 1, None),
                party(Size::Infant, false, 2, Some(11_340)),
            ]
        );
    }

    #[test]
    fn what_is_no_list_of_people_is_refused_with_an_example() {
        for (text, wanted) in [
            ("", "adult:3"),
            ("adult:3,", "adult:3"),
            ("dog:1", "adult:3"),
            ("adult:many", "adult:3"),
            ("adult:-1", "adult:3"),
            ("adult:0", "from 1 to 200"),
            ("adult:4000000000,child:4000000000", "from 1 to 200"),
            ("child:1@45", "no unit"),
            ("child:1@9000lb", "300 kg"),
            ("child:1@0lb", "300 kg"),
        ] {
            let refused = people("--people", text, None).expect_err(text).to_string();
            assert!(refused.contains("--people"), "{refused}");
            assert!(refused.contains(wanted), "{text}: {refused}");
        }
    }
}
