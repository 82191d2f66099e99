//! The admission code: what a person types to bring a new device into a county.
//!
//! 16 bytes of county id, 10 bytes of secret, written in groups of five letters and digits, the
//! last character of which checks the others. The county id is the hash of the county's root key,
//! so whoever holds a code can tell the county from anybody else before sending the secret.

use std::fmt;

use sponson_log::ids::CountyId;
use sponson_show::clean;
use zeroize::Zeroize;

/// Length of the secret.
pub const SECRET_BYTES: usize = 10;

const BYTES: usize = CountyId::LEN + SECRET_BYTES;
/// 26 bytes of 8 bits in characters of 5 bits: 42, and 2 bits left that are zero.
const CHARACTERS: usize = (BYTES * 8).div_ceil(5);
/// With the check character: 43, in groups of five: eight, and one of three.
const WITH_CHECK: usize = CHARACTERS + 1;
const GROUP: usize = 5;

/// Digits and letters without I, L, O and U, which are easily taken for others.
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// An admission code.
#[derive(Clone, PartialEq, Eq)]
pub struct Code {
    county: CountyId,
    secret: [u8; SECRET_BYTES],
}

impl fmt::Debug for Code {
    /// Leaves the secret out.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Code({})", self.county)
    }
}

impl Drop for Code {
    fn drop(&mut self) {
        self.secret.zeroize();
    }
}

/// Why text is no code.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    /// Too few or too many characters.
    #[error("code has {length} letters and digits; it must have {WITH_CHECK}: {hint}")]
    Length {
        /// How many it has.
        length: usize,
        /// Where to look.
        hint: &'static str,
    },
    /// A character that no code has.
    #[error(
        "group {group} of the code ('{}') has '{}', which no code has",
        clean(text), clean(&character.to_string())
    )]
    Character {
        /// Group, from 1.
        group: usize,
        /// The group as typed.
        text: String,
        /// The character.
        character: char,
    },
    /// The check character is not right.
    #[error("code was mistyped: compare it group by group with what you were given")]
    Check,
}

impl Code {
    /// Puts a code together.
    #[must_use]
    pub const fn new(county: CountyId, secret: [u8; SECRET_BYTES]) -> Self {
        Self { county, secret }
    }

    /// The county that gave it.
    #[must_use]
    pub const fn county(&self) -> CountyId {
        self.county
    }

    /// The secret.
    #[must_use]
    pub const fn secret(&self) -> &[u8; SECRET_BYTES] {
        &self.secret
    }

    /// Reads a code as typed: upper or lower case, O for 0, I or L for 1, with any hyphens and
    /// blanks.
    ///
    /// # Errors
    /// When it is mistyped; names the group where that can be told.
    pub fn parse(text: &str) -> Result<Self, CodeError> {
        let values = read_characters(text)?;
        let (data, check) = values.split_at(CHARACTERS);
        if check != [check_value(data)] {
            return Err(CodeError::Check);
        }
        let mut bytes = [0; BYTES];
        if !pack(data, &mut bytes) {
            return Err(CodeError::Check);
        }
        let mut county = [0; CountyId::LEN];
        let mut secret = [0; SECRET_BYTES];
        county.copy_from_slice(&bytes[..CountyId::LEN]);
        secret.copy_from_slice(&bytes[CountyId::LEN..]);
        bytes.zeroize();
        Ok(Self::new(CountyId::from_bytes(county), secret))
    }
}

impl fmt::Display for Code {
    /// Groups of five with hyphens between them.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut values = unpack(self.county.as_bytes().iter().chain(&self.secret));
        values.push(check_value(&values));
        for (index, value) in values.iter().enumerate() {
            if index > 0 && index % GROUP == 0 {
                f.write_str("-")?;
            }
            write!(f, "{}", char::from(ALPHABET[usize::from(*value)]))?;
        }
        Ok(())
    }
}

/// Values of the characters, without hyphens and blanks.
fn read_characters(text: &str) -> Result<Vec<u8>, CodeError> {
    let typed: Vec<char> = text
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '-')
        .collect();
    let mut values = Vec::with_capacity(typed.len().min(WITH_CHECK));
    for (index, character) in typed.iter().enumerate().take(WITH_CHECK) {
        let group = index / GROUP;
        let value = value_of(*character).ok_or_else(|| CodeError::Character {
            group: group + 1,
            text: typed.iter().skip(group * GROUP).take(GROUP).collect(),
            character: *character,
        })?;
        values.push(value);
    }
    if typed.len() != WITH_CHECK {
        let hint = if typed.len() < WITH_CHECK {
            "some are missing"
        } else {
            "some are too many"
        };
        return Err(CodeError::Length {
            length: typed.len(),
            hint,
        });
    }
    Ok(values)
}

fn value_of(character: char) -> Option<u8> {
    let plain = match character.to_ascii_uppercase() {
        'O' => '0',
        'I' | 'L' => '1',
        other => other,
    };
    let place = ALPHABET.iter().position(|c| char::from(*c) == plain)?;
    u8::try_from(place).ok()
}

/// A polynomial over the field of 32 elements, one for each character, at its generator.
///
/// A wrong character changes the sum by its difference times a power of the generator, which is
/// never zero; neighbours that change places change it by their difference times two powers that
/// follow each other, which differ. So every single slip and every swap of neighbours is found,
/// the check character's own too.
fn check_value(values: &[u8]) -> u8 {
    values
        .iter()
        .fold(0, |sum, value| times_generator(sum ^ value))
}

/// Times x, modulo x^5 + x^2 + 1, which is primitive: x generates all 31 elements that are not 0.
const fn times_generator(value: u8) -> u8 {
    let shifted = value << 1;
    if shifted & 0b10_0000 == 0 {
        shifted
    } else {
        shifted ^ 0b10_0101
    }
}

/// Bytes as values of 5 bits, the last filled up with zeros.
fn unpack<'a>(bytes: impl Iterator<Item = &'a u8>) -> Vec<u8> {
    let mut values = Vec::with_capacity(WITH_CHECK);
    let (mut held, mut bits) = (0_u16, 0);
    for byte in bytes {
        held = (held << 8) | u16::from(*byte);
        bits += 8;
        while bits >= 5 {
            bits -= 5;
            values.push(low_five(held >> bits));
        }
        held &= (1 << bits) - 1;
    }
    if bits > 0 {
        values.push(low_five(held << (5 - bits)));
    }
    values
}

/// Values of 5 bits as bytes; no when the bits left over are not zero.
fn pack(values: &[u8], bytes: &mut [u8; BYTES]) -> bool {
    let (mut held, mut bits) = (0_u16, 0);
    let mut places = bytes.iter_mut();
    for value in values {
        held = (held << 5) | u16::from(*value);
        bits += 5;
        if bits >= 8 {
            bits -= 8;
            if let (Some(place), [_, low]) = (places.next(), (held >> bits).to_be_bytes()) {
                *place = low;
            }
            held &= (1 << bits) - 1;
        }
    }
    held == 0
}

const fn low_five(value: u16) -> u8 {
    let [_, low] = value.to_be_bytes();
    low & 31
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Code {
        Code::new(
            CountyId::from_bytes([0x5a; 16]),
            [1, 2, 3, 4, 5, 6, 7, 8, 9, 255],
        )
    }

    #[test]
    fn a_code_is_read_back_however_it_is_typed() {
        let text = sample().to_string();
        insta::assert_snapshot!(text, @"B9D5M-PJTB9-D5MPJ-TB9D5-MPJTB-80G40-R40M3-0E209-ZWS");
        let typed = [
            text.clone(),
            text.to_lowercase(),
            text.replace('-', " "),
            text.replace('-', ""),
            text.replace('0', "o").replace('1', "l"),
            text.replace('0', "O").replace('1', "i"),
        ];
        for form in typed {
            assert_eq!(Code::parse(&form), Ok(sample()), "{form}");
        }
    }

    /// Codes of different bytes, so that no test rests on one pattern.
    fn codes() -> Vec<Code> {
        let mut codes = vec![sample()];
        codes.extend((0..8_u8).map(|seed| {
            let county = std::array::from_fn(|place| spread(seed, place));
            let secret = std::array::from_fn(|place| spread(seed ^ 0x55, place));
            Code::new(CountyId::from_bytes(county), secret)
        }));
        codes
    }

    fn spread(seed: u8, place: usize) -> u8 {
        let place = u8::try_from(place).expect("few places");
        seed.wrapping_mul(97)
            .wrapping_add(place.wrapping_mul(151))
            .rotate_left(u32::from(place % 8))
    }

    #[test]
    fn every_single_slip_is_found() {
        for text in codes().iter().map(ToString::to_string) {
            for (place, right) in text.char_indices().filter(|(_, c)| *c != '-') {
                for wrong in ALPHABET.iter().map(|c| char::from(*c)) {
                    if right == wrong {
                        continue;
                    }
                    let mut slipped = text.clone();
                    slipped.replace_range(place..=place, &wrong.to_string());
                    assert_eq!(Code::parse(&slipped), Err(CodeError::Check), "{slipped}");
                }
            }
        }
    }

    #[test]
    fn every_swap_of_neighbours_is_found() {
        for code in codes() {
            let plain: Vec<char> = code.to_string().chars().filter(|c| *c != '-').collect();
            let swapped = (1..plain.len()).filter(|place| plain[place - 1] != plain[*place]);
            for place in swapped {
                let mut slipped = plain.clone();
                slipped.swap(place - 1, place);
                let slipped = String::from_iter(slipped);
                assert_eq!(Code::parse(&slipped), Err(CodeError::Check), "{slipped}");
            }
        }
    }

    #[test]
    fn a_mistyped_code_says_where() {
        let text = sample().to_string();
        let mut wrong = text.clone();
        wrong.replace_range(7..8, "!");
        let error = Code::parse(&wrong).expect_err("no such character");
        insta::assert_snapshot!(error, @"group 2 of the code ('P!TB9') has '!', which no code has");
        let error = Code::parse(&text[..text.len() - 2]).expect_err("short");
        insta::assert_snapshot!(error, @"code has 41 letters and digits; it must have 43: some are missing");
        let error = Code::parse(&format!("{text}AA")).expect_err("long");
        insta::assert_snapshot!(error, @"code has 45 letters and digits; it must have 43: some are too many");
        assert!(Code::parse("").is_err());
    }
}
