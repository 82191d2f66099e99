use bytes::Bytes;
use prost::Message as _;
use sponson_proto::event::v1::{AirChanged, AirSource, CheckExtent, ReadingMoment};
use sponson_proto::service::v1::{FieldEntered, UnderWayKind};

use super::*;
use crate::catalogue::tests::sample;

/// 2026-03-14, noon UTC.
const NOW: Moment = Moment(1_773_489_600_000);
const MINUTE_MS: i64 = 60_000;

/// Who entered what so many minutes ago.
type Entered<'a> = (&'a str, i64, &'a str, &'a str);

fn with(entered: &[Entered<'_>]) -> CheckUnderWay {
    CheckUnderWay {
        craft: Bytes::from(vec![2; 16]),
        kind: UnderWayKind::Full as i32,
        stage: UnderWayStage::Open as i32,
        fields: entered
            .iter()
            .map(|(member, ago, name, value)| FieldEntered {
                name: (*name).to_owned(),
                value: (*value).to_owned(),
                member: (*member).to_owned(),
                unix_ms: NOW.0 - ago * MINUTE_MS,
                ..FieldEntered::default()
            })
            .collect(),
        ..CheckUnderWay::default()
    }
}

fn planned(check: &CheckUnderWay, recorder: &str) -> Planned {
    plan(check, recorder, &sample(), NOW).expect("can be recorded")
}

/// An event in a line: who, what, and when in minutes before now where it says.
fn line(event: &AppendRequest) -> String {
    let observed = event.observed.map_or_else(String::new, |observed| {
        let ago = |at: i64| (NOW.0 - at) / MINUTE_MS;
        format!(
            " {}..{}",
            ago(observed.from_unix_ms),
            ago(observed.to_unix_ms)
        )
    });
    let kind = i32::try_from(event.kind).expect("a kind");
    let what = if kind == Kind::Check as i32 {
        check_line(&event.payload)
    } else if kind == Kind::AirChanged as i32 {
        let air = AirChanged::decode(event.payload.clone()).expect("air");
        assert_eq!(air.source(), AirSource::FootPump);
        assert!(air.gauge_before_pa < air.gauge_after_pa);
        format!("air into {}", air.part)
    } else {
        assert_eq!(kind, Kind::TakenOff as i32);
        "taken off".to_owned()
    };
    format!("{}{observed} {what}", event.member)
}

/// A check in a line.
fn check_line(payload: &Bytes) -> String {
    let check = Check::decode(payload.clone()).expect("a check");
    let extent = match check.extent() {
        CheckExtent::Full => "full",
        CheckExtent::Part => "part",
        CheckExtent::Short | CheckExtent::Unspecified => "other",
    };
    let mut said = vec![format!("{extent} check:")];
    said.extend(check.readings.iter().map(|reading| {
        let moment = match reading.moment() {
            ReadingMoment::AsFound => "found",
            ReadingMoment::AsLeft => "left",
            ReadingMoment::Unspecified => "?",
        };
        assert!(reading.air_mc.is_some(), "the air holds for every reading");
        format!("{} {moment}", reading.part)
    }));
    said.extend(
        check
            .counts
            .iter()
            .map(|count| format!("{} {}", count.count, count.item)),
    );
    said.extend(check.answers.iter().map(|answer| answer.line.clone()));
    if !check.checked_by.is_empty() {
        said.push(format!("by {}", check.checked_by));
    }
    said.join(" ")
}

fn lines(planned: &Planned) -> Vec<String> {
    planned.events.iter().map(line).collect()
}

#[test]
fn each_member_gets_an_event_of_her_own_and_whoever_records_it_the_last() {
    let check = with(&[
        ("M-104", 20, "air", "41 F"),
        ("M-099", 10, "reading.tube-1.found", "3.4"),
        ("M-104", 9, "reading.tube-2.found", "3.4"),
        ("M-099", 8, "count.life-jacket.count", "8"),
        ("M-104", 7, "count.life-jacket.bad", "1"),
        ("M-104", 5, "answer.drain-plug", "yes"),
    ]);
    let by_one = planned(&check, "M-104");
    assert_eq!(
        lines(&by_one),
        [
            "M-099 part check: tube-1 found 8 life-jacket",
            "M-104 full check: tube-2 found drain-plug",
        ]
    );
    assert!(by_one.left_out.contains(&"tube-3".to_owned()));
    for seen in ["tube-1", "tube-2", "life-jacket", "drain-plug"] {
        assert!(
            !by_one.left_out.contains(&seen.to_owned()),
            "{seen}: somebody looked at it"
        );
    }
    // Recorded by a third, who looked at nothing.
    assert_eq!(
        lines(&planned(&check, "M-200")),
        [
            "M-099 part check: tube-1 found 8 life-jacket",
            "M-104 part check: tube-2 found drain-plug",
            "M-200 full check:",
        ]
    );
}

/// The gauge as found stands before the air, as left after it: else a top-up hides a leak.
#[test]
fn air_added_stands_between_found_and_left() {
    let check = with(&[
        ("M-104", 20, "air", "41 F"),
        ("M-104", 9, "reading.tube-1.found", "3.0"),
        ("M-104", 8, "reading.tube-1.left", "3.6"),
        ("M-104", 8, "reading.tube-1.added-by", "foot pump"),
        ("M-104", 7, "reading.tube-2.found", "3.5"),
    ]);
    assert_eq!(
        lines(&planned(&check, "M-104")),
        [
            "M-104 part check: tube-1 found",
            "M-104 air into tube-1",
            "M-104 full check: tube-1 left tube-2 found",
        ]
    );
    for (left, wrong) in [("", "reading.tube-1.left"), ("2.0", "reading.tube-1.left")] {
        let mut entered = vec![
            ("M-104", 9, "reading.tube-1.found", "3.0"),
            ("M-104", 8, "reading.tube-1.added-by", "foot pump"),
        ];
        entered.extend((!left.is_empty()).then_some(("M-104", 8, "reading.tube-1.left", left)));
        let problems = plan(&with(&entered), "M-104", &sample(), NOW).expect_err("refused");
        assert_eq!(problems[0].field.to_string(), wrong);
    }
}

#[test]
fn what_lay_for_long_is_told_by_when_it_was_looked_at() {
    let check = with(&[
        ("M-104", 3_000, "air", "41 F"),
        ("M-104", 3_000, "reading.tube-1.found", "3.4"),
        ("M-104", 2_990, "answer.drain-plug", "yes"),
        ("M-104", 10, "reading.tube-2.found", "3.4"),
    ]);
    assert_eq!(
        lines(&planned(&check, "M-104")),
        [
            "M-104 3000..2990 part check: tube-1 found drain-plug",
            "M-104 full check: tube-2 found",
        ]
    );
}

#[test]
fn from_paper_it_is_one_check_of_whoever_checked() {
    let mut check = with(&[
        ("M-104", 9, "air", "41 F"),
        ("M-104", 9, "reading.tube-1.found", "3.4"),
        ("M-200", 8, "reading.tube-2.found", "3.4"),
        ("M-200", 8, "observed-by", "M-099"),
    ]);
    check.from_paper = true;
    let problems = plan(&check, "M-104", &sample(), NOW).expect_err("when is not said");
    assert_eq!(problems[0].field, FieldName::Observed);
    check.fields.push(FieldEntered {
        name: "observed".to_owned(),
        value: "2026-03-14 11:00 Z".to_owned(),
        ..FieldEntered::default()
    });
    assert_eq!(
        lines(&planned(&check, "M-104")),
        ["M-104 60..60 full check: tube-1 found tube-2 found by M-099"]
    );
}

#[test]
fn gear_that_is_not_there_is_taken_off() {
    let mut catalogue = sample();
    let check = with(&[
        ("M-104", 5, "aboard.M3", "no"),
        ("M-104", 5, "aboard.C1", "no"),
    ]);
    let planned = plan(&check, "M-104", &catalogue, NOW).expect("can be recorded");
    assert_eq!(lines(&planned), ["M-104 full check:", "M-104 taken off"]);
    let unknown = with(&[("M-104", 5, "aboard.M9", "no")]);
    catalogue = sample();
    let planned = plan(&unknown, "M-104", &catalogue, NOW).expect("can be recorded");
    assert_eq!(planned.events.len(), 1, "nothing known is taken off");
}

/// A picture goes with the event that tells its fault, by the fault's position there.
#[test]
fn pictures_go_with_the_fault_that_they_show() {
    let (one, two) = ("11".repeat(32), "22".repeat(32));
    let check = with(&[
        ("M-099", 5, "fault.0.part", "tube-1"),
        ("M-099", 5, "fault.0.class", "leak"),
        ("M-099", 5, "fault.0.severity", "minor"),
        ("M-104", 5, "fault.3.part", "tube-2"),
        ("M-104", 5, "fault.3.class", "leak"),
        ("M-104", 5, "fault.3.severity", "minor"),
        ("M-104", 4, "fault.3.picture.0", &one),
        ("M-104", 4, "picture.0", &two),
    ]);
    let planned = planned(&check, "M-104");
    let told = |event: &AppendRequest| -> Vec<(String, u8)> {
        let pictures = event.pictures.iter();
        pictures
            .map(|picture| (picture.belongs_to.clone(), picture.picture[0]))
            .collect()
    };
    assert_eq!(planned.events.len(), 2);
    assert_eq!(told(&planned.events[0]), []);
    let of_the_last = [("fault:0".to_owned(), 0x11), (String::new(), 0x22)];
    assert_eq!(told(&planned.events[1]), of_the_last);
}
