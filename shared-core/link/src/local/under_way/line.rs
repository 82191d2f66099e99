//! One line of a check's file: what it says, and how it is written so that a torn or damaged one
//! is known.
//!
//! A line is the first 8 hexadecimal digits of the SHA-256 of its JSON, a blank, and the JSON.

use bytes::Bytes;
use data_encoding::{BASE64, HEXLOWER};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use sponson_proto::service::v1::UnderWayKind;

/// What a line says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Line {
    /// The first.
    Begun(Begun),
    /// Fields by one member; an empty value takes a field out.
    Entered(Entered),
    /// What is to be recorded is fixed from here.
    Recording(Recording),
    /// The next of these events is in the log.
    InLog(InLog),
    /// Nothing of it was recorded: fields can be entered again.
    OpenAgain(By),
    /// All events are in the log.
    Recorded(By),
    /// Nothing is to be recorded.
    Dropped(By),
}

/// A beginning.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Begun {
    pub(super) id: String,
    #[serde(with = "hex")]
    pub(super) craft: Bytes,
    pub(super) number: String,
    pub(super) kind: KindWord,
    pub(super) from_paper: bool,
    #[serde(with = "hex")]
    pub(super) standard: Bytes,
    #[serde(flatten)]
    pub(super) by: By,
}

/// Who, and when by the device's clock.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct By {
    pub(super) member: String,
    pub(super) unix_ms: i64,
}

/// Fields.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Entered {
    #[serde(flatten)]
    pub(super) by: By,
    pub(super) fields: Vec<(String, String)>,
}

/// What is to be recorded.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Recording {
    #[serde(flatten)]
    pub(super) by: By,
    /// Events that the log held then: whatever of these was recorded comes after them.
    pub(super) held: u64,
    /// Each an `AppendRequest`.
    #[serde(with = "base64_list")]
    pub(super) events: Vec<Bytes>,
}

/// An event in the log.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct InLog {
    #[serde(with = "hex")]
    pub(super) event: Bytes,
}

/// What a check is to become.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum KindWord {
    Full,
    Short,
    Part,
    FittingOut,
}

impl KindWord {
    pub(super) const fn of(kind: UnderWayKind) -> Option<Self> {
        match kind {
            UnderWayKind::Unspecified => None,
            UnderWayKind::Full => Some(Self::Full),
            UnderWayKind::Short => Some(Self::Short),
            UnderWayKind::Part => Some(Self::Part),
            UnderWayKind::FittingOut => Some(Self::FittingOut),
        }
    }

    pub(super) const fn to_wire(self) -> UnderWayKind {
        match self {
            Self::Full => UnderWayKind::Full,
            Self::Short => UnderWayKind::Short,
            Self::Part => UnderWayKind::Part,
            Self::FittingOut => UnderWayKind::FittingOut,
        }
    }
}

impl Line {
    /// The line as it is written, with its end.
    pub(super) fn to_text(&self) -> std::io::Result<String> {
        let json = serde_json::to_string(self)?;
        Ok(format!("{} {json}\n", check_digits(&json)))
    }

    /// Reads a line without its end; none when it is damaged.
    pub(super) fn parse(text: &[u8]) -> Option<Self> {
        let text = std::str::from_utf8(text).ok()?;
        let (digits, json) = text.split_once(' ')?;
        (digits == check_digits(json))
            .then(|| serde_json::from_str(json).ok())
            .flatten()
    }
}

fn check_digits(json: &str) -> String {
    let mut digits = HEXLOWER.encode(&Sha256::digest(json.as_bytes()));
    digits.truncate(8);
    digits
}

mod hex {
    use super::{Bytes, Deserialize, HEXLOWER};

    pub(super) fn serialize<S: serde::Serializer>(bytes: &Bytes, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&HEXLOWER.encode(bytes))
    }

    pub(super) fn deserialize<'de, D: serde::Deserializer<'de>>(
        from: D,
    ) -> Result<Bytes, D::Error> {
        let text = String::deserialize(from)?;
        let bytes = HEXLOWER.decode(text.as_bytes());
        bytes.map(Bytes::from).map_err(serde::de::Error::custom)
    }
}

mod base64_list {
    use super::{BASE64, Bytes, Deserialize};

    pub(super) fn serialize<S: serde::Serializer>(
        list: &[Bytes],
        to: S,
    ) -> Result<S::Ok, S::Error> {
        to.collect_seq(list.iter().map(|bytes| BASE64.encode(bytes)))
    }

    pub(super) fn deserialize<'de, D: serde::Deserializer<'de>>(
        from: D,
    ) -> Result<Vec<Bytes>, D::Error> {
        let texts = Vec::<String>::deserialize(from)?;
        let decoded = texts.iter().map(|text| BASE64.decode(text.as_bytes()));
        let bytes = decoded.map(|bytes| bytes.map(Bytes::from).map_err(serde::de::Error::custom));
        bytes.collect()
    }
}
