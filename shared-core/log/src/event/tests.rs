//! Signing, opening, tampering, limits, and what stands beside the body.

mod contents;
mod references;

use proptest::prelude::*;

use sponson_proto::event::v1::{IfNotUnderstood, SubjectType};

use super::*;
use crate::ids::{CountyId, LogId, SubjectId};

const SALT: [u8; 16] = [6; 16];

fn device() -> DeviceKey {
    DeviceKey::from_seed([9; 32])
}

/// The first event of a chain, with one note beside it.
fn draft() -> Draft {
    let text = b"patch lifting at the aft edge";
    Draft {
        header: Header {
            county: CountyId::from_bytes([1; 16]),
            key: device().key(),
            seq: 1,
            previous: None,
            kind: wire::Kind::Fault as i32,
            kind_version: 1,
            if_not_understood: IfNotUnderstood::Hold,
            subjects: vec![Subject {
                id: SubjectId::from_bytes([2; 16]),
                kind: SubjectType::Craft,
                seen: vec![EventId::from_bytes([3; 32])],
            }],
            clock: Clock {
                unix_ms: 1_772_000_000_000,
                utc_offset_min: -360,
                boot_id: [4; 16],
                monotonic_ms: 81_000,
            },
            checkpoint: Some(CheckpointHeld {
                log: LogId::from_bytes([5; 16]),
                size: 12,
                unix_ms: 1_771_990_000_000,
            }),
            observed: Some((1_771_990_000_000, 1_771_993_600_000)),
            member: "M-214".to_owned(),
            beside: vec![Beside {
                commitment: commitment(&SALT, text),
                kind: wire::BesideType::Text,
                size: 29,
                belongs_to: "fault:0".to_owned(),
            }],
        },
        payload: Bytes::from_static(b"payload"),
        beside: vec![BesideContent {
            index: 0,
            salt: Bytes::from_static(&SALT),
            content: Bytes::from_static(text),
        }],
    }
}

fn sign(draft: Draft) -> SignedEvent {
    SignedEvent::sign(draft, &device()).expect("the draft keeps the limits")
}

/// Signs any body: what another program with an admitted key might send.
fn signed(body: Vec<u8>) -> wire::Event {
    let signature = device().sign(Signed::Event, &body);
    wire::Event {
        body: body.into(),
        algorithm: SignatureAlgorithm::Ed25519 as i32,
        signature: Bytes::copy_from_slice(&signature),
        beside: Vec::new(),
    }
}

/// Changes the header as it is on the wire, and signs that.
fn signed_header(change: impl FnOnce(&mut wire::Header)) -> wire::Event {
    let mut header = draft().header.to_wire();
    change(&mut header);
    let body = wire::Body {
        header: Some(header),
        payload: Bytes::new(),
    };
    signed(body.encode_to_vec())
}

#[test]
fn what_was_signed_opens() {
    let made = sign(draft());
    let opened = SignedEvent::open(made.to_wire()).expect("its own bytes");
    assert_eq!(opened, made);
    assert_eq!(opened.header(), &draft().header);
    assert_eq!(opened.payload(), &draft().payload);
    assert_eq!(opened.beside(), draft().beside);
    assert_eq!(opened.id(), event_id(&made.to_wire().body));
    assert_eq!(opened.verify(), Ok(()));
    let referred: Vec<EventId> = opened.header_references().collect();
    assert_eq!(referred, [EventId::from_bytes([3; 32])]);
}

#[test]
fn id_is_the_hash_of_what_is_signed() {
    let by_hand = Sha256::digest(b"DSSEv1 41 application/vnd.sponson.event.v1+protobuf 4 body");
    assert_eq!(event_id(b"body").as_bytes(), by_hand.as_slice());
}

#[test]
fn a_key_that_did_not_sign_is_refused() {
    let made = sign(draft()).to_wire();
    let other = DeviceKey::from_seed([8; 32]).sign(Signed::Event, &made.body);
    let refused = SignedEvent::open(wire::Event {
        signature: Bytes::copy_from_slice(&other),
        ..made
    });
    let reason = SignatureError::DoesNotVerify(device().key());
    assert_eq!(refused, Err(EventError::Signature(reason)));
}

#[test]
fn a_checkpoint_signature_is_none_over_an_event() {
    let made = sign(draft()).to_wire();
    let other = device().sign(Signed::Checkpoint, &made.body);
    let refused = SignedEvent::open(wire::Event {
        signature: Bytes::copy_from_slice(&other),
        ..made
    });
    assert!(matches!(refused, Err(EventError::Signature(_))));
}

#[test]
fn fields_of_later_versions_stay_in_the_bytes() {
    let known = sign(draft()).to_wire().body;
    let mut body = known.to_vec();
    // Field 15 of the body, a varint of 1.
    body.extend([0x78, 0x01]);
    let opened = SignedEvent::open(signed(body.clone())).expect("an unknown field is no error");
    assert_eq!(opened.to_wire().body, body);
    assert_eq!(opened.id(), event_id(&body));
    let encoded_again = wire::Body::decode(body.as_slice())
        .expect("it was read before")
        .encode_to_vec();
    assert_eq!(
        encoded_again, known,
        "the decoder drops what it does not know"
    );
    assert_ne!(opened.id(), event_id(&encoded_again));
}

#[test]
fn what_is_not_known_is_kept() {
    let mut unknown = draft();
    unknown.header.kind = 9_999;
    unknown.header.kind_version = 7;
    unknown.header.if_not_understood = IfNotUnderstood::Ignore;
    let opened = SignedEvent::open(sign(unknown.clone()).to_wire()).expect("kept");
    assert_eq!(opened.header(), &unknown.header);
    assert_eq!(opened.payload(), &unknown.payload);
}

#[test]
fn numbers_that_are_not_known_are_read_with_care() {
    let opened = SignedEvent::open(signed_header(|header| {
        header.if_not_understood = 77;
        header.subjects[0].r#type = 77;
        header.beside[0].r#type = 77;
    }))
    .expect("kept");
    let header = opened.header();
    assert_eq!(header.if_not_understood, IfNotUnderstood::Hold);
    assert_eq!(header.subjects[0].kind, SubjectType::Unspecified);
    assert_eq!(header.beside[0].kind, wire::BesideType::Unspecified);
}

#[test]
fn a_body_has_a_greatest_length() {
    let mut long = draft();
    // What stands round the payload takes as much for each of these lengths.
    let near = BODY_BYTES_MAX - 1_000;
    long.payload = vec![0; near].into();
    let around = sign(long.clone()).to_wire().body.len() - near;
    long.payload = vec![0; BODY_BYTES_MAX - around].into();
    assert_eq!(sign(long.clone()).to_wire().body.len(), BODY_BYTES_MAX);
    let too_long = Err(EventError::BodyTooLong {
        length: BODY_BYTES_MAX + 1,
    });
    long.payload = vec![0; BODY_BYTES_MAX - around + 1].into();
    assert_eq!(SignedEvent::sign(long, &device()), too_long);
    assert_eq!(
        SignedEvent::open(signed(vec![0; BODY_BYTES_MAX + 1])),
        too_long
    );
    let read = SignedEvent::open(signed(vec![0; BODY_BYTES_MAX]));
    assert!(
        matches!(read, Err(EventError::Unreadable { .. })),
        "{read:?}"
    );
}

#[test]
fn only_the_first_event_names_none_before_it() {
    let with = |seq, previous: Option<EventId>| {
        let mut draft = draft();
        draft.header.seq = seq;
        draft.header.previous = previous;
        SignedEvent::sign(draft, &device()).map(|event| event.header().seq)
    };
    let before = Some(EventId::from_bytes([7; 32]));
    assert_eq!(with(1, None), Ok(1));
    assert_eq!(with(2, before), Ok(2));
    for (seq, previous) in [(1, before), (2, None), (0, None), (0, before)] {
        let refused = with(seq, previous).expect_err("not a place in a chain");
        assert!(refused.to_string().starts_with("seq is "), "{refused}");
    }
}

#[test]
fn headers_that_are_not_right_are_refused() {
    let check = |change: fn(&mut wire::Header), says: &str| {
        let refused = SignedEvent::open(signed_header(change)).expect_err(says);
        assert_eq!(refused.to_string(), says);
    };
    check(
        |it| it.county_id.truncate(8),
        "county_id has 8 bytes; it must have 16",
    );
    check(|it| it.key.clear(), "key has 0 bytes; it must have 32");
    check(
        |it| it.kind = u32::MAX,
        "kind is 4294967295; at most 2147483647 is allowed",
    );
    check(|it| it.clock = None, "clock is missing");
    check(
        |it| it.member = "M".repeat(33),
        "member is 33 bytes long; at most 32 are allowed",
    );
    check(
        |it| it.subjects = vec![it.subjects[0].clone(); 65],
        "subjects is 65 entries long; at most 64 are allowed",
    );
    check(
        |it| it.subjects[0].seen = vec![it.subjects[0].seen[0].clone(); 65],
        "seen is 65 entries long; at most 64 are allowed",
    );
    check(
        |it| it.subjects[0].seen[0].truncate(31),
        "seen has 31 bytes; it must have 32",
    );
    check(
        |it| it.beside[0].commitment.clear(),
        "commitment has 0 bytes; it must have 32",
    );
    for just_fits in [
        (|it| it.member = "M".repeat(32)) as fn(&mut wire::Header),
        |it| it.subjects = vec![it.subjects[0].clone(); 64],
        |it| it.subjects[0].seen = vec![it.subjects[0].seen[0].clone(); 64],
    ] {
        SignedEvent::open(signed_header(just_fits)).expect("as many as there may be");
    }
    let empty = SignedEvent::open(signed(Vec::new()));
    assert_eq!(empty, Err(EventError::Missing("header")));
    let garbage = SignedEvent::open(signed(vec![0xff]));
    assert!(matches!(
        garbage,
        Err(EventError::Unreadable { what: "body", .. })
    ));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn a_flipped_bit_is_refused(position in any::<prop::sample::Index>(), bit in 0_u32..8) {
        let good = sign(draft()).to_wire();
        let mut bytes = [good.body.as_ref(), good.signature.as_ref()].concat();
        let at = position.index(bytes.len());
        bytes[at] ^= 1 << bit;
        let signature = bytes.split_off(good.body.len());
        let changed = wire::Event {
            body: bytes.into(),
            signature: signature.into(),
            ..good
        };
        prop_assert!(SignedEvent::open(changed).is_err());
    }

    #[test]
    fn bytes_of_a_stranger_are_refused(body in prop::collection::vec(any::<u8>(), 0..300)) {
        prop_assert!(SignedEvent::open(signed(body)).is_err());
    }
}
