//! Decimal numbers as people write them, kept exact.
//!
//! It knows nothing of units.

/// Digits that a number may have. With 12, every product in this module stays below 10^33, far
/// within an `i128` (1.7 * 10^38); nobody reads a gauge to 12 digits.
const DIGITS_MAX: usize = 12;

/// `mantissa / 10^scale`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Decimal {
    pub(super) mantissa: i128,
    pub(super) scale: u32,
}

impl Decimal {
    /// Ten to the power of the scale.
    pub(super) const fn divisor(self) -> i128 {
        10_i128.pow(self.scale)
    }
}

/// Why a number was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NumberFault {
    /// No digits, or marks in places where none can be.
    Malformed,
    /// `1,000`: one thousand, or one?
    AmbiguousComma,
    /// More digits than anybody can mean.
    TooLong,
}

/// Reads `3`, `-3.05`, `.5`, `3,05`, `1,234.5`, `1.234,5`.
///
/// A lone point is a decimal point. A lone comma is a decimal comma unless it could part
/// thousands: exactly three digits after it and a whole part of one to three that is not 0.
pub(super) fn decimal(text: &str) -> Result<Decimal, NumberFault> {
    let (sign, unsigned) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1, rest),
        None => (1, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, part) = split(unsigned)?;
    let digits = format!("{whole}{part}");
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return Err(NumberFault::Malformed);
    }
    if digits.len() > DIGITS_MAX {
        return Err(NumberFault::TooLong);
    }
    let mantissa: i128 = digits.parse().map_err(|_| NumberFault::Malformed)?;
    let scale = u32::try_from(part.len()).map_err(|_| NumberFault::TooLong)?;
    Ok(Decimal {
        mantissa: sign * mantissa,
        scale,
    })
}

/// Parts a number at its decimal mark; marks between thousands are taken out.
fn split(text: &str) -> Result<(String, &str), NumberFault> {
    let points = text.matches('.').count();
    let commas = text.matches(',').count();
    let (mark, thousands) = match (points, commas) {
        (0, 0) => return Ok((text.to_owned(), "")),
        (1, 0) => ('.', None),
        (0, 1) => {
            let (whole, part) = text.split_once(',').unwrap_or((text, ""));
            if part.len() == 3 && (1..=3).contains(&whole.len()) && whole != "0" {
                return Err(NumberFault::AmbiguousComma);
            }
            (',', None)
        }
        (1, _) if text.rfind('.') > text.rfind(',') => ('.', Some(',')),
        (_, 1) if text.rfind(',') > text.rfind('.') => (',', Some('.')),
        _ => return Err(NumberFault::Malformed),
    };
    let (whole, part) = text.split_once(mark).unwrap_or((text, ""));
    if part.is_empty() {
        return Err(NumberFault::Malformed);
    }
    match thousands {
        None => Ok((whole.to_owned(), part)),
        Some(between) => Ok((without_thousands(whole, between)?, part)),
    }
}

fn without_thousands(whole: &str, between: char) -> Result<String, NumberFault> {
    let mut groups = whole.split(between);
    let first = groups.next().unwrap_or("");
    if !(1..=3).contains(&first.len()) || groups.any(|group| group.len() != 3) {
        return Err(NumberFault::Malformed);
    }
    Ok(whole.replace(between, ""))
}

/// Divides and rounds to the nearest whole number, halves away from zero. `den` is above 0.
pub(super) const fn round_div(num: i128, den: i128) -> i128 {
    let half = den / 2;
    if num >= 0 {
        (num + half) / den
    } else {
        (num - half) / den
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_people_write_them() {
        for (text, mantissa, scale) in [
            ("3", 3, 0),
            ("3.0", 30, 1),
            ("3,0", 30, 1),
            ("3,05", 305, 2),
            ("0,207", 207, 3),
            ("1.000", 1000, 3),
            (".5", 5, 1),
            ("-5", -5, 0),
            ("\u{2212}5", -5, 0),
            ("+5", 5, 0),
            ("1,234.5", 12345, 1),
            ("1.234,5", 12345, 1),
            ("1,234,567.5", 12_345_675, 1),
            ("1013,25", 101_325, 2),
        ] {
            assert_eq!(decimal(text), Ok(Decimal { mantissa, scale }), "{text}");
        }
    }

    #[test]
    fn numbers_that_nobody_can_read() {
        for (text, fault) in [
            ("1,013", NumberFault::AmbiguousComma),
            ("12,345", NumberFault::AmbiguousComma),
            ("", NumberFault::Malformed),
            ("3.", NumberFault::Malformed),
            ("3,4,5", NumberFault::Malformed),
            ("1.2.3", NumberFault::Malformed),
            ("12,34.5", NumberFault::Malformed),
            ("1,234.567.8", NumberFault::Malformed),
            ("--3", NumberFault::Malformed),
            ("1234567890123", NumberFault::TooLong),
        ] {
            assert_eq!(decimal(text), Err(fault), "{text}");
        }
    }

    #[test]
    fn halves_go_away_from_zero() {
        for (num, den, rounded) in [(5, 2, 3), (-5, 2, -3), (4, 3, 1), (-4, 3, -1), (0, 7, 0)] {
            assert_eq!(round_div(num, den), rounded);
        }
    }
}
