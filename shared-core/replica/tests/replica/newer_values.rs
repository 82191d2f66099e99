//! A later version may know a value of an enumeration that this one does not: every field of every
//! message in turn is given one, and what made a craft worse still does, or holds it.

use prost::Message as _;
use prost::encoding::{WireType, decode_key, decode_varint, encode_key, encode_varint};
use prost_types::field_descriptor_proto::{Label, Type};
use prost_types::{DescriptorProto, FieldDescriptorProto, FileDescriptorSet};
use sponson_proto::event::v1::{self as wire, IfNotUnderstood, Kind};
use sponson_readiness::answer::Readiness;
use sponson_replica::NewEvent;

use crate::asking::checked;
use crate::county::{event, fault, north, out_of_service, reading};
use crate::newer::{Later, craft, keep};

/// No enumeration has it, and none is likely to.
const LATER_VALUE: u64 = 9_999;

/// One field as it stands in the bytes.
struct Field {
    number: u32,
    sort: WireType,
    /// What stands behind the key; of a message or text without its length.
    content: Vec<u8>,
}

fn fields(mut bytes: &[u8]) -> Vec<Field> {
    let mut found = Vec::new();
    while !bytes.is_empty() {
        let (number, sort) = decode_key(&mut bytes).expect("our own bytes");
        let length = match sort {
            WireType::LengthDelimited => decode_varint(&mut bytes).expect("our own bytes"),
            WireType::SixtyFourBit => 8,
            WireType::ThirtyTwoBit => 4,
            WireType::Varint => {
                let before = bytes.len();
                let mut rest = bytes;
                decode_varint(&mut rest).expect("our own bytes");
                u64::try_from(before - rest.len()).expect("few")
            }
            WireType::StartGroup | WireType::EndGroup => panic!("proto3 has no groups"),
        };
        let (content, rest) = bytes.split_at(usize::try_from(length).expect("few"));
        found.push(Field {
            number,
            sort,
            content: content.to_vec(),
        });
        bytes = rest;
    }
    found
}

fn encoded<'a>(fields: impl Iterator<Item = (&'a Field, &'a [u8])>) -> Vec<u8> {
    let mut bytes = Vec::new();
    for (field, content) in fields {
        encode_key(field.number, field.sort, &mut bytes);
        if field.sort == WireType::LengthDelimited {
            encode_varint(u64::try_from(content.len()).expect("few"), &mut bytes);
        }
        bytes.extend(content);
    }
    bytes
}

fn message(name: &str) -> DescriptorProto {
    let files = FileDescriptorSet::decode(sponson_proto::DESCRIPTORS).expect("it was compiled");
    for file in files.file {
        let package = format!(".{}.", file.package());
        for message in file.message_type {
            if name == format!("{package}{}", message.name()) {
                return message;
            }
        }
    }
    panic!("no message {name}");
}

/// The message with a later value in one of its enumerations, once for each, by where it stands.
fn with_later_values(name: &str, bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
    let held = fields(bytes);
    let mut found = Vec::new();
    for field in message(name).field {
        let number = u32::try_from(field.number()).expect("a field has a number");
        let at = format!(
            "{}.{}",
            name.rsplit('.').next().unwrap_or(name),
            field.name()
        );
        if field.r#type() == Type::Enum {
            let others = held.iter().filter(|it| it.number != number);
            let mut later = encoded(others.map(|it| (it, it.content.as_slice())));
            add_later_value(&field, &mut later);
            found.push((at, later));
        }
        if field.r#type() == Type::Message {
            found.extend(within(&held, number, field.type_name()));
        }
    }
    found
}

/// The same for every message that stands in a field.
fn within(held: &[Field], number: u32, name: &str) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    for (place, field) in held.iter().enumerate() {
        if field.number != number {
            continue;
        }
        for (at, inner) in with_later_values(name, &field.content) {
            let all = held.iter().enumerate().map(|(other, it)| {
                let content = if other == place { &inner } else { &it.content };
                (it, content.as_slice())
            });
            found.push((at, encoded(all)));
        }
    }
    found
}

fn add_later_value(field: &FieldDescriptorProto, bytes: &mut Vec<u8>) {
    let number = u32::try_from(field.number()).expect("a field has a number");
    let mut value = Vec::new();
    encode_varint(LATER_VALUE, &mut value);
    if field.label() == Label::Repeated {
        encode_key(number, WireType::LengthDelimited, bytes);
        encode_varint(u64::try_from(value.len()).expect("few"), bytes);
    } else {
        encode_key(number, WireType::Varint, bytes);
    }
    bytes.extend(value);
}

/// Entries that each make a craft worse that was ready, with the message of their payload.
fn worse() -> Vec<(&'static str, NewEvent)> {
    let no = wire::Check {
        extent: wire::CheckExtent::Part as i32,
        stowage: wire::Stowage::Rigged as i32,
        answers: vec![wire::Answer {
            line: "valve-caps".to_owned(),
            value: wire::AnswerValue::No as i32,
            not_applicable: 0,
        }],
        ..wire::Check::default()
    };
    vec![
        (".sponson.event.v1.Fault", fault("leak")),
        (".sponson.event.v1.OutOfService", out_of_service()),
        (".sponson.event.v1.Check", reading(1_000)),
        (".sponson.event.v1.Check", event(Kind::Check, &no)),
    ]
}

#[test]
fn a_later_value_never_leaves_a_craft_ready_that_its_entry_made_worse() {
    let mut tried = 0;
    for (name, event) in worse() {
        let said = |payload: Vec<u8>| Later {
            by: north(),
            kind: event.kind as u32,
            version: event.kind_version,
            flag: IfNotUnderstood::Hold as i32,
            subjects: event
                .subjects
                .iter()
                .map(|(id, sort)| (*id, *sort as i32))
                .collect(),
            payload,
        };
        let after = |later: &Later| {
            let (_, mut station) = checked();
            let before = craft(&mut station).readiness;
            assert!(before < Readiness::Unproven, "{before:?}");
            let signed = later.sign(&station.replica);
            keep(&mut station, signed);
            craft(&mut station).readiness
        };
        let as_it_is = after(&said(event.payload.clone()));
        for (at, payload) in with_later_values(name, &event.payload) {
            let later = after(&said(payload));
            let holds = later >= Readiness::Unproven || as_it_is < Readiness::Unproven;
            assert!(holds, "{at}: {later:?}, as it is {as_it_is:?}");
            tried += usize::from(as_it_is >= Readiness::Unproven);
        }
    }
    assert!(
        tried >= 5,
        "{tried} values were tried on entries that make a craft unproven"
    );
}
