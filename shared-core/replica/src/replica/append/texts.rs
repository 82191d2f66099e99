//! Short texts of what is about to be signed here: each is one line, and no character in it that a
//! screen or a printer obeys.
//!
//! Every field of every kind is looked at, as the message descriptors list them: a new field needs no
//! line here. Only what this replica signs is refused. What earlier versions or others signed is read
//! as it is, whatever stands in it.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use prost::Message as _;
use prost::encoding::{DecodeContext, WireType, decode_key, decode_varint, skip_field};
use prost_types::field_descriptor_proto::Type;
use prost_types::{DescriptorProto, FileDescriptorSet};
use sponson_proto::event::v1::Kind;

use crate::errors::AppendError;

/// Package of the messages that events carry.
const PACKAGE: &str = "sponson.event.v1";

/// Whole sheets: they have lines, and are held against their own grammar before they are signed.
const SHEETS: [&str; 2] = ["Policy", "BoatStandard"];

/// What a field holds, as far as texts go.
#[derive(Clone, Debug)]
enum Field {
    /// A text.
    Text(String),
    /// A message of this name.
    Nested { field: String, message: String },
}

/// Fields that hold texts, by message and number.
static FIELDS: LazyLock<BTreeMap<String, BTreeMap<u32, Field>>> = LazyLock::new(|| {
    let files = FileDescriptorSet::decode(sponson_proto::DESCRIPTORS).unwrap_or_default();
    let files = files.file.into_iter();
    let files = files.filter(|file| file.package() == PACKAGE);
    let messages = files.flat_map(|file| file.message_type);
    messages
        .map(|message| (message.name().to_owned(), texts_of(&message)))
        .collect()
});

fn texts_of(message: &DescriptorProto) -> BTreeMap<u32, Field> {
    let fields = message.field.iter().filter_map(|field| {
        let name = field.name().to_owned();
        let found = match field.r#type() {
            Type::String if SHEETS.contains(&message.name()) && name == "text" => None,
            Type::String => Some(Field::Text(name)),
            Type::Message => {
                let message = field.type_name().rsplit('.').next()?.to_owned();
                Some(Field::Nested {
                    field: name,
                    message,
                })
            }
            Type::Double
            | Type::Float
            | Type::Int64
            | Type::Uint64
            | Type::Int32
            | Type::Fixed64
            | Type::Fixed32
            | Type::Bool
            | Type::Group
            | Type::Bytes
            | Type::Uint32
            | Type::Enum
            | Type::Sfixed32
            | Type::Sfixed64
            | Type::Sint32
            | Type::Sint64 => None,
        };
        Some((u32::try_from(field.number()).ok()?, found?))
    });
    fields.collect()
}

/// Refuses a text with a character that is none of a line.
pub(super) fn one_line(field: &str, text: &str) -> Result<(), AppendError> {
    let Some(odd) = text.chars().find(|c| c.is_control()) else {
        return Ok(());
    };
    Err(AppendError::Value {
        field: field.to_owned(),
        value: format!("a text with the control character U+{:04X}", u32::from(odd)),
        limit: "it is one line of letters, digits, blanks and signs: type it again without it"
            .to_owned(),
    })
}

/// Looks at every text of a payload. Bytes that are no message are for its reader to refuse.
pub(super) fn payload(kind: Kind, payload: &[u8]) -> Result<(), AppendError> {
    texts(&message_of(kind), "", payload)
}

/// Name of the message that events of a kind carry: a test holds that every kind has one.
fn message_of(kind: Kind) -> String {
    let words = kind.as_str_name().split('_').skip(1);
    let capital = |word: &str| {
        let (first, rest) = word.split_at_checked(1).unwrap_or((word, ""));
        format!("{first}{}", rest.to_ascii_lowercase())
    };
    words.map(capital).collect()
}

fn texts(message: &str, within: &str, mut bytes: &[u8]) -> Result<(), AppendError> {
    let Some(fields) = FIELDS.get(message) else {
        return Ok(());
    };
    while let Ok((number, wire)) = decode_key(&mut bytes) {
        let held = fields
            .get(&number)
            .filter(|_| wire == WireType::LengthDelimited);
        let Some(held) = held else {
            if skip_field(wire, number, &mut bytes, DecodeContext::default()).is_err() {
                break;
            }
            continue;
        };
        let length = decode_varint(&mut bytes).ok();
        let length = length.and_then(|length| usize::try_from(length).ok());
        let Some((value, rest)) = length.and_then(|length| bytes.split_at_checked(length)) else {
            break;
        };
        bytes = rest;
        match held {
            Field::Text(field) => {
                let text = std::str::from_utf8(value).unwrap_or_default();
                one_line(&format!("{within}{field}"), text)?;
            }
            Field::Nested { field, message } => {
                texts(message, &format!("{within}{field}."), value)?;
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Else the texts of a kind would be looked at by nobody.
    #[test]
    fn every_kind_has_a_message() {
        for number in 1..1_000 {
            if let Ok(kind) = Kind::try_from(number) {
                assert!(FIELDS.contains_key(&message_of(kind)), "{kind:?}");
            }
        }
    }
}
