//! Small files of one message: first bytes that name the sort, length, digest, message.
//!
//! Finds a file that was cut or changed on its way. Who signed what is in it is found out when it
//! is opened.

use sha2::{Digest as _, Sha256};

use crate::ids::Digest;

/// A sort of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sort {
    /// Its first bytes.
    pub magic: &'static [u8],
    /// What people call it.
    pub name: &'static str,
    /// Greatest message in it, bytes.
    pub bytes_max: usize,
}

/// Why a file was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SealError {
    /// Another sort of file.
    #[error("file does not begin as a {0}: choose another")]
    OtherSort(&'static str),
    /// Cut short.
    #[error("file ends too early: copy it again")]
    Cut,
    /// It goes on after its end.
    #[error("file goes on after its end: copy it again")]
    TooMuch,
    /// Too long.
    #[error("file says that {length} bytes follow; at most {max} are allowed")]
    TooLong {
        /// The length that it says.
        length: u64,
        /// The greatest.
        max: usize,
    },
    /// Bytes that were changed.
    #[error("file was changed on its way: copy it again")]
    Changed,
}

/// Makes a file of a message.
#[must_use]
pub fn seal(sort: Sort, message: &[u8]) -> Vec<u8> {
    let length = u32::try_from(message.len()).unwrap_or(u32::MAX);
    let mut file = sort.magic.to_vec();
    file.extend_from_slice(&length.to_be_bytes());
    file.extend_from_slice(&Sha256::digest(message));
    file.extend_from_slice(message);
    file
}

/// The message of a file.
///
/// # Errors
/// When the file is not as it was written.
pub fn unseal(sort: Sort, file: &[u8]) -> Result<&[u8], SealError> {
    let rest = file.strip_prefix(sort.magic);
    let rest = rest.ok_or(SealError::OtherSort(sort.name))?;
    let (length, rest) = rest.split_first_chunk::<4>().ok_or(SealError::Cut)?;
    let length = u32::from_be_bytes(*length);
    let bytes = usize::try_from(length)
        .ok()
        .filter(|length| *length <= sort.bytes_max)
        .ok_or(SealError::TooLong {
            length: length.into(),
            max: sort.bytes_max,
        })?;
    let (digest, rest) = rest
        .split_first_chunk::<{ Digest::LEN }>()
        .ok_or(SealError::Cut)?;
    let (message, after) = rest.split_at_checked(bytes).ok_or(SealError::Cut)?;
    if !after.is_empty() {
        return Err(SealError::TooMuch);
    }
    if Sha256::digest(message).as_slice() == digest {
        Ok(message)
    } else {
        Err(SealError::Changed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SORT: Sort = Sort {
        magic: b"a sort\n",
        name: "sort of file",
        bytes_max: 8,
    };

    #[test]
    fn only_the_file_as_written_is_read() {
        let file = seal(SORT, b"message");
        assert_eq!(unseal(SORT, &file), Ok(b"message".as_slice()));
        for end in 0..file.len() {
            assert!(unseal(SORT, &file[..end]).is_err(), "cut at {end}");
        }
        for byte in 0..file.len() {
            for bit in 0..8 {
                let mut changed = file.clone();
                changed[byte] ^= 1 << bit;
                assert!(unseal(SORT, &changed).is_err(), "bit {bit} of byte {byte}");
            }
        }
        let longer = [file.as_slice(), b"."].concat();
        assert_eq!(unseal(SORT, &longer), Err(SealError::TooMuch));
        assert!(unseal(SORT, &seal(SORT, b"8 bytes.")).is_ok());
        let length = SealError::TooLong { length: 9, max: 8 };
        assert_eq!(unseal(SORT, &seal(SORT, b"too long.")), Err(length));
        assert_eq!(
            unseal(SORT, b"another"),
            Err(SealError::OtherSort("sort of file"))
        );
    }
}
