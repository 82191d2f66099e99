//! What was ever said stays sayable: no number of a field, a value or a method gets another meaning.
//!
//! `kept.txt` lists every message field, enum value and method that any version of this program knew.
//! A line is never taken out and never changed; what is new is added. Logs, stores, files and devices
//! of earlier versions hold bytes with these numbers for ever. (Protocol Buffers, language guide
//! proto3, "Updating A Message Type": field numbers are never reused, a type is never changed.)
//!
//! `SPONSON_WRITE_KEPT=yes cargo test -p sponson-proto --test kept` adds what is new to the list.

use std::collections::{BTreeMap, BTreeSet};

use prost::Message as _;
use prost_types::field_descriptor_proto::{Label, Type};
use prost_types::{
    DescriptorProto, EnumDescriptorProto, FieldDescriptorProto, FileDescriptorSet,
    ServiceDescriptorProto,
};

const KEPT: &str = include_str!("kept.txt");

fn short(name: &str) -> &str {
    name.rsplit('.').next().unwrap_or(name)
}

fn type_word(field: &FieldDescriptorProto) -> &str {
    match field.r#type() {
        Type::Double => "double",
        Type::Float => "float",
        Type::Int64 => "int64",
        Type::Uint64 => "uint64",
        Type::Int32 => "int32",
        Type::Fixed64 => "fixed64",
        Type::Fixed32 => "fixed32",
        Type::Bool => "bool",
        Type::String => "string",
        Type::Bytes => "bytes",
        Type::Uint32 => "uint32",
        Type::Sfixed32 => "sfixed32",
        Type::Sfixed64 => "sfixed64",
        Type::Sint32 => "sint32",
        Type::Sint64 => "sint64",
        Type::Group | Type::Message | Type::Enum => short(field.type_name()),
    }
}

fn label(field: &FieldDescriptorProto) -> &'static str {
    if field.label() == Label::Repeated {
        "repeated "
    } else if field.proto3_optional() {
        "optional "
    } else if field.oneof_index.is_some() {
        "oneof "
    } else {
        ""
    }
}

fn of_message(within: &str, message: &DescriptorProto, lines: &mut BTreeSet<String>) {
    let name = format!("{within}.{}", message.name());
    for field in &message.field {
        let (label, sort) = (label(field), type_word(field));
        lines.insert(format!(
            "{name} {} {label}{sort} {}",
            field.number(),
            field.name()
        ));
    }
    for inner in &message.nested_type {
        of_message(&name, inner, lines);
    }
    for inner in &message.enum_type {
        of_enum(&name, inner, lines);
    }
}

fn of_enum(within: &str, of: &EnumDescriptorProto, lines: &mut BTreeSet<String>) {
    for value in &of.value {
        let (number, name) = (value.number(), value.name());
        lines.insert(format!("{within}.{} {number} {name}", of.name()));
    }
}

fn of_service(within: &str, service: &ServiceDescriptorProto, lines: &mut BTreeSet<String>) {
    let stream = |is| if is { "stream " } else { "" };
    for method in &service.method {
        lines.insert(format!(
            "{within}.{} {}({}{}) {}{}",
            service.name(),
            method.name(),
            stream(method.client_streaming()),
            short(method.input_type()),
            stream(method.server_streaming()),
            short(method.output_type()),
        ));
    }
}

/// Everything that can be said now.
fn now() -> BTreeSet<String> {
    let files = FileDescriptorSet::decode(sponson_proto::DESCRIPTORS).expect("it was compiled");
    let mut lines = BTreeSet::new();
    for file in &files.file {
        let package = file.package();
        if !package.starts_with("sponson.") {
            continue;
        }
        for message in &file.message_type {
            of_message(package, message, &mut lines);
        }
        for of in &file.enum_type {
            of_enum(package, of, &mut lines);
        }
        for service in &file.service {
            of_service(package, service, &mut lines);
        }
    }
    lines
}

fn kept() -> BTreeSet<String> {
    let lines = KEPT.lines().filter(|line| !line.starts_with('#'));
    lines.map(str::to_owned).collect()
}

/// Lines of `kept` that are not among `now`, and lines of `now` that are not kept yet.
fn compared(kept: &BTreeSet<String>, now: &BTreeSet<String>) -> (Vec<String>, Vec<String>) {
    let without = |these: &BTreeSet<String>, those: &BTreeSet<String>| {
        these.difference(those).cloned().collect()
    };
    (without(kept, now), without(now, kept))
}

#[test]
fn nothing_that_was_ever_said_got_another_meaning() {
    let (gone, new) = compared(&kept(), &now());
    assert_eq!(
        gone,
        Vec::<String>::new(),
        "bytes that earlier versions wrote would be read otherwise: put these back"
    );
    if std::env::var_os("SPONSON_WRITE_KEPT").is_some() {
        let head = KEPT.lines().filter(|line| line.starts_with('#'));
        let all = head.map(str::to_owned).chain(now());
        let text: String = all.map(|line| line + "\n").collect();
        let file = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/kept.txt");
        std::fs::write(file, text).expect("the list can be written");
        return;
    }
    assert_eq!(
        new,
        Vec::<String>::new(),
        "new: add it to kept.txt (see above)"
    );
}

/// A number stands for one thing in its message.
#[test]
fn no_number_is_kept_twice() {
    let mut of: BTreeMap<(String, String), String> = BTreeMap::new();
    for line in kept() {
        let mut words = line.split(' ');
        let (Some(name), Some(number)) = (words.next(), words.next()) else {
            panic!("{line}");
        };
        let before = of.insert((name.to_owned(), number.to_owned()), line.clone());
        assert_eq!(before, None, "{line}");
    }
}

#[test]
fn a_changed_number_type_or_name_is_found() {
    let now = now();
    let line = "sponson.event.v1.Header 3 uint64 seq";
    assert!(now.contains(line), "the header has a seq");
    for changed in [
        "sponson.event.v1.Header 33 uint64 seq",
        "sponson.event.v1.Header 3 sint64 seq",
        "sponson.event.v1.Header 3 repeated uint64 seq",
        "sponson.event.v1.Header 3 uint64 place",
    ] {
        let mut other = now.clone();
        other.remove(line);
        other.insert(changed.to_owned());
        let (gone, new) = compared(&now, &other);
        assert_eq!(
            (gone, new),
            (vec![line.to_owned()], vec![changed.to_owned()])
        );
    }
}
