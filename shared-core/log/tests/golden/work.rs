//! The kinds of work on craft.

pub(crate) mod check;

use prost::Message as _;
use sponson_proto::event::v1::{
    AirChanged, AirDirection, AirSource, Assigned, Attachment, BesideType, Correction,
    CorrectionType, CrewsAvailable, Dismissed, Face, Fault, FaultFound, Hold, HoldType,
    InspectionDone, InspectionResult, Kind, LeadAction, LeadDecision, MemberLevel, MeterReading,
    Note, OutOfService, OutReason, PartPlace, Redacted, RedactionReason, Released, Repair,
    Returned, Severity, Side, SignOff, SubjectType, Use, WaiverGranted, WaiverWithdrawn, WaterType,
};

use crate::story::{
    FLOOR, MEMBER, MOTOR, PUMP, STATION, Story, about, craft, date, station_key, time,
};
use crate::subjects::flares;

/// Writes them.
pub(crate) fn write(story: &mut Story) {
    check::write(story);
    used(story);
    mended(story);
    declared(story);
    permitted(story);
    decided(story);
    said(story);
}

/// A tear in the inflatable floor, with where it is.
pub(crate) fn tear() -> FaultFound {
    FaultFound {
        part: "floor".to_owned(),
        place: Some(PartPlace {
            side: Side::Port as i32,
            from_transom_mm: Some(1_450),
            face: Face::Bottom as i32,
        }),
        class: "tear".to_owned(),
        severity: Severity::Restrictive as i32,
        missions: vec!["swift-water".to_owned()],
        gear: FLOOR.to_bytes(),
    }
}

fn used(story: &mut Story) {
    story.station(
        Kind::AirChanged,
        AirChanged {
            part: "tube-1".to_owned(),
            direction: AirDirection::Added as i32,
            source: AirSource::FootPump as i32,
            source_gear: PUMP.to_bytes(),
            gauge_before_pa: Some(17_900),
            gauge_after_pa: Some(20_700),
            air_mc: Some(-2_500),
            ..AirChanged::default()
        },
        craft(),
    );
    story.station(
        Kind::Use,
        Use {
            duration_s: 5_400,
            engine_s: Some(4_100),
            meters: vec![MeterReading {
                subject: MOTOR.to_bytes(),
                engine_s: 745_200,
            }],
            water: WaterType::Polluted as i32,
            capsized: true,
            motor_immersed: true,
            hard: true,
            used_up: vec![flares()],
            mission: "flood-evacuation".to_owned(),
        },
        craft(),
    );
    story.station_with(
        Kind::Fault,
        Fault {
            faults: vec![tear()],
        },
        craft(),
        &[(
            BesideType::Text,
            "fault:0",
            b"cut by a fence post below the water, 40 mm long",
        )],
    );
}

fn mended(story: &mut Story) {
    let faults = vec![story.fault(Kind::Fault, 0), story.fault(Kind::Check, 1)];
    story.station(
        Kind::Repair,
        Repair {
            faults: faults.clone(),
            part: "floor".to_owned(),
            method: "patch-two-part".to_owned(),
            adhesive_batch: "AD-2509".to_owned(),
            holds: vec![
                Hold {
                    r#type: HoldType::Inflate as i32,
                    duration_s: 43_200,
                },
                Hold {
                    r#type: HoldType::Launch as i32,
                    duration_s: 86_400,
                },
            ],
        },
        craft(),
    );
    story.station(Kind::SignOff, SignOff { closes: faults }, craft());
    story.station(
        Kind::InspectionDone,
        InspectionDone {
            inspection: "motor-100-hours".to_owned(),
            result: InspectionResult::Passed as i32,
            engine_s: Some(745_200),
            ..InspectionDone::default()
        },
        craft(),
    );
}

fn declared(story: &mut Story) {
    let reason = OutReason::Mechanical as i32;
    story.station(Kind::OutOfService, OutOfService { reason }, craft());
    let ends = vec![story.id(Kind::OutOfService).to_bytes()];
    story.station(Kind::Returned, Returned { ends }, craft());
    story.station(
        Kind::Assigned,
        Assigned {
            incident: "26-0117".to_owned(),
            mission: "flood-evacuation".to_owned(),
            shown_sha256: vec![0x3c; 32].into(),
            ..Assigned::default()
        },
        craft(),
    );
    let assignment = story.id(Kind::Assigned).to_bytes();
    story.station(Kind::Released, Released { assignment }, craft());
    story.station(
        Kind::CrewsAvailable,
        CrewsAvailable {
            crews: 2,
            persons: 7,
            from_unix_ms: time(0),
            until_unix_ms: time(12),
            operators: Vec::new(),
        },
        vec![about(STATION, SubjectType::Station)],
    );
    story.station(
        Kind::MemberLevel,
        MemberLevel {
            member: "M-214".to_owned(),
            level: "technician".to_owned(),
            until: date(2027, 3, 31),
        },
        vec![about(MEMBER, SubjectType::Member)],
    );
}

fn permitted(story: &mut Story) {
    let faults = vec![story.fault(Kind::Fault, 0)];
    story.station(
        Kind::WaiverGranted,
        WaiverGranted {
            faults,
            missions: vec!["still-water".to_owned()],
            until_unix_ms: time(72),
        },
        craft(),
    );
    let waiver = story.id(Kind::WaiverGranted).to_bytes();
    story.station(Kind::WaiverWithdrawn, WaiverWithdrawn { waiver }, craft());
}

fn decided(story: &mut Story) {
    let restated = Fault {
        faults: vec![FaultFound {
            severity: Severity::Disabling as i32,
            ..tear()
        }],
    };
    story.station(
        Kind::Correction,
        Correction {
            original: story.id(Kind::Fault).to_bytes(),
            r#type: CorrectionType::Restated as i32,
            payload: restated.encode_to_vec().into(),
            kind_version: 1,
        },
        craft(),
    );
    story.station(
        Kind::Dismissed,
        Dismissed {
            key: station_key().key().to_bytes(),
            from_seq: 14,
            from_event: story.id(Kind::Check).to_bytes(),
        },
        craft(),
    );
    let faults = vec![story.fault(Kind::Check, 0), story.fault(Kind::Fault, 0)];
    story.station(
        Kind::LeadDecision,
        LeadDecision {
            action: LeadAction::SendToMaker as i32,
            faults,
            ..LeadDecision::default()
        },
        craft(),
    );
}

fn said(story: &mut Story) {
    let event = story.id(Kind::Fault).to_bytes();
    story.station_with(
        Kind::Attachment,
        Attachment { event },
        craft(),
        &[
            (
                BesideType::Jpeg,
                "fault:0",
                b"\xff\xd8\xff\xe0 no picture \xff\xd9",
            ),
            (BesideType::Document, "", b"quotation for a new floor"),
        ],
    );
    story.station_with(
        Kind::Note,
        Note {},
        craft(),
        &[(
            BesideType::Text,
            "",
            b"moved to the upper bay, river rising",
        )],
    );
}

/// Kinds that were not there from the first day, in the order in which they came.
pub(crate) fn write_later(story: &mut Story) {
    let event = story.id(Kind::Attachment).to_bytes();
    story.station(
        Kind::Redacted,
        Redacted {
            event,
            parts: vec![0, 1],
            reason: RedactionReason::Misplaced as i32,
        },
        craft(),
    );
}
