//! What a payload names.

use prost::Message;
use sponson_proto::event::v1::{FaultRef, Kind};

use super::*;

fn id(byte: u8) -> EventId {
    EventId::from_bytes([byte; 32])
}

fn fault(byte: u8) -> FaultRef {
    FaultRef {
        event: id(byte).to_bytes(),
        ordinal: 1,
    }
}

fn named(kind: Kind, payload: impl Into<Bytes>) -> Vec<EventId> {
    let mut draft = draft();
    draft.header.kind = kind as i32;
    draft.payload = payload.into();
    sign(draft).payload_references()
}

fn check(kind: Kind, payload: &impl Message, expected: &[EventId]) {
    assert_eq!(named(kind, payload.encode_to_vec()), expected, "{kind:?}");
}

#[test]
fn kinds_that_name_one_event() {
    let one = id(1).to_bytes();
    let admitted = wire::KeyAdmitted {
        replaces_head: one.clone(),
        ..Default::default()
    };
    check(Kind::KeyAdmitted, &admitted, &[id(1)]);
    let ended = wire::KeyEnded {
        last_good: one.clone(),
        ..Default::default()
    };
    check(Kind::KeyEnded, &ended, &[id(1)]);
    let role = wire::RoleGiven {
        after: one.clone(),
        ..Default::default()
    };
    check(Kind::RoleGiven, &role, &[id(1)]);
    let hold = one.clone();
    check(Kind::HoldLifted, &wire::HoldLifted { hold }, &[id(1)]);
    let answered = wire::Check {
        standard: one.clone(),
        ..Default::default()
    };
    check(Kind::Check, &answered, &[id(1)]);
    let waiver = one.clone();
    check(
        Kind::WaiverWithdrawn,
        &wire::WaiverWithdrawn { waiver },
        &[id(1)],
    );
    let assignment = one.clone();
    check(Kind::Released, &wire::Released { assignment }, &[id(1)]);
    let correction = wire::Correction {
        original: one.clone(),
        ..Default::default()
    };
    check(Kind::Correction, &correction, &[id(1)]);
    let dismissed = wire::Dismissed {
        from_event: one.clone(),
        ..Default::default()
    };
    check(Kind::Dismissed, &dismissed, &[id(1)]);
    let redacted = wire::Redacted {
        event: one.clone(),
        parts: vec![1],
        reason: 1,
    };
    check(Kind::Redacted, &redacted, &[id(1)]);
    let event = one;
    check(Kind::Attachment, &wire::Attachment { event }, &[id(1)]);
}

#[test]
fn kinds_that_name_several_events() {
    let faults = vec![fault(1), fault(2)];
    let both = [id(1), id(2)];
    let repair = wire::Repair {
        faults: faults.clone(),
        ..Default::default()
    };
    check(Kind::Repair, &repair, &both);
    let closes = faults.clone();
    check(Kind::SignOff, &wire::SignOff { closes }, &both);
    let waiver = wire::WaiverGranted {
        faults: faults.clone(),
        ..Default::default()
    };
    check(Kind::WaiverGranted, &waiver, &both);
    let decision = wire::LeadDecision {
        faults,
        ..Default::default()
    };
    check(Kind::LeadDecision, &decision, &both);
    let ends = both.map(EventId::to_bytes).to_vec();
    check(Kind::Returned, &wire::Returned { ends }, &both);
}

#[test]
fn ids_of_the_wrong_length_are_left_out() {
    let mut closes = vec![fault(1), fault(2), FaultRef::default()];
    closes[0].event.truncate(31);
    check(Kind::SignOff, &wire::SignOff { closes }, &[id(2)]);
    check(Kind::Check, &wire::Check::default(), &[]);
}

#[test]
fn what_cannot_be_read_names_nothing() {
    assert_eq!(named(Kind::SignOff, vec![0xff]), []);
    assert_eq!(named(Kind::Note, Vec::new()), []);
    let mut unknown = draft();
    unknown.header.kind = 9_999;
    unknown.payload = wire::SignOff {
        closes: vec![fault(1)],
    }
    .encode_to_vec()
    .into();
    assert_eq!(sign(unknown).payload_references(), []);
}

#[test]
fn a_later_version_is_read_as_far_as_it_is_known() {
    let mut later = draft();
    later.header.kind = Kind::SignOff as i32;
    later.header.kind_version = 2;
    let mut payload = wire::SignOff {
        closes: vec![fault(1)],
    }
    .encode_to_vec();
    payload.extend([0x78, 0x01]);
    later.payload = payload.into();
    assert_eq!(sign(later).payload_references(), [id(1)]);
}
