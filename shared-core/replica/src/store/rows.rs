//! Keys and values of the rows, as `rows.proto` describes them: a letter and big-endian numbers;
//! a message and its CRC-32C. Reads and writes nothing itself.

use sponson_proto::store::v1 as proto;

use crate::errors::RowError;

/// Greatest value: sixteen rows make at most 48 KiB of a leaf. A leaf of more than 128 KiB would
/// go to a file that the engine never syncs.
pub(crate) const ROW_BYTES_MAX: usize = 3 * 1024;

/// Bytes of a body or content in one row: [`ROW_BYTES_MAX`] less 64 of signature, 32 of id, 16 of
/// salt, 4 of CRC, and less than 56 of tags and lengths.
pub(crate) const PART_BYTES_MAX: usize = ROW_BYTES_MAX - 172;

/// Places in one leaf row: each at most 5 bytes of number (34 thousand million events) and 10 of
/// time, whatever the county said: 200 · 15 = 3,000, and room for tags.
pub(crate) const LEAVES_MAX: usize = 200;

/// Key of one row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum RowKey<'a> {
    /// An event.
    Event(u64),
    /// A further part of its body.
    BodyPart(u64, u16),
    /// A content beside it.
    Beside(u64, u16),
    /// A further part of a content.
    BesidePart(u64, u16, u16),
    /// A chunk.
    Chunk(u64),
    /// Places in the county log.
    Leaves(u64),
    /// A single value by name.
    Meta(&'a [u8]),
}

impl RowKey<'_> {
    /// The key's bytes.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        let numbered = |letter: u8, number: u64, rest: &[u16]| {
            let mut key = vec![letter];
            key.extend_from_slice(&number.to_be_bytes());
            for part in rest {
                key.extend_from_slice(&part.to_be_bytes());
            }
            key
        };
        match *self {
            Self::Event(number) => numbered(b'e', number, &[]),
            Self::BodyPart(number, part) => numbered(b'x', number, &[part]),
            Self::Beside(number, index) => numbered(b't', number, &[index]),
            Self::BesidePart(number, index, part) => numbered(b'u', number, &[index, part]),
            Self::Chunk(first) => numbered(b'c', first, &[]),
            Self::Leaves(first) => numbered(b'l', first, &[]),
            Self::Meta(name) => [b"m", name].concat(),
        }
    }
}

/// A key as people read it: letter and numbers, or letter and name.
pub(crate) fn key_text(key: &[u8]) -> String {
    let Some((letter, rest)) = key.split_first() else {
        return "with an empty key".to_owned();
    };
    let letter = char::from(*letter);
    let Some((number, parts)) = rest
        .split_first_chunk::<8>()
        .filter(|_| "excltu".contains(letter))
    else {
        return format!("{letter} {}", String::from_utf8_lossy(rest).escape_debug());
    };
    let mut text = format!("{letter} {}", u64::from_be_bytes(*number));
    for part in parts.chunks(2) {
        let part = part
            .iter()
            .fold(0_u32, |sum, byte| sum * 256 + u32::from(*byte));
        text.push_str(&format!(" {part}"));
    }
    text
}

/// The number in a key after its letter.
pub(crate) fn key_number(key: &[u8]) -> Result<u64, RowError> {
    key.get(1..9)
        .and_then(|number| <[u8; 8]>::try_from(number).ok())
        .map(u64::from_be_bytes)
        .ok_or_else(|| damaged(key, "its key has another length"))
}

/// An error that names the row.
pub(crate) fn damaged(key: &[u8], detail: impl std::fmt::Display) -> RowError {
    RowError {
        row: key_text(key),
        detail: detail.to_string(),
    }
}

/// A value with its CRC-32C behind it.
pub(crate) fn seal(mut value: Vec<u8>) -> Vec<u8> {
    let sum = crc32c::crc32c(&value);
    value.extend_from_slice(&sum.to_be_bytes());
    value
}

/// The value before the CRC-32C, when that is right.
pub(crate) fn unseal<'a>(key: &[u8], row: &'a [u8]) -> Result<&'a [u8], RowError> {
    let (value, sum) = row
        .split_last_chunk::<4>()
        .ok_or_else(|| damaged(key, "it is shorter than its check sum"))?;
    if crc32c::crc32c(value) == u32::from_be_bytes(*sum) {
        Ok(value)
    } else {
        Err(damaged(key, "its check sum is not that of its bytes"))
    }
}

/// Reads a message out of a row.
pub(crate) fn decode<M: prost::Message + Default>(key: &[u8], row: &[u8]) -> Result<M, RowError> {
    M::decode(unseal(key, row)?).map_err(|error| damaged(key, error))
}

/// A single value as a row.
pub(crate) fn meta(what: proto::meta_row::What) -> proto::MetaRow {
    proto::MetaRow { what: Some(what) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_named_for_people() {
        let cases = [
            (RowKey::Event(258), "e 258"),
            (RowKey::BodyPart(7, 300), "x 7 300"),
            (RowKey::BesidePart(1, 2, 3), "u 1 2 3"),
            (RowKey::Meta(b"store"), "m store"),
        ];
        for (key, text) in cases {
            assert_eq!(key_text(&key.bytes()), text);
        }
    }

    #[test]
    fn a_changed_byte_anywhere_is_found() {
        let row = seal(b"some value".to_vec());
        assert_eq!(unseal(b"mx", &row).expect("untouched"), b"some value");
        for at in 0..row.len() {
            let mut changed = row.clone();
            changed[at] ^= 1;
            assert!(unseal(b"mx", &changed).is_err(), "byte {at}");
        }
    }
}
