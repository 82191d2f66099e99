//! What a later version of this program wrote: kept and passed on byte for byte, held where its
//! writer asked for that, and never a relief.

use bytes::Bytes;
use prost::Message as _;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, SubjectId};
use sponson_log::sign::{DeviceKey, Signed};
use sponson_proto::event::v1::{
    self as wire, IfNotUnderstood, Kind, SignatureAlgorithm, SubjectType,
};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::answer::{CraftAnswer, Readiness, Rule};
use sponson_replica::{CarryScope, Replica};

use crate::asking::{checked, question};
use crate::county::{
    CRAFT, DAY, MINUTE, Placed, START, county_id, county_subject, join, north, south, sync, working,
};
use crate::known::said;

const MODEL: &str = "inflatable-14";
const AT: i64 = START + DAY + 10 * MINUTE;

/// Field 1000, a varint; field 1001, bytes; field 1002, 8 bytes: of numbers that nothing here has.
const LATER_FIELDS: &[u8] = &[
    0xc0, 0x3e, 0x07, 0xca, 0x3e, 0x03, b'n', b'e', b'w', 0xd1, 0x3e, 1, 2, 3, 4, 5, 6, 7, 8,
];

/// What is special about an event of a later version.
#[derive(Clone, Debug)]
pub(crate) struct Later {
    pub(crate) by: DeviceKey,
    pub(crate) kind: u32,
    pub(crate) version: u32,
    pub(crate) flag: i32,
    pub(crate) subjects: Vec<(SubjectId, i32)>,
    pub(crate) payload: Vec<u8>,
}

fn about_craft(kind: u32, version: u32, flag: IfNotUnderstood) -> Later {
    Later {
        by: north(),
        kind,
        version,
        flag: flag as i32,
        subjects: vec![(CRAFT, SubjectType::Craft as i32)],
        payload: vec![0x08, 0x01],
    }
}

impl Later {
    /// Signs it as the next of its key's chain, with fields that are not known here everywhere.
    pub(crate) fn sign(&self, placed: &Replica) -> SignedEvent {
        let chain = placed.chains().get(&self.by.key());
        let newest = chain.and_then(|chain| chain.heads().iter().max_by_key(|head| head.1));
        let subject = |(id, kind): &(SubjectId, i32)| wire::Subject {
            id: id.to_bytes(),
            r#type: *kind,
            seen: Vec::new(),
        };
        let header = wire::Header {
            county_id: county_id().to_bytes(),
            key: self.by.key().to_bytes(),
            seq: newest.map_or(1, |(_, seq)| seq + 1),
            previous: newest.map_or_else(Bytes::new, |(id, _)| id.to_bytes()),
            kind: self.kind,
            kind_version: self.version,
            if_not_understood: self.flag,
            subjects: self.subjects.iter().map(subject).collect(),
            clock: Some(wire::Clock {
                unix_ms: AT - 2 * MINUTE,
                boot_id: vec![1; 16].into(),
                ..wire::Clock::default()
            }),
            ..wire::Header::default()
        };
        let mut body = Vec::new();
        for (tag, mut part) in [(0x0a, header.encode_to_vec()), (0x12, self.payload.clone())] {
            part.extend(LATER_FIELDS);
            body.push(tag);
            prost::encode_length_delimiter(part.len(), &mut body).expect("a vector grows");
            body.extend(part);
        }
        body.extend(LATER_FIELDS);
        let signature = self.by.sign(Signed::Event, &body);
        let event = wire::Event {
            body: body.into(),
            algorithm: SignatureAlgorithm::Ed25519 as i32,
            signature: Bytes::copy_from_slice(&signature),
            beside: Vec::new(),
        };
        SignedEvent::open(event).expect("its header can be read")
    }
}

pub(crate) fn keep(placed: &mut Placed, event: SignedEvent) -> EventId {
    let id = event.id();
    let kept = placed
        .replica
        .keep(vec![event], ChunkSource::Station, AT - MINUTE);
    assert_eq!(kept.expect("the store is whole").new, [id]);
    id
}

pub(crate) fn craft(placed: &mut Placed) -> CraftAnswer {
    let answer = placed.replica.ask(&question(AT));
    answer.craft.into_iter().next().expect("it is known")
}

fn needs_upgrade(craft: &CraftAnswer) -> bool {
    craft.why.iter().any(|it| it.rule == Rule::NeedsUpgrade)
}

/// What an event of a later version does to a craft that is ready.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Does {
    Nothing,
    Holds,
}

fn policy(text: &str, format: u32) -> Vec<u8> {
    let text = text.to_owned();
    wire::Policy { format, text }.encode_to_vec()
}

fn sheet(model: &str, format: u32) -> Vec<u8> {
    wire::BoatStandard {
        model: model.to_owned(),
        revision: 9,
        format,
        text: "written = \"for a later version\"".to_owned(),
    }
    .encode_to_vec()
}

type Case = (String, Later, Does);

/// A kind of a later version about nothing, a thing, or a sort of thing that is not known here.
fn of_subjects() -> Vec<Case> {
    let kinds = [
        ("a kind", vec![(CRAFT, SubjectType::Craft as i32)]),
        (
            "a kind about the county",
            vec![(county_subject(), SubjectType::County as i32)],
        ),
        ("a kind about nothing", Vec::new()),
        (
            "a kind about a later sort of thing",
            vec![(SubjectId::from_bytes([0xf0; 16]), 77)],
        ),
    ];
    let mut cases = Vec::new();
    for (case, subjects) in kinds {
        for (flag, does) in [
            (IfNotUnderstood::Hold, Does::Holds),
            (IfNotUnderstood::Ignore, Does::Nothing),
        ] {
            let later = Later {
                subjects: subjects.clone(),
                ..about_craft(999, 1, flag)
            };
            cases.push((format!("{case}, {flag:?}"), later, does));
        }
    }
    let other = Later {
        subjects: vec![(SubjectId::from_bytes([0xc9; 16]), SubjectType::Craft as i32)],
        ..about_craft(999, 1, IfNotUnderstood::Hold)
    };
    cases.push((
        "a kind about another craft".to_owned(),
        other,
        Does::Nothing,
    ));
    cases
}

/// A later version of a kind that is known, and wishes that are not.
fn of_versions() -> Vec<Case> {
    let note = Kind::Note as u32;
    let hold = || about_craft(999, 1, IfNotUnderstood::Hold);
    let cases = [
        (
            "a version, hold",
            about_craft(note, 9, IfNotUnderstood::Hold),
            Does::Holds,
        ),
        (
            "a version, ignore",
            about_craft(note, 9, IfNotUnderstood::Ignore),
            Does::Nothing,
        ),
        ("no wish", Later { flag: 0, ..hold() }, Does::Holds),
        ("a later wish", Later { flag: 9, ..hold() }, Does::Holds),
    ];
    let named = cases.into_iter();
    named
        .map(|(case, later, does)| (case.to_owned(), later, does))
        .collect()
}

/// Entries of the registry name no subject.
fn of_the_registry() -> Vec<Case> {
    let (ended, settings, standard) = (
        Kind::KeyEnded as u32,
        Kind::Policy as u32,
        Kind::BoatStandard as u32,
    );
    let says = |payload| Later {
        by: working(),
        subjects: Vec::new(),
        payload,
        ..about_craft(0, 1, IfNotUnderstood::Hold)
    };
    let of = |kind, later| Later { kind, ..later };
    let version = |version, later| Later { version, ..later };
    let ignore = |later| Later {
        flag: IfNotUnderstood::Ignore as i32,
        ..later
    };
    let any = || says(vec![0x08, 0x01]);
    let cases = [
        ("a registry kind, hold", of(8, any()), Does::Holds),
        (
            "a registry kind, ignore",
            ignore(of(8, any())),
            Does::Nothing,
        ),
        ("an end, hold", version(2, of(ended, any())), Does::Holds),
        (
            "an end, ignore",
            ignore(version(2, of(ended, any()))),
            Does::Nothing,
        ),
        (
            "a form of the policy",
            of(settings, says(policy("x", 2))),
            Does::Holds,
        ),
        (
            "a setting",
            of(settings, says(policy("later = 1", 1))),
            Does::Holds,
        ),
        (
            "a form of the sheet",
            of(standard, says(sheet(MODEL, 2))),
            Does::Holds,
        ),
        ("a line", of(standard, says(sheet(MODEL, 1))), Does::Holds),
        (
            "another sheet",
            of(standard, says(sheet("raft-13", 1))),
            Does::Nothing,
        ),
    ];
    let named = cases.into_iter();
    named
        .map(|(case, later, does)| (case.to_owned(), later, does))
        .collect()
}

fn cases() -> Vec<Case> {
    [of_subjects(), of_versions(), of_the_registry()].concat()
}

#[test]
fn what_is_not_understood_is_kept_as_it_is_and_held_where_its_writer_asked() {
    for (case, later, does) in cases() {
        let (mut county, mut station) = checked();
        let before = craft(&mut county);
        assert!(before.readiness < Readiness::Unproven, "{case}: {before:?}");
        let event = later.sign(&county.replica);
        let bytes = event.to_wire();
        let id = keep(&mut county, event);
        let after = craft(&mut county);
        let expected = match does {
            Does::Holds => Readiness::Unproven,
            Does::Nothing => before.readiness,
        };
        assert_eq!(after.readiness, expected, "{case}: {:?}", after.why);
        assert_eq!(
            needs_upgrade(&after),
            does == Does::Holds,
            "{case}: {:?}",
            after.why
        );

        // A station that gets it in a sync, one that gets it in a file, and a store that is opened
        // again hold the same bytes and judge alike.
        sync(&mut station, &mut county, AT - MINUTE);
        let mut carried = join(south());
        let mut file = Vec::new();
        station
            .replica
            .carry_out(CarryScope::All, AT, &mut |piece| file.extend(piece));
        carried
            .replica
            .carry_in(&file, AT)
            .expect("the file is whole");
        let mut county = county.reopen(working());
        for held in [&mut county, &mut station, &mut carried] {
            let kept = held.replica.event(&id).expect("the row is whole");
            assert_eq!(kept.expect("it is held").to_wire(), bytes, "{case}");
            assert_eq!(craft(held).readiness, expected, "{case}");
            assert_eq!(
                held.replica.verify(&mut |_, _| {}).wrong,
                Vec::<String>::new()
            );
        }
    }
}

/// Whoever has no right to write the registry cannot hold the county with a later version of it.
#[test]
fn a_later_registry_entry_of_a_device_does_nothing() {
    let (mut county, _) = checked();
    let before = craft(&mut county).readiness;
    let later = Later {
        subjects: Vec::new(),
        ..about_craft(Kind::KeyEnded as u32, 2, IfNotUnderstood::Hold)
    };
    let event = later.sign(&county.replica);
    keep(&mut county, event);
    assert_eq!(craft(&mut county).readiness, before);
}

/// What was known before the later entry came is answered as it was.
#[test]
fn an_answer_of_before_stays_as_it_was() {
    let (mut county, _) = checked();
    let size = county.replica.tree().size();
    let before = said(&mut county, size);
    for (case, later, does) in cases() {
        if does == Does::Nothing {
            continue;
        }
        let event = later.sign(&county.replica);
        keep(&mut county, event);
        assert_eq!(said(&mut county, size), before, "{case}");
        assert_eq!(craft(&mut county).readiness, Readiness::Unproven, "{case}");
    }
}
