//! Ids of the log, each a type of its own, made from bytes in one place.

use std::fmt;

use bytes::Bytes;
use sha2::{Digest as _, Sha256};

/// A field whose length is not that of its id.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{field} has {length} bytes; it must have {wanted}")]
pub struct WrongLength {
    /// The field.
    pub field: &'static str,
    /// Bytes that it has.
    pub length: usize,
    /// Bytes that it must have.
    pub wanted: usize,
}

macro_rules! bytes_id {
    ($(#[$doc:meta])* $name:ident, $len:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name([u8; $len]);

        impl $name {
            /// Length in bytes.
            pub const LEN: usize = $len;

            /// Wraps the bytes.
            #[must_use]
            pub const fn from_bytes(bytes: [u8; $len]) -> Self {
                Self(bytes)
            }

            /// Reads a field of a message.
            ///
            /// # Errors
            /// When the length is another one.
            pub fn parse(field: &'static str, bytes: &[u8]) -> Result<Self, WrongLength> {
                bytes.try_into().map(Self).map_err(|_| WrongLength {
                    field,
                    length: bytes.len(),
                    wanted: $len,
                })
            }

            /// Reads a field that may be empty.
            ///
            /// # Errors
            /// When it is neither empty nor of the right length.
            pub fn parse_optional(
                field: &'static str,
                bytes: &[u8],
            ) -> Result<Option<Self>, WrongLength> {
                if bytes.is_empty() {
                    Ok(None)
                } else {
                    Self::parse(field, bytes).map(Some)
                }
            }

            /// Reads it from lower-case hexadecimal digits, whole, as it is shown.
            #[must_use]
            pub fn from_hex(text: &str) -> Option<Self> {
                let digit = |it: u8| match it {
                    b'0'..=b'9' => Some(it - b'0'),
                    b'a'..=b'f' => Some(it - b'a' + 10),
                    _ => None,
                };
                let mut bytes = [0; $len];
                if text.len() != 2 * $len {
                    return None;
                }
                for (byte, two) in bytes.iter_mut().zip(text.as_bytes().chunks(2)) {
                    let [high, low] = two else { return None };
                    *byte = digit(*high)? << 4 | digit(*low)?;
                }
                Some(Self(bytes))
            }

            /// The bytes.
            #[must_use]
            pub const fn as_bytes(&self) -> &[u8; $len] {
                &self.0
            }

            /// The bytes, for a field of a message.
            #[must_use]
            pub fn to_bytes(self) -> Bytes {
                Bytes::copy_from_slice(&self.0)
            }
        }

        impl fmt::Display for $name {
            /// Lower-case hexadecimal, whole.
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}({:.12})", stringify!($name), self.to_string())
            }
        }
    };
}

bytes_id!(
    /// Id of an event: SHA-256 of what is signed.
    EventId, 32
);
bytes_id!(
    /// An Ed25519 public key, which names the chain that it signs.
    Key, 32
);
bytes_id!(
    /// Id of a county: derived from its root key.
    CountyId, 16
);
bytes_id!(
    /// Id of a county log: new at every founding and restore.
    LogId, 16
);
bytes_id!(
    /// Id of a craft, a piece of gear, a bag, a shelf, a station.
    SubjectId, 16
);
bytes_id!(
    /// A SHA-256 digest: a leaf, a node or a root of the tree, a commitment, a TLS key.
    Digest, 32
);

impl CountyId {
    /// Derives the id from the root key, so that whoever holds the id can check the key.
    #[must_use]
    pub fn of_root(root: &Key) -> Self {
        let digest: [u8; 32] = Sha256::new()
            .chain_update(b"sponson county root v1")
            .chain_update(root.as_bytes())
            .finalize()
            .into();
        let mut half = [0; 16];
        half.copy_from_slice(&digest[..16]);
        Self(half)
    }
}

impl SubjectId {
    /// The subject of a member of a county, so that all who record something about one member record
    /// it about the same subject. Capitals and blanks round the number make no difference.
    #[must_use]
    pub fn of_member(county: &CountyId, number: &str) -> Self {
        let digest: [u8; 32] = Sha256::new()
            .chain_update(b"sponson member v1")
            .chain_update(county.as_bytes())
            .chain_update(number.trim().to_ascii_lowercase())
            .finalize()
            .into();
        let mut half = [0; 16];
        half.copy_from_slice(&digest[..16]);
        Self(half)
    }
}
