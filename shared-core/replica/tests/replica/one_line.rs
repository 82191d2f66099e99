//! Short texts that a device signs are one line, without what a screen or a printer obeys: every text
//! of every kind, as the message descriptors list them. What was signed before is read as it is.

use prost::Message as _;
use prost_types::FileDescriptorSet;
use prost_types::field_descriptor_proto::Type;
use sponson_log::event::{Draft, SignedEvent};
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_proto::store::v1::ChunkSource;
use sponson_replica::NewEvent;

use crate::county::{
    DAY, NORTH, START, craft_registered, event, fault, join, north, now, reading, sign, south,
};

/// CWE-150: what a terminal would obey; a line end; a null; C1 of 8 bits; a tab.
const ODD: &[(&str, &str)] = &[
    ("\u{1b}[2J", "U+001B"),
    ("a\nb", "U+000A"),
    ("\0", "U+0000"),
    ("\u{9b}2J", "U+009B"),
    ("a\tb", "U+0009"),
];

/// What people have: no member number and no name may be refused for these.
const USUAL: &[&str] = &[
    "M17",
    "0017-b",
    "Zoë 船",
    "a.b/c_d (e) #4, 'f' & \"g\"",
    "<b>",
    "—",
];

/// A text in a message: the numbers that lead to it, and how it is named.
type Path = (Vec<u32>, String);

fn texts(files: &FileDescriptorSet, message: &str) -> Vec<Path> {
    let every = files
        .file
        .iter()
        .filter(|file| file.package() == "sponson.event.v1");
    let mut every = every.flat_map(|file| &file.message_type);
    let Some(found) = every.find(|it| it.name() == message) else {
        panic!("no message {message}");
    };
    let mut paths = Vec::new();
    for field in &found.field {
        let number = u32::try_from(field.number()).expect("positive");
        if field.r#type() == Type::String {
            paths.push((vec![number], field.name().to_owned()));
        } else if field.r#type() == Type::Message {
            let nested = field.type_name().rsplit('.').next().expect("a name");
            for (mut rest, name) in texts(files, nested) {
                rest.insert(0, number);
                paths.push((rest, format!("{}.{name}", field.name())));
            }
        }
    }
    paths
}

fn encoded(path: &[u32], text: &str) -> Vec<u8> {
    let (number, rest) = path.split_first().expect("a path");
    let value = match rest {
        [] => text.as_bytes().to_vec(),
        rest => encoded(rest, text),
    };
    let mut bytes = Vec::new();
    prost::encoding::encode_varint(u64::from(*number) << 3 | 2, &mut bytes);
    prost::encoding::encode_varint(value.len() as u64, &mut bytes);
    bytes.extend(value);
    bytes
}

fn every_kind() -> Vec<Kind> {
    let kinds = (1..1_000).filter_map(|number| Kind::try_from(number).ok());
    kinds.collect()
}

fn message_of(kind: Kind) -> String {
    let words = kind.as_str_name().trim_start_matches("KIND_").split('_');
    let capital = |word: &str| word[..1].to_owned() + &word[1..].to_lowercase();
    words.map(capital).collect()
}

#[test]
fn every_short_text_of_every_kind_is_one_line() {
    let files = FileDescriptorSet::decode(sponson_proto::DESCRIPTORS).expect("it is our own");
    let mut station = join(north());
    let mut looked = 0;
    for kind in every_kind() {
        for (path, name) in texts(&files, &message_of(kind)) {
            // A whole sheet has lines.
            let is_sheet = kind == Kind::Policy || kind == Kind::BoatStandard;
            if is_sheet && name == "text" {
                continue;
            }
            for (odd, named) in ODD {
                let draft = NewEvent {
                    kind,
                    payload: encoded(&path, odd),
                    ..fault("leak")
                };
                let refused = station.replica.append(draft, &now(START));
                let refused = refused.expect_err(&name).to_string();
                let wanted = format!("{name} is a text with the control character {named}; ");
                assert!(refused.starts_with(&wanted), "{kind:?}: {refused}");
            }
            looked += 1;
        }
    }
    // As many as the messages had when this was written: fewer would be texts that nobody looks at.
    assert!(looked >= 60, "{looked}");
    assert_eq!(station.replica.about().events, 0);
}

#[test]
fn who_recorded_it_and_what_a_text_belongs_to_too() {
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    for (odd, named) in ODD {
        let by = NewEvent {
            member: (*odd).to_owned(),
            ..fault("leak")
        };
        let belongs = NewEvent {
            texts: vec![((*odd).to_owned(), "fine".to_owned(), [1; 16])],
            ..fault("leak")
        };
        for (draft, field) in [(by, "member"), (belongs, "belongs_to")] {
            let refused = station.replica.append(draft, &now(START));
            let refused = refused.expect_err(field).to_string();
            let wanted = format!("{field} is a text with the control character {named}; ");
            assert!(refused.starts_with(&wanted), "{refused}");
        }
    }
    for usual in USUAL {
        let draft = NewEvent {
            member: (*usual).to_owned(),
            ..fault(usual)
        };
        station.append(draft, START + DAY);
    }
    // What is written in full has lines.
    let mut said = fault("leak");
    said.texts = vec![(String::new(), "two\nlines\tand a tab".to_owned(), [1; 16])];
    station.append(said, START + DAY);
}

/// A restated payload is looked at as one of its original's kind.
#[test]
fn a_correction_brings_none_in() {
    let mut station = join(north());
    let original = station.append(reading(20_000), START);
    let check = wire::Check {
        checked_by: "M\u{1b}17".to_owned(),
        ..wire::Check::decode(reading(21_000).payload.as_slice()).expect("just encoded")
    };
    let payload = wire::Correction {
        original: original.to_bytes(),
        r#type: wire::CorrectionType::Restated as i32,
        payload: check.encode_to_vec().into(),
        kind_version: 1,
    };
    let corrected = station
        .replica
        .append(event(Kind::Correction, &payload), &now(START));
    let refused = corrected.expect_err("it has one").to_string();
    assert!(
        refused.starts_with("checked_by is a text with"),
        "{refused}"
    );
}

/// What earlier versions signed stays what it is: kept, read, and judged.
#[test]
fn what_was_signed_before_is_read_as_it_is() {
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    let plain = sign(&south(), 1, None, Kind::Check, reading(21_000).payload);
    let mut header = plain.header().clone();
    header.member = "M\u{1b}17\n".to_owned();
    let draft = Draft {
        header,
        payload: plain.payload().clone(),
        beside: Vec::new(),
    };
    let earlier = SignedEvent::sign(draft, &south()).expect("the log takes it");
    let kept = station
        .replica
        .keep(vec![earlier], ChunkSource::Station, START + DAY);
    assert_eq!(kept.expect("the store is whole").new.len(), 1);
    let records = station.replica.records().values();
    assert!(
        records
            .clone()
            .all(|record| record.not_understood.is_empty())
    );
    let checks: usize = records.map(|record| record.unconfirmed.len()).sum();
    assert_eq!(
        checks, 2,
        "the check, and the registration: nobody vouches for either yet"
    );
}
