//! What a person sees when an event is not right: the field, the value, the limit.

use sponson_log::ids::EventId;
use sponson_proto::event::v1::{self as wire, Kind, SubjectType};
use sponson_replica::{NewEvent, TEXTS_MAX};

use crate::county::{
    CRAFT, NORTH, START, about, craft_registered, event, fault, join, north, note, now, reading,
    sign_off,
};

fn said(event: NewEvent) -> String {
    let mut station = join(north());
    let refused = station.replica.append(event, &now(START));
    assert_eq!(station.replica.about().events, 0);
    refused.expect_err("the event is not right").to_string()
}

fn with(kind: Kind, payload: &impl prost::Message) -> String {
    said(event(kind, payload))
}

#[test]
fn a_number_that_cannot_be_names_its_range() {
    insta::assert_snapshot!(said(reading(9_000_000)), @"gauge_pa is 9000000; it must lie from -110000 to 2000000");
    let count = wire::ItemCount {
        item: "paddle".to_owned(),
        count: 2,
        unserviceable: 3,
        ..Default::default()
    };
    let stock = wire::StockCounted {
        counts: vec![count],
    };
    insta::assert_snapshot!(with(Kind::StockCounted, &stock), @"unserviceable is 3; of 2 counted no more can be unserviceable");
    let expires = Some(wire::DateMark {
        year: 2027,
        month: 2,
        day: 30,
    });
    let lots = vec![wire::Lot {
        count: 1,
        expires,
        ..Default::default()
    }];
    let count = wire::ItemCount {
        item: "flare".to_owned(),
        count: 1,
        lots,
        ..Default::default()
    };
    let stock = wire::StockCounted {
        counts: vec![count],
    };
    insta::assert_snapshot!(with(Kind::StockCounted, &stock), @"expires is 2027-02-30; there is no such date");
}

#[test]
fn a_field_that_must_be_given_is_named() {
    insta::assert_snapshot!(said(craft_registered("", NORTH)), @"number is empty; it must be given");
    insta::assert_snapshot!(with(Kind::OutOfService, &wire::OutOfService { reason: 0 }), @"reason is 0; it must be one of the listed values");
    insta::assert_snapshot!(with(Kind::Fault, &wire::Fault { faults: Vec::new() }), @"faults is empty; at least one must be named");
    let answer = wire::Answer {
        line: "drain".to_owned(),
        value: 3,
        not_applicable: 0,
    };
    let check = wire::Check {
        extent: 1,
        answers: vec![answer],
        ..Default::default()
    };
    insta::assert_snapshot!(with(Kind::Check, &check), @"not_applicable is missing; it must say why the line is not applicable");
    let placed = wire::Placed {
        at: NORTH.to_bytes(),
        at_type: SubjectType::Member as i32,
    };
    insta::assert_snapshot!(with(Kind::Placed, &placed), @"at_type is 7; it must be one of the listed values");
    let placed = wire::Placed {
        at: vec![1, 2].into(),
        at_type: SubjectType::Station as i32,
    };
    insta::assert_snapshot!(with(Kind::Placed, &placed), @"at is 2 bytes long; an id has 16");
    insta::assert_snapshot!(said(NewEvent { subjects: Vec::new(), ..fault("leak") }), @"subjects is empty; at least one must be named");
}

#[test]
fn subjects_must_be_those_of_the_kind() {
    let bag = about(
        Kind::BagRegistered,
        &wire::BagRegistered::default(),
        (CRAFT, SubjectType::Craft),
    );
    insta::assert_snapshot!(said(bag), @"first subject is a craft; it must be a bag");
    let fitted = wire::Fitted {
        gear: NORTH.to_bytes(),
        craft: CRAFT.to_bytes(),
        part: "motor".to_owned(),
    };
    insta::assert_snapshot!(with(Kind::Fitted, &fitted), @"gear is 11111111111111111111111111111111; it must be among the event's subjects");
    let mut twice = fault("leak");
    twice.subjects.push((CRAFT, SubjectType::Craft));
    insta::assert_snapshot!(said(twice), @"subjects is named twice; each may be named once");
}

#[test]
fn what_is_not_held_is_not_named() {
    insta::assert_snapshot!(said(sign_off(EventId::from_bytes([0xab; 32]))), @"it names event abababababababababababababababababababababababababababababababab, which is not held here: sync first, or name another");
}

#[test]
fn a_correction_restates_an_original_of_its_kind() {
    let mut station = join(north());
    let original = station.append(reading(20_000), START);
    let restate = |original: EventId, payload: Vec<u8>| {
        event(
            Kind::Correction,
            &wire::Correction {
                original: original.to_bytes(),
                r#type: wire::CorrectionType::Restated as i32,
                payload: payload.into(),
                kind_version: 1,
            },
        )
    };
    let right = station.append(restate(original, reading(21_000).payload), START);
    let mut refused = |event| {
        station
            .replica
            .append(event, &now(START))
            .expect_err("the event is not right")
            .to_string()
    };
    insta::assert_snapshot!(refused(restate(original, reading(9_000_000).payload)), @"gauge_pa is 9000000; it must lie from -110000 to 2000000");
    let said = refused(restate(right, reading(20_000).payload));
    assert!(said.contains("a correction is not corrected"), "{said}");
    let withdrawn = wire::Correction {
        original: original.to_bytes(),
        r#type: wire::CorrectionType::Withdrawn as i32,
        payload: vec![1].into(),
        kind_version: 1,
    };
    insta::assert_snapshot!(refused(event(Kind::Correction, &withdrawn)), @"payload is 1 bytes long; a withdrawal has none");
}

#[test]
fn limits_of_every_event_hold() {
    insta::assert_snapshot!(said(note(&"x".repeat(5_000))), @"note is 5000 bytes long; at most 4096 are allowed: write a second note");
    let text = (String::new(), "x".to_owned(), [1; 16]);
    let many = NewEvent {
        texts: vec![text; TEXTS_MAX + 1],
        ..note("")
    };
    insta::assert_snapshot!(said(many), @"texts is 17; at most 16 are allowed");
    insta::assert_snapshot!(said(NewEvent { member: "9".repeat(40), ..note("") }), @"member is 40 bytes long; at most 32 are allowed");
    insta::assert_snapshot!(said(NewEvent { observed: Some((START, START - 1)), ..note("") }), @"observed from is 1803888000000; it may not be after its end 1803887999999");
    insta::assert_snapshot!(said(NewEvent { observed: Some((START, START + 999_999)), ..note("") }), @"observed to is 1803888999999; it may not be after now, 1803888000000: set the clock right");
    insta::assert_snapshot!(said(NewEvent { kind_version: 2, ..note("") }), @"kind 59 in version 2 is not known here: use the newer program");
}

#[test]
fn the_registry_takes_no_sheet_that_cannot_be_read() {
    let standard = wire::BoatStandard {
        model: "raft-12".to_owned(),
        revision: 1,
        format: 1,
        text: "not a sheet".to_owned(),
    };
    let said = with(Kind::BoatStandard, &standard);
    assert!(said.starts_with("text is a boat standard; "), "{said}");
    let weak = wire::KeyAdmitted {
        key: vec![0; 32].into(),
        roles: vec![1],
        ..Default::default()
    };
    let said = with(Kind::KeyAdmitted, &weak);
    assert!(said.starts_with("key is 0000"), "{said}");
}
