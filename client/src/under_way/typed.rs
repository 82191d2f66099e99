//! Values as people type them in a field: quantities without their unit, dates in any form, counts.
//!
//! What can be read in two ways is asked back, never guessed.

use sponson_readiness::standard::{MassUnit, PressureUnit, TemperatureUnit, Units};
use sponson_show::dates::{self, DateError};
use sponson_show::{clean, units::print};

/// What a bare number is a number of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bare {
    /// A gauge, in the county's unit.
    Pressure,
    /// In the county's unit.
    Temperature,
    /// In gallons or litres, as the county has pounds or kilograms.
    Volume,
    /// In feet or metres.
    Height,
    /// In inches or centimetres.
    Length,
    /// In hours.
    Hours,
    /// In minutes.
    Minutes,
}

impl Bare {
    const fn unit(self, units: Units) -> &'static str {
        match self {
            Self::Pressure => match units.pressure {
                PressureUnit::Psi => "psi",
                PressureUnit::Mbar => "mbar",
                PressureUnit::Kpa => "kPa",
            },
            Self::Temperature => match units.temperature {
                TemperatureUnit::F => "F",
                TemperatureUnit::C => "C",
            },
            Self::Volume => match units.mass {
                MassUnit::Lb => "gal",
                MassUnit::Kg => "l",
            },
            Self::Height => match units.mass {
                MassUnit::Lb => "ft",
                MassUnit::Kg => "m",
            },
            Self::Length => match units.mass {
                MassUnit::Lb => "in",
                MassUnit::Kg => "cm",
            },
            Self::Hours => "h",
            Self::Minutes => "min",
        }
    }
}

/// A quantity with its unit: a bare number gets the county's, and a comma before one or two digits
/// is a point.
#[must_use]
pub fn quantity(text: &str, bare: Bare, units: Units) -> String {
    let text = text.trim();
    let text = match text.split_once(',') {
        Some((whole, rest)) => {
            let digits = rest.chars().take_while(char::is_ascii_digit).count();
            if (1..=2).contains(&digits) && !rest.contains(',') {
                format!("{whole}.{rest}")
            } else {
                text.to_owned()
            }
        }
        None => text.to_owned(),
    };
    if text.parse::<f64>().is_ok_and(f64::is_finite) {
        return format!("{text} {}", bare.unit(units));
    }
    text
}

/// A date as far as it goes, written as `2027-03-14`, `2027-03` or `2027`. Takes `2027-03`,
/// `03/2027`, `Mar 27`, `march 2027`, `3/27`, `2027`, `14 Mar 27`.
///
/// # Errors
/// Says what cannot be read, or how the ways to read it are written.
pub fn date(text: &str) -> Result<String, String> {
    let spaced = letters_apart(text);
    match dates::date_mark("date", &spaced) {
        Ok(mark) => Ok(print::date_mark(mark)),
        Err(DateError::NotADate { .. }) => short_year(&spaced).unwrap_or_else(|| {
            Err(format!(
                "'{}' is no date: type for example 2027-03, 3/27 or Mar 27",
                clean(text)
            ))
        }),
        Err(error) => Err(without_field(&error.to_string())),
    }
}

/// `Mar27` as `Mar 27`; marks before a short year are left out.
fn letters_apart(text: &str) -> String {
    let mut apart = String::with_capacity(text.len() + 2);
    let mut before = ' ';
    for letter in text.trim().chars().filter(|c| !matches!(c, '\'' | '’')) {
        let meets = (before.is_ascii_digit() && letter.is_alphabetic())
            || (before.is_alphabetic() && letter.is_ascii_digit());
        if meets {
            apart.push(' ');
        }
        apart.push(letter);
        before = letter;
    }
    apart
}

/// A date whose year has two digits, which are those of this century: every way to read it.
fn short_year(text: &str) -> Option<Result<String, String>> {
    let pieces: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || matches!(c, '/' | '-' | '.'))
        .filter(|piece| !piece.is_empty())
        .collect();
    // On a tag the year stands first or last, with what is left of the date in any order; beside
    // the name of a month it stands last.
    let named = pieces
        .iter()
        .any(|piece| piece.chars().any(char::is_alphabetic));
    let orders: &[&[usize]] = match (pieces.len(), named) {
        (2, _) => &[&[0, 1], &[1, 0]],
        (3, true) => &[&[2, 0, 1], &[2, 1, 0]],
        (3, false) => &[&[2, 0, 1], &[2, 1, 0], &[0, 1, 2]],
        _ => return None,
    };
    let mut ways: Vec<String> = Vec::new();
    for order in orders {
        let picked: Option<Vec<&str>> = order.iter().map(|at| pieces.get(*at).copied()).collect();
        let picked = picked?;
        let (year, rest) = picked.split_first()?;
        if year.len() != 2 || !year.bytes().all(|byte| byte.is_ascii_digit()) {
            continue;
        }
        let whole = format!("20{year}-{}", rest.join("-"));
        let read = dates::date_mark("date", &whole).map(print::date_mark);
        ways.extend(read.ok().filter(|way| !ways.contains(way)));
    }
    match ways.as_slice() {
        [] => None,
        [one] => Some(Ok(one.clone())),
        several => Some(Err(format!(
            "'{}' can be read in {} ways: type {}",
            clean(text),
            several.len(),
            several.join(" or ")
        ))),
    }
}

/// The dates of a count, one text a lot as in a check file: `3 x 2027-03, 2 x 3/28`; a date alone
/// is that of all that were counted.
///
/// # Errors
/// Names the date that cannot be read.
pub fn lots(text: &str, count: Option<u32>, affirmed: bool) -> Result<Vec<String>, String> {
    let pieces = lot_pieces(text);
    let alone = pieces.len() == 1;
    let mut lots = Vec::new();
    for piece in &pieces {
        let (piece, stood_by) = match piece.strip_suffix('!') {
            Some(piece) => (piece.trim_end(), true),
            None => (piece.as_str(), affirmed),
        };
        let (many, dates) = match counted(piece) {
            Some((many, dates)) => (many.to_owned(), dates),
            None if alone => (count.unwrap_or(1).max(1).to_string(), piece),
            None => ("1".to_owned(), piece),
        };
        let marks = marks(dates)?;
        let end = if stood_by { " !" } else { "" };
        lots.push(format!("{many} x {marks}{end}"));
    }
    Ok(lots)
}

/// Lots apart; the comma in `March 14, 2027` is none between two.
fn lot_pieces(text: &str) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for piece in text.split([',', ';', '\n']).map(str::trim) {
        let is_year = piece.len() == 4 && piece.bytes().all(|byte| byte.is_ascii_digit());
        match pieces.last_mut() {
            Some(last) if is_year && ends_with_a_day(last) => {
                last.push(' ');
                last.push_str(piece);
            }
            _ if piece.is_empty() => {}
            _ => pieces.push(piece.to_owned()),
        }
    }
    pieces
}

/// `March 14`, `3 x Mar 14`.
fn ends_with_a_day(text: &str) -> bool {
    let words: Vec<&str> = text.split_whitespace().collect();
    let [.., month, day] = words.as_slice() else {
        return false;
    };
    let named = month.len() >= 3 && month.chars().all(|c| c.is_alphabetic() || c == '.');
    named && day.len() <= 2 && day.bytes().all(|byte| byte.is_ascii_digit())
}

/// `3 x 2027-03` as a number and the rest.
fn counted(piece: &str) -> Option<(&str, &str)> {
    let (many, dates) = piece.split_once(['x', '×', '*', 'X'])?;
    let many = many.trim();
    let number = !many.is_empty() && many.bytes().all(|byte| byte.is_ascii_digit());
    number.then(|| (many, dates.trim()))
}

/// `2027-03`, `made 2024-05`, `2027-03 made 2024-05`.
fn marks(text: &str) -> Result<String, String> {
    let lower = text.to_lowercase();
    let made_at = ["made ", "mfd ", "mfg "]
        .iter()
        .find_map(|word| lower.find(word).map(|at| (at, word.len())));
    let (expires, made) = match made_at {
        Some((at, length)) => (
            text.get(..at).unwrap_or_default().trim(),
            Some(text.get(at + length..).unwrap_or_default().trim()),
        ),
        None => (text.trim(), None),
    };
    let expires = ["expires", "exp.", "exp", "good to"]
        .iter()
        .find_map(|word| {
            let rest = expires.get(word.len()..)?;
            let begins = expires.get(..word.len())?.eq_ignore_ascii_case(word);
            begins.then(|| rest.trim())
        })
        .unwrap_or(expires);
    let expires = match (expires, made) {
        ("", Some(_)) => None,
        (expires, _) => Some(date(expires)?),
    };
    let made = made
        .map(date)
        .transpose()?
        .map(|made| format!("made {made}"));
    Ok([expires, made]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" "))
}

/// Without the name of the field, which stands beside it.
fn without_field(said: &str) -> String {
    let rest = said.split_once(": ").map(|(_, rest)| rest);
    rest.unwrap_or(said).to_owned()
}

/// `yes` in any of its forms; none when it is neither yes nor no.
#[must_use]
pub fn yes(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "on" | "true" => Some(true),
        "no" | "n" | "" | "off" | "false" => Some(false),
        _ => None,
    }
}

/// A whole number; `none` is 0.
///
/// # Errors
/// Says what was typed and what to type.
pub fn count(text: &str) -> Result<u32, String> {
    let text = text.trim();
    if text.eq_ignore_ascii_case("none") {
        return Ok(0);
    }
    text.parse()
        .map_err(|_| format!("'{}' is no whole number: count them", clean(text)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const POUNDS: Units = Units {
        pressure: PressureUnit::Psi,
        temperature: TemperatureUnit::F,
        mass: MassUnit::Lb,
    };

    #[test]
    fn dates_are_read_in_any_sensible_form() {
        for (typed, read) in [
            ("2027-03", "2027-03"),
            ("03/2027", "2027-03"),
            ("Mar 27", "2027-03"),
            ("mar27", "2027-03"),
            ("march 2027", "2027-03"),
            ("27-Mar", "2027-03"),
            ("MAR '27", "2027-03"),
            ("3/27", "2027-03"),
            ("27/3", "2027-03"),
            ("2027", "2027"),
            ("14 Mar 27", "2027-03-14"),
            ("March 14, 2027", "2027-03-14"),
            ("14.3.2027", "2027-03-14"),
            ("12/25/27", "2027-12-25"),
        ] {
            assert_eq!(date(typed).as_deref(), Ok(read), "{typed}");
        }
    }

    #[test]
    fn what_can_be_read_in_two_ways_is_asked_back() {
        for (typed, said) in [
            ("3/4", "'3/4' is no date"),
            ("03/04", "type 2003-04 or 2004-03"),
            ("5/12/27", "type 2027-05-12 or 2027-12-05"),
            ("03/04/2027", "write 2027-03-04 or 2027-04-03"),
            ("soon", "'soon' is no date"),
            ("13/2027", "not in the calendar"),
            ("", "'' is no date"),
        ] {
            let refused = date(typed).expect_err(typed);
            assert!(refused.contains(said), "{typed}: {refused}");
        }
    }

    #[test]
    fn dates_of_a_count_become_lots() {
        for (typed, count, read) in [
            ("3/27", Some(6), vec!["6 x 2027-03"]),
            (
                "3 x 3/27, 2x Apr 27",
                Some(6),
                vec!["3 x 2027-03", "2 x 2027-04"],
            ),
            ("3/27; 4/27", Some(6), vec!["1 x 2027-03", "1 x 2027-04"]),
            ("2 x March 14, 2027", Some(6), vec!["2 x 2027-03-14"]),
            (
                "exp 3/27 made May 24",
                Some(2),
                vec!["2 x 2027-03 made 2024-05"],
            ),
            ("mfg 5/24", Some(1), vec!["1 x made 2024-05"]),
            ("3 x 3/27 !", Some(6), vec!["3 x 2027-03 !"]),
        ] {
            assert_eq!(
                lots(typed, count, false),
                Ok(read.iter().map(|lot| (*lot).to_owned()).collect()),
                "{typed}"
            );
        }
        assert_eq!(
            lots("3/27", Some(2), true),
            Ok(vec!["2 x 2027-03 !".to_owned()])
        );
        assert!(lots("3 x soon", Some(3), false).is_err());
    }

    #[test]
    fn a_bare_number_is_in_the_countys_unit() {
        for (typed, bare, read) in [
            ("3.4", Bare::Pressure, "3.4 psi"),
            ("3,4", Bare::Pressure, "3.4 psi"),
            ("3,4 bar", Bare::Pressure, "3.4 bar"),
            ("1,200 ft", Bare::Height, "1,200 ft"),
            ("-4", Bare::Temperature, "-4 F"),
            ("10", Bare::Hours, "10 h"),
            ("5 gal", Bare::Volume, "5 gal"),
            ("three", Bare::Pressure, "three"),
        ] {
            assert_eq!(quantity(typed, bare, POUNDS), read);
        }
    }
}
