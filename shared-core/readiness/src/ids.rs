//! Ids as this crate sees them: opaque, ordered, never parsed.

use std::fmt;

/// Id of one event: 32 bytes that name what was signed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EventId([u8; 32]);

/// Id of a craft, a piece of numbered gear, a bag, a shelf, a station: 16 opaque bytes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SubjectId([u8; 16]);

/// Names one fault: the event that recorded it and its place there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FaultId {
    /// Event that recorded the fault.
    pub event: EventId,
    /// Position in that event, from 0; an answer 'no' counts from [`FaultId::FIRST_ANSWER`].
    pub ordinal: u32,
}

impl FaultId {
    /// Ordinal of the first answer of a check. A body of 64 KiB holds fewer than 10,000 faults of
    /// at least 8 bytes each, so the two ranges never meet.
    pub const FIRST_ANSWER: u32 = 10_000;
}

macro_rules! bytes_id {
    ($name:ident, $len:literal) => {
        impl $name {
            /// Wraps the bytes.
            #[must_use]
            pub const fn from_bytes(bytes: [u8; $len]) -> Self {
                Self(bytes)
            }

            /// The bytes.
            #[must_use]
            pub const fn as_bytes(&self) -> &[u8; $len] {
                &self.0
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
                write!(f, "{}({:.8})", stringify!($name), self.to_string())
            }
        }
    };
}

bytes_id!(EventId, 32);
bytes_id!(SubjectId, 16);

macro_rules! word_id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub String);

        impl $name {
            /// The word itself.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl From<&str> for $name {
            fn from(word: &str) -> Self {
                Self(word.to_owned())
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

word_id!(
    /// A part of a craft in its boat standard, for example `tube-1`, `transom`, `motor`.
    PartId
);
word_id!(
    /// A line of a boat standard: an item, an inspection or a question. Never changes its meaning.
    LineId
);
word_id!(
    /// A model of craft, for example `inflatable-14`.
    ModelId
);
word_id!(
    /// A mission, for example `swiftwater`.
    MissionId
);
word_id!(
    /// A stop of the walk round a craft, for example `bow`, `port-side`, `bag-b3`.
    StopId
);
