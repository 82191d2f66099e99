//! Who may write what, and that the order of arrival does not matter.

use prost::Message as _;
use sponson_proto::event::v1::{
    KeyAdmitted, KeyEndReason, KeyEnded, Policy, RoleGiven, StationRegistered,
};

use super::*;
use crate::chains::tests::Writer;

/// A county: its root, its working key, and what was applied.
struct County {
    root: Writer,
    working: Writer,
    registry: Registry,
    chains: Chains,
}

impl County {
    fn new() -> Self {
        let root = Writer::root(1);
        let working = Writer::new(2, root.county);
        let mut county = Self {
            registry: Registry::new(root.county),
            chains: Chains::default(),
            root,
            working,
        };
        let payload = admitted(&county.working.key(), &[Role::County, Role::Lead]);
        let event = county.root.write(Kind::KeyAdmitted, &payload);
        assert_eq!(county.apply(&event), Applied::Changed);
        county
    }

    fn apply(&mut self, event: &SignedEvent) -> Applied {
        self.chains.add(event);
        self.registry.apply(event, &self.chains)
    }

    fn by_working(&mut self, kind: Kind, payload: &impl prost::Message) -> Applied {
        let event = self.working.write(kind, payload);
        self.apply(&event)
    }
}

fn admitted(key: &Key, roles: &[Role]) -> KeyAdmitted {
    KeyAdmitted {
        key: key.to_bytes(),
        roles: roles.iter().map(|role| *role as i32).collect(),
        device: "boat bay".to_owned(),
        epoch: 1,
        ..KeyAdmitted::default()
    }
}

fn policy(text: &str) -> Policy {
    Policy {
        format: 1,
        text: text.to_owned(),
    }
}

fn crew_key() -> Key {
    Writer::root(7).key()
}

#[test]
fn only_the_root_admits_working_keys() {
    let mut county = County::new();
    assert_eq!(county.registry.root(), Some(county.root.key()));
    assert!(county.registry.is_working_key(&county.working.key()));
    let more = admitted(&crew_key(), &[Role::County]);
    assert_eq!(
        county.by_working(Kind::KeyAdmitted, &more),
        Applied::NotEntitled
    );
    // And the root admits nobody else, nor does it write the rest.
    let crew = admitted(&crew_key(), &[Role::Crew]);
    let event = county.root.write(Kind::KeyAdmitted, &crew);
    assert_eq!(county.apply(&event), Applied::NotEntitled);
    let event = county.root.write(Kind::Policy, &policy("a"));
    assert_eq!(county.apply(&event), Applied::NotEntitled);
    let itself = admitted(&county.root.key(), &[Role::County]);
    let event = county.root.write(Kind::KeyAdmitted, &itself);
    assert_eq!(county.apply(&event), Applied::NotEntitled);
    assert_eq!(county.registry.applied(), 1);
}

#[test]
fn strangers_and_crews_write_nothing_here() {
    let mut county = County::new();
    let mut crew = Writer::new(7, county.root.county);
    let event = crew.write(Kind::Policy, &policy("mine"));
    assert_eq!(county.apply(&event), Applied::NotEntitled);
    let lead = admitted(&crew.key(), &[Role::Lead]);
    assert_eq!(
        county.by_working(Kind::KeyAdmitted, &lead),
        Applied::Changed
    );
    let event = crew.write(Kind::Policy, &policy("mine"));
    assert_eq!(county.apply(&event), Applied::NotEntitled);
    assert_eq!(county.registry.policy(), None);
    let note = crew.note(1);
    assert_eq!(county.apply(&note), Applied::NotForRegistry);
    let mut elsewhere = Writer::root(9);
    let event = elsewhere.write(Kind::Policy, &policy("other county"));
    assert_eq!(county.apply(&event), Applied::NotEntitled);
    assert!(is_registry_kind(Kind::Policy as i32) && !is_registry_kind(Kind::Note as i32));
    assert!(!is_registry_kind(9_999));
}

#[test]
fn payloads_that_cannot_be_right_change_nothing() {
    let mut county = County::new();
    let key = crew_key();
    let good = admitted(&key, &[Role::Crew]);
    let cases = [
        KeyAdmitted {
            key: vec![1; 31].into(),
            ..good.clone()
        },
        // The neutral point: of small order (RFC 8032, 5.1: encoding of (0, 1)).
        KeyAdmitted {
            key: [&[1_u8][..], &[0; 31]].concat().into(),
            ..good.clone()
        },
        KeyAdmitted {
            roles: vec![],
            ..good.clone()
        },
        KeyAdmitted {
            roles: vec![0, 999],
            ..good.clone()
        },
        KeyAdmitted {
            station: vec![1; 15].into(),
            ..good.clone()
        },
        KeyAdmitted {
            tls_key_sha256: vec![1; 3].into(),
            ..good.clone()
        },
        KeyAdmitted {
            replaces_key: vec![1; 3].into(),
            ..good.clone()
        },
        KeyAdmitted {
            device: "x".repeat(65),
            ..good.clone()
        },
    ];
    for case in cases {
        let applied = county.by_working(Kind::KeyAdmitted, &case);
        assert_eq!(applied, Applied::NotUnderstood, "{case:?}");
    }
    let ended = KeyEnded {
        key: key.to_bytes(),
        last_good_seq: 3,
        ..KeyEnded::default()
    };
    assert_eq!(
        county.by_working(Kind::KeyEnded, &ended),
        Applied::NotUnderstood
    );
    let format = Policy {
        format: 2,
        ..policy("a")
    };
    assert_eq!(
        county.by_working(Kind::Policy, &format),
        Applied::NotUnderstood
    );
    let nowhere = StationRegistered::default();
    assert_eq!(
        county.by_working(Kind::StationRegistered, &nowhere),
        Applied::NotUnderstood
    );
    assert_eq!(county.registry.applied(), 1);
}

#[test]
fn first_admission_stands_and_roles_change_from_a_seq_on() {
    let mut county = County::new();
    let key = crew_key();
    let crew = admitted(&key, &[Role::Crew]);
    assert_eq!(
        county.by_working(Kind::KeyAdmitted, &crew),
        Applied::Changed
    );
    let again = admitted(&key, &[Role::Lead]);
    assert_eq!(
        county.by_working(Kind::KeyAdmitted, &again),
        Applied::Unchanged
    );

    let mut device = Writer::new(7, county.root.county);
    assert_eq!(device.key(), key);
    let events: Vec<SignedEvent> = (1..20).map(|byte| device.note(byte)).collect();
    for event in &events {
        county.chains.add(event);
    }
    let after = |from_seq: u64| {
        let before = usize::try_from(from_seq).expect("small").checked_sub(2);
        before.map_or_else(Vec::new, |at| events[at].id().as_bytes().to_vec())
    };
    let mut give_after = |roles: &[Role], from_seq, after: Vec<u8>| {
        county.by_working(
            Kind::RoleGiven,
            &RoleGiven {
                key: key.to_bytes(),
                roles: roles.iter().map(|role| *role as i32).collect(),
                from_seq,
                after: after.into(),
            },
        )
    };
    let wrong_places = [
        (10, vec![3; 32], Applied::Unchanged),
        (10, after(9), Applied::Unchanged),
        (10, after(11), Applied::Unchanged),
        (10, vec![], Applied::NotUnderstood),
        (1, after(2), Applied::NotUnderstood),
    ];
    for (from_seq, after, applied) in wrong_places {
        assert_eq!(give_after(&[Role::Lead], from_seq, after), applied);
    }
    let mut give = |roles: &[Role], from_seq| give_after(roles, from_seq, after(from_seq));
    assert_eq!(give(&[Role::Lead], 10), Applied::Changed);
    assert_eq!(give(&[Role::Maintenance], 5), Applied::Changed);
    assert_eq!(give(&[Role::Coordinator], 8), Applied::Changed);
    assert_eq!(give(&[Role::County], 20), Applied::NotEntitled);
    assert_eq!(give(&[Role::Crew], 0), Applied::NotUnderstood);
    let roles = |seq| county.registry.roles_at(&key, seq);
    assert_eq!(roles(4), Some(&[Role::Crew][..]));
    assert_eq!(roles(5), Some(&[Role::Maintenance][..]));
    assert_eq!(roles(7), Some(&[Role::Maintenance][..]));
    assert_eq!(roles(u64::MAX), Some(&[Role::Coordinator][..]));
    assert_eq!(county.registry.roles_at(&Key::from_bytes([5; 32]), 1), None);
}

#[test]
fn newest_end_of_a_device_stands_and_the_roots_only_narrows() {
    let mut county = County::new();
    let key = crew_key();
    let crew = admitted(&key, &[Role::Crew]);
    assert_eq!(
        county.by_working(Kind::KeyAdmitted, &crew),
        Applied::Changed
    );
    let end = |key: &Key, seq: u64| {
        let last_good = if seq == 0 { vec![] } else { vec![3; 32] };
        KeyEnded {
            key: key.to_bytes(),
            last_good: last_good.into(),
            last_good_seq: seq,
            reason: KeyEndReason::Lost as i32,
        }
    };
    let last_good = |county: &County| {
        let admitted = county.registry.key(&key).expect("admitted");
        admitted.ended.map(|end| end.last_good_seq)
    };
    for (seq, applied) in [
        (5, Applied::Changed),
        (5, Applied::Unchanged),
        (9, Applied::Changed),
        (2, Applied::Changed),
    ] {
        assert_eq!(county.by_working(Kind::KeyEnded, &end(&key, seq)), applied);
        assert_eq!(last_good(&county), Some(seq));
    }
    let working = Writer::new(2, Writer::root(1).county).key();
    let by_itself = county.by_working(Kind::KeyEnded, &end(&working, 0));
    assert_eq!(by_itself, Applied::NotEntitled);

    let by_root = county.root.write(Kind::KeyEnded, &end(&key, 4));
    let _ = county.apply(&by_root);
    assert_eq!(last_good(&county), Some(2), "what leaves less stands");
    let more = county.by_working(Kind::KeyEnded, &end(&key, 7));
    assert_eq!((more, last_good(&county)), (Applied::Unchanged, Some(2)));
}

#[test]
fn late_end_of_a_working_key_takes_back_what_it_wrote_after() {
    let mut county = County::new();
    assert_eq!(
        county.by_working(Kind::Policy, &policy("good")),
        Applied::Changed
    );
    let (seq, id) = county.working.head.expect("one was written");
    assert_eq!(
        county.by_working(Kind::Policy, &policy("forged")),
        Applied::Changed
    );
    let end = KeyEnded {
        key: county.working.key().to_bytes(),
        last_good: id.to_bytes(),
        last_good_seq: seq,
        reason: KeyEndReason::Lost as i32,
    };
    let event = county.root.write(Kind::KeyEnded, &end);
    assert_eq!(county.apply(&event), Applied::Changed);
    assert_eq!(
        county.registry.policy().map(|(_, text)| text.as_str()),
        Some("good")
    );
    assert!(!county.registry.is_working_key(&county.working.key()));
    assert_eq!(
        county.by_working(Kind::Policy, &policy("later")),
        Applied::NotEntitled
    );
}

#[test]
fn parted_working_key_counts_up_to_the_parting_until_the_root_ends_it() {
    let mut county = County::new();
    assert_eq!(
        county.by_working(Kind::Policy, &policy("one")),
        Applied::Changed
    );
    let mut copy = county.working.clone();
    assert_eq!(
        county.by_working(Kind::Policy, &policy("two")),
        Applied::Changed
    );
    let (seq, id) = county.working.head.expect("two were written");
    // The other branch begins with an event that is not the registry's at all.
    let note = copy.note(1);
    assert_eq!(county.apply(&note), Applied::Changed);
    let text = |county: &County| county.registry.policy().map(|(_, text)| text.clone());
    assert_eq!(text(&county).as_deref(), Some("one"));
    let forged = copy.write(Kind::Policy, &policy("forged"));
    assert_eq!(county.apply(&forged), Applied::NotEntitled);
    let end = KeyEnded {
        key: county.working.key().to_bytes(),
        last_good: id.to_bytes(),
        last_good_seq: seq,
        reason: KeyEndReason::Copied as i32,
    };
    let event = county.root.write(Kind::KeyEnded, &end);
    assert_eq!(county.apply(&event), Applied::Changed);
    assert_eq!(text(&county).as_deref(), Some("two"));
}

#[test]
fn newest_standard_of_each_model() {
    let mut county = County::new();
    for (model, revision, text) in [("raft-8", 1, "a"), ("raft-8", 3, "c"), ("raft-8", 2, "b")] {
        let standard = wire::BoatStandard {
            model: model.to_owned(),
            revision,
            format: 1,
            text: text.to_owned(),
        };
        assert_eq!(
            county.by_working(Kind::BoatStandard, &standard),
            Applied::Changed
        );
    }
    assert_eq!(county.registry.standards().len(), 3);
    let newest = county.registry.newest_standards();
    assert_eq!(newest["raft-8"].text, "c");
}

#[test]
fn stations_restate() {
    let mut county = County::new();
    let id = SubjectId::from_bytes([4; 16]);
    for name in ["Old Quay", "New Quay"] {
        let station = StationRegistered {
            name: name.to_owned(),
            latitude_e7: Some(1),
            ..StationRegistered::default()
        };
        let subject = crate::event::Subject {
            id,
            kind: wire::SubjectType::Station,
            seen: Vec::new(),
        };
        let kind = Kind::StationRegistered as i32;
        let event = county
            .working
            .write_about(kind, vec![subject], station.encode_to_vec());
        assert_eq!(county.apply(&event), Applied::Changed);
    }
    let station = &county.registry.stations()[&id];
    assert_eq!(
        (station.name.as_str(), station.position_e7),
        ("New Quay", None)
    );
}

#[test]
fn order_of_arrival_does_not_matter() {
    let mut root = Writer::root(1);
    let mut first = Writer::new(2, root.county);
    let mut second = Writer::new(3, root.county);
    let county_roles = [Role::County, Role::Lead];
    let admit_first = root.write(Kind::KeyAdmitted, &admitted(&first.key(), &county_roles));
    let by_first = [
        first.write(Kind::Policy, &policy("first")),
        first.write(Kind::KeyAdmitted, &admitted(&crew_key(), &[Role::Crew])),
        first.write(Kind::Policy, &policy("first, later")),
    ];
    let end = root.write(
        Kind::KeyEnded,
        &KeyEnded {
            key: first.key().to_bytes(),
            last_good: by_first[1].id().to_bytes(),
            last_good_seq: 2,
            reason: KeyEndReason::Replaced as i32,
        },
    );
    let admit_second = root.write(Kind::KeyAdmitted, &admitted(&second.key(), &county_roles));
    let by_second = [
        second.write(Kind::KeyAdmitted, &admitted(&crew_key(), &[Role::Lead])),
        second.write(Kind::Policy, &policy("second")),
    ];
    let chains_of = [
        vec![admit_first, end, admit_second],
        by_first.to_vec(),
        by_second.to_vec(),
    ];
    let mut folded: Vec<Registry> = Vec::new();
    for order in [
        "000111 22",
        "111000 22",
        "221110 00",
        "120 120 01",
        "210 210 01",
    ] {
        let mut waiting = chains_of.clone();
        let mut registry = Registry::new(root.county);
        let mut chains = Chains::default();
        let from = order.bytes().filter(u8::is_ascii_digit);
        for from in from.map(|digit| usize::from(digit - b'0')) {
            let event = waiting[from].remove(0);
            chains.add(&event);
            registry.apply(&event, &chains);
        }
        assert!(waiting.iter().all(Vec::is_empty), "{order}");
        folded.push(registry);
    }
    let policy = folded[0].policy().map(|(_, text)| text.as_str());
    assert_eq!(policy, Some("second"));
    assert_eq!(folded[0].roles_at(&crew_key(), 1), Some(&[Role::Crew][..]));
    assert!(folded.iter().all(|registry| *registry == folded[0]));
}
