//! What no entry can say: every range and length of a payload, just inside and just outside.
//!
//! Ranges say what cannot be, not what should not be; a boat standard judges the rest.

use prost::Message as _;
use sponson_log::ids::SubjectId;
use sponson_proto::event::v1::{self as wire, Kind, SubjectType};
use sponson_replica::{NewEvent, Replica, TEXTS_MAX};

use crate::county::{
    START, about, craft_registered, event, fault, join, north, note, now, reading,
};

/// Of one limit: what passes, what does not, and what the refusal says.
type Row = (NewEvent, NewEvent, &'static str);

/// Appends both of each row.
fn check(rows: Vec<Row>) {
    let mut station = join(north());
    let append = |replica: &mut Replica, event: NewEvent| {
        let appended = replica.append(event, &now(START));
        appended.map_err(|refused| refused.to_string())
    };
    for (under, over, said) in rows {
        let passed = append(&mut station.replica, under);
        assert!(passed.is_ok(), "just inside '{said}': {passed:?}");
        let before = station.replica.about().events;
        let refused = append(&mut station.replica, over).expect_err(said);
        assert!(refused.contains(said), "'{said}': {refused}");
        assert_eq!(station.replica.about().events, before, "nothing is kept");
    }
}

/// A reading with one value changed.
fn read(change: impl FnOnce(&mut wire::Reading)) -> NewEvent {
    let usual = reading(20_000);
    let mut check = wire::Check::decode(usual.payload.as_slice()).expect("a check");
    change(&mut check.readings[0]);
    event(Kind::Check, &check)
}

/// A check that found so many of something.
fn counted(count: u32, lot: u32) -> NewEvent {
    let lots = vec![wire::Lot {
        count: lot,
        ..wire::Lot::default()
    }];
    let counted = wire::ItemCount {
        item: "flare".to_owned(),
        count,
        lots,
        ..wire::ItemCount::default()
    };
    let counts = vec![counted];
    event(Kind::StockCounted, &wire::StockCounted { counts })
}

/// A count of something that is good to so.
fn dated(year: u32, month: u32, day: u32) -> NewEvent {
    let lots = vec![wire::Lot {
        count: 1,
        expires: Some(wire::DateMark { year, month, day }),
        ..wire::Lot::default()
    }];
    let counted = wire::ItemCount {
        item: "flare".to_owned(),
        count: 1,
        lots,
        ..wire::ItemCount::default()
    };
    let counts = vec![counted];
    event(Kind::StockCounted, &wire::StockCounted { counts })
}

fn crews(crews: u32, persons: u32) -> NewEvent {
    let payload = wire::CrewsAvailable {
        crews,
        persons,
        from_unix_ms: START,
        until_unix_ms: START + 3_600_000,
        ..wire::CrewsAvailable::default()
    };
    let station = SubjectId::from_bytes([0x51; 16]);
    about(
        Kind::CrewsAvailable,
        &payload,
        (station, SubjectType::Station),
    )
}

fn cylinder(gauge_kpa: u32) -> NewEvent {
    let payload = wire::Check {
        extent: wire::CheckExtent::Part as i32,
        cylinders: vec![wire::CylinderReading {
            subject: vec![9; 16].into(),
            gauge_kpa,
            ..wire::CylinderReading::default()
        }],
        ..wire::Check::default()
    };
    NewEvent {
        kind_version: 2,
        subjects: vec![
            event(Kind::Check, &payload).subjects[0],
            (SubjectId::from_bytes([9; 16]), SubjectType::Gear),
        ],
        ..event(Kind::Check, &payload)
    }
}

#[test]
fn what_gauges_and_thermometers_show() {
    let gauge = |pa| read(|it| it.gauge_pa = pa);
    let air = |mc| read(|it| it.air_mc = Some(mc));
    let fabric = |mc| read(|it| it.fabric_mc = Some(mc));
    let outside = |pa| read(|it| it.ambient_pa = Some(pa));
    let height = |mm| read(|it| it.elevation_mm = Some(mm));
    check(vec![
        (
            gauge(-110_000),
            gauge(-110_001),
            "gauge_pa is -110001; it must lie from -110000 to 2000000",
        ),
        (
            gauge(2_000_000),
            gauge(2_000_001),
            "gauge_pa is 2000001; it must lie from -110000 to 2000000",
        ),
        (
            air(-100_000),
            air(-100_001),
            "air_mc is -100001; it must lie from -100000 to 120000",
        ),
        (
            air(120_000),
            air(120_001),
            "air_mc is 120001; it must lie from -100000 to 120000",
        ),
        (fabric(120_000), fabric(120_001), "fabric_mc is 120001"),
        (
            outside(30_000),
            outside(29_999),
            "ambient_pa is 29999; it must lie from 30000 to 120000",
        ),
        (
            outside(120_000),
            outside(120_001),
            "ambient_pa is 120001; it must lie from 30000 to 120000",
        ),
        (
            height(-500_000),
            height(-500_001),
            "elevation_mm is -500001; it must lie from -500000 to 9000000",
        ),
        (
            height(9_000_000),
            height(9_000_001),
            "elevation_mm is 9000001; it must lie from -500000 to 9000000",
        ),
        (
            cylinder(100_000),
            cylinder(100_001),
            "gauge_kpa is 100001; it must lie from 0 to 100000",
        ),
    ]);
}

#[test]
fn counts_and_dates() {
    check(vec![
        (
            counted(1_000_000, 1),
            counted(1_000_001, 1),
            "count is 1000001; it must lie from 0 to 1000000",
        ),
        (
            counted(1_000_000, 1_000_000),
            counted(1_000_000, 1_000_001),
            "1000001",
        ),
        (
            crews(10_000, 4),
            crews(10_001, 4),
            "crews is 10001; it must lie from 0 to 10000",
        ),
        (
            crews(1, 10_000),
            crews(1, 10_001),
            "persons is 10001; it must lie from 0 to 10000",
        ),
        (
            dated(1900, 1, 1),
            dated(1899, 12, 31),
            "expires is 1899; it must lie from 1900 to 2200",
        ),
        (
            dated(2200, 12, 31),
            dated(2201, 1, 1),
            "expires is 2201; it must lie from 1900 to 2200",
        ),
        (
            dated(2027, 12, 1),
            dated(2027, 13, 1),
            "expires is 13; it must lie from 0 to 12",
        ),
        (
            dated(2027, 1, 31),
            dated(2027, 1, 32),
            "expires is 32; it must lie from 0 to 31",
        ),
    ]);
}

#[test]
fn words_and_lists() {
    let long = |length: usize| "x".repeat(length);
    let noted = |length: usize| note(&long(length));
    let texts = |count: usize| NewEvent {
        texts: (0..count)
            .map(|at| (format!("part:p{at}"), "x".to_owned(), [1; 16]))
            .collect(),
        ..note("")
    };
    let belongs = |length: usize| NewEvent {
        texts: vec![(long(length), "x".to_owned(), [1; 16])],
        ..note("")
    };
    // What was shown before a decision is a page, not a note.
    let shown = |length: usize| NewEvent {
        texts: vec![("shown".to_owned(), long(length), [1; 16])],
        ..note("")
    };
    let member = |length: usize| NewEvent {
        member: long(length),
        ..note("")
    };
    let meters = |count: usize| {
        let payload = wire::Use {
            meters: vec![wire::MeterReading::default(); count],
            ..wire::Use::default()
        };
        event(Kind::Use, &payload)
    };
    check(vec![
        (
            fault(&long(64)),
            fault(&long(65)),
            "fault class is 65 bytes long; it may have 64 bytes",
        ),
        (
            craft_registered(&long(64), crate::county::NORTH),
            craft_registered(&long(65), crate::county::NORTH),
            "number is 65 bytes long; it may have 64 bytes",
        ),
        (
            noted(4_096),
            noted(4_097),
            "note is 4097 bytes long; at most 4096 are allowed",
        ),
        (
            texts(TEXTS_MAX),
            texts(TEXTS_MAX + 1),
            "texts is 17; at most 16 are allowed",
        ),
        (belongs(80), belongs(81), "80"),
        (
            shown(32 * 1024),
            shown(32 * 1024 + 1),
            "at most 32768 are allowed",
        ),
        (
            member(32),
            member(33),
            "member is 33 bytes long; at most 32 are allowed",
        ),
        (
            meters(9_999),
            meters(10_000),
            "meters is 10000 long; at most 9999 are allowed",
        ),
    ]);
}
